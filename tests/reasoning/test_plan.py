"""The plan holds the changes of the list, each worth what it is worth there."""

from __future__ import annotations

import pytest

from advisor.model import assumed
from advisor.model.case import Case, Tried
from advisor.planning import repair
from advisor.planning.ranking import runs
from advisor.planning.repair import begin, worth_now
from advisor.reasoning.advise import looks
from advisor.reasoning.weighing import Reasoning, reason
from tests.reasoning.minds import shipped

WORDS = "the tail steps out on the way in as soon as I brake and then it pushes wide all the way to the exit"
FELT = {"balance": "oversteer", "phase": "entry"}
CASES = [
    Case(observed=FELT),
    Case(complaint=WORDS),
    Case(observed=FELT, tried=(Tried("rear_track_width", "wider", "worse"),)),
    Case(observed=FELT, tried=(Tried("rear_track_width", "wider", "same"), Tried("caster", "more", "same"))),
    Case(observed=FELT, preparing=True),
    Case(complaint="it bogs out of slow corners and the engine runs rough", minutes=30),
]


def heads(done: Reasoning) -> list[repair.Action]:
    return [a for a in done.plan.actions if a.after < 0]


@pytest.mark.parametrize("case", CASES)
def test_a_change_is_worth_in_the_plan_what_it_is_worth_on_the_list(case: Case) -> None:
    done = reason(shipped(), case)
    rows = [r for r in done.ranked if r.barred is None]
    assert [a.name for a in heads(done)] == [(r.prospect.lever, r.prospect.way) for r in rows]
    for action, row in zip(heads(done), rows, strict=True):
        lever = shipped().book.levers[row.prospect.lever]
        waits = runs(lever, row.prospect.way) * assumed.RUN_MINUTES
        listed = max(1.0, row.minutes + waits)
        assert worth_now(action, done.together.shares) * action.minutes == pytest.approx(row.worth * listed)
        look = lever.ways[row.prospect.way].look
        assert (action.run == 0) == (look and not case.preparing)  # it takes no run that it does not need
        assert action.minutes == pytest.approx(max(1, row.minutes) if action.run == 0 else listed)


@pytest.mark.parametrize("case", CASES)
def test_what_is_worth_most_a_minute_in_the_plan_stands_first(case: Case) -> None:
    done = reason(shipped(), case)
    worths = [worth_now(a, done.together.shares) for a in heads(done)]
    best = heads(done)[worths.index(max(worths))]
    above = [] if case.preparing else looks(shipped(), done)
    first = next(iter((*above, *(r for r in done.ranked if r.barred is None)))).prospect
    assert best.name == (first.lever, first.way)
    assert repair.first(done.plan, done.together.shares) == done.plan.actions.index(best)


def test_what_follows_a_change_that_failed_is_what_the_list_then_shows_for_its_lever() -> None:
    """The way back of the rear width, and no second time the way that failed."""
    done = reason(shipped(), CASES[0])
    way = next(a for a in heads(done) if a.name[0] == "rear_track_width")
    place = done.plan.actions.index(way)
    (back,) = (k for k, a in enumerate(done.plan.actions) if a.after == place)
    tried = Case(observed=FELT, tried=(Tried(*way.name, "same"),))
    entry = next(a for a in heads(reason(shipped(), tried)) if a.name[0] == "rear_track_width")
    assert done.plan.actions[back].name == entry.name != way.name
    search = begin(done.plan, done.together.shares)
    assert search.bounds[back] == 0  # not yet open
    search.fail(place)
    assert search.bounds[back] > 0
