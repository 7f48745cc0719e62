"""A sitting on a terminal: shows a prompt, reads a line, and turns the pages that are one key away."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from advisor.app.prompt import Counted, Everything, Page, Prompt, Word
from advisor.app.sitting import LEFT, Sitting
from advisor.model.knowledge import Book
from advisor.terminal import computed, explained, layout, show
from advisor.terminal.layout import MARK, Line
from advisor.terminal.screen import Screen
from advisor.words.phrases import Lexicon

BACK = ("b", "back")


class Ask(Protocol):
    """Asks one line. `words` are offered as completions. Raises EOFError or KeyboardInterrupt to leave."""

    def __call__(self, prompt: str, words: Sequence[str] = ()) -> str: ...


def sit(sitting: Sitting, ask: Ask, out: Screen) -> None:
    """Play a sitting to its end."""
    mind = sitting.desk.mind
    while (prompt := sitting.prompt) is not None:
        out.write()
        typed = None
        if prompt.page is not None:
            typed = _page(prompt, _lines(prompt.page, mind.book, mind.lexicon, out.width), ask, out)
        if typed is None:
            _write(out, layout.lines(prompt, out.width, out.height - 1))
            typed = ask(MARK, prompt.words)
        sitting.reply(typed)
    if sitting.left:
        show.line(out, LEFT)


def _write(out: Screen, lines: Sequence[Line]) -> None:
    for text, style in lines:
        out.write(text, style)


class _Kept:
    """A screen that keeps its lines, for pages."""

    def __init__(self, width: int) -> None:
        self.width = width
        self.height = 0
        self.lines: list[Line] = []

    def write(self, text: str = "", style: str = "") -> None:
        self.lines.append((text, style))


def _lines(page: Page, book: Book, known: Lexicon, width: int) -> list[Line]:
    """The lines of a page."""
    if isinstance(page, tuple):
        return layout.paged(page, width)
    kept = _Kept(width)
    if isinstance(page, Everything):
        show.answer(kept, page.found, book)
    elif isinstance(page, Word):
        explained.word(kept, book, known, page.text)
    elif isinstance(page, Counted):
        computed.short(kept, page.answer)
    return kept.lines


def _turning(number: str, then: str, width: int) -> list[str]:
    """What stands below a page."""
    return layout.keyed((f"({number})", f"Enter: {then}", "b: back"), width)


def _page(prompt: Prompt, lines: list[Line], ask: Ask, out: Screen) -> str | None:
    """Turn the pages; what was typed that is meant for the prompt, or None when it is to be shown again."""
    while lines and not lines[0][0].strip():
        lines.pop(0)
    below = len(layout.lines(prompt, out.width, out.height - 1)) + 3
    if len(lines) + below <= out.height:  # both fit: no page is to be turned
        _write(out, [*lines, ("", "")])
        return None
    room = max(3, out.height - 2 - len(_turning("99 of 99", "back to where you were", out.width)))
    pages = [lines[i : i + room] for i in range(0, len(lines), room)]
    for number, part in enumerate(pages, start=1):
        _write(out, part)
        then = "back to where you were" if number == len(pages) else "more"
        _write(out, [(text, "") for text in _turning(f"{number} of {len(pages)}", then, out.width)])
        text = ask(MARK).strip()
        if text.lower() in BACK:
            return None
        if text:
            return text
        out.write()
    return None
