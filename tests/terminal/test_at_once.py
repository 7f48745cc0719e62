"""Fix it now: several changes before one run, chosen by the driver, kept as one trial and judged as one."""

from __future__ import annotations

from pathlib import Path

from advisor.interview import steps
from advisor.model.case import Case, Tried
from advisor.reasoning.advise import Mind
from tests.terminal.conftest import Start
from tests.terminal.kept import tried
from tests.terminal.reading import flat, in_short, question
from tests.terminal.ways import CHOICE, to_choice, to_first_question

PUSHES = "it pushes in the middle of the corner"


def test_several_changes_are_offered_chosen_and_judged_as_one(start: Start, tmp_path: Path) -> None:
    person = start()
    to_choice(person, PUSHES)
    shown = flat(person.types("f"))
    assert "changes before one run" in shown
    assert "you will not know which part did it" in shown
    status, shown = person.leaves("")
    assert status == 0
    (trial,) = tried(tmp_path)
    assert len(trial.changes) >= 2
    assert shown.count("Written down: ") == len(trial.changes)
    person = start()
    shown = flat(person.reads())
    assert all(change.say in shown for change in trial.changes)
    person.types("3")
    shown = person.types("")
    first = in_short(shown)[0]
    assert not any(first.startswith(change.say[:1].upper() + change.say[1:]) for change in trial.changes)


def test_the_bundle_may_be_declined_for_one_change(start: Start, tmp_path: Path) -> None:
    person = start()
    to_choice(person, PUSHES)
    person.types("f")
    assert CHOICE in flat(person.types("n")) or "which will you try?" in flat(person.raw).lower()
    person.leaves("1")
    (trial,) = tried(tmp_path)
    assert trial.beside == ()


def test_a_bundle_never_holds_one_lever_twice_nor_what_a_run_does_not_judge(mind: Mind) -> None:
    for complaint in (PUSHES, "loose in the rear on the way out", "it hops in the fast ones", "it bogs"):
        for minutes in (None, 15.0, 30.0):
            state = steps.begin(mind, Case(complaint=complaint, minutes=minutes))
            changes = steps.at_once(mind, state)
            levers = [c.lever for c in changes]
            assert len(levers) == len(set(levers)) <= 3
            assert all(mind.book.levers[c.lever].ways[c.direction].opposite for c in changes)
            assert (
                minutes is None or sum(c.minutes for c in changes) <= minutes + 10
            )  # shared work counts once


def test_a_bundle_that_did_nothing_lowers_what_its_parts_are_expected_to_do(mind: Mind) -> None:
    state = steps.begin(mind, Case(complaint=PUSHES))
    first, *others = steps.at_once(mind, state)
    beside = tuple((c.lever, c.direction) for c in others)
    after = steps.after_trial(mind, state.case, Tried(first.lever, first.direction, "same", beside))
    again = {(a.lever, a.direction): a.chance for a in steps.answer(mind, after).advice}
    for change in (first, *others):
        assert again.get((change.lever, change.direction), 0.0) < change.chance


def test_a_fault_that_a_note_tells_anew_is_held_against_the_change(mind: Mind) -> None:
    case = Case(observed={"phase": "mid", "balance": "oversteer"})
    trial = Tried("tyre_pressure_rear", "down", "better")
    plain = steps.after_trial(mind, case, trial)
    soured = steps.after_trial(mind, case, trial, "but now it hops on the way out")
    assert not plain.case.tried[-1].soured
    assert soured.case.tried[-1].soured
    reasons = {(w.lever, w.direction): w.reason for w in steps.answer(mind, soured).withheld}
    assert "a new fault came with it" in reasons.get(("tyre_pressure_rear", "down"), "")


def test_minutes_told_in_a_note_limit_the_next_change(mind: Mind) -> None:
    case = Case(observed={"phase": "mid", "balance": "oversteer"})
    trial = Tried("tyre_pressure_rear", "down", "same")
    assert steps.after_trial(mind, case, trial, "1:02.3, 8 min left").case.minutes == 8
    assert steps.after_trial(mind, case, trial, "six laps").case.minutes is None


def test_what_was_looked_at_and_is_sound_is_not_named_again(start: Start) -> None:
    """The inspections next to the prompt need no run; `s` tells that they found nothing."""
    person = start()
    shown = to_choice(person, PUSHES)
    looks = _looks(shown)
    assert looks
    again = person.types("s")
    assert CHOICE in flat(again)
    assert not set(looks) & set(_looks(again))


def _looks(shown: str) -> list[str]:
    _, found, block = shown.rpartition("Look at first, on the stand: no run needed\n")
    return (
        [line.strip().partition(" (")[0] for line in block.split("\n\n")[0].splitlines()[:-1]]
        if found
        else []
    )


def test_more_questions_can_be_asked_for(start: Start) -> None:
    """Where none pays any more, `a` asks the one that tells most, and none that was passed over."""
    person = start()
    shown, seen = to_first_question(person, PUSHES), set()
    while (asked := question(shown)) is not None:
        seen.add(asked.text)
        shown = person.types("")
    more = question(person.types("a"))
    assert more is not None
    assert more.number == len(seen) + 1
    assert more.text not in seen


def test_inspections_come_first_only_where_they_are_worth_their_minutes(mind: Mind) -> None:
    state = steps.begin(mind, Case(complaint=PUSHES))
    looks = steps.look_first(mind, state)
    advice = {a.lever: a for a in steps.answer(mind, state).advice}
    best = max(a.worth for a in advice.values() if mind.book.levers[a.lever].runs >= 1)
    for look in looks:
        assert look.chance / max(1, look.minutes) >= best
        assert look.direction == "check"
    sound = steps.looked(mind, state, looks)
    assert not {x.lever for x in looks} & {x.lever for x in steps.look_first(mind, sound)}
