"""Asking on a real terminal: prompt_toolkit with completion, and history for complaints."""

from __future__ import annotations

import os
from collections.abc import Sequence

from prompt_toolkit import PromptSession
from prompt_toolkit.completion import WordCompleter
from prompt_toolkit.history import InMemoryHistory
from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
from prompt_toolkit.keys import Keys


def _keys() -> KeyBindings:
    """No mouse is used; codes that look like its reports, but are none, would end the line with an error."""
    keys = KeyBindings()

    @keys.add(Keys.Vt100MouseEvent)
    @keys.add(Keys.WindowsMouseEvent)
    def _(event: KeyPressEvent) -> None:
        """Leave it out."""

    return keys


class TerminalAsk:
    """Asks one line; completes from the answers on offer; the arrow keys bring back what was typed."""

    def __init__(self, remembered: Sequence[str] = ()) -> None:
        history = InMemoryHistory()
        for text in remembered:
            history.append_string(text)
        self._session: PromptSession[str] = PromptSession(history=history, key_bindings=_keys())
        self._answers: PromptSession[str] = PromptSession(history=InMemoryHistory(), key_bindings=_keys())

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
