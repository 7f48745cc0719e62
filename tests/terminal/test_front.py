"""The sitting on a pseudo-terminal: the whole job, leaving, crashes, a terminal that changes, and hostile keys."""

from __future__ import annotations

import re
import signal
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.app.complaints import FRESH, MET
from tests.terminal.conftest import Start
from tests.terminal.kept import left, tried
from tests.terminal.person import CTRL_C, CTRL_D, Person
from tests.terminal.pits import reads
from tests.terminal.ways import (
    ADVICE,
    COMPLAINT,
    GO_ON,
    LEFT,
    NOTE,
    OPENING,
    OUTCOME,
    QUESTION,
    STOP,
    changes,
    flat,
    to_advice,
    to_outcome,
    to_question,
)


def test_the_whole_job(start: Start, tmp_path: Path) -> None:
    """From a complaint to a change, home, back with the outcome, and on to the next change."""
    person = start(width=80, height=24)
    shown = to_advice(person)
    offered = changes(shown)
    assert len(offered) == 3
    assert len(person.lines) <= 22
    shown = person.types("1")
    assert f"Written down: {offered[0]}." in flat(shown)
    (trial,) = tried(tmp_path)
    assert (trial.verdict, trial.complaint) == (None, COMPLAINT)
    assert person.leaves("q")[0] == 0

    person = start(width=80, height=24)
    assert f"Tried: {trial.change.say}" in flat(person.reads())
    assert NOTE in person.types("nope")
    shown = person.types("six laps, 52.31 s")
    assert "Put back first: " in shown
    assert "Learnt: " in shown
    assert offered[0] not in changes(shown)
    assert [(t.verdict, t.note) for t in tried(tmp_path)] == [("same", "six laps, 52.31 s")]
    person.types("1")
    assert "thank you" in flat(person.types("gone"))
    status, shown = person.leaves("")
    assert status == 0
    assert LEFT not in shown
    assert [t.verdict for t in tried(tmp_path)] == ["same", "better"]
    assert left(tmp_path) is None


PLACES: dict[str, Callable[[Person], object]] = {
    "opening": lambda person: person.reads(),
    "question": to_question,
    "advice": to_advice,
    "outcome": to_outcome,
    "stop": lambda person: (person.reads(), person.types("pedal getting longer")),
    "page": lambda person: (to_advice(person), person.types("m")),
    "known": lambda person: (to_question(person), person.types("k")),
}
LEAVING = {"ctrl-c": (CTRL_C, 130), "ctrl-d": (CTRL_D, 130), "q": ("q\r", 0)}


@pytest.mark.parametrize("how", LEAVING)
@pytest.mark.parametrize("place", PLACES)
def test_leaving_anywhere_loses_nothing(start: Start, tmp_path: Path, place: str, how: str) -> None:
    person = start(width=80, height=24)
    PLACES[place](person)
    before = tried(tmp_path) if place != "opening" else []
    key, wanted = LEAVING[how]
    status, shown = person.leaves(keys=key)
    assert status == wanted
    assert LEFT in flat(shown)
    person = start(width=80, height=24)
    shown = person.reads()
    if place == "opening":
        assert OPENING in shown
        return
    assert tried(tmp_path) == before
    assert (OUTCOME if place == "outcome" else GO_ON) in flat(shown)
    if place != "outcome":
        again = flat(person.types(""))
        assert {"stop": STOP, "question": QUESTION, "known": QUESTION}.get(place, ADVICE) in again


@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGTERM, signal.SIGHUP], ids=lambda n: n.name)
@pytest.mark.parametrize("place", ["outcome", "question", "advice"])
def test_a_kill_loses_nothing(start: Start, tmp_path: Path, place: str, number: signal.Signals) -> None:
    person = start(width=80, height=24)
    PLACES[place](person)
    before = tried(tmp_path)
    person.dies(number)
    assert tried(tmp_path) == before
    assert (OUTCOME if place == "outcome" else GO_ON) in flat(start().reads())


def test_a_closed_window_loses_nothing(start: Start, tmp_path: Path) -> None:
    person = start(width=80, height=24)
    to_outcome(person)
    person.close()
    assert [t.verdict for t in tried(tmp_path)] == [None]
    assert OUTCOME in flat(start().reads())


@pytest.mark.parametrize(("width", "height"), [(40, 20), (120, 24), (30, 12)])
def test_a_terminal_that_is_resized_is_used_as_it_is_now(start: Start, width: int, height: int) -> None:
    person = start(width=80, height=24)
    to_question(person)
    person.resizes(height, width)
    shown = person.types("t")
    while not person.lines:  # the line editor draws its line anew when the window changes
        shown = person.reads()
    assert shown
    assert max(map(len, person.lines)) <= width
    assert len(person.lines) < height or height < 20


@pytest.mark.parametrize("place", ["opening", "question", "advice", "stop", "outcome"])
def test_codes_that_are_pasted_or_typed_are_text(start: Start, place: str) -> None:
    """Bracketed paste brings them in as text, a raw escape as a key; neither is played back, nothing breaks."""
    person = start(width=80, height=24)
    PLACES[place](person)
    person.types("\x1b[200~loose on entry \x1b]0;evil\x07\x1b[201~")
    assert not re.search("\x1b\\]0;evil", person.raw)
    status, _ = person.leaves(keys=f"\x1b]0;evil\x07 x \x1b[31mred{CTRL_C}")
    assert status == 130
    assert not re.search("\x1b\\]0;evil", person.raw)


@pytest.mark.parametrize("width", [40, 80])
def test_pages_are_turned_and_never_scrolled_past(start: Start, width: int) -> None:
    height = 20 if width == 40 else 24
    person = start(width=width, height=height)
    to_advice(person)
    shown, pages = person.types("m"), 1
    while "Enter: more" in flat(shown):
        assert len(person.lines) <= height - 1, person.lines
        shown = person.types("")
        pages += 1
    assert pages > 1
    assert "back to where you were" in flat(shown)
    assert ADVICE in flat(person.types(""))
    person.types("m")
    assert ADVICE in flat(person.types("b"))


def test_a_dumb_terminal_is_asked_line_by_line(start: Start) -> None:
    person = start(width=80, height=24, TERM="dumb")
    shown = to_question(person)
    assert "\x1b" not in shown
    assert person.leaves("q")[0] == 0


@pytest.mark.parametrize("words", [*MET, *FRESH])
def test_the_first_advice_is_on_the_first_screens(tmp_path: Path, words: str) -> None:
    """At most forty lines, six more where danger is asked about, and sixty keys (`python -m tests.terminal.pits`)."""
    row = reads(tmp_path, words)
    assert row.lines <= 46
    assert row.keys <= 60
    assert row.longest <= 22
