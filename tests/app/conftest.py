"""A mind that is ready, and a sitting in a folder of its own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from advisor.reasoning.weighing import Mind
from tests.app.play import Play
from tests.journal.rows import IN_MEMORY
from tests.reasoning.minds import shipped


@pytest.fixture(scope="session")
def mind() -> Mind:
    return shipped()


@pytest.fixture
def play(mind: Mind) -> Iterator[Play]:
    with TemporaryDirectory(dir=IN_MEMORY) as name:
        found = Play(mind, Path(name))
        yield found
        found.close()
