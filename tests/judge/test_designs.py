"""Designs: what an order of runs is worth, against the algebra and against drawing runs."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import scipy.stats

from advisor.judge.assumed import Day
from advisor.judge.designs import OFFERED, cheapest, leak, power, right_way, standard_error, weak, weights
from advisor.judge.effect import noise
from advisor.judge.verdict import Laps, judge


@pytest.mark.parametrize(
    ("arms", "scattered", "still"),
    # sqrt(k (r^2 + s^2 / n)), k = 2, 1.5, 1; s 0.20 s, n 8, r 0.10 s and 0: computed by that algebra, not published
    [("AB", 0.173, 0.100), ("ABA", 0.150, 0.087), ("ABBA", 0.122, 0.071)],
)
def test_standard_errors_of_the_designs(arms: str, scattered: float, still: float) -> None:
    assert standard_error(arms, 0.10, 0.20, 8) == pytest.approx(scattered, abs=5e-4)
    assert standard_error(arms, 0.0, 0.20, 8) == pytest.approx(still, abs=5e-4)


def test_more_laps_help_little_once_runs_scatter() -> None:
    few, many = (standard_error("ABA", 0.1, 0.2, laps) for laps in (8, 16))
    runs = standard_error("ABBA", 0.1, 0.2, 8)
    assert few - many < few - runs


@pytest.mark.parametrize(
    ("arms", "counts"),
    [("ABA", [-0.5, 1, -0.5]), ("ABBA", [-0.5, 0.5, 0.5, -0.5])],  # the textbook contrasts
)
def test_the_effect_is_the_textbook_contrast_and_cancels_a_steady_drift(
    arms: str, counts: list[float]
) -> None:
    covariance = noise(len(arms), Day(), np.array([0.1]))[0]
    assert weights(arms, covariance) == pytest.approx(counts, abs=1e-9)
    assert leak(arms, covariance) == pytest.approx(0, abs=1e-9)


def test_a_drift_leaks_whole_into_a_b_and_partly_into_a_b_a_b() -> None:
    covariance = {n: noise(n, Day(), np.array([0.1]))[0] for n in (2, 4)}
    assert leak("AB", covariance[2]) == pytest.approx(1)
    assert 0.05 < leak("ABAB", covariance[4]) < 1


def test_only_a_kart_that_was_put_back_is_no_weak_evidence() -> None:
    assert [arms for arms in ("AB", "BA", "AABB", "ABA", "BAB", "ABBA", "ABAB") if weak(arms)] == [
        "AB",
        "BA",
        "AABB",
    ]


@pytest.mark.parametrize(
    ("effect", "runs", "chance"),
    # P(correct sign) = Phi(d / sqrt(2/n)) for an effect of d run-to-run standard deviations: computed by that algebra
    [
        (1 / 3, 1, 0.593),
        (1 / 3, 2, 0.631),
        (1 / 3, 3, 0.658),
        (1 / 3, 5, 0.701),
        (1 / 3, 10, 0.772),
        (1.0, 1, 0.760),
        (2.0, 1, 0.921),
    ],
)
def test_the_chance_that_runs_point_the_right_way(effect: float, runs: int, chance: float) -> None:
    assert right_way(effect, 1.0, runs) == pytest.approx(chance, abs=6e-4)
    assert right_way(-effect, 1.0, runs) == right_way(effect, 1.0, runs)


def test_power_grows_with_the_gain_and_with_the_runs() -> None:
    grown = [power("ABBA", e, 8, 0.2, Day()) for e in (0.05, 0.1, 0.2, 0.3, 0.5, 1.0)]
    assert all(a < b for a, b in pairwise(grown))
    wider = [power(arms, 0.3, 8, 0.2, Day()) for arms in OFFERED]
    assert all(a < b for a, b in pairwise(wider))


def test_power_at_no_gain_is_below_the_rate_of_the_rule() -> None:
    assert all(power(arms, 0.0, 8, 0.2, Day()) < 0.05 for arms in OFFERED)


def test_power_agrees_with_a_plain_normal_test_when_all_is_known() -> None:
    # with a scatter that is known, no drift, and nothing expected of the change, the rule is a one-sided z test
    known = replace(Day(), unsure=1e-6, drift=0.0, step=0.0, echo=0.0)
    error = standard_error("ABBA", 0.1, 0.2, 8)
    plain = scipy.stats.norm.sf(1.6449 - 0.3 / error)
    held_back = power("ABBA", 0.3, 8, 0.2, known)
    # small gains are expected, of standard deviation 0.3 s: z must reach 1.6449 sqrt(1 + error^2 / 0.3^2)
    exact = scipy.stats.norm.sf(1.6449 * (1 + error**2 / 0.09) ** 0.5 - 0.3 / error)
    assert held_back == pytest.approx(exact, abs=2e-3)
    assert held_back < plain


def test_the_cheapest_design_is_one_that_sees_enough() -> None:
    arms, seen = cheapest(0.5, 8, 0.2, Day()) or ("", 0.0)
    assert arms == "ABBA"  # regression value
    assert seen >= 0.8
    assert power("ABA", 0.5, 8, 0.2, Day()) < 0.8
    assert cheapest(0.05, 8, 0.2, Day()) is None


def test_power_is_that_of_judging_days_drawn_from_what_is_assumed() -> None:
    day, chance = Day(), np.random.default_rng(21)
    steady = noise(4, day, np.array([0.0]))[0]
    accepted = 0
    count = 300
    for _ in range(count):
        scatter = day.scatter * np.exp(day.unsure * chance.standard_normal())
        pace = 45 + chance.multivariate_normal(np.zeros(4), steady + scatter**2 * np.eye(4))
        runs = []
        for arm, p in zip("ABBA", pace, strict=True):
            errors = chance.standard_normal(8)
            for i in range(1, 8):
                errors[i] = day.echo * errors[i - 1] + np.sqrt(1 - day.echo**2) * errors[i]
            laps = p - 0.4 * (arm == "B") + 0.2 * errors
            runs.append(Laps(arm, tuple((n, float(s)) for n, s in enumerate(laps, start=1))))
        accepted += judge(runs).decision == "accept"
    # 300 draws, three standard errors
    assert accepted / count == pytest.approx(power("ABBA", 0.4, 8, 0.2, day), abs=0.08)
