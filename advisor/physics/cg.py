"""Height of the centre of gravity, by weighing the kart level and with one axle lifted. SI units throughout."""

from __future__ import annotations

import math
from dataclasses import dataclass

HIGHEST = 0.6  # [m] what a kart with driver could have: an assumption of ours


@dataclass(frozen=True, slots=True)
class Height:
    """cg_height above the ground [m]; cg_to_axle: from the rear axle forward [m]; per_kilogram: by how much one
    kilogram more on the low axle's scales moves the height [m]."""

    cg_height: float
    cg_to_axle: float
    per_kilogram: float


def cg(
    *,
    front_mass: float,
    rear_mass: float,
    low_mass: float,
    lift: float,
    wheelbase: float,
    lifted: str,
    front_radius: float,
    rear_radius: float,
) -> Height:
    """Height of the centre of gravity from axle loads on the level and with one axle lifted.

    front_mass, rear_mass: axle loads on the level [kg]; lifted: "front" or "rear"; lift: how far that axle was
    raised [m]; low_mass: load of the axle that stayed down, then [kg]; wheelbase, front_radius, rear_radius:
    [m]. Raises ValueError where the lift exceeds the wheelbase or no kart could have such a height.
    Formula: `height`. Nothing may move: wheels free, brake off, tyres hard, tank full or empty, driver still.
    """
    if lift >= wheelbase:
        raise ValueError("lift cannot be as long as wheelbase")
    mass = front_mass + rear_mass
    angle = math.asin(lift / wheelbase)
    to_rear = wheelbase * front_mass / mass  # the centre of gravity lies so far in front of the rear axle
    level = rear_mass if lifted == "front" else front_mass
    if low_mass <= level:
        raise ValueError(
            f"lifted, the low axle carries {low_mass:g} kg and on the level {level:g} kg: it must carry more, or the "
            "centre of gravity would lie below the axles; check that low_mass is the axle that stayed down"
        )
    found = height(front_radius, rear_radius, to_rear, wheelbase, mass, low_mass - level, angle)
    if found > HIGHEST:
        raise ValueError(
            f"that would be {found * 1000:.0f} mm above the ground, and no kart is so: check the readings, "
            "and that low_mass is the axle that stayed down"
        )
    return Height(found, to_rear, wheelbase / (mass * math.tan(angle)))


def height(
    front_radius: float,
    rear_radius: float,
    to_rear: float,
    wheelbase: float,
    mass: float,
    more: float,
    angle: float,
) -> float:
    """Height of the centre of gravity [m].

    radii, to_rear (centre of gravity to rear axle), wheelbase: [m]; mass, more (gain of the low axle): [kg];
    angle by which the wheelbase is tilted [rad]. Moments about the low axle: the line of the axles at the centre
    of gravity, and L m' / (m tan(angle)) above it. W. F. Milliken, D. L. Milliken, Race Car Vehicle Dynamics
    (1995), ch. 18 (from memory); the same as R. Gray (1997), c = b (W' - W) / (M tan X).
    """
    line = front_radius * to_rear / wheelbase + rear_radius * (wheelbase - to_rear) / wheelbase
    return line + wheelbase * more / (mass * math.tan(angle))
