"""Following the screen costs little more than the best that can be done, on a few small books; `shown.py` has many."""

from __future__ import annotations

import os
from dataclasses import replace
from functools import cache
from random import Random
from statistics import fmean

import pytest

from advisor.inference.cures import links
from advisor.model.assumed import GIVE_UP
from advisor.model.knowledge import Remedy
from advisor.model.levers import Way
from advisor.model.scale import PROBABILITY
from advisor.reasoning.weighing import make_ready
from tests.optimum.shown import POLICIES, Move, Screen, followed, measured
from tests.optimum.small_books import Small, no_errors, optimum, small

BOOKS = 40 if "ADVISOR_TEST_ALL" in os.environ else 4
LOOKS = ("look_0", "look_1")
SINGLE = [name for name in POLICIES if not name.startswith("fix")]


@cache
def drawn() -> list[dict[str, tuple[float, float]]]:
    """Minutes and excess of each policy, by book."""
    source = Random(3)
    return [measured(source, list(POLICIES)) for _ in range(BOOKS)]


def excess(name: str) -> float:
    return fmean(book[name][1] for book in drawn())


@pytest.mark.parametrize("name", SINGLE)
def test_nothing_that_changes_one_thing_at_a_time_beats_the_optimum(name: str) -> None:
    assert all(book[name][1] > -1e-4 for book in drawn())  # days of a chance under LEAST are not followed


def test_the_screen_costs_at_most_three_per_cent_more_than_the_best() -> None:
    assert excess("shown") <= 0.03


def test_the_stop_that_is_shown_saves_minutes() -> None:
    assert excess("shown, no questions") <= excess("shown, no questions or stop") + 1e-9


def test_to_fix_it_now_costs_no_more_than_to_learn() -> None:
    assert excess("fix it now, no questions") <= excess("shown, no questions") + 0.01


def test_who_gives_up_at_once_pays_for_it_and_a_sure_look_is_taken_by_the_optimum() -> None:
    """By hand: every cause cured for sure by one look of 5 minutes, and .08 that the book does not hold."""
    with no_errors():
        of = small(Random(1))
        assert followed(of, lambda screen, history: Move(), Screen(of)) == pytest.approx(GIVE_UP)
        levers = of.mind.book.levers
        looks = {
            x: replace(levers[x], ways={"check": Way(say="check it", look=True, minutes=5)}) for x in LOOKS
        }
        remedy = Remedy(lever=LOOKS[0], direction="check", cures="virtually certain")
        causes = {i: replace(c, needs=(), remedies=(remedy,)) for i, c in of.mind.book.causes.items()}
        mind = make_ready(replace(of.mind.book, levers={**levers, **looks}, causes=causes))
        sure = Small(mind, links(mind.book, of.bare.evidence), of.bare)
        left = 1 - 0.92 * PROBABILITY["virtually certain"]
        assert optimum(sure) == pytest.approx(5 + left * GIVE_UP)
        assert followed(sure, POLICIES["shown, no questions"], Screen(sure)) == pytest.approx(
            5 + left * GIVE_UP
        )
