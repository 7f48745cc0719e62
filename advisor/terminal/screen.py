"""Where text is shown: a plain stream, or rich on a terminal. Everything arrives wrapped and cleaned."""

from __future__ import annotations

import os
import shutil
import sys
from typing import Protocol, TextIO

WIDEST = 100  # longer lines are hard to follow


class Screen(Protocol):
    """Shows one line of text at a time; `style` is one of bold, dim, alarm or nothing."""

    width: int
    height: int

    def write(self, text: str = "", style: str = "") -> None: ...


class PlainScreen:
    """Text without any style: pipes, files, dumb terminals."""

    def __init__(
        self, stream: TextIO | None = None, width: int | None = None, height: int | None = None
    ) -> None:
        self.stream = stream
        size = shutil.get_terminal_size()
        self.width = width or min(WIDEST, size.columns)
        self.height = height or size.lines

    def write(self, text: str = "", style: str = "") -> None:
        stream = self.stream or sys.stdout
        if stream is None:
            return  # standard output was closed: there is nowhere to show anything
        encoding = getattr(stream, "encoding", None) or "utf-8"
        print(text.encode(encoding, "replace").decode(encoding), file=stream)


_RICH_STYLE = {"bold": "bold", "dim": "dim", "alarm": "bold reverse"}


class RichScreen:
    """Text in bold and dim where the terminal has them; colour never carries meaning alone."""

    def __init__(self) -> None:
        from rich.console import Console

        self._console = Console(highlight=False, emoji=False, markup=False)

    @property
    def width(self) -> int:
        return min(WIDEST, self._console.width)

    @width.setter
    def width(self, _: int) -> None:
        raise AttributeError("the terminal decides its width")

    @property
    def height(self) -> int:
        return self._console.height

    @height.setter
    def height(self, _: int) -> None:
        raise AttributeError("the terminal decides its height")

    def write(self, text: str = "", style: str = "") -> None:
        from rich.text import Text

        self._console.print(Text(text, style=_RICH_STYLE.get(style, "")), soft_wrap=True)


def screen() -> Screen:
    """The screen of standard output: rich on a terminal that can do more than print."""
    if sys.stdout is not None and sys.stdout.isatty() and os.environ.get("TERM") != "dumb":
        return RichScreen()
    return PlainScreen()
