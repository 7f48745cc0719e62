"""The shipped book and the command."""

from __future__ import annotations

import pytest

from advisor.book import load
from advisor.model.knowledge import Book
from tests.hostile.fixtures import advisor, common_cache

__all__ = ["advisor", "book", "common_cache"]


@pytest.fixture(scope="session")
def book() -> Book:
    return load.book()
