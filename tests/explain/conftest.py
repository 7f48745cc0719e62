"""The shipped book with the index of its names; the command and the person at a terminal."""

from __future__ import annotations

import pytest

from advisor.glossary.find import Index, index
from advisor.reasoning.weighing import Mind
from tests.hostile.fixtures import advisor, common_cache
from tests.terminal.conftest import mind, start

__all__ = ["advisor", "common_cache", "mind", "start"]


@pytest.fixture(scope="session")
def names(mind: Mind) -> Index:
    return index(mind.book, mind.lexicon)
