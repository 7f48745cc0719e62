"""A kart in a corner: loads, lift, the steer that it needs, what each end has left, which gives up first. SI, radians.

Quasi-static: every moment as if it lasted. So the speed of a lift, bumps, damping of the frame, heat in the tyres
and what the driver does are not in it. Arrays of karts give arrays of results.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from advisor.physics.contacts import Loads, Stand, axle_give, lifting_moment, settle
from advisor.physics.elements import G
from advisor.physics.grip import Axle, Locked, hold, slip_for
from advisor.physics.kart import Kart
from advisor.physics.search import crossing
from advisor.physics.steering import Jacking, holding_torque, jacking, wheel_angles

Real = NDArray[np.float64]
Number = Real | float
ROUNDS, ROUGHLY = 4, 1  # of the search for the steer: to a thousandth of it, and where less will do
SEARCH = 5  # rounds to the acceleration at which an end gives up


@dataclass(frozen=True, slots=True)
class Corner:
    """What the kart is asked: lateral and longitudinal acceleration [m/s2], braking negative; `radius` of its path [m].

    `steer`: mean angle of the front wheels [rad]; None for what the corner needs.
    """

    lateral: Number
    along: Number
    radius: Number
    steer: Number | None = None


@dataclass(frozen=True, slots=True)
class State:
    """A kart in a corner.

    steer: mean of the front wheels [rad]; loads [N]; jack: heights of the front contacts [m]; front_use, rear_use: of
    what each axle holds sideways, 1 where it gives up; front_left, rear_left: side force in hand [N], negative
    where more is asked than there is; resisting: yaw moment of the locked axle against the turn [N m]; drag: of the
    locked axle [N]; push_left: drive that the rear tyres could still take [N]; effort: torque about the king-pins
    [N m]; lifts_at, tips_at: lateral acceleration at which the inside rear leaves the ground, and at which
    the kart goes over, at this steer and longitudinal acceleration [m/s2].
    """

    steer: Real
    loads: Loads
    jack: Jacking
    front_use: Real
    rear_use: Real
    front_left: Real
    rear_left: Real
    resisting: Real
    drag: Real
    push_left: Real
    effort: Real
    lifts_at: Real
    tips_at: Real


def speed(lateral: Number, radius: Number) -> Real:
    """Speed [m/s] on a path of `radius` [m] at a lateral acceleration [m/s2]."""
    return np.sqrt(np.asarray(lateral, dtype=np.float64) * radius)


def stand(kart: Kart, corner: Corner, steer: Number) -> tuple[Stand, Jacking]:
    """What the wheels carry at a steer angle, and the heights that it gives the front contacts."""
    weight = kart.mass * G
    shifted = kart.mass * corner.along * kart.height / kart.wheelbase
    front = np.clip(kart.front_share * weight - shifted, 0.0, weight)
    pins = kart.front_track - 2 * kart.arm
    inner, outer = wheel_angles(steer, kart.ackermann, pins, kart.wheelbase, kart.toe)
    jack = jacking(inner, outer, kart.caster, kart.inclination, kart.arm, kart.wheel_radius)
    free = np.maximum(0.5 * (kart.rear_track - kart.bearing_span) - kart.hub_grip, 0.0)
    built = Stand(
        front=front,
        rear=weight - front,
        moment=kart.mass * corner.lateral * kart.height - weight * kart.offset,
        share=kart.front_share,
        front_track=kart.front_track,
        rear_track=kart.rear_track,
        front_rate=kart.front_rate,
        rear_rate=kart.rear_rate,
        axle=axle_give(free, kart.bearing_span, kart.axle_stiffness),
        frame=kart.frame,
        twist=0.0,
    )
    return replace(built, twist=jack.twist / kart.front_track - _cross_twist(kart, built)), jack


def _cross_twist(kart: Kart, built: Stand) -> Number:
    """The twist [rad] that gives the diagonals their difference of load when the kart stands still."""
    soft = 2 / (built.front_rate * built.front_track**2) + 1 / built.frame
    soft = soft + 2 * (1 / built.rear_rate + built.axle) / built.rear_track**2
    # One moment between the axles loads one diagonal by M / front_track + M / rear_track against the other.
    across = 1 / built.front_track + 1 / built.rear_track
    return kart.cross * kart.mass * G / across * soft


@dataclass(frozen=True, slots=True)
class _Round:
    """A kart at a steer angle [rad]: what it stands on, loads, rear axle, side force and hold of the front [N]."""

    steer: Real
    built: Stand
    jack: Jacking
    loads: Loads
    axle: Axle
    side: Real
    most: Real


def drive(kart: Kart, corner: Corner, rounds: int = ROUNDS) -> State:
    """The kart in the corner. Loads, slips and steer follow from each other, so the steer is searched for."""
    if corner.steer is not None:
        return _state(kart, corner, _round(kart, corner, corner.steer))
    straight = np.asarray(kart.wheelbase / corner.radius, dtype=np.float64)

    def over(steer: Real) -> Real:
        """By how much a steer angle is more than what the slips ask for; it rises with the angle."""
        return steer - _asked_steer(kart, straight, _round(kart, corner, steer))

    first = over(straight)
    other = straight - first
    second = over(other)
    less = first < 0  # the angle lies above the first, else below it
    ends = (np.where(less, straight, other), np.where(less, other, straight))
    at_ends = (np.where(less, first, second), np.where(less, second, first))
    steer = crossing(over, *ends, *at_ends, rounds)
    return _state(kart, corner, _round(kart, corner, steer))


def _asked_steer(kart: Kart, straight: Real, found: _Round) -> Real:
    """Steer that the slips of both ends ask for [rad]: L / R + front slip - rear slip."""
    slips = (slip_for(found.side / np.maximum(found.most, 1.0)), found.axle.slip)
    front, rear = (np.arctan(part * kart.full_slip) for part in slips)
    return np.asarray(straight + front - rear, dtype=np.float64)


def _round(kart: Kart, corner: Corner, steer: Number) -> _Round:
    built, jack = stand(kart, corner, steer)
    loads = settle(built)
    axle = rear_axle(kart, corner, loads).carrying(_asked_rear(kart, corner), kart.wheelbase)
    side = np.asarray(kart.mass * corner.lateral - axle.side, dtype=np.float64)
    most = front_hold(kart, corner, loads)
    return _Round(np.asarray(steer, dtype=np.float64), built, jack, loads, axle, side, most)


def _asked_rear(kart: Kart, corner: Corner) -> Number:
    """Side force of the rear axle, plus its moment over the wheelbase, that balances the kart in yaw [N]."""
    return kart.mass * corner.lateral * (1 - kart.front_share)


def rear_axle(kart: Kart, corner: Corner, loads: Loads) -> Locked:
    """The locked axle under its loads."""
    braked = np.where(np.asarray(corner.along) < 0, 1 - np.asarray(kart.brake_front), 1.0)
    inner, outer = (
        hold(load, kart.friction, kart.rear_nominal, kart.exponent)
        for load in (loads.rear_inner, loads.rear_outer)
    )
    rolling = 2 * np.pi * REAR_RADIUS
    return Locked(
        inner=inner,
        outer=outer,
        spread=0.5 * kart.rear_track / corner.radius - 0.5 * kart.stagger / rolling,
        track=kart.rear_track,
        along=kart.mass * corner.along * braked,
        full=kart.full_slip,
    )


REAR_RADIUS = 0.140  # [m] of a rear wheel, rolling; from memory. Stagger only


def front_hold(kart: Kart, corner: Corner, loads: Loads) -> Real:
    """What the front tyres hold sideways beside braking [N] (friction circle: Wong, chapter 1, from memory)."""
    held = hold(loads.front_inner, kart.friction, kart.front_nominal, kart.exponent)
    held = held + hold(loads.front_outer, kart.friction, kart.front_nominal, kart.exponent)
    braked = kart.brake_front * kart.mass * np.minimum(corner.along, 0.0)
    return np.sqrt(np.maximum(held**2 - braked**2, 1.0))


def _state(kart: Kart, corner: Corner, found: _Round) -> State:
    rear, asked = rear_axle(kart, corner, found.loads), _asked_rear(kart, corner)
    last = rear.at(1.0)
    rear_most = last.side + last.moment / kart.wheelbase
    along = np.maximum((rear.inner + rear.outer) ** 2 - found.axle.side**2, 0.0)
    lifts_at, tips_at = _leaving(kart, found.built)
    return State(
        steer=found.steer,
        loads=found.loads,
        jack=found.jack,
        front_use=np.asarray(found.side / found.most),
        rear_use=np.asarray(asked / np.maximum(rear_most, 1.0)),
        front_left=np.asarray(found.most - found.side),
        rear_left=np.asarray(rear_most - asked),
        resisting=found.axle.moment,
        drag=found.axle.drag,
        push_left=np.sqrt(along) - rear.along,
        effort=_holding(kart, found),
        lifts_at=lifts_at,
        tips_at=tips_at,
    )


def _leaving(kart: Kart, built: Stand) -> tuple[Real, Real]:
    """Lateral accelerations at which the inside rear lifts and at which the kart goes over [m/s2]."""
    lean, lever = kart.mass * G * kart.offset, kart.mass * kart.height
    over = 0.5 * (built.front * kart.front_track + built.rear * kart.rear_track)
    lifts = (lifting_moment(built) + lean) / lever
    return np.asarray(lifts, dtype=np.float64), np.asarray((over + lean) / lever, dtype=np.float64)


def _holding(kart: Kart, found: _Round) -> Real:
    pins = kart.front_track - 2 * kart.arm
    angles = wheel_angles(found.steer, kart.ackermann, pins, kart.wheelbase, kart.toe)
    figures = (kart.caster, kart.inclination, kart.arm, kart.wheel_radius)
    return holding_torque(angles, (found.loads.front_inner, found.loads.front_outer), found.side, figures)


End = Literal["front", "rear"]


def limit(kart: Kart, along: Number, radius: Number, end: End) -> Real:
    """Lateral acceleration at which an end gives up [m/s2], at a longitudinal acceleration [m/s2] and radius [m].

    What an end is asked grows with the acceleration and what it holds falls slowly, so that dividing by the part
    in use comes close at once. Where the kart would go over before, the figure lies above `tips_at`.
    """
    lateral = 0.9 * kart.friction * G * (1 + 0.0 * np.asarray(radius))
    power, before = np.asarray(1.2), (lateral, np.asarray(1.0))
    for turn in range(SEARCH):
        now = drive(kart, Corner(lateral, along, radius), ROUGHLY)
        use = np.clip(now.front_use if end == "front" else now.rear_use, 0.4, 2.5)
        if turn:
            grown, moved = np.log(use / before[1]), np.log(lateral / before[0])
            slope = np.where(np.abs(moved) > 1e-4, grown / np.where(np.abs(moved) > 1e-4, moved, 1.0), power)
            power = np.clip(slope, 0.5, 3.0)
        before = (lateral, use)
        lateral = lateral * use ** (-1 / power)
    return np.asarray(lateral, dtype=np.float64)
