"""What turning the front wheels does to their contact points: exact rotation about the king-pins. SI, radians.

Numbers or arrays of numbers go in alike; arrays give a result for each kart at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]
Number = Real | float
STEP = 1e-4  # [rad] for the slope of the heights: small against any lock, large against rounding


@dataclass(frozen=True, slots=True)
class Jacking:
    """Heights of the front contact points against the frame [m], up positive, for the inner and outer wheel."""

    inner: Real
    outer: Real

    @property
    def twist(self) -> Real:
        """How far the outer contact is raised against the inner one [m]: what twists the kart."""
        return self.outer - self.inner


def contact_height(steer: Number, caster: Number, inclination: Number, arm: Number, radius: Number) -> Real:
    """Height of a front contact point against where it stands straight ahead [m].

    steer: turn about the king-pin [rad], positive for the inner wheel of the turn, negative for the outer;
    caster: lean back of the king-pin in side view [rad]; inclination: its lean inwards in front view [rad];
    arm: from the king-pin to the middle of the wheel at the height of the spindle [m]; radius: of the wheel [m].
    The wheel is a thin disc, upright and straight ahead at steer 0. Rotation about an axis: O. Rodrigues (1840);
    the set-up: T. D. Gillespie, Fundamentals of Vehicle Dynamics (1992), chapter 8 (from memory). To first
    order the height is -arm sin(caster) sin(steer) - arm sin cos(inclination) (1 - cos(steer)).
    """
    back, inwards = -np.tan(caster), -np.tan(inclination)
    length = np.sqrt(back**2 + inwards**2 + 1)
    ux, uy, uz = back / length, inwards / length, 1 / length
    turn, rest = np.sin(steer), 1 - np.cos(steer)
    # The third component of the turned unit vector across the kart: of the stub and of the wheel's own axis.
    across = turn * ux + rest * uy * uz
    return np.asarray(arm * across + radius * (1 - np.sqrt(1 - across**2)), dtype=np.float64)


def wheel_angles(
    steer: Number, ackermann: Number, pins: Number, wheelbase: Number, toe: Number = 0.0
) -> tuple[Real, Real]:
    """Angles of the inner and the outer wheel [rad] about their mean.

    steer: mean of both [rad]; ackermann: 0 for parallel steering, 1 for both axes meeting on the line of the
    rear axle; pins: between the king-pins [m]; wheelbase [m]; toe: toe-out of both wheels together [rad].
    cot(outer) - cot(inner) = ackermann pins / wheelbase (Ackermann 1818; Wong, Theory of Ground Vehicles,
    chapter 5, from memory), to second order in the steer.
    """
    half = 0.5 * ackermann * pins / wheelbase * np.sin(steer) ** 2 + 0.5 * np.asarray(toe)
    return np.asarray(steer + half, dtype=np.float64), np.asarray(steer - half, dtype=np.float64)


def jacking(
    inner: Number, outer: Number, caster: Number, inclination: Number, arm: Number, radius: Number
) -> Jacking:
    """Heights of both front contact points for the angles of both wheels; see `contact_height`."""
    return Jacking(
        contact_height(inner, caster, inclination, arm, radius),
        contact_height(-np.asarray(outer), caster, inclination, arm, radius),
    )


def holding_torque(
    angles: tuple[Number, Number],
    loads: tuple[Number, Number],
    side: Number,
    pins: tuple[Number, Number, Number, Number],
) -> Real:
    """Torque about the king-pins that holds the lock against loads and side force [N m].

    angles: inner, outer [rad]; loads: on the inner and outer front wheel [N]; side: side force of the front
    axle [N]; pins: caster, inclination, arm, wheel radius. Virtual work of the loads on the heights, plus the
    side force on the trail radius tan(caster). The tyre's own aligning torque is left out, so the
    figure compares settings and is not what a sensor would read.
    """
    up = jacking(np.asarray(angles[0]) + STEP, np.asarray(angles[1]) + STEP, *pins)
    down = jacking(np.asarray(angles[0]) - STEP, np.asarray(angles[1]) - STEP, *pins)
    lifted = loads[0] * (up.inner - down.inner) + loads[1] * (up.outer - down.outer)
    return np.asarray(side * pins[3] * np.tan(pins[0]) - lifted / (2 * STEP), dtype=np.float64)
