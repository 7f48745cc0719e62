"""Check any mix of knowledge folders, scenario files and case files."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from advisor.book import garage, load, marked
from advisor.book.cases import from_document
from advisor.model.knowledge import Book
from advisor.problems import Problem, UnusableError
from advisor.replay.scenario import read_scenarios


def check_paths(paths: Iterable[Path]) -> tuple[list[Problem], int]:
    """Every problem found below the paths, and how many files were looked at."""
    problems: list[Problem] = []
    counted = 0
    book: Book | None = None
    for path in paths:
        if not _reachable(path):
            problems.append(Problem(str(path)[:200], 1, 1, "does not exist or cannot be reached", "missing"))
        elif path.is_dir() and (path / "effects.yaml").exists():
            loaded = load.load(path)
            problems += loaded.problems
            counted += len(loaded.documents)
            book = book or loaded.book
        else:
            files = sorted(path.rglob("*.yaml")) if path.is_dir() else [path]
            book = book or _shipped_book(problems)
            counted += len(files)
            for file in files if book else []:
                problems += _file(file, book)  # type: ignore[arg-type]
    return sorted(problems), counted


def _reachable(path: Path) -> bool:
    try:
        return path.exists()
    except (OSError, ValueError):
        return False


def _shipped_book(problems: list[Problem]) -> Book | None:
    try:
        return load.book()
    except UnusableError as error:
        problems += error.problems
        return None


def _file(path: Path, book: Book) -> list[Problem]:
    document = marked.read(path)
    if document.problems:
        return document.problems
    if isinstance(document.data, list):
        return read_scenarios(path, book)[1]
    if path.parent.name in garage.ROOMS:
        return garage.problems(path, book)
    return from_document(document, book).problems
