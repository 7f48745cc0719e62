"""A mind that is ready, folders, and persons at the program."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from advisor.book import load
from advisor.reasoning.weighing import Mind, make_ready
from tests.hostile.fixtures import advisor, common_cache
from tests.terminal.person import Person

__all__ = ["advisor", "common_cache"]

Start = Callable[..., Person]


@pytest.fixture(scope="session")
def mind() -> Mind:
    """The shipped knowledge, made ready."""
    book = load.load(load.shipped()).book or pytest.fail("the shipped knowledge does not load")
    return make_ready(book, load.ear())


@pytest.fixture
def start(tmp_path: Path, common_cache: Path) -> Iterator[Start]:
    """Starts the program in one folder with one journal, as often as it is called; all are closed."""
    if os.name == "nt":
        pytest.skip("needs a pseudo-terminal")
    people: list[Person] = []

    def begin(*arguments: str, width: int = 100, height: int = 50, **changes: str) -> Person:
        person = Person(
            tmp_path,
            *arguments,
            width=width,
            height=height,
            **{"XDG_CACHE_HOME": str(common_cache), **changes},
        )
        people.append(person)
        return person

    yield begin
    for person in people:
        person.close()
