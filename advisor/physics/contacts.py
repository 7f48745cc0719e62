"""The four wheel loads of a kart without springs: tyres, axle and frame give, a wheel may leave the ground. SI.

Numbers or arrays of numbers go in alike; arrays give a result for each kart at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]
Number = Real | float


@dataclass(frozen=True, slots=True)
class Stand:
    """What the wheels carry and what gives. Every figure a number or an array of them.

    front, rear: load of each axle [N]; moment: overturning moment [N m], positive on to the outer wheels;
    share: of it that acts on the front half of the frame, 0..1; front_track, rear_track: between the middles of
    the wheels [m]; front_rate, rear_rate: of one tyre [N/m]; axle: give of the rear axle under opposite loads
    of its ends [m/N]; frame: torsional stiffness [N m/rad]; twist: by how much the front contact points lie
    out of the plane of the rear ones [rad], positive where the outer front stands high.
    """

    front: Number
    rear: Number
    moment: Number
    share: Number
    front_track: Number
    rear_track: Number
    front_rate: Number
    rear_rate: Number
    axle: Number
    frame: Number
    twist: Number


@dataclass(frozen=True, slots=True)
class Loads:
    """Loads [N] of inner and outer wheels, height of each inner wheel above the ground [m].

    `tips`: the moment is more than the outer wheels alone can hold, so the kart is going over and only
    the sum of the loads is in balance. `outer_gap`: the like of an outer wheel, for a kart turned the wrong way.
    """

    front_inner: Real
    front_outer: Real
    rear_inner: Real
    rear_outer: Real
    front_gap: Real
    rear_gap: Real
    outer_gap: Real
    tips: NDArray[np.bool_]


def axle_give(overhang: Number, span: Number, stiffness: Number) -> Real:
    """Give of one end of a rear axle when its ends are loaded oppositely [m/N].

    overhang: free tube from bearing to hub [m]; span: between the outer bearings [m]; stiffness: E I of
    the tube [N m2]. A beam on two supports with both ends overhanging: a^2 (2 a + b) / (6 E I) (Euler
    and Bernoulli; Young & Budynas, Roark's Formulas for Stress and Strain, table of beams, from memory).
    """
    return np.asarray(overhang**2 * (2 * overhang + span) / (6 * stiffness), dtype=np.float64)


def settle(stand: Stand) -> Loads:
    """The loads of the four wheels, of which none pulls.

    Each axle's load and the moment are given by statics; what is left open, the part of the moment that the front
    axle takes, makes the complementary energy of tyres, axle and frame least (Castigliano; Engesser 1889). Loads
    may not be negative, which bounds that part, and a parabola between bounds is least at its bottom or at a bound.
    With four wheels down it is the common model of roll stiffnesses in series through the frame (Deakin, Crolla,
    Ramirez & Hanley, The Effect of Chassis Stiffness on Race Car Handling Balance, SAE 2000-01-3554).
    The lean of the kart (about 0.2 degrees) and the way of the contact points along the ground are left out.
    """
    _, total, aim = _compliances(stand)
    free = aim / total
    front_most = 0.5 * stand.front * stand.front_track
    rear_most = 0.5 * stand.rear * stand.rear_track
    low = np.maximum(-front_most, stand.moment - rear_most)
    high = np.minimum(front_most, stand.moment + rear_most)
    tips = np.asarray(low > high)
    held = np.where(tips, np.sign(stand.moment) * front_most, np.clip(free, low, high))
    other = np.where(tips, np.sign(stand.moment) * rear_most, stand.moment - held)
    front, rear = held / stand.front_track, other / stand.rear_track
    slack = np.where(tips, 0.0, total * held - aim)
    return _loads(stand, front, rear, slack, tips)


def _compliances(stand: Stand) -> tuple[Number, Number, Number]:
    """Give in roll of the rear and of all [rad/(N m)], and the angle that the front's part of the moment must make."""
    soft_front = 2 / (stand.front_rate * stand.front_track**2)
    soft_rear = 2 * (1 / stand.rear_rate + stand.axle) / stand.rear_track**2
    soft_frame = 1 / stand.frame
    aim = stand.moment * (soft_rear + stand.share * soft_frame) - stand.twist
    return soft_rear, soft_front + soft_rear + soft_frame, aim


def _loads(stand: Stand, front: Number, rear: Number, slack: Number, tips: NDArray[np.bool_]) -> Loads:
    """From what moves across each axle [N] and the angle that is left open [rad] to loads and heights."""
    inner, outer = 0.5 * stand.front - front, 0.5 * stand.front + front
    behind, beyond = 0.5 * stand.rear - rear, 0.5 * stand.rear + rear
    tiny = 1e-9 * (np.asarray(stand.front) + stand.rear)  # rounding where a wheel just carries nothing
    inner, outer, behind, beyond = (
        np.where(load <= tiny, 0.0, load) for load in (inner, outer, behind, beyond)
    )
    up, down = np.maximum(slack, 0.0), np.maximum(-np.asarray(slack), 0.0)
    return Loads(
        inner,
        outer,
        behind,
        beyond,
        np.where(inner == 0, down * stand.front_track, 0.0),
        np.where(behind == 0, up * stand.rear_track, 0.0),
        np.where(outer == 0, up * stand.front_track, 0.0)
        + np.where(beyond == 0, down * stand.rear_track, 0.0),
        tips,
    )


def lifting_moment(stand: Stand) -> Real:
    """Overturning moment at which the inner rear carries nothing [N m], whatever the moment is now.

    Where the inner front would leave the ground before, it is the moment at which the kart tips.
    """
    soft_rear, total, _ = _compliances(stand)
    part = (soft_rear + stand.share / stand.frame) / total
    front_most, rear_most = (
        0.5 * stand.front * stand.front_track,
        0.5 * stand.rear * stand.rear_track,
    )
    rear_first = (rear_most - stand.twist / total) / (1 - part)
    front_first = (front_most + stand.twist / total) / part
    return np.where(rear_first <= front_first, rear_first, front_most + rear_most)
