"""Single lines asked at a terminal, outside of a sitting: one line, yes or no, which kart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from advisor.app import danger
from advisor.interview.choices import numbered
from advisor.reasoning.weighing import Mind
from advisor.terminal import show
from advisor.terminal.front import Ask
from advisor.terminal.screen import Screen


class LeaveError(Exception):
    """The driver wants to stop here."""


class DangerError(Exception):
    """Something else was asked, and what was typed, `text`, tells of danger."""

    def __init__(self, text: str) -> None:
        super().__init__(text)
        self.text = text


@dataclass
class Prompts:
    """A person at a screen."""

    mind: Mind
    ask: Ask
    out: Screen

    def agrees(self, question: str, otherwise: str = "no") -> bool:
        """Yes or no, yes by Enter."""
        show.line(self.out, f"{question} Enter: yes   n: {otherwise}")
        while (text := self.line("> ", name=True).lower()) not in ("", "y", "yes", "n", "no"):
            show.line(self.out, "Please answer with Enter or n.", 2)
        return text in ("", "y", "yes")

    def tell(self, text: str) -> None:
        """Show one sentence."""
        show.line(self.out, text)

    def which_kart(self, names: Sequence[str]) -> str | None:
        """The kart on file that this is about; the only one without asking."""
        if len(names) < 2:
            return names[0] if names else None
        show.heading(self.out, "Which kart? Enter: none of these")
        show.choices(self.out, names)
        while text := self.line("> ", names, name=True):
            place = numbered(names, text)
            if place is not None:
                return names[place]
            show.line(self.out, f"Please answer with a number from 1 to {len(names)}, or Enter for none.", 2)
        return None

    def line(self, prompt: str, words: Sequence[str] = (), *, name: bool = False) -> str:
        """One line as it was typed; where it is to be a name, one that tells of danger raises DangerError.

        Raises LeaveError.
        """
        # bytes that are no text in this terminal arrive as lone surrogates, which nothing can keep
        text = self.ask(prompt, words).strip().encode("utf-8", "replace").decode("utf-8")
        if text.lower() in ("q", "quit"):
            raise LeaveError
        if name and numbered(words, text) is None and danger.no_name(self.mind, text):
            raise DangerError(text)
        return text
