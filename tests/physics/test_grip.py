"""Load-sensitive tyres and the locked axle: published points, closed forms, limits."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from advisor.physics.figures import FIGURES
from advisor.physics.grip import Locked, hold, slip_for, worked


def test_load_sensitivity_between_two_published_points() -> None:
    """900 lbf: 1.10, 1800 lbf: 0.97 (Milliken & Milliken 1995, figure 2.9, as quoted by an encyclopaedia)."""
    exponent = 1 + math.log(0.97 / 1.10) / math.log(2)
    assert exponent == pytest.approx(0.8186, abs=5e-5)  # computed, not published
    assert float(hold(900.0, 1.10, 900.0, exponent)) == pytest.approx(990)
    assert float(hold(1800.0, 1.10, 900.0, exponent)) == pytest.approx(0.97 * 1800)


def test_a_pair_that_takes_a_transfer_holds_less_by_what_the_points_say() -> None:
    """Computed from the same figure (1350 lbf: 1.08): 1350 + 1350 hold 2916 lbf, 900 + 1800 hold 2736, 6.17 % less.

    A power through the outer two points runs 5 % under the middle one: the figure is no power, tyres of karts unknown.
    """
    even, uneven = 2 * 1350 * 1.08, 900 * 1.10 + 1800 * 0.97
    assert [even, uneven] == pytest.approx([2916, 2736])
    assert uneven / even - 1 == pytest.approx(-0.0617, abs=5e-5)
    exponent = 1 + math.log(0.97 / 1.10) / math.log(2)
    assert float(hold(1350.0, 1.10, 900.0, exponent)) / (1350 * 1.08) == pytest.approx(0.946, abs=0.001)
    # Between 0.7 and 0.9, as the same page says of tyres
    assert 0.7 <= FIGURES["exponent"].low <= exponent <= FIGURES["exponent"].high <= 0.95


@given(load=st.floats(50, 900), moved=st.floats(1, 49), exponent=st.floats(0.6, 0.99))
def test_an_uneven_pair_holds_less(load: float, moved: float, exponent: float) -> None:
    even = 2 * float(hold(load, 1.5, 400.0, exponent))
    uneven = float(hold(load - moved, 1.5, 400.0, exponent) + hold(load + moved, 1.5, 400.0, exponent))
    assert uneven < even
    assert float(hold(load, 1.5, 400.0, 1.0)) == pytest.approx(1.5 * load)


@given(share=st.floats(0, 1))
def test_slip_and_share_are_inverse(share: float) -> None:
    assert float(worked(slip_for(share))) == pytest.approx(share, abs=1e-12)


def test_the_first_slip_gives_three_times_its_share() -> None:
    """The slope of the brush model at the origin: three times what is held its full slip (Pacejka, from memory)."""
    assert float(worked(1e-6)) / 1e-6 == pytest.approx(3, rel=1e-5)
    assert float(worked(2.0)) == 1


AXLE = Locked(inner=600.0, outer=900.0, spread=0.0387, track=1.16, along=0.0, full=0.14)


def test_the_slips_of_a_locked_axle() -> None:
    """Half the track over the radius: 5.80, 3.87 and 2.32 % at 10, 15 and 25 m and a track of 1.16 m (computed)."""
    assert [round(100 * 0.5 * 1.16 / radius, 2) for radius in (10, 15, 25)] == [5.80, 3.87, 2.32]


def test_two_like_tyres_resist_by_their_stiffness() -> None:
    """Linear form: M = C track^2 / (2 R), C the stiffness of one tyre, 3 times what it holds over the full slip."""
    spread = 1e-5
    axle = replace(AXLE, inner=700.0, outer=700.0, spread=spread).at(0.0)
    radius = 0.5 * 1.16 / spread
    assert float(axle.moment) == pytest.approx(3 * 700 / 0.14 * 1.16**2 / (2 * radius), rel=1e-3)


@given(
    inner=st.floats(0, 900),
    outer=st.floats(300, 1500),
    spread=st.floats(0.005, 0.08),
    slip=st.floats(0, 1),
)
def test_the_lighter_wheel_bounds_the_resistance(
    inner: float, outer: float, spread: float, slip: float
) -> None:
    """Without drive both wheels pull alike, so the moment is at most the lighter tyre's hold times the track."""
    axle = replace(AXLE, inner=inner, outer=outer, spread=spread).at(slip)
    assert -1e-6 <= float(axle.moment) <= 1.16 * min(inner, outer) * 1.02 + 1e-6
    assert float(axle.drag) >= -1e-9
    assert float(axle.side) <= inner + outer + 1e-9


def test_a_lifted_inner_wheel_frees_the_axle() -> None:
    axle = replace(AXLE, inner=0.0).at(0.5)
    assert float(axle.moment) == pytest.approx(0, abs=1e-6)
    assert float(axle.drag) == pytest.approx(0, abs=1e-6)


def test_stagger_that_fits_the_corner_frees_it_too() -> None:
    assert float(replace(AXLE, spread=0.0).at(0.5).moment) == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize("along", [-300.0, 0.0, 300.0])
def test_the_axle_gives_the_drive_that_is_asked(along: float) -> None:
    axle = replace(AXLE, along=along)
    turn = axle._settled(0.4, 6)
    first, last, inner, outer = axle._stiff(0.4, turn)
    assert float(inner * first + outer * last) == pytest.approx(along, abs=0.5)


@settings(max_examples=40, deadline=None)
@given(demand=st.floats(100, 1300), spread=st.floats(0.005, 0.06), inner=st.floats(50, 900))
def test_the_slip_that_carries_a_demand_is_that_of_a_general_solver(
    demand: float, spread: float, inner: float
) -> None:
    """scipy's Brent method on the same balance, where the axle holds the demand at all."""
    axle = replace(AXLE, inner=inner, spread=spread)

    def over(slip: float) -> float:
        at = axle.at(slip)
        return float(at.side + at.moment / 1.05) - demand

    found = axle.carrying(demand, 1.05)
    if over(0.0) < 0 < over(1.0):
        assert float(found.side + found.moment / 1.05) == pytest.approx(demand, rel=2e-3)
        assert float(found.slip) == pytest.approx(float(brentq(over, 0, 1)), abs=0.02)
    elif over(1.0) <= 0:
        assert float(found.slip) == pytest.approx(1.0)


def test_many_axles_are_those_one_by_one() -> None:
    inner = np.array([0.0, 200.0, 700.0])
    many = replace(AXLE, inner=inner).carrying(900.0, 1.05)
    for i, held in enumerate(inner):
        one = replace(AXLE, inner=float(held)).carrying(900.0, 1.05)
        assert float(many.moment[i]) == pytest.approx(float(one.moment), rel=1e-6, abs=1e-6)
