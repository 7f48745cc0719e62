"""Going on after quitting or a crash: the same question waits, and nothing that was answered is lost."""

from __future__ import annotations

import signal
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.terminal.conftest import Start
from tests.terminal.kept import left, tried
from tests.terminal.person import CTRL_C, CTRL_D, Person
from tests.terminal.reading import asked, flat, in_short, question, understood
from tests.terminal.ways import (
    COMPLAINT,
    OPENING,
    answer_two,
    skip_all,
    to_choice,
    to_first_question,
)

GO_ON = "Last time you left in the middle"


def quits(person: Person) -> None:
    assert person.leaves("q")[0] == 0


def interrupts(person: Person) -> None:
    assert person.leaves(keys=CTRL_C)[0] == 130


def ends_input(person: Person) -> None:
    assert person.leaves(keys=CTRL_D)[0] == 130


def crashes(person: Person) -> None:
    if not hasattr(signal, "SIGKILL"):
        pytest.skip("no SIGKILL here")
    person.crashes()


WAYS: dict[str, Callable[[Person], None]] = {
    "q": quits,
    "ctrl-c": interrupts,
    "ctrl-d": ends_input,
    "crash": crashes,
}


@pytest.mark.parametrize("leaves", WAYS.values(), ids=list(WAYS))
def test_an_interview_goes_on_where_it_was_left(
    start: Start, tmp_path: Path, leaves: Callable[[Person], None]
) -> None:
    person = start()
    shown, waiting = answer_two(person)
    answers = dict(left(tmp_path).row.case["observed"])  # type: ignore[union-attr]
    leaves(person)

    person = start()
    shown = person.reads()
    assert GO_ON in shown
    assert COMPLAINT in flat(shown)
    assert OPENING not in shown
    shown = person.types("")
    assert asked(shown) == waiting
    assert waiting.number == 3
    facts = understood(shown)
    assert facts["balance"] == "the rear steps out"
    assert len(facts) == len(answers)
    advice = skip_all(person, shown)
    assert person.leaves("1")[0] == 0
    (trial,) = tried(tmp_path)
    assert trial.complaint == COMPLAINT
    assert answers.items() <= trial.case["observed"].items()
    assert in_short(advice)[0].lower().startswith(trial.change.say)
    assert OPENING not in start().reads()


def test_as_many_questions_are_left_as_were(start: Start) -> None:
    """Two runs with the same answers, one of them interrupted: the same questions and the same advice."""
    person = start()
    _, waiting = answer_two(person)
    person.leaves("q")
    person = start()
    person.reads()
    shown = person.types("")
    resumed = []
    while (now := question(shown)) is not None:
        resumed.append(now)
        shown = person.types("")
    interrupted = in_short(shown)
    person.leaves("")

    person = start()
    shown, again = answer_two(person)
    whole = []
    while (now := question(shown)) is not None:
        whole.append(now)
        shown = person.types("")
    assert again == waiting
    assert resumed == whole
    assert interrupted == in_short(shown)


def test_what_was_not_known_is_not_asked_again(start: Start) -> None:
    person = start()
    first = asked(to_first_question(person))
    second = asked(person.types(""))
    third = asked(person.types(""))
    person.leaves("q")
    person = start()
    person.reads()
    shown = person.types("")
    seen = []
    while (now := question(shown)) is not None:
        seen.append(now.text)
        shown = person.types("")
    assert seen[0] == third.text
    assert first.text not in seen
    assert second.text not in seen


def test_a_stop_that_was_left_stands_again(start: Start) -> None:
    """Nobody gets round an inspection by starting the program anew and saying yes."""
    person = start()
    person.reads()
    shown = person.types("i hit the wall, now it pushes")
    if "STOP" not in shown.split("\n"):
        shown = person.types("")
    assert "STOP" in flat(shown)
    person.leaves("")
    person = start()
    assert GO_ON in person.reads()
    assert "STOP" in flat(person.types(""))


def test_limits_outlive_the_break(start: Start, tmp_path: Path) -> None:
    person = start()
    to_first_question(person, minutes="2", keep="exit traction")
    person.leaves("q")
    person = start()
    person.reads()
    shown = skip_all(person, person.types(""))
    assert "minutes and 2 are left" in flat(shown)
    assert left(tmp_path).row.case["keep"] == ["exit traction"]  # type: ignore[union-attr]


@pytest.mark.parametrize("typed", ["n", "no", "N"])
def test_n_starts_anew(start: Start, tmp_path: Path, typed: str) -> None:
    person = start()
    answer_two(person)
    person.leaves("q")
    person = start()
    assert GO_ON in person.reads()
    assert OPENING in person.types(typed)
    person.types("it pushes on entry")
    person.types("")
    person.types("")
    person.types("")
    first = asked(person.types(""))
    assert first.number == 1
    sitting = left(tmp_path)
    assert sitting is not None
    assert sitting.row.complaint == "it pushes on entry"
    assert sitting.row.case["observed"]["balance"] == "understeer"


@pytest.mark.parametrize("typed", ["", "y", "yes", "Y"])
def test_enter_and_yes_go_on(start: Start, typed: str) -> None:
    person = start()
    _, waiting = answer_two(person)
    person.leaves("q")
    person = start()
    person.reads()
    assert asked(person.types(typed)) == waiting


def test_an_interview_left_at_the_advice_goes_on_there(start: Start) -> None:
    person = start()
    before = in_short(to_choice(person))
    person.leaves("q")
    person = start()
    assert GO_ON in person.reads()
    shown = person.types("")
    assert question(shown) is None
    assert in_short(shown) == before


def test_leaving_before_anything_was_accepted_leaves_nothing_to_go_on_with(start: Start) -> None:
    person = start()
    person.reads()
    person.leaves("q")
    assert OPENING in start().reads()


def test_leaving_a_new_start_at_once_keeps_the_old_interview(start: Start) -> None:
    person = start()
    _, waiting = answer_two(person)
    person.leaves("q")
    person = start()
    person.reads()
    person.types("n")
    person.leaves("q")
    person = start()
    assert GO_ON in person.reads()
    assert asked(person.types("")) == waiting


def test_a_waiting_trial_is_asked_about_before_an_interview_that_was_left(start: Start) -> None:
    person = start()
    to_choice(person)
    person.leaves("1")
    person = start()
    person.reads()
    person.types("4")
    person.types("it pushes on entry")
    person.types("")
    person.types("")
    person.types("")
    person.types("")
    person.leaves("q")
    person = start()
    assert "Last time: " in person.reads()
    shown = person.types("4")
    assert GO_ON in shown
    assert "it pushes on entry" in flat(shown)


@pytest.mark.parametrize("complaint", ["should i fit a softer axle?", "asdf", ""])
def test_what_was_begun_with_few_facts_goes_on_too(start: Start, complaint: str) -> None:
    """Two questions passed over are two questions less, whatever the complaint told."""
    person = start()
    to_first_question(person, complaint)
    person.types("")
    third = asked(person.types(""))
    assert third.number == 3
    person.leaves("q")
    person = start()
    assert GO_ON in person.reads()
    assert asked(person.types("")) == third


def test_an_idea_that_was_asked_about_is_still_judged_after_a_break(start: Start) -> None:
    person = start()
    to_first_question(person, f"should i fit a softer axle? {COMPLAINT}")
    person.leaves("q")
    person = start()
    person.reads()
    shown = skip_all(person, person.types(""))
    assert "You asked whether to fit the next softer axle." in flat(shown)


def test_what_if_still_knows_the_answers_after_a_break(start: Start) -> None:
    person = start()
    shown, _ = answer_two(person)
    person.leaves("q")
    person = start()
    person.reads()
    skip_all(person, person.types(""))
    shown = person.types("i 1")
    assert "(your answer)" in shown


def test_after_a_verdict_the_next_step_goes_on_too(start: Start) -> None:
    """The driver is called away while the next change stands there: it is still there an hour later."""
    person = start()
    to_choice(person)
    person.leaves("1")
    person = start()
    person.reads()
    person.types("2")
    following = in_short(person.types(""))
    person.leaves(keys=CTRL_C)
    person = start()
    assert GO_ON in person.reads()
    assert in_short(skip_all(person, person.types(""))) == following
