"""The text of a lap sheet to cells with their places: bytes to text, which sign stands between columns.

`csv.Sniffer` is not used: it takes the point of 45.31 for a delimiter when a sheet has one column, gives up on
short sheets, and `csv.reader` does not tell where in its line a cell begins.
"""

from __future__ import annotations

import codecs
import re
from collections import Counter
from dataclasses import dataclass
from itertools import pairwise

DELIMITERS = ("\t", ";", "|", ",")
_DECIMAL = re.compile(r"\s*(?:\d{1,2}:)?\d{1,3},\d{1,3}\s*\Z")


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell's text without quotes and the blanks around it; `column` counts characters from 1."""

    text: str
    column: int


def decoded(data: bytes) -> str:
    """The text of a file: UTF-8 or UTF-16 with or without a byte order mark, else Western European (cp1252).

    Raises ValueError with a sentence when it is no text.
    """
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return _strictly(data, "utf-16")
    if len(data) >= 4 and b"\0" in data[:200]:
        even, odd = data[:200:2].count(0), data[1:200:2].count(0)
        if max(even, odd) < 3 * min(even, odd) + 2:
            raise ValueError(_NO_TEXT)
        return _strictly(data, "utf-16-le" if odd > even else "utf-16-be")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace")


_NO_TEXT = "this is no text file; save the sheet as CSV and give that file"


def _strictly(data: bytes, encoding: str) -> str:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        raise ValueError(_NO_TEXT) from error


def delimiter(lines: list[str]) -> str:
    """The sign between the columns: the one that most lines hold equally often; "" for a single column."""
    filled = [line for line in lines if line.strip()]
    for sign in DELIMITERS:
        counts = Counter(len(cells(line, sign)) - 1 for line in filled)
        counts.pop(0, None)
        often = max(counts.values(), default=0)
        if often * 2 > len(filled) and not (sign == "," and _decimals(filled)):
            return sign
    spread = Counter(len(line.split()) for line in filled)
    common, often = spread.most_common(1)[0] if spread else (1, 0)
    timed = sum(any(c.isdigit() for c in line) for line in filled) * 2 > len(filled)
    return " " if common > 1 and often * 5 > len(filled) * 3 and timed else ""


def _decimals(lines: list[str]) -> bool:
    """True for one column of numbers with a decimal comma: not two columns, the first of which counts laps."""
    rows = [line for line in lines if _DECIMAL.match(line)]
    if len(rows) < len(lines) - 1:
        return False
    whole = [int(re.split("[:,]", row)[-2]) for row in rows]
    counts = len(whole) > 1 and all(b - a == 1 for a, b in pairwise(whole))
    return not counts and (len(rows) == len(lines) or "," not in lines[0])


def cells(line: str, sign: str) -> list[Cell]:
    """The cells of a line. Raises ValueError when a quotation mark is not closed; its second argument is the column."""
    if sign == " ":
        return [Cell(m[0], m.start() + 1) for m in re.finditer(r"\S+", line)]
    found: list[Cell] = []
    start = 0
    while start <= len(line):
        cell, start = _cell(line, start, sign)
        found.append(cell)
    return found


def _cell(line: str, start: int, sign: str) -> tuple[Cell, int]:
    """One cell from `start`, and where the next one starts."""
    first = start
    while first < len(line) and line[first] == " ":
        first += 1
    if first < len(line) and line[first] == '"':
        closed = re.compile(r'"((?:[^"]|"")*)"\s*').match(line, first)
        if closed and (closed.end() == len(line) or line[closed.end()] == sign):
            return Cell(closed[1].replace('""', '"').strip(), first + 1), closed.end() + 1
    end = line.find(sign, start) if sign else -1
    end = len(line) if end < 0 else end
    text = line[start:end]
    return Cell(text.strip(), start + len(text) - len(text.lstrip()) + 1), end + 1
