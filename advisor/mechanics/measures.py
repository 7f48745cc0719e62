"""Effects of the knowledge base as figures of the kart model, each read from one of three parts of a corner."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from advisor.physics.elements import G
from advisor.physics.handling import Corner, Real, State, drive, limit
from advisor.physics.kart import Kart, Number

# Of the lateral acceleration in mid-corner, while braking in and while driving out; assumptions.
WAY_IN, WAY_OUT = 0.75, 0.90
OVER = 0.95  # of the acceleration at which the kart goes over, the most that is driven


@dataclass(frozen=True, slots=True)
class Phases:
    """A kart in the three parts of a corner."""

    entry: State
    mid: State
    exit: State


def pace(kart: Kart) -> Real:
    """Lateral acceleration in mid-corner [m/s2]: that at which the first end gives up, times the driver's effort."""
    ends = (limit(kart, 0.0, kart.radius, "front"), limit(kart, 0.0, kart.radius, "rear"))
    least = np.minimum(*ends)
    tips = drive(kart, Corner(least, 0.0, kart.radius)).tips_at
    return np.asarray(kart.effort * np.minimum(least, OVER * tips), dtype=np.float64)


def phases(kart: Kart, lateral: Number, radius: Number) -> Phases:
    """The three parts of a corner of a radius [m] that is driven at a lateral acceleration [m/s2]."""
    return Phases(
        entry=drive(kart, Corner(WAY_IN * lateral, -kart.braking * G, radius)),
        mid=drive(kart, Corner(lateral, 0.0 * lateral, radius)),
        exit=drive(kart, Corner(WAY_OUT * lateral, kart.driving * G, radius)),
    )


@dataclass(frozen=True, slots=True)
class Measure:
    """What the model has for an effect: more of the figure is more of the effect.

    `tiny`: a change that nobody would feel, about two thousandths of what the figure is made of (assumption).
    """

    name: str
    unit: str
    tiny: float
    take: Callable[[Phases], Real]


MEASURES: dict[str, Measure] = {
    "front_bite_entry": Measure(
        "front side force in hand, braking in", "N", 2.5, lambda p: p.entry.front_left
    ),
    "front_bite_mid": Measure("front side force in hand", "N", 2.5, lambda p: p.mid.front_left),
    "front_bite_exit": Measure(
        "front side force in hand, driving out", "N", 2.5, lambda p: p.exit.front_left
    ),
    "inside_rear_lift": Measure("how early the inside rear lifts", "g", 0.004, lambda p: -p.mid.lifts_at / G),
    "rear_side_bite": Measure("rear side force in hand", "N", 2.5, lambda p: p.mid.rear_left),
    "rear_release": Measure("ease of the locked axle, driving out", "N m", 1.0, lambda p: -p.exit.resisting),
    "rear_traction": Measure("drive in hand, driving out", "N", 2.5, lambda p: p.exit.push_left),
    "braking_stability": Measure(
        "rear side force in hand, braking in", "N", 2.5, lambda p: p.entry.rear_left
    ),
    "two_wheel_calm": Measure("acceleration at which it tips", "g", 0.004, lambda p: p.mid.tips_at / G),
    "steering_ease": Measure("ease of holding the lock", "N m", 0.15, lambda p: -p.mid.effort),
}
