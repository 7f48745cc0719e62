"""Ways through an interview that many tests walk."""

from __future__ import annotations

from tests.terminal.person import Person
from tests.terminal.reading import Asked, asked, question

COMPLAINT = "the rear steps out in the middle of the corner"
OPENING = "What does the kart do? Say it in your own words"
RIGHT = "Right? Enter: yes."
MINUTES = "Minutes until you go out"
KEEP = "What must not get worse"
WHO = "Who answers?"
CHOICE = "Which will you try?"
SOUND = "inspected, and sound or put right"
LEFT = "Left. Nothing that was written down is lost."


def to_first_question(person: Person, complaint: str = COMPLAINT, minutes: str = "", keep: str = "") -> str:
    """Tell the complaint, accept what was understood, and what limits the choice."""
    shown = person.reads()
    if "Go on there?" in shown:
        shown = person.types("n")
    assert OPENING in shown
    shown = person.types(complaint)
    if RIGHT in shown:
        shown = person.types("")
    assert MINUTES in shown
    assert KEEP in person.types(minutes)
    assert WHO in person.types(keep)
    return person.types("")


def skip_all(person: Person, shown: str) -> str:
    """Take the best so far: the advice."""
    return person.types("t") if question(shown) is not None else shown


def to_choice(person: Person, complaint: str = COMPLAINT, minutes: str = "", keep: str = "") -> str:
    """Know no answer at all; the advice."""
    shown = skip_all(person, to_first_question(person, complaint, minutes, keep))
    assert CHOICE in shown
    return shown


def answer_two(person: Person, complaint: str = COMPLAINT) -> tuple[str, Asked]:
    """Answer the first two questions; what is shown then, and the question that waits."""
    shown = to_first_question(person, complaint)
    for _ in range(2):
        shown = person.types(str(asked(shown).harmless() + 1))
    return shown, asked(shown)
