"""Wheel loads of one kart in one corner: plain numbers in, a record of plain numbers out. SI, radians."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from advisor.physics.contacts import lifting_moment
from advisor.physics.elements import G
from advisor.physics.handling import Corner, State, drive, limit, stand
from advisor.physics.kart import Kart, usual

# Parameters by the figure of a kart that each of them is.
FIGURE = {"total": "mass", "front": "front_share", "cg_height": "height", "cg_offset": "offset"}


@dataclass(frozen=True, slots=True)
class WheelLoads:
    """Loads [N] of the four wheels; rear_height: of the inside rear above the ground [m]; lateral: what the corner asks
    [m/s2]; steer: mean angle of the front wheels [rad]. lifts_at, tips_at: lateral accelerations at which the inside
    rear leaves the ground and at which the kart goes over, at this steer and longitudinal acceleration; lands_at: at
    which the inside rear comes down again once the steering is straight [m/s2]. front_in_hand, rear_in_hand: side force
    that each end could still hold, below 0 where it is short [N]; axle_moment: of the locked axle against the turn
    [N m], axle_drag [N]. first_end: what gives way first as the corner is driven harder, in words.
    """

    front_inner: float
    front_outer: float
    rear_inner: float
    rear_outer: float
    rear_height: float
    lifts_at: float
    lands_at: float
    tips_at: float
    lateral: float
    steer: float
    front_in_hand: float
    rear_in_hand: float
    axle_moment: float
    axle_drag: float
    first_end: str


def loads(
    *,
    lateral: float | None = None,
    speed: float | None = None,
    steer: float | None = None,
    radius: float,
    along: float,
    total: float,
    wheelbase: float,
    front: float,
    cg_height: float,
    cg_offset: float,
    front_track: float,
    rear_track: float,
    caster: float,
    inclination: float,
    arm: float,
    front_rate: float,
    rear_rate: float,
    frame: float,
) -> WheelLoads:
    """Loads of the four wheels of a kart that corners steadily.

    lateral: acceleration towards the inside [m/s2], or speed [m/s] on the radius [m]; along: longitudinal acceleration,
    negative when braking [m/s2]; steer: mean angle of the front wheels [rad], where left out what the corner needs;
    total: mass of kart and driver [kg]; wheelbase [m]; front: share of the weight on the front wheels, 0..1; cg_height
    of the centre of gravity and cg_offset to the inside [m]; tracks between the middles of the wheels [m]; caster,
    inclination of the king-pins [rad]; arm: king-pin to the middle of the wheel [m]; rates of the tyres [N/m]; frame:
    torsional stiffness [N m/rad]. All else has the usual figure of `figures.FIGURES`, most of them assumptions. The
    model (after Deakin, Crolla, Ramirez & Hanley, SAE 2000-01-3554): `contacts.settle`, `handling.drive`. Raises
    ValueError for a corner that is not told, and for what no kart has.
    """
    own = ("lateral", "speed", "steer", "along", "radius")
    given = {
        FIGURE.get(name, name): value for name, value in locals().items() if name not in own and name != "own"
    }
    _check(given)
    sideways = _lateral(lateral, radius, speed)
    kart: Kart = replace(usual(), **given)
    shifted = total * along * cg_height / wheelbase
    if not 0 < front * total * G - shifted < total * G:
        raise ValueError("so hard along the track that one axle leaves the ground")
    corner = Corner(sideways, along, radius, steer)
    state = drive(kart, corner)
    return _found(state, sideways, _straight(kart, along), _first_end(kart, corner, float(state.tips_at)))


def _first_end(kart: Kart, corner: Corner, tips_at: float) -> str:
    """What gives way first in such a corner, and from which acceleration on."""
    front, rear = (float(limit(kart, corner.along, corner.radius, end)) / G for end in ("front", "rear"))
    over, asked = tips_at / G, float(corner.lateral) / G
    if asked >= over:
        return f"this kart goes over: {asked:.2f} g is asked, and it stands on its outer wheels from {over:.2f} g on"
    if over < min(front, rear):
        return f"driven harder it goes over, from {over:.2f} g on, before an end gives up"
    (first, at), (other, later) = sorted((("front", front), ("rear", rear)), key=lambda end: end[1])
    text = f"the {first} gives up first, from {at:.2f} g on (the {other} from {later:.2f} g on)"
    return f"{text}; this corner asks more than that" if asked > at else text


def _straight(kart: Kart, along: float) -> float:
    """Lateral acceleration at which the inside rear is down again with the front wheels straight [m/s2]."""
    built, _ = stand(kart, Corner(0.0, along, 1.0), 0.0)
    lean = kart.mass * G * kart.offset
    return float((lifting_moment(built) + lean) / (kart.mass * kart.height))


def _found(state: State, lateral: float, lands_at: float, first_end: str) -> WheelLoads:
    on = state.loads
    return WheelLoads(
        front_inner=float(on.front_inner),
        front_outer=float(on.front_outer),
        rear_inner=float(on.rear_inner),
        rear_outer=float(on.rear_outer),
        rear_height=float(on.rear_gap),
        lifts_at=float(state.lifts_at),
        lands_at=lands_at,
        tips_at=float(state.tips_at),
        lateral=lateral,
        steer=float(state.steer),
        front_in_hand=float(state.front_left),
        rear_in_hand=float(state.rear_left),
        axle_moment=float(state.resisting),
        axle_drag=float(state.drag),
        first_end=first_end,
    )


def _lateral(lateral: float | None, radius: float, speed: float | None) -> float:
    """The acceleration as it is told, or v^2 / R [m/s2]."""
    if lateral is not None and speed is None:
        return lateral
    if lateral is None and speed is not None and radius > 0:
        return speed * speed / radius
    raise ValueError("tell either the lateral acceleration, or the speed on the radius (above nought)")


def _check(given: dict[str, float]) -> None:
    for name, value in given.items():
        if not math.isfinite(value) or (name != "offset" and value < 0):
            raise ValueError(f"{name.replace('_', ' ')} cannot be {value:g}")
        if value == 0 and name not in ("offset", "caster", "inclination", "arm"):
            raise ValueError(f"{name.replace('_', ' ')} cannot be nought")
    if given["front_share"] >= 1:
        raise ValueError("front share lies between 0 and 1")
