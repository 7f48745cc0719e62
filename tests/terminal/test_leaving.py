"""Leaving at every kind of prompt: one sentence, a sane status, no traceback, and nothing lost or made up."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product
from pathlib import Path

import pytest

from tests.journal import rows
from tests.terminal.conftest import Start
from tests.terminal.kept import NAME, left, tried
from tests.terminal.person import CTRL_C, CTRL_D, Person
from tests.terminal.reading import question
from tests.terminal.ways import (
    CHOICE,
    COMPLAINT,
    KEEP,
    LEFT,
    MINUTES,
    OPENING,
    RIGHT,
    SOUND,
    answer_two,
    to_choice,
    to_first_question,
)

LEAVING = {"ctrl-c": (CTRL_C, 130), "ctrl-d": (CTRL_D, 130), "q": ("q\r", 0)}


def at_opening(start: Start, folder: Path) -> Person:
    person = start()
    assert OPENING in person.reads()
    return person


def at_right(start: Start, folder: Path) -> Person:
    person = at_opening(start, folder)
    assert RIGHT in person.types(COMPLAINT)
    return person


def at_minutes(start: Start, folder: Path) -> Person:
    person = at_right(start, folder)
    assert MINUTES in person.types("")
    return person


def at_keep(start: Start, folder: Path) -> Person:
    person = at_minutes(start, folder)
    assert KEEP in person.types("20")
    return person


def at_question(start: Start, folder: Path) -> Person:
    person = start()
    to_first_question(person)
    return person


def at_choice(start: Start, folder: Path) -> Person:
    person = start()
    to_choice(person)
    return person


def at_what_if(start: Start, folder: Path) -> Person:
    person = start()
    shown, count = to_first_question(person), 0
    while (now := question(shown)) is not None:
        shown, count = person.types(str(now.harmless() + 1) if count < 2 else ""), count + 1
    assert "Which answer?" in person.types("i")
    return person


def at_stop(start: Start, folder: Path) -> Person:
    person = at_opening(start, folder)
    person.types("the brake pedal goes soft")
    assert SOUND in person.types("")
    return person


def at_go_on(start: Start, folder: Path) -> Person:
    person = start()
    answer_two(person)
    person.leaves("q")
    person = start()
    assert "Go on there?" in person.reads()
    return person


def at_kart(start: Start, folder: Path) -> Person:
    person = start("kart", "new", "red")
    assert person.ends()[0] == 0
    person = start("kart", "new", "blue")
    assert person.ends()[0] == 0
    person = start()
    assert "Which kart?" in person.reads()
    return person


def at_verdict(start: Start, folder: Path) -> Person:
    rows.write(folder / NAME, rows.trial())
    person = start()
    assert "not tried yet" in person.reads()
    return person


def at_note(start: Start, folder: Path) -> Person:
    person = at_verdict(start, folder)
    assert "A note" in person.types("2")
    return person


def at_next(start: Start, folder: Path) -> Person:
    person = at_note(start, folder)
    assert CHOICE in person.types("")
    return person


PROMPTS: dict[str, Callable[[Start, Path], Person]] = {
    "opening": at_opening,
    "right": at_right,
    "minutes": at_minutes,
    "keep": at_keep,
    "question": at_question,
    "choice": at_choice,
    "what if": at_what_if,
    "stop": at_stop,
    "go on": at_go_on,
    "kart": at_kart,
    "verdict": at_verdict,
    "note": at_note,
    "next change": at_next,
}


def kept(folder: Path) -> tuple[list[tuple[str, str | None, str]], object]:
    """All that a journal holds: trials with verdicts, and the interview that was left."""
    if not (folder / NAME).exists():
        return [], None
    return [(t.id, t.verdict, t.note) for t in tried(folder)], left(folder)


# The likeliest first; then every way of leaving at every prompt.
LIKELY = [
    ("question", "ctrl-c"),
    ("choice", "ctrl-d"),
    ("verdict", "ctrl-c"),
    ("note", "ctrl-d"),
    ("stop", "q"),
]
CASES = [*LIKELY, *(case for case in product(PROMPTS, LEAVING) if case not in LIKELY)]


@pytest.mark.parametrize(("prompt", "way"), CASES)
def test_leaving_is_sane_and_changes_nothing(start: Start, tmp_path: Path, prompt: str, way: str) -> None:
    reach, (keys, status) = PROMPTS[prompt], LEAVING[way]
    person = reach(start, tmp_path)
    before = kept(tmp_path)
    ended, shown = person.leaves(keys=keys)
    assert ended == status
    assert person.raw.count(LEFT) == 1
    assert shown.rstrip().endswith(LEFT)
    assert kept(tmp_path) == before


def test_a_half_typed_answer_is_thrown_away(start: Start, tmp_path: Path) -> None:
    person = at_choice(start, tmp_path)
    person.presses("1", until="1")
    assert person.leaves(keys=CTRL_C)[0] == 130
    assert tried(tmp_path) == []
