"""One kind of problem for everything a person wrote: where it is, what it is, how bad it is.

A problem is a value. Readers collect them and go on, so that all are reported at once.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from collections.abc import Iterable

Severity = Literal["error", "weakness", "note"]


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """A fault in a file. `line` and `column` count from 1; an `error` cannot load, a `weakness` is poor,
    a `note` only tells."""

    file: str
    line: int
    column: int
    message: str
    code: str = "invalid"
    severity: Severity = "error"

    def __str__(self) -> str:
        return printable(f"{self.file}:{self.line}:{self.column}: {self.message}")


class UnusableError(Exception):
    """Raised at the rim when a file or a request cannot be used; carries every problem found."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(problems))
        super().__init__("\n".join(str(p) for p in self.problems))


def hint(word: str, known: Iterable[str]) -> str:
    """Return `; did you mean "x"?` for the nearest known word, or an empty text."""
    from difflib import get_close_matches  # few files hold a slip

    near = get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f'; did you mean "{near[0]}"?' if near else ""


def shown(value: object) -> str:
    """A value in the words of a file, for a message: nothing, true, or the start of its text."""
    words = {None: "nothing", True: "true", False: "false"}
    text = words[value] if value is None or isinstance(value, bool) else str(value)
    return printable(text)[:40]


# What drives a terminal (ECMA-48): control sequences such as colours, and strings such as the title of a window.
_CODES = re.compile(r"(?:\x1b\[|\x9b)[0-?]*[ -/]*[@-~]|(?:\x1b\]|\x9d)[^\x07\x1b\x9c]*(?:\x07|\x1b\\|\x9c)")


def printable(text: str) -> str:
    """Drop codes, control and format characters, so that text from a file cannot drive a terminal, nor be misread."""
    return "".join(c if c.isprintable() else " " for c in _CODES.sub(" ", text))
