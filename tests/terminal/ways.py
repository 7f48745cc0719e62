"""What stands on the screen at each kind of prompt, and ways to get there."""

from __future__ import annotations

import re

from tests.terminal.person import Person

COMPLAINT = "hops in the fast ones late in the run"
OPENING = "What does the kart do?"
QUESTION = "Question "
ADVICE = "a: ask on"
STOP = "STOP: do not drive it"
OUTCOME = "What came of it?"
NOTE = "What else does it do now?"
GO_ON = "Go on there?"
LEFT = "Left. Nothing that was written down is lost."
TAKE = "t: take it"


def flat(text: str) -> str:
    """A wrapped text on one line."""
    return " ".join(text.split())


def to_question(person: Person, complaint: str = COMPLAINT) -> str:
    """Tell the complaint; the first question."""
    assert OPENING in flat(person.reads())
    shown = person.types(complaint)
    assert QUESTION in shown, shown
    return shown


def to_advice(person: Person, complaint: str = COMPLAINT) -> str:
    """Take the best so far; the advice."""
    shown = to_question(person, complaint)
    shown = person.types("t")
    assert ADVICE in flat(shown), shown
    return shown


def to_outcome(person: Person, number: int = 2) -> str:
    """Choose a change; the place that waits for its outcome."""
    to_advice(person)
    shown = person.types(str(number))
    assert OUTCOME in flat(shown), shown
    return shown


def changes(shown: str) -> list[str]:
    """What to do of each change on the screen, in order."""
    return [m[1] for m in re.finditer(r"^ \d  (.+)$", shown, re.M)]
