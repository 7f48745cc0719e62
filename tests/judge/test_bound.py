"""Why A-B-A is let be deceived by a jump: a rule that is not would miss most gains, whatever it is."""

from __future__ import annotations

import pytest
from scipy.special import ndtr, ndtri

from advisor.judge.robust import mean_variance
from tests.judge.bound import AT_A2, AT_B, LEVEL, RUN, best, day
from tests.judge.learnt import LAP_SD, PLAIN

CELL = 0.06  # twice as coarse as what is printed


def test_without_jumps_the_best_rule_is_the_one_sided_test_of_the_effect() -> None:
    """Neyman and Pearson: for one normal figure it is P(Z < -1.645 + gain / s.d.), which the programme must find."""
    sd = (1.5 * (RUN**2 + LAP_SD**2 * mean_variance(8, PLAIN.echo))) ** 0.5
    for gain in (0.3, 0.5):
        assert best(gain, (), CELL) == pytest.approx(ndtr(ndtri(LEVEL) + gain / sd), abs=0.01)


def test_no_rule_by_a_b_a_is_safe_from_jumps_and_sees_what_the_judge_sees() -> None:
    """The judge sees 39 % at .3 s and 75 % at .5 s (`tests.judge.learnt`): no fair rule comes within three points."""
    assert best(0.3, (AT_B, AT_A2), CELL) < 0.25 < 0.39 - 0.03
    assert best(0.5, (AT_B, AT_A2), CELL) < 0.66 < 0.75 - 0.03


def test_the_days_are_whole() -> None:
    for found in (day(), day(AT_B), day(AT_A2, gain=0.5)):
        assert found.sum() == pytest.approx(1.0, abs=1e-3)
