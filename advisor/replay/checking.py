"""Check any mix of knowledge folders, scenario files, karts on file, plans of test days and case files."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from advisor.book import load, marked, voices
from advisor.karts import on_file
from advisor.karts.cases import from_document
from advisor.karts.plan_files import read_plan
from advisor.model.knowledge import Book
from advisor.problems import Problem, UnusableError
from advisor.replay.scenario import read_scenarios

ROOMS = ("causes", "levers", "observations", "fixes")  # the folders in a folder of knowledge


def check_paths(paths: Iterable[Path], team: Sequence[Path] = ()) -> tuple[list[Problem], int]:
    """Every problem found below the paths, and how many files were looked at.

    A folder with all parts of a knowledge base is one; with some of them it is a team's, and is looked at over
    the shipped one. `team`: the folders that lie over the shipped one anyway.
    """
    problems: list[Problem] = []
    counted = 0
    book: Book | None = None
    for path in paths:
        if not _reachable(path):
            problems.append(Problem(str(path)[:200], 1, 1, "does not exist or cannot be reached", "missing"))
        elif layers := _layers(path, team):
            loaded = load.load(*layers)
            problems += loaded.problems
            counted += len(loaded.documents)
            book = book or loaded.book
            if loaded.book is not None:
                heard, files = voices.problems(path, loaded.book)
                problems += heard
                counted += files
        else:
            paths_ = sorted(path.rglob("*.yaml")) if path.is_dir() else [path]
            book = book or _book(problems, team)
            counted += len(paths_)
            if book is not None:
                problems += [problem for file in paths_ for problem in _file(file, book)]
    return sorted(set(problems)), counted


def _layers(path: Path, team: Sequence[Path]) -> list[Path]:
    """The folders of knowledge to look at for a path, or none when it is no folder of knowledge."""
    if not path.is_dir():
        return []
    parts = [(path / room).is_dir() for room in ROOMS]
    if not any(parts):
        return []
    whole = (path / "words.yaml").exists() or ((path / "effects.yaml").exists() and all(parts[:3]))
    if whole and path not in team:
        return [path, *(team if path == load.shipped() else ())]
    return [load.shipped(), *(t for t in team if t != path), path]


def _reachable(path: Path) -> bool:
    try:
        return path.exists()
    except (OSError, ValueError):
        return False


def _book(problems: list[Problem], team: Sequence[Path]) -> Book | None:
    try:
        return load.book(None, *team)
    except UnusableError as error:
        problems += error.problems
        return None


def _file(path: Path, book: Book) -> list[Problem]:
    document = marked.read(path)
    if document.problems:
        return document.problems
    if isinstance(document.data, list):
        return read_scenarios(path, book)[1]
    if isinstance(document.data, dict) and "aims" in document.data:
        return read_plan(path, book).problems
    if path.parent.name in on_file.ROOMS:
        return on_file.problems(path, book)
    return from_document(document, book).problems
