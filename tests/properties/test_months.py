"""The invented seasons are what they claim to be; with all tests, experience helps a team unlike the trade."""

from __future__ import annotations

import os

import numpy as np
import pytest

from advisor.model.feel import CELLS
from tests.properties.months import ARMS, SCORES, TROUBLES, gains, interval, play, verdict_chances
from tests.properties.teams import WORLDS, Team, able, table

LIKE, _, UNLIKE, _ = WORLDS
CONTESTED = next(
    link
    for row in table().values()
    for link in row.values()
    if link.opposite and link.gives and not link.gives.geometry and 0.6 < link.stated < 0.8
)


def _shares(world: int, draws: int = 3000) -> dict[str, float]:
    """How often a contested change cures, hurts, and does nothing, over many teams."""
    rng = np.random.default_rng(3)
    came = [Team(WORLDS[world], rng).effect(CONTESTED, CONTESTED.way) for _ in range(draws)]
    return {effect: came.count(effect) / draws for effect in ("cured", "hurt", "nothing")}


def test_a_team_like_the_trade_is_what_the_book_says() -> None:
    found = _shares(0)
    assert found["cured"] == pytest.approx(CONTESTED.cures * CONTESTED.stated, abs=0.03)
    assert found["hurt"] == pytest.approx(CONTESTED.cures * (1 - CONTESTED.stated), abs=0.03)


def test_for_a_team_unlike_it_contested_changes_mostly_act_the_other_way() -> None:
    like, unlike = _shares(0), _shares(2)
    assert like["cured"] > like["hurt"]
    assert unlike["cured"] < unlike["hurt"]


def test_chances_of_verdict_and_cause_are_chances() -> None:
    likely = np.full(len(able()), 1 / len(able()))
    for lever in ("caster", "rear_track_width"):
        for way in {link.way for link in table()[lever].values()}:
            found = verdict_chances(table()[lever], way, likely)
            assert found.min() > 0
            assert found.sum() == pytest.approx(1.0)
            assert found.sum(axis=1) == pytest.approx(likely)


def test_a_season_is_the_same_again_and_begins_without_experience() -> None:
    one, other = play(UNLIKE, 1, 5), play(UNLIKE, 1, 5)
    assert one.shape == (1, TROUBLES, len(ARMS), len(SCORES))
    assert np.array_equal(one, other)
    assert np.isfinite(one).all()
    assert (one < 0).all()
    assert np.ptp(one[0, 0], axis=0) == pytest.approx(
        0.0, abs=1e-12
    )  # nothing is known yet: all four say the same
    assert np.ptp(one[0, -1], axis=0).max() > 1e-4
    assert len(CELLS) > 1


def test_an_interval_holds_the_mean() -> None:
    low, high = interval(np.random.default_rng(1).normal(0.3, 1.0, 400))
    assert low < 0.3 < high
    assert high - low == pytest.approx(4 * 1.0 / 20, rel=0.25)  # twice 1.96 standard errors


@pytest.mark.skipif("ADVISOR_TEST_ALL" not in os.environ, reason="a minute")
def test_a_team_unlike_the_trade_gains_and_one_like_it_loses_little() -> None:
    unlike, like = (
        gains(play(world, 40, 2), "both", "cause before").mean(axis=1) for world in (UNLIKE, LIKE)
    )
    assert interval(unlike)[0] > 0
    assert like.mean() > -0.02
