"""The faster sums are the same sums: whole days are played step for step as with the advisor's own."""

from __future__ import annotations

import os
from dataclasses import replace

import pytest

from advisor.model.case import Tried
from advisor.planning import questions
from advisor.reasoning.weighing import reason
from tests.paddock.play import Result, play
from tests.paddock.policies import Ours, Paddock
from tests.paddock.quick import Quick, quickly
from tests.paddock.worlds import FOREIGN, OURS, WORLDS, World, kart, shipped

MANY = "ADVISOR_TEST_ALL" in os.environ
CASES = range(300, 320) if MANY else (300,)
SAME = ("ours", "ours, fix it now", "entropy-driven")


def in_any_order(day: Result) -> Result:
    """What is worth the same to the last digit may come in either order."""
    return replace(day, log=tuple(sorted(day.log)))


@pytest.mark.parametrize("world", WORLDS if MANY else (FOREIGN,), ids=lambda w: w.name)
@pytest.mark.parametrize("case", CASES)
def test_a_day_is_played_alike(case: int, world: World) -> None:
    hidden = kart(shipped(), case, world)
    for name in SAME if MANY else SAME[1:2]:
        plain = play(Paddock(shipped()).everyone(hidden)[name], hidden)
        with quickly(Quick()):
            quick = play(Paddock(shipped()).everyone(hidden)[name], hidden)
        assert in_any_order(quick) == in_any_order(plain)


def test_belief_chances_pairs_and_the_worth_of_a_question_agree_to_nine_digits() -> None:
    mind = shipped()
    ours = Paddock(mind).everyone(kart(mind, 301, OURS))["ours"]
    assert isinstance(ours, Ours)
    ours.start((("mid", "oversteer"), ("entry", "understeer")))
    state = ours.now
    tried = (Tried("rear_track_width", "wider", "worse"), Tried("caster", "more", "same"))
    known = state.gathered.evidence.answering("track", "green").answering("grip_feel", "low")
    whole = replace(state.gathered, evidence=replace(known, tried=tried))

    def found() -> tuple[list[float], list[tuple[str, str]], list[float]]:
        done = reason(mind, state.case, whole)
        asked = questions.next_question(
            mind.tables, done.plan, done.evidence, done.together.shares, frozenset()
        )
        assert asked is not None
        turns = [(r.prospect.lever, r.prospect.way) for r in done.ranked]
        numbers = [
            *done.belief.probabilities,
            *done.together.shares,
            *(r.worth for r in done.ranked),
            asked.gain,
        ]
        return numbers, [*turns, (asked.id, "")], list(done.together.pairs.values())

    plain = found()
    with quickly(Quick()):
        quick = found()
    assert quick[1] == plain[1]
    assert quick[0] == pytest.approx(plain[0], rel=1e-9, abs=1e-12)
    assert quick[2] == pytest.approx(plain[2], rel=1e-9, abs=1e-15)
