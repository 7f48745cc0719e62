"""Reasons on the screen: what a question is for, and the evidence behind a change."""

from __future__ import annotations

from math import exp

from advisor.interview import explanations, steps
from advisor.interview.steps import State
from advisor.model.advice import Advice, Question
from advisor.reasoning.advise import Mind
from advisor.reasoning.explain import account
from advisor.terminal import show
from advisor.terminal.screen import Screen

SLIGHT = 0.05  # log-odds below which a line of the ledger tells nothing
_NAMES = {
    "prior": "how often it happens at all",
    "feel": "what the kart does and where",
    "second": "the second fault",
    "own cases": "how often it was behind your own troubles",
}


def question(out: Screen, mind: Mind, state: State, asked: Question) -> None:
    """What a question is for, and which causes each answer would raise, computed by answering it."""
    show.line(out, mind.book.observations[asked.id].plain, 2)
    for answer, text in zip(asked.answers, asked.texts, strict=True):
        show.line(out, f"{text}: {explanations.raised(mind, state, asked, answer)}", 4)
    if asked.gain > 0:
        show.line(out, f"An answer saves about {asked.gain:.0f} minutes of trying, on average.", 2)


def change(out: Screen, mind: Mind, state: State, advice: Advice) -> None:
    """The evidence behind the cause that carries a change, in the order of its weight."""
    done = steps.reasoning(mind, state)
    best = next(r.prospect.best for r in done.ranked if r.prospect.lever == advice.lever)
    cause = list(mind.book.causes.values())[best]
    show.line(out, f"{show.headline(advice)}, because of this:", 2, "bold")
    show.line(out, f"{cause.name[:1].upper()}{cause.name[1:]}. {cause.plain}", 2)
    show.line(out, "What speaks for it and against it, strongest first:", 2)
    for name, weight in account(mind.tables, done.belief, best):
        if abs(weight) >= SLIGHT and name != "rivals":
            show.line(out, f"{_named(name)}: {_strength(weight)}", 4)


def _named(name: str) -> str:
    plain = name.replace("_", " ").replace("setup.", "setup: ").replace("observed.", "").replace(".", " ")
    return _NAMES.get(name, plain)


def _strength(weight: float) -> str:
    """A log-odds term in words and as a factor."""
    if weight > 0:
        return f"speaks for it (odds x {exp(weight):.1f})"
    return f"speaks against it (odds / {exp(-weight):.1f})"
