"""Designs: what an order of runs is worth, against the algebra and against drawing runs."""

from __future__ import annotations

import math
import os
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import scipy.stats

from advisor.judge.assumed import GAIN, Day
from advisor.judge.designs import (
    OFFERED,
    apart,
    cheapest,
    doubtful,
    leak,
    power,
    right_way,
    sight,
    weak,
    weights,
)
from advisor.judge.effect import noise
from advisor.judge.verdict import Laps, judge


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
    known = replace(Day(), scatter=0.1, unsure=1e-6, varies=1e-6, drift=0.0, step=0.0, echo=0.0, jumps=1e-12)
    error = (0.1**2 + 0.2**2 / 8) ** 0.5  # of A-B-B-A: sqrt(k (r^2 + s^2 / n)) with k = 1/2 + 1/2
    plain = scipy.stats.norm.sf(1.6449 - 0.3 / error)
    held_back = power("ABBA", 0.3, 8, 0.2, known)
    # gains are expected, of standard deviation GAIN: z must reach 1.6449 sqrt(1 + error^2 / GAIN^2)
    exact = scipy.stats.norm.sf(1.6449 * (1 + error**2 / GAIN**2) ** 0.5 - 0.3 / error)
    assert held_back == pytest.approx(exact, abs=0.05)  # 600 days are drawn: two and a half standard errors
    assert held_back < plain


def test_the_cheapest_design_is_one_that_sees_enough() -> None:
    arms, seen = cheapest(0.5, 8, 0.2, Day()) or ("", 0.0)
    assert arms == "ABABA"  # regression value
    assert seen >= 0.8
    assert power("ABBA", 0.5, 8, 0.2, Day()) < 0.8
    assert cheapest(0.05, 8, 0.2, Day()) is None


def drawn_day(arms: str, day: Day, laps: int, lap_sd: float, chance: np.random.Generator) -> list[Laps]:
    """Laps of a day as it is assumed to be, the change doing nothing; drawn lap by lap."""
    scatter = day.scatter * np.exp(day.spread * chance.standard_normal())
    pace = (
        45 + chance.normal(0, day.drift) * np.arange(len(arms)) + scatter * chance.standard_normal(len(arms))
    )
    pace += np.cumsum(chance.normal(0, day.step, len(arms)))
    if chance.random() < day.jumps:
        pace[chance.integers(1, len(arms)) :] += chance.normal(0, day.jump)
    runs = []
    for arm, p in zip(arms, pace, strict=True):
        errors = chance.standard_normal(laps)
        for i in range(1, laps):
            errors[i] = day.echo * errors[i - 1] + np.sqrt(1 - day.echo**2) * errors[i]
        runs.append(Laps(arm, tuple((n, float(s)) for n, s in enumerate(p + lap_sd * errors, start=1))))
    return runs


def quicker(runs: Sequence[Laps], gain: float) -> list[Laps]:
    """The same day with a change that makes the lap so many seconds quicker."""
    return [replace(r, laps=tuple((n, s - gain * (r.arm == "B")) for n, s in r.laps)) for r in runs]


@pytest.mark.parametrize("arms", ["ABBA", "ABABA"])
def test_the_difference_that_a_design_sees_is_that_of_judging_days_lap_by_lap(arms: str) -> None:
    """Within a tenth: the gain that four days in five accept, stated before, and by whole judgements of laps."""
    day, chance = Day(), np.random.default_rng(21)
    count = 1000 if os.environ.get("ADVISOR_TEST_ALL") else 120
    stated = sight(arms, 8, 0.2, day).seen(0.8)
    days = [drawn_day(arms, day, 8, 0.2, chance) for _ in range(count)]
    # days that accept at 10 % less, and at 10 % more: four in five lies between, but for the error of the drawing
    less, more = (
        sum(judge(quicker(d, stated * share)).decision == "accept" for d in days) / count
        for share in (0.9, 1.1)
    )
    error = 2.6 * math.sqrt(0.8 * 0.2 / count)
    assert less - error < 0.8 < more + error
    assert abs(sight(arms, 8, 0.2, day).power(stated) - 0.8) < 0.01


def test_like_runs_that_disagree_settle_nothing() -> None:
    assert apart("ABA", [45.6, 44.5, 45.0]) == pytest.approx(0.6)
    assert doubtful("ABA", [45.6, 44.5, 45.0], 5.0)
    assert doubtful("ABA", [45.4, 44.9, 45.1], 0.2)
    assert not doubtful("ABA", [45.4, 44.9, 45.1], 0.4)
    assert doubtful("ABBA", [45.6, 44.9, 44.9, 45.0], 0.4)
    assert not doubtful("ABBA", [45.6, 44.2, 44.2, 45.0], 1.1)
    assert apart("ABABA", [46, 44, 45, 44, 44]) == 0  # put back twice: the runs themselves tell
