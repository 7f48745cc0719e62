"""Wheel loads of one kart in one corner: plain numbers in, a record of plain numbers out. SI, radians."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from advisor.physics.contacts import lifting_moment, settle
from advisor.physics.elements import G
from advisor.physics.handling import Corner, stand
from advisor.physics.kart import Kart, usual

KART = usual()


@dataclass(frozen=True, slots=True)
class WheelLoads:
    """Loads [N] of the four wheels; height of the inside rear above the ground [m]; lateral accelerations at which it
    lifts and at which the kart goes over [m/s2], at this steer and longitudinal acceleration.
    """

    front_inner: float
    front_outer: float
    rear_inner: float
    rear_outer: float
    rear_height: float
    lateral: float
    lifts_at: float
    tips_at: float


def loads(
    *,
    lateral: float | None = None,
    radius: float | None = None,
    speed: float | None = None,
    along: float = 0.0,
    steer: float = 0.0,
    mass: float = float(KART.mass),
    wheelbase: float = float(KART.wheelbase),
    front_share: float = float(KART.front_share),
    height: float = float(KART.height),
    offset: float = float(KART.offset),
    front_track: float = float(KART.front_track),
    rear_track: float = float(KART.rear_track),
    caster: float = float(KART.caster),
    inclination: float = float(KART.inclination),
    arm: float = float(KART.arm),
    front_rate: float = float(KART.front_rate),
    rear_rate: float = float(KART.rear_rate),
    frame: float = float(KART.frame),
) -> WheelLoads:
    """Loads of the four wheels of a kart that corners steadily.

    lateral: acceleration towards the inside [m/s2], or radius [m] and speed [m/s] of the corner; along: longitudinal
    acceleration, negative when braking [m/s2]; steer: mean angle of the front wheels [rad]; mass [kg]; wheelbase [m];
    front_share: of the weight, 0..1; height of the centre of gravity, and its offset to the inside [m]; tracks between
    the middles of the wheels [m]; caster, inclination of the king-pins [rad]; arm: king-pin to the middle of the wheel
    [m]; rates of the tyres [N/m]; frame: torsional stiffness [N m/rad]. What is left out has the usual figure of
    `kart.FIGURES`, most of them assumptions. The model and its sources: `contacts.settle`. Raises ValueError for a
    corner that is not told, and for what no kart has.
    """
    given = {name: value for name, value in locals().items() if hasattr(KART, name) and name != "radius"}
    _check(given)
    sideways = _lateral(lateral, radius, speed)
    kart: Kart = replace(KART, **given)
    built, _ = stand(kart, Corner(sideways, along, 1.0), steer)
    if not 0 < float(built.front) < mass * G:
        raise ValueError("so hard along the track that one axle leaves the ground")
    found, lean = settle(built), mass * G * offset
    over = 0.5 * (float(built.front) * front_track + float(built.rear) * rear_track)
    return WheelLoads(
        float(found.front_inner),
        float(found.front_outer),
        float(found.rear_inner),
        float(found.rear_outer),
        float(found.rear_gap),
        sideways,
        (float(lifting_moment(built)) + lean) / (mass * height),
        (over + lean) / (mass * height),
    )


def _lateral(lateral: float | None, radius: float | None, speed: float | None) -> float:
    """The acceleration as it is told, or v^2 / R [m/s2]."""
    if lateral is not None and radius is None and speed is None:
        return lateral
    if lateral is None and radius is not None and speed is not None and radius > 0:
        return speed * speed / radius
    raise ValueError("tell either the lateral acceleration, or the radius (above nought) and the speed")


def _check(given: dict[str, float]) -> None:
    for name, value in given.items():
        if not math.isfinite(value) or (name != "offset" and value < 0):
            raise ValueError(f"{name.replace('_', ' ')} cannot be {value:g}")
        if value == 0 and name not in ("offset", "caster", "inclination", "arm"):
            raise ValueError(f"{name.replace('_', ' ')} cannot be nought")
    if given["front_share"] >= 1:
        raise ValueError("front share lies between 0 and 1")
