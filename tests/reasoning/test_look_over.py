"""The look-over: which looks come in one list, and what their answers do."""

from __future__ import annotations

import pytest

from advisor.app.hear import not_as_said
from advisor.interview import steps
from advisor.interview.steps import State
from advisor.model.advice import Look, Question
from advisor.model.assumed import LIST_SECONDS, TICK
from advisor.model.case import Case
from advisor.planning.look_over import MOST, sound
from tests.reasoning.minds import shipped

COMPLAINTS = [
    Case(observed={"balance": "oversteer", "phase": "mid"}, who="both"),
    Case(observed={"balance": "understeer"}, who="helper"),
    Case(observed={"subject": "engine"}, who="both"),
    Case(observed={"balance": "slide"}, who="helper"),
]


def _to_a_list(case: Case) -> tuple[State, Question, tuple[Look, ...]]:
    """The first list that comes when nobody knows the answer to any single question."""
    mind = shipped()
    state = steps.begin(mind, case)
    while (asked := steps.question(mind, state)) is not None:
        if looks := steps.look_over(mind, state, asked):
            return state, asked, looks
        state = steps.answered(mind, state, asked, None)
    raise AssertionError("no list came")


@pytest.mark.parametrize("case", COMPLAINTS)
def test_a_list_is_of_the_standing_kart_takes_two_minutes_and_begins_with_what_pays_most(case: Case) -> None:
    book = shipped().book
    state, asked, looks = _to_a_list(case)
    assert looks[0].question.id == asked.id
    assert 2 <= len(looks) <= MOST
    assert len({look.question.id for look in looks}) == len(looks)
    assert not {look.question.id for look in looks} & (state.skipped | state.gathered.evidence.told.keys())
    assert sum(TICK + look.question.seconds for look in looks) <= LIST_SECONDS
    for look in looks:
        observation = book.observations[look.question.id]
        assert observation.stand
        assert observation.answers[look.sound].alarm is None
        assert observation.answers[look.sound].text == look.text


@pytest.mark.parametrize("case", COMPLAINTS)
def test_what_is_found_sound_counts_as_an_answer_each_and_the_list_as_one_question(case: Case) -> None:
    mind = shipped()
    state, _, looks = _to_a_list(case)
    found = [(look.question, look.sound) for look in looks]
    listed = steps.looked_over(mind, state, found)
    single = state
    for asked, answer in found:
        single = steps.answered(mind, single, asked, answer)
    assert listed.gathered == single.gathered
    assert listed.asked == state.asked + 1


def test_what_was_not_looked_at_is_no_fact_and_is_not_put_again() -> None:
    mind = shipped()
    state, _, looks = _to_a_list(COMPLAINTS[0])
    after = steps.looked_over(mind, state, [(look.question, None) for look in looks])
    assert after.gathered == state.gathered
    asked = steps.question(mind, after)
    assert asked is None or asked.id not in {look.question.id for look in looks}


def test_what_a_driver_tells_from_memory_is_no_line_of_a_list() -> None:
    book = shipped().book
    assert sound(book.observations["balance"]) is None
    assert sound(book.observations["eyes"]) is None  # a look, but at a kart that drives
    assert sound(book.observations["chain_look"]) == "fine"


@pytest.mark.parametrize(
    ("said", "off", "unseen"),
    [
        ("ok", set(), set()),
        ("", set(), {1, 2, 3, 4}),
        ("3", {3}, set()),
        ("1, 4", {1, 4}, set()),
        ("2 and 3", {2, 3}, set()),
        ("2?", set(), {2}),
        ("4 1?", {4}, {1}),
    ],
)
def test_one_line_answers_the_list(said: str, off: set[int], unseen: set[int]) -> None:
    assert not_as_said(said, 4) == (off, unseen)


@pytest.mark.parametrize("said", ["5", "0", "the chain is loose", "3x", "-1"])
def test_a_line_that_means_nothing_is_no_answer(said: str) -> None:
    assert not_as_said(said, 4) is None


@pytest.mark.parametrize("complaint", ["the engine bogs and misses", "chain noise and no power"])
def test_no_look_of_a_visit_is_asked_for_again(complaint: str) -> None:
    """A visit may look at several things of one lever: all of them are sound then, not only the first."""
    state = steps.taking(steps.begin(shipped(), Case(complaint=complaint)))
    several, seen = False, set[tuple[str, str]]()
    for _ in range(3):
        looks = steps.look_first(shipped(), state)
        ways = [(look.lever, way) for look in looks for way in (look.direction, *look.also)]
        several = several or any(look.also for look in looks)
        assert seen.isdisjoint(ways)
        seen.update(ways)
        state = steps.looked(shipped(), state, looks)
    assert several
