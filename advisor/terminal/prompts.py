"""What is typed at a prompt: one line, yes or no, one of several, and who answers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from advisor.interview import steps
from advisor.model.advice import Question
from advisor.model.case import WHO
from advisor.reasoning.advise import Mind
from advisor.terminal import explained, show
from advisor.terminal.screen import Screen
from advisor.terminal.typed import to_explain


class Ask(Protocol):
    """Asks one line. `words` are offered as completions. Raises EOFError or KeyboardInterrupt to leave."""

    def __call__(self, prompt: str, words: Sequence[str] = ()) -> str: ...


class LeaveError(Exception):
    """The driver wants to stop here."""


@dataclass
class Prompts:
    """A person at a screen."""

    mind: Mind
    ask: Ask
    out: Screen

    def agrees(self, question: str, otherwise: str = "no") -> bool:
        """Yes or no, yes by Enter."""
        show.line(self.out, f"{question} Enter: yes   n: {otherwise}")
        while (text := self.line("> ").lower()) not in ("", "y", "yes", "n", "no"):
            show.line(self.out, "Please answer with Enter or n.", 2)
        return text in ("", "y", "yes")

    def tell(self, text: str) -> None:
        """Show one sentence."""
        show.line(self.out, text)

    def which_kart(self, names: Sequence[str]) -> str | None:
        """The kart on file that this is about; the only one without asking."""
        if len(names) < 2:
            if names:
                show.line(self.out, f"Kart: {names[0]} (advisor kart show, edit)", 0, "dim")
            return names[0] if names else None
        show.heading(self.out, "Which kart? Enter: none of these")
        show.choices(self.out, names)
        while text := self.line("> ", names):
            place = steps.numbered(names, text)
            if place is not None:
                return names[place]
            show.line(self.out, f"Please answer with a number from 1 to {len(names)}, or Enter for none.", 2)
        return None

    def who(self) -> str:
        """Who answers the questions."""
        show.line(
            self.out, "Who answers? 1 the driver in the seat   2 a helper at the kart   3 both   Enter: both"
        )
        while text := self.told(WHO):
            if (place := steps.numbered(WHO, text)) is not None:
                return WHO[place]
            show.line(self.out, "Please answer with 1, 2 or 3, or Enter for both.", 2)
        return WHO[-1]

    def told(self, words: Sequence[str] = (), asked: Question | None = None) -> str:
        """One line, after what the driver wants explained first."""
        while (word := to_explain(text := self.line("> ", words))) is not None:
            explained.word(self.out, self.mind.book, self.mind.lexicon, word)
            if asked is not None:
                show.choices(self.out, asked.texts)  # they may have scrolled away
        return text

    def line(self, prompt: str, words: Sequence[str] = ()) -> str:
        """One line as it was typed. Raises LeaveError."""
        # bytes that are no text in this terminal arrive as lone surrogates, which nothing can keep
        text = self.ask(prompt, words).strip().encode("utf-8", "replace").decode("utf-8")
        if text.lower() in ("q", "quit") or (text.lower() == "exit" and "exit" not in words):
            raise LeaveError
        return text
