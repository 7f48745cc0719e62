"""Steering on exact axes: a table of computed heights, first-order formulas, mirror and straight ahead."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.physics.steering import contact_height, holding_torque, jacking, wheel_angles

DEGREE = math.pi / 180
ANGLES = st.floats(-25, 25)


# A regression, computed by hand-written rotation matrices when the model was designed, not published: caster, steer
# [degrees], then heights of inner and outer contact and their difference [mm]; inclination 11 degrees, arm
# 90 mm, wheel radius 140 mm.
@pytest.mark.parametrize(
    ("caster", "steer", "inner", "outer", "twist"),
    [
        (18, 10, -4.77, 4.69, 9.46),
        (18, 20, -9.36, 9.05, 18.41),
        (12, 10, -3.34, 3.02, 6.36),
        (12, 20, -6.81, 5.56, 12.36),
        (0, 20, -1.01, -1.01, 0.00),
    ],
)
def test_the_table_of_heights(caster: float, steer: float, inner: float, outer: float, twist: float) -> None:
    found = jacking(steer * DEGREE, steer * DEGREE, caster * DEGREE, 11 * DEGREE, 0.09, 0.14)
    told = [1e3 * float(value) for value in (found.inner, found.outer, found.twist)]
    assert told == pytest.approx([inner, outer, twist], abs=0.006)


@given(steer=ANGLES, caster=st.floats(0, 25), inclination=st.floats(0, 15), arm=st.floats(0.05, 0.12))
def test_rotation_is_that_of_a_general_library(
    steer: float, caster: float, inclination: float, arm: float
) -> None:
    """scipy's rotations as the oracle: the lowest point of a thin disc, searched around its rim."""
    from scipy.spatial.transform import Rotation

    axis = np.array([-math.tan(caster * DEGREE), -math.tan(inclination * DEGREE), 1.0])
    turn = Rotation.from_rotvec(axis / np.linalg.norm(axis) * steer * DEGREE)
    around = np.linspace(0, 2 * math.pi, 20001)
    rim = np.stack([0.14 * np.cos(around), np.full_like(around, arm), 0.14 * np.sin(around)], axis=1)
    lowest = turn.apply(rim)[:, 2].min() + 0.14
    assert float(
        contact_height(steer * DEGREE, caster * DEGREE, inclination * DEGREE, arm, 0.14)
    ) == pytest.approx(lowest, abs=2e-8)


@given(steer=st.floats(-2, 2), caster=st.floats(0, 25), arm=st.floats(0.05, 0.12))
def test_small_turns_follow_the_first_order_formula(steer: float, caster: float, arm: float) -> None:
    """2 a sin(caster) sin(steer), Gillespie 1992, chapter 8 (from memory), for a king-pin without inclination."""
    found = float(jacking(steer * DEGREE, steer * DEGREE, caster * DEGREE, 0.0, arm, 0.14).twist)
    assert found == pytest.approx(2 * arm * math.sin(caster * DEGREE) * math.sin(steer * DEGREE), abs=1e-6)


@given(steer=ANGLES, caster=st.floats(0, 25), inclination=st.floats(0, 15))
def test_left_and_right_are_mirrored(steer: float, caster: float, inclination: float) -> None:
    pins = (caster * DEGREE, inclination * DEGREE, 0.09, 0.14)
    one = jacking(steer * DEGREE, steer * DEGREE, *pins)
    other = jacking(-steer * DEGREE, -steer * DEGREE, *pins)
    assert (float(one.inner), float(one.outer)) == pytest.approx((float(other.outer), float(other.inner)))


def test_full_ackermann_meets_on_the_line_of_the_rear_axle() -> None:
    """cot(outer) - cot(inner) = pins / wheelbase; Wong, Theory of Ground Vehicles, chapter 5 (from memory)."""
    for steer in (2, 6, 12):
        inner, outer = wheel_angles(steer * DEGREE, 1.0, 0.9, 1.05)
        assert 1 / math.tan(float(outer)) - 1 / math.tan(float(inner)) == pytest.approx(0.9 / 1.05, rel=0.03)


def test_toe_and_parallel_steering() -> None:
    inner, outer = wheel_angles(0.1, 0.0, 0.9, 1.05, toe=0.01)
    assert (float(inner), float(outer)) == pytest.approx((0.105, 0.095))


def test_holding_the_lock_needs_no_torque_straight_ahead_with_equal_loads() -> None:
    pins = (15 * DEGREE, 11 * DEGREE, 0.09, 0.13)
    assert float(holding_torque((0.0, 0.0), (350.0, 350.0), 0.0, pins)) == pytest.approx(0.0, abs=1e-6)
    assert float(holding_torque((0.0, 0.0), (350.0, 350.0), 1000.0, pins)) == pytest.approx(
        1000 * 0.13 * math.tan(15 * DEGREE)
    )


def test_the_torque_is_the_work_of_the_loads() -> None:
    """Virtual work: the torque over a turn is the rise of the kart against its front loads."""
    pins = (15 * DEGREE, 11 * DEGREE, 0.09, 0.13)
    steps = np.linspace(0, 0.2, 2001)
    torque = holding_torque((steps, steps), (400.0, 250.0), 0.0, pins)
    work = float(np.trapezoid(torque, steps))
    raised = jacking(0.2, 0.2, *pins)
    assert work == pytest.approx(-400 * float(raised.inner) - 250 * float(raised.outer), rel=1e-4)
