"""What a team's own trials say: published and computed values, and what must hold of any trials."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import beta

from advisor.interview import steps
from advisor.model.case import VERDICTS, Case, Past
from advisor.reasoning.advise import advise, reason
from advisor.reasoning.experience import ALIKE, did, likeness, mixture_mean, robust_mean, weight
from advisor.reasoning.explain import percent
from advisor.reasoning.trials import VERDICT_IF
from tests.reasoning.minds import patiently, shipped

LOOSE = Case(
    observed={"balance": "oversteer", "phase": "entry", "track": "dry"},
    kart_file="Red",
    kart_class="junior two-stroke",
    tyres={"kind": "slick", "compound": "medium"},
)
DAY = {
    "kart": "Red", "class": "junior two-stroke", "tyres.kind": "slick", "tyres.compound": "medium",
    "track": "dry", "balance": "oversteer", "phase": "entry",
}  # fmt: skip


def _contested(case: Case = LOOSE) -> Past:
    """A past trial of the front track, whose direction the trade disputes, as it was advised."""
    advice = next(a for a in advise(shipped(), case).advice if a.lever == "front_track_width")
    return Past(
        advice.lever, advice.direction, "worse", advice.chance, advice.confidence,
        advice.effect, advice.as_stated, DAY, days=7,
    )  # fmt: skip


def _stated(case: Case) -> float:
    """The least certain direction of the front track, as the trade states it."""
    links = reason(shipped(), case).links["front_track_width"]
    effect = _contested().effect
    return next(link.stated for link in links.values() if link.gives and link.gives.effect == effect)


def test_a_robust_prior_gives_way_where_the_data_contradict_it() -> None:
    # .8 Beta(6, 2) + .2 Beta(1, 1) after 0 of 4: weight of the first .767, mean .244; alone .500; computed
    assert mixture_mean(((0.8, 6, 2), (0.2, 1, 1)), 0, 4) == pytest.approx(0.244, abs=5e-4)
    assert mixture_mean(((1.0, 6, 2),), 0, 4) == pytest.approx(0.5)


def test_a_plain_prior_of_four_trials_counts_like_four_trials() -> None:
    # mean .6 worth four trials, then one success in three: Beta(3.4, 3.6), mean .486; computed
    assert robust_mean(0.6, 1, 2, holds=1.0) == pytest.approx(3.4 / 7)


@settings(patiently, max_examples=40)
@given(st.floats(0.25, 0.75), st.floats(0, 20), st.floats(0, 20))
def test_the_mean_is_that_of_the_posterior_density(mean: float, ups: float, downs: float) -> None:
    """Against numerical integration of prior times likelihood, by scipy."""

    def density(p: float) -> float:
        prior = 0.8 * beta.pdf(p, 4 * mean, 4 * (1 - mean)) + 0.2
        return float(prior * p**ups * (1 - p) ** downs)

    cuts = {"limit": 200, "points": [1e-6, 1e-3, 0.5, 1 - 1e-3, 1 - 1e-6]}
    total = quad(density, 0, 1, **cuts)[0]
    expected = quad(lambda p: p * density(p), 0, 1, **cuts)[0] / total
    assert robust_mean(mean, ups, downs) == pytest.approx(expected, rel=2e-3)


def test_what_a_trial_did_is_weighed_by_the_rates_of_the_verdicts() -> None:
    # chance .3 to cure, .1 to hurt: worse has .3 x .03 + .1 x .65 + .6 x .15, by hand from VERDICT_IF
    trial = Past("caster", "less", "worse", chance=0.3, confidence=0.75)
    total = (
        0.3 * VERDICT_IF["cured"]["worse"]
        + 0.1 * VERDICT_IF["hurt"]["worse"]
        + 0.6 * VERDICT_IF["nothing"]["worse"]
    )
    assert did(trial) == pytest.approx(
        (
            0.3 * VERDICT_IF["cured"]["worse"] / total,
            0.1 * VERDICT_IF["hurt"]["worse"] / total,
            0.6 * 0.15 / total,
        )
    )


def test_four_trials_that_made_it_worse_turn_a_contested_direction_round() -> None:
    before, bad = _stated(LOOSE), _contested()
    one = _stated(replace(LOOSE, past=(bad,)))
    four = _stated(replace(LOOSE, past=(bad,) * 4))
    assert bad.as_stated
    assert before > 0.5
    assert before > one > four
    assert four < 0.5
    found = next(
        a
        for a in advise(shipped(), replace(LOOSE, past=(bad,) * 4)).withheld
        + advise(shipped(), replace(LOOSE, past=(bad,) * 4)).advice
        if a.lever == "front_track_width"
    )
    assert found.direction != bad.direction


def test_the_advice_says_what_the_teams_trials_say_beside_the_trade() -> None:
    bad = _contested()
    found = advise(shipped(), replace(LOOSE, past=(bad,) * 3))
    told = next(a for a in found.advice if a.lever == "front_track_width")
    line = next(line for line in told.why if "Your own 3 trials" in line)
    assert "0 better, 0 same, 3 worse" in line
    # the figures are those of the effect that the advice is for
    assert f"{percent(_stated(LOOSE))} without" in line
    assert f"{percent(_stated(replace(LOOSE, past=(bad,) * 3)))} with them" in line


def test_trials_of_unlike_days_and_long_ago_count_less() -> None:
    like = Past(
        "caster", "less", "worse", 0.2, 0.6, facts={"kart": "Red", "tyres.kind": "slick", "track": "dry"}
    )
    today = {"kart": "Red", "tyres.kind": "slick", "track": "dry"}
    assert (
        likeness(like, today)
        > likeness(like, {**today, "kart": "Blue"})
        > likeness(like, {**today, "tyres.kind": "wet", "track": "wet"})
    )
    assert weight(replace(like, days=365), today) == pytest.approx(weight(like, today) / 2)
    assert weight(replace(like, share=0.5), today) == pytest.approx(weight(like, today) / 2)
    assert likeness(like, {}) == pytest.approx(ALIKE["kart"][1] * ALIKE["class"][1] * 0.8 * 0.9 * 0.8)


def test_a_trial_of_the_present_search_is_not_counted_twice() -> None:
    bad = replace(_contested(), days=0.01)
    state = steps.tried(shipped(), steps.begin(shipped(), LOOSE), bad.lever, bad.direction, "worse")
    with_past = reason(shipped(), replace(LOOSE, past=(bad,)), state.gathered)
    without = reason(shipped(), LOOSE, state.gathered)
    assert with_past.own == {}
    assert with_past.belief == without.belief


@settings(patiently, max_examples=20)
@given(st.lists(st.tuples(st.sampled_from(VERDICTS), st.floats(0.01, 0.9), st.floats(0.5, 1)), max_size=12))
def test_any_trials_leave_chances_that_are_chances(rows: list[tuple[str, float, float]]) -> None:
    effect = _contested().effect
    past = tuple(
        Past("front_track_width", "narrower", verdict, chance, confidence, effect, facts=DAY)  # type: ignore[arg-type]
        for verdict, chance, confidence in rows
    )
    done = reason(shipped(), replace(LOOSE, past=past))
    for link in done.links["front_track_width"].values():
        assert 0 <= link.stated <= 1
        assert 0 <= link.cures <= 0.98
    assert all(0 <= r.prospect.chance <= 1 for r in done.ranked)


def test_geometry_is_not_up_for_trial() -> None:
    """What plain statics decides does not turn round, however often it disappoints."""
    case = Case(observed={"balance": "understeer", "phase": "exit"})
    for lever, row in reason(shipped(), case).links.items():
        for i, link in row.items():
            if link.gives and link.gives.geometry:
                past = Past(lever, link.way, "worse", 0.3, 0.9, link.gives.effect, days=3)
                after = reason(shipped(), replace(case, past=(past,) * 5)).links[lever][i]
                assert after.stated == link.stated
                return
    raise AssertionError("no claim of geometry in this case")
