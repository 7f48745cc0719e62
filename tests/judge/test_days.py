"""A block of simulated days; `python -m tests.judge.days` prints thousands of every kind."""

from __future__ import annotations

import math
import os
import random
from statistics import median

import pytest

from advisor.judge.verdict import judge
from tests.judge.days import WORLDS, day, tally

DAYS = 2000 if os.environ.get("ADVISOR_TEST_ALL") else 250
KIND = {world.name: world for world in WORLDS}
EXCUSED = 2.6  # standard errors of the simulation itself: one test in a hundred, were the seed not fixed


def error(rate: float, days: float) -> float:
    return EXCUSED * math.sqrt(rate * (1 - rate) / days)


@pytest.mark.parametrize("arms", ["ABA", "ABBA"])
def test_the_interval_covers_and_does_not_cry_better_on_days_as_assumed(arms: str) -> None:
    found = tally(KIND["as assumed"], arms, DAYS, seed=11)
    assert abs(found.coverage - 0.95) < 0.02 + error(0.95, found.days)
    assert found.false_rate < 0.05 + error(0.05, found.null)
    assert found.power(-0.5) > found.power(-0.2) > found.false_rate


def test_a_drift_of_three_tenths_over_the_session_is_not_taken_for_an_effect() -> None:
    found = tally(KIND["drift of 0.3 s"], "ABA", DAYS, seed=12)
    assert found.false_rate < 0.05 + error(0.05, found.null)
    assert found.coverage > 0.93 - error(0.93, found.days)


def test_the_same_drift_is_why_a_b_is_weak() -> None:
    chance = random.Random("13")
    found = [judge(day(KIND["drift of 0.3 s"], "AB", 0.0, chance)) for _ in range(60)]
    assert median(f.change for f in found) == pytest.approx(
        0.3, abs=0.08
    )  # the whole drift is taken for the change
    assert not any(f.decision == "accept" for f in found)
