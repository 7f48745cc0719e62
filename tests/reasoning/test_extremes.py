"""Cases whose answer the trade knows by taking them to the extreme, and answers that say nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from advisor.interview.steps import answered, begin, question, reasoning
from advisor.model.case import Case
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import reason
from advisor.units import parse
from tests.reasoning.minds import shipped

MASS_ALONG = ("seat_fore_aft", "ballast_fore_aft")


def _ways_along(case: Case) -> set[tuple[str, str]]:
    """Every way of seat and lead that the ranking or the withheld list names."""
    ranked = {(r.prospect.lever, r.prospect.way) for r in reason(shipped(), case).ranked}
    answer = advise(shipped(), case)
    told = {(a.lever, a.direction) for a in answer.advice} | {(w.lever, w.direction) for w in answer.withheld}
    assert told <= ranked
    return {turn for turn in ranked if turn[0] in MASS_ALONG}


@pytest.mark.parametrize(
    "case",
    [
        Case(complaint="always loose in the rear"),
        Case(complaint="always loose in the rear", setup={"seat_fore_aft": parse("25 cm")}),
        Case(observed={"balance": "oversteer", "when": "whole"}),
    ],
)
def test_a_kart_that_is_always_loose_gets_its_weight_moved_back(case: Case) -> None:
    # common practice, no source: a seat on the tank would oversteer without end
    assert _ways_along(case) == {("seat_fore_aft", "back"), ("ballast_fore_aft", "back")}


@pytest.mark.parametrize(
    "case",
    [
        Case(complaint="understeers everywhere, weight far back"),
        Case(complaint="understeers everywhere", setup={"seat_fore_aft": parse("12 cm")}),
        Case(observed={"balance": "understeer", "when": "whole"}),
    ],
)
def test_a_kart_that_understeers_with_its_weight_back_gets_it_moved_forward(case: Case) -> None:
    # common practice, no source: a seat behind the axle would understeer without end
    assert _ways_along(case) == {("seat_fore_aft", "forward"), ("ballast_fore_aft", "forward")}


def test_a_seat_far_back_makes_its_cause_likelier_and_a_seat_far_forward_less_likely() -> None:
    case = Case(observed={"balance": "understeer"})
    i = shipped().tables.index("weight_back")
    far_back, unknown, forward = (
        reason(shipped(), replace(case, setup=setup)).belief.probabilities[i]
        for setup in (
            {"seat_fore_aft": parse("12 cm")},
            {},
            {"seat_fore_aft": parse("21 cm")},
        )
    )
    assert far_back > unknown > forward


@pytest.mark.parametrize("complaint", ["loose on exit", "it pushes on entry", "it hops mid corner"])
def test_dont_know_leaves_the_belief_and_asks_something_else(complaint: str) -> None:
    state = begin(shipped(), Case(complaint=complaint))
    asked = question(shipped(), state)
    assert asked is not None
    after = answered(shipped(), state, asked, None)
    assert reasoning(shipped(), after).belief == reasoning(shipped(), state).belief
    again = question(shipped(), after)
    assert again is None or again.id != asked.id
