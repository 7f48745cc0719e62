"""Which folders of knowledge a team lays over the shipped one."""

from __future__ import annotations

import argparse
import gc
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.book import load
from advisor.cli import home_expanded
from advisor.model.knowledge import Book
from advisor.problems import UnusableError
from advisor.words.ear import Ear

if TYPE_CHECKING:
    from advisor.reasoning.weighing import Mind


def usual() -> Path:
    """The folder that is used without being named, if it exists: by environment, or the user's own."""
    named = os.environ.get("ADVISOR_KNOWLEDGE")
    if named:
        return home_expanded(named)
    from platformdirs import user_data_path

    return user_data_path("kart-advisor") / "knowledge"


def named(options: argparse.Namespace) -> list[Path]:
    """The folders of the command line, those before the command first."""
    both = (*(getattr(options, "knowledge", None) or ()), *(getattr(options, "knowledge_too", None) or ()))
    return [home_expanded(name) for name in both]


def folders(options: argparse.Namespace, new: bool = False) -> list[Path]:
    """Every folder over the shipped one; the last counts most.

    One that was named must exist, but for that which a command is going to make (`new`).
    """
    own, last = usual(), target(options)
    return [
        path
        for path in (own, *named(options))
        if path.is_dir() or (path != own and not (new and path == last))
    ]


def book(options: argparse.Namespace, new: bool = False) -> Book:
    """The shipped knowledge with the team's over it; a fix that cannot be read is told and left out.

    Raises UnusableError for anything else that cannot be used.
    """
    paths = folders(options, new)
    try:
        return load.book(None, *paths)
    except UnusableError as error:
        files = frozenset(problem.file for problem in error.problems)
        if not all(Path(file).parent.name == "fixes" for file in files):
            raise
        for problem in sorted(error.problems):
            print(f"{problem}; this fix is left out until it is put right", file=sys.stderr)
        return load.book(None, *paths, without=files)


def ear(options: argparse.Namespace) -> Ear | None:
    """The learned ear: a team's own, where one of its folders has one. Raises UnusableError."""
    return load.ear(None, *folders(options))


def mind(options: argparse.Namespace) -> Mind:
    """Book and ear made ready to reason with. Raises UnusableError.

    All of it stays to the end: to look through it for garbage takes a tenth of a start.
    """
    gc.disable()
    try:
        from advisor.reasoning.weighing import make_ready

        return make_ready(book(options), ear(options))
    finally:
        gc.freeze()
        gc.enable()


def target(options: argparse.Namespace) -> Path:
    """Where new fixes go: the last folder that was named, or the usual one."""
    return [usual(), *named(options)][-1]
