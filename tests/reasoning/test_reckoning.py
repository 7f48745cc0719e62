"""The score that the advisor keeps of itself."""

from __future__ import annotations

from random import Random

import pytest

from advisor.learning.reckoning import expected, score, tendency
from advisor.model.assumed import VERDICT_IF
from advisor.model.case import Past


def test_the_brier_score_of_four_forecasts() -> None:
    # (.1 - 0)^2, (.9 - 1)^2, (.8 - 1)^2, (.3 - 0)^2: mean .0375, by hand on four invented forecasts
    found = score([(0.1, False), (0.9, True), (0.8, True), (0.3, False)])
    assert found is not None
    assert found.brier == pytest.approx(0.0375)
    assert found.base == pytest.approx(0.25)
    assert found.z == pytest.approx((2 - 2.1) / (0.09 + 0.09 + 0.16 + 0.21) ** 0.5)


def test_what_is_expected_of_a_change_counts_the_errors_of_drivers() -> None:
    # .4 to cure, .1 to hurt: .4 x .85 + .1 x .05 + .5 x .15, by hand from VERDICT_IF
    assert expected([Past("caster", "less", "better", 0.4, 0.8)]) == pytest.approx(
        0.4 * VERDICT_IF["cured"]["better"]
        + 0.1 * VERDICT_IF["hurt"]["better"]
        + 0.5 * VERDICT_IF["nothing"]["better"]
    )


def test_a_bundle_is_expected_to_cure_as_its_parts_do_together() -> None:
    one = Past("caster", "less", "better", 0.4, 1.0)
    assert expected([one, one]) == pytest.approx(
        0.64 * VERDICT_IF["cured"]["better"] + 0.36 * VERDICT_IF["nothing"]["better"]
    )


def test_right_chances_are_seldom_called_wrong_and_wrong_ones_often() -> None:
    """300 drawn seasons of 40 trials: a false alarm in about one of ten (both sides), a power that is worth having."""
    rng = Random(5)
    alarms = found = 0
    for _ in range(300):
        chances = [rng.uniform(0.1, 0.5) for _ in range(40)]
        alarms += tendency(score([(p, rng.random() < p) for p in chances])) is not None
        found += tendency(score([(min(0.95, 2 * p), rng.random() < p) for p in chances])) is not None
    assert alarms / 300 < 0.15
    assert found / 300 > 0.85


def test_overconfidence_is_said_in_words_and_few_trials_say_nothing() -> None:
    many, few = [(0.6, False)] * 12, [(0.6, False)] * 5
    told = tendency(score(many))
    assert told is not None
    assert "0 came out better where 7 were expected" in told
    assert "too high" in told
    assert tendency(score(few)) is None
    assert score([]) is None


def test_every_trial_stands_in_one_bin() -> None:
    pairs = [(p / 20, p % 3 == 0) for p in range(21)]
    found = score(pairs)
    assert found is not None
    assert sum(b.count for b in found.bins) == len(pairs)
