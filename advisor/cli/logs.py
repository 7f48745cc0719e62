"""A log of readings in a file: a column of a CSV sheet, or bare numbers a line each."""

from __future__ import annotations

import re
from collections.abc import Sequence

from advisor import disk
from advisor.cli import home_expanded
from advisor.laps.cells import Cell, cells, decoded, delimiter
from advisor.problems import Problem, UnusableError, printable
from advisor.sums.nomenclature import NAMES

MAX_BYTES = 1_000_000
_FILE = re.compile(r"(\w+)=@(.+)", re.DOTALL)
_NUMBER = re.compile(r"[0-9]{1,6}(?:[.,][0-9]{0,9})?\Z")


def read_in(words: Sequence[str]) -> list[str]:
    """`before=@run1.csv` with the readings of that file in its place; other words as they are.

    Raises UnusableError with file, line and column for everything that is no reading.
    """
    return [_with_readings(word) for word in words]


def _with_readings(word: str) -> str:
    match = _FILE.fullmatch(word)
    if not match or match[1] not in NAMES or NAMES[match[1]].kind != "numbers":
        return word
    return f"{match[1]}={'; '.join(readings(match[2]))}"


def readings(name: str) -> list[str]:
    """The readings of the only column, or of the one that is headed lambda."""
    path = home_expanded(name)
    try:
        data = disk.read(path, MAX_BYTES + 1)
        text = decoded(data if len(data) <= MAX_BYTES else b"")
    except OSError as error:
        raise _wrong(name, 1, 1, f"cannot be read: {error.strerror}") from error
    except ValueError as error:
        raise _wrong(name, 1, 1, str(error)) from error
    lines = text.splitlines()
    sign = delimiter(lines)
    rows = [(n, cells(line, sign)) for n, line in enumerate(lines, 1) if line.strip()]
    if not rows:
        raise _wrong(name, 1, 1, f"holds no readings, or more than {MAX_BYTES} bytes")
    headed = not any(_NUMBER.match(cell.text) for cell in rows[0][1])
    column = _column(name, rows[0][0], rows[0][1], headed)
    found, problems = [], []
    for line, row in rows[headed:]:
        cell = row[column] if column < len(row) else Cell("", 1)
        if _NUMBER.match(cell.text):
            found.append(cell.text.replace(",", "."))
        else:
            problems.append(_problem(name, line, cell.column, f'"{cell.text[:20]}" is no reading of lambda'))
    if problems or not found:
        raise UnusableError(problems or [_problem(name, 1, 1, "holds no readings")])
    return found


def _column(name: str, line: int, first: list[Cell], headed: bool) -> int:
    if len(first) == 1:
        return 0
    named = [i for i, cell in enumerate(first) if headed and "lambda" in cell.text.lower()]
    if len(named) != 1:
        raise _wrong(name, line, 1, "needs one column headed lambda, or a single column")
    return named[0]


def _problem(name: str, line: int, column: int, message: str) -> Problem:
    return Problem(printable(name), line, column, message)


def _wrong(name: str, line: int, column: int, message: str) -> UnusableError:
    return UnusableError([_problem(name, line, column, message)])
