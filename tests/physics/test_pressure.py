"""Tyre pressure against published examples, and against the mistake that two published ones make."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.physics.pressure import pressure, warmed
from advisor.units import PSI

BAR, KPA = 1e5, 1e3


@pytest.mark.parametrize(
    ("before", "at", "to", "ambient", "after", "close"),
    [
        # A public exercise, question 1507 (seen): 658 kPa by the gauge, 20 to 60 C with T = C + 273, printed 761.66
        (658 * KPA, 293, 333, 101.3 * KPA, 761.66 * KPA, 0.01 * KPA),
        # A physics forum, thread 320368 (seen): 42.5 psi, -16 to 44.2 C with T = C + 273, printed 55.8986 psi
        (42.5 * PSI, 257, 317.2, 14.7 * PSI, 55.8986 * PSI, 1e-4 * PSI),
        # University of Genoa, physics exercise 5.7 (seen): 1.6 atm, 22 to 53 C, outside 1 atm, printed 1.9
        (1.6, 295.15, 326.15, 1.0, 1.9, 0.05),
        # A public exercise (seen): 30 psi, 10 to 40 C, printed 239.38 kPa: rounded on the way, so within 0.1 %
        (30 * PSI, 283.15, 313.15, 101.3 * KPA, 239.38 * KPA, 0.001 * 239.38 * KPA),
    ],
)
def test_published_examples(
    before: float, at: float, to: float, ambient: float, after: float, close: float
) -> None:
    assert warmed(before, at, to, ambient) == pytest.approx(after, abs=close)


def test_a_university_prints_the_absolute_pressure_too() -> None:
    """University of Genoa, exercise 5.7 (seen): 2.873081 atm absolute for 1.6 atm by the gauge, 22 to 53 C."""
    assert warmed(1.6, 295.15, 326.15, 1.0) + 1.0 == pytest.approx(2.873081, abs=1e-6)


def test_two_forum_posts_put_the_gauge_pressure_into_the_ratio_and_we_do_not() -> None:
    """They print 1.1 bar, and that 1.2 bar means 66 C; by hand: (1.0 + 1.01325) x 311.15 / 283.15 - 1.01325 = 1.199."""
    hot = warmed(1.0 * BAR, 283.15, 311.15, 1.01325 * BAR)
    assert hot / BAR == pytest.approx(2.01325 * 311.15 / 283.15 - 1.01325)
    assert hot / BAR != pytest.approx(1.1, abs=0.05)
    found = pressure(at=283.15, ambient=1.01325 * BAR, cold=1.0 * BAR, hot=1.2 * BAR)
    assert found.to - 273.15 == pytest.approx(283.15 * 2.21325 / 2.01325 - 273.15)  # 38.13 C, by hand
    assert found.to - 273.15 != pytest.approx(66, abs=10)


def test_regression_of_a_kart_case() -> None:
    """A regression value, computed once from the same law: 0.70 bar, 20 to 60 C."""
    assert warmed(0.7 * BAR, 293.15, 333.15, 101_325) / BAR == pytest.approx(0.93377, abs=5e-6)


GAUGE = st.floats(0.2 * BAR, 2 * BAR)
KELVIN = st.floats(260, 390)
AMBIENT = st.floats(0.7 * BAR, 1.05 * BAR)


@given(cold=GAUGE, at=KELVIN, to=KELVIN, ambient=AMBIENT)
def test_there_and_back(cold: float, at: float, to: float, ambient: float) -> None:
    hot = warmed(cold, at, to, ambient)
    assert warmed(hot, to, at, ambient) == pytest.approx(cold, abs=1e-6)
    if hot >= 0:
        back = pressure(at=at, ambient=ambient, cold=cold, hot=hot)
        assert back.to == pytest.approx(to)
        assert pressure(at=at, ambient=ambient, hot=hot, to=to).cold == pytest.approx(cold, abs=1e-6)


@given(cold=GAUGE, at=KELVIN, to=KELVIN, more=st.floats(0.5, 20), ambient=AMBIENT)
def test_hotter_is_higher_and_more_air_outside_makes_the_rise_larger(
    cold: float, at: float, to: float, more: float, ambient: float
) -> None:
    assert warmed(cold, at, to + more, ambient) > warmed(cold, at, to, ambient)
    assert warmed(cold, at, at, ambient) == pytest.approx(cold)
    rise = warmed(cold, at, at + more, ambient)
    assert warmed(cold, at, at + more, ambient * 1.05) > rise


def test_what_no_tyre_does_is_refused() -> None:
    with pytest.raises(ValueError, match="less pressure than the air outside"):
        pressure(at=253, ambient=101_325, hot=0.05 * BAR, to=393)
    with pytest.raises(ValueError, match="more than 150"):
        pressure(at=293, ambient=101_325, cold=0.2 * BAR, hot=2 * BAR)
    with pytest.raises(ValueError, match="two of"):
        pressure(at=293, ambient=101_325, cold=1.0 * BAR)
