"""What a sitting shows and asks: rows of text, the keys that do something, and pages that are one key away.

Nothing here knows of a terminal: any front shows a prompt and gives back one line.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from advisor.model.advice import Answer

if TYPE_CHECKING:
    from advisor.sums.questions import Answer as Sum

Style = Literal["", "bold", "dim", "alarm"]


@dataclass(frozen=True, slots=True)
class Row:
    """One sentence. `indent` and `hang` are letters; `most` is how many lines it may take, 0 for any number.

    On a small screen the rows of the highest `rank` go first; those of rank 0 stay. Rows of one `group` share
    `GROUP` lines. `short` stands instead of the text where there is too little room.
    """

    text: str
    style: Style = ""
    indent: int = 0
    hang: int = 0
    most: int = 0
    rank: int = 0
    group: int = 0
    short: str = ""


GROUP = 3  # lines that a change may take: what to do, from where to where and how likely, how

EMPTY = Row("", rank=9)


@dataclass(frozen=True, slots=True)
class Everything:
    """A page: the whole answer with all reasons, costs and sources."""

    found: Answer


@dataclass(frozen=True, slots=True)
class Word:
    """A page: a word of the trade explained; empty for what can be asked."""

    text: str


@dataclass(frozen=True, slots=True)
class Counted:
    """A page: a sum that was asked in words."""

    answer: Sum


Page = Everything | Word | Counted | tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Prompt:
    """One screen. `said` is what came of the line before; `page` is shown first, page by page, where there is one."""

    place: str
    rows: tuple[Row, ...]
    keys: tuple[str, ...] = ()
    words: tuple[str, ...] = ()  # offered as completions
    said: tuple[Row, ...] = ()
    page: Page | None = None


def news(text: str, style: Style = "") -> Row:
    """What came of the line before."""
    return Row(text, style, most=4, rank=1)


def options(texts: tuple[str, ...] | list[str]) -> tuple[Row, ...]:
    """Numbered answers."""
    return tuple(Row(f"{n}  {text}", indent=2, hang=3) for n, text in enumerate(texts, start=1))
