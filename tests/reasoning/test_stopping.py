"""When to stop: it is not the kart, or nothing left is worth its run."""

from __future__ import annotations

import json

from advisor.cli.as_json import text
from advisor.interview import steps
from advisor.interview.steps import State
from advisor.model.case import Case
from advisor.reasoning.advise import advise
from tests.reasoning.minds import shipped


def _after_failures(complaint: str, most: int = 40) -> State:
    """The interview after everything that came first was tried in vain, as long as there is no word to stop."""
    state = steps.begin(shipped(), Case(complaint=complaint))
    for _ in range(most):
        found = steps.answer(shipped(), state)
        if found.enough or not found.advice:
            break
        state = steps.tried(shipped(), state, found.advice[0].lever, found.advice[0].direction, "same")
    return state


def test_a_fresh_complaint_is_worth_a_run() -> None:
    assert advise(shipped(), Case(complaint="the rear steps out on entry")).enough is None


def test_a_track_that_everybody_slides_on_is_not_the_kart() -> None:
    case = Case(complaint="everyone slides, the track is green, both ends slide, slower than yesterday")
    found = advise(shipped(), case)
    assert found.enough is not None
    assert found.enough.startswith("It is most likely not the kart")
    track = sum(c.probability for c in found.causes if c.kind == "track")
    assert track > 0.5


def test_after_enough_failures_the_baseline_and_a_specialist_are_advised() -> None:
    state = _after_failures("it pushes mid corner")
    found = steps.answer(shipped(), state)
    assert found.enough is not None
    assert "baseline" in found.enough
    assert len(state.gathered.evidence.tried) >= 3  # not at the first disappointment


def test_what_is_said_to_be_enough_stands_in_the_json_too() -> None:
    found = advise(
        shipped(),
        Case(complaint="everyone slides, the track is green, both ends slide, slower than yesterday"),
    )
    assert f"enough: {found.enough}" in json.loads(text(found))["warnings"]


def test_a_danger_comes_before_any_word_of_stopping() -> None:
    found = advise(shipped(), Case(complaint="everyone slides, the track is green, a wheel came loose"))
    assert found.stop is not None
    assert found.enough is None
