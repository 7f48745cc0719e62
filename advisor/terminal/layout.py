"""Prompts as lines of a screen: wrapped, and cut down until they fit it with their keys."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from textwrap import wrap

from advisor.app.prompt import GROUP, Prompt, Row
from advisor.problems import printable

Line = tuple[str, str]  # text, style
NARROWEST = 20
LAST_RANK = 9
MARK = "> "


def lines(prompt: Prompt, width: int, height: int) -> list[Line]:
    """All of a prompt but the line that is typed on: at most `height` - 1 lines where that can be done."""
    keys = [(row, "") for row in keyed(prompt.keys, width)]
    room = height - 1 - len(keys)
    rows = [_Laid(row, _wrapped(row, width)) for row in (*prompt.said, *prompt.rows)]
    rows = _grouped(rows)
    if _height(rows) > room:
        rows = [_shorter(laid, width) for laid in rows]
    rows = _fitted(rows, room)
    return [(text, laid.row.style) for laid in rows for text in laid.texts] + keys


@dataclass(frozen=True, slots=True)
class _Laid:
    row: Row
    texts: tuple[str, ...]

    def cut(self, most: int) -> _Laid:
        """The same with fewer lines; the last one shows that something is missing."""
        if len(self.texts) <= most:
            return self
        kept = list(self.texts[:most])
        if kept:
            kept[-1] = _with_dots(kept[-1], max(len(t) for t in self.texts))
        return replace(self, texts=tuple(kept))


def _with_dots(text: str, room: int) -> str:
    """A line that ends in dots, the last word given up where there is no room."""
    if len(text) + 2 > room:
        text = text.rpartition(" ")[0] or text[:-2]
    return f"{text.rstrip(' ,;:.')} …" if text.strip() else text


def _wrapped(row: Row, width: int) -> tuple[str, ...]:
    """The lines of a row, its indent on each of them, cut to the number that it may take."""
    if not row.text:
        return ("",)
    pad, more = " " * row.indent, " " * (row.indent + row.hang)
    whole = printable(row.text).replace(" %", "\u00a0%")  # a number and its sign stay on one line
    found = wrap(whole, max(NARROWEST, width - 1), initial_indent=pad, subsequent_indent=more)
    texts = tuple(text.replace("\u00a0", " ") for text in found) or ("",)
    return _Laid(row, texts).cut(row.most).texts if row.most else texts


def _grouped(rows: Sequence[_Laid]) -> list[_Laid]:
    """Rows of one group share so many lines; the first ones have theirs first."""
    used: dict[int, int] = {}
    found = []
    for laid in rows:
        group = laid.row.group
        if group:
            laid = laid.cut(GROUP - used.get(group, 0))
            used[group] = used.get(group, 0) + len(laid.texts)
        found.append(laid)
    return found


def _shorter(laid: _Laid, width: int) -> _Laid:
    """A row in its short form, if it has one."""
    row = laid.row
    return _Laid(row, _wrapped(replace(row, text=row.short), width)) if row.short else laid


EXTRA = 5  # from this rank on a row goes before any other is shortened


def _fitted(rows: list[_Laid], room: int) -> list[_Laid]:
    """Rows shortened and dropped, those of the highest rank first, until they have room."""
    dropped = [(rank, 0) for rank in range(LAST_RANK, EXTRA - 1, -1)]
    shorter = [(rank, least) for least in (2, 1) for rank in range(EXTRA - 1, 0, -1)]
    last = [(rank, 0) for rank in range(EXTRA - 1, 0, -1)]
    for rank, least in (*dropped, *shorter, *last):
        for place in reversed([i for i, laid in enumerate(rows) if laid.row.rank == rank]):
            if _height(rows) <= room:
                return rows
            rows[place] = rows[place].cut(least)
    for least in (3, 2, 1):  # what must stay is shortened, the longest first
        for place in sorted(range(len(rows)), key=lambda i: -len(rows[i].texts)):
            if _height(rows) <= room:
                return rows
            rows[place] = rows[place].cut(least)
    return rows


def _height(rows: Sequence[_Laid]) -> int:
    return sum(len(laid.texts) for laid in rows)


def keyed(keys: Sequence[str], width: int) -> list[str]:
    """What may be typed; a key and its meaning stay on one line."""
    glued = [key.replace(" ", "\u00a0") for key in keys]
    return [row.replace("\u00a0", " ") for row in wrap("  ".join(glued), max(NARROWEST, width - 1))]


def paged(rows: Sequence[Row], width: int) -> list[Line]:
    """All lines of a page, nothing cut."""
    return [(text, row.style) for row in rows for text in _wrapped(replace(row, most=0), width)]
