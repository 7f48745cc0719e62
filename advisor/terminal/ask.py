"""Asking on a real terminal: prompt_toolkit with completion, and history for complaints."""

from __future__ import annotations

import os
from collections.abc import Sequence

from prompt_toolkit import PromptSession
from prompt_toolkit.completion import WordCompleter
from prompt_toolkit.history import InMemoryHistory


class TerminalAsk:
    """Asks one line; completes from the answers on offer; the arrow keys bring back what was typed."""

    def __init__(self, remembered: Sequence[str] = ()) -> None:
        history = InMemoryHistory()
        for text in remembered:
            history.append_string(text)
        self._session: PromptSession[str] = PromptSession(history=history)
        self._answers: PromptSession[str] = PromptSession(history=InMemoryHistory())

    def __call__(self, prompt: str, words: Sequence[str] = ()) -> str:
        if not words:
            return self._session.prompt(prompt)
        completer = WordCompleter(list(words), sentence=True, ignore_case=True)
        return self._answers.prompt(prompt, completer=completer, complete_while_typing=False)


class DumbAsk:
    """Asks one line without a line editor, whose codes a dumb terminal would show as rubbish."""

    def __call__(self, prompt: str, words: Sequence[str] = ()) -> str:
        return input(prompt)


def asker(remembered: Sequence[str] = ()) -> TerminalAsk | DumbAsk:
    """The way to ask that this terminal is up to."""
    return DumbAsk() if os.environ.get("TERM") == "dumb" else TerminalAsk(remembered)
