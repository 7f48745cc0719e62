"""The planner's first change is the one on the screen, on a few complaints; `first.py` has many."""

from __future__ import annotations

import os

from tests.optimum.first import sample

COMPLAINTS = 60 if "ADVISOR_TEST_ALL" in os.environ else 3


def test_the_plan_makes_first_what_the_screen_shows_first_or_both_give_up() -> None:
    found = sample(COMPLAINTS, 3)
    apart = [p for p in found if p.planned != p.shown]
    assert all(p.planned is None for p in apart)
    assert sum(not p.stops for p in apart) <= 1  # measured: of 19 the screen does not say so in one
    assert len(apart) <= 0.08 * len(found) or len(found) < 40  # measured: .06 of 319
    assert len({p.shown for p in found}) > COMPLAINTS / 2  # not one change for all
