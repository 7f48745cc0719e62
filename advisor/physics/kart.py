"""A kart with its driver as the model has it, of `figures`; `sample` draws many karts at once. SI, radians."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from advisor.physics.figures import FIGURES, Figure

Real = NDArray[np.float64]
Number = Real | float


@dataclass(frozen=True, slots=True)
class Kart:
    """A kart with its driver in one corner, every figure a number or an array of as many karts; see `FIGURES`."""

    mass: Number
    driver_share: Number
    wheelbase: Number
    front_share: Number
    offset: Number
    height: Number
    front_track: Number
    rear_track: Number
    front_rate: Number
    rear_rate: Number
    axle_stiffness: Number
    bearing_span: Number
    hub_grip: Number
    frame: Number
    caster: Number
    inclination: Number
    arm: Number
    wheel_radius: Number
    ackermann: Number
    toe: Number
    cross: Number
    stagger: Number
    brake_front: Number
    friction: Number
    exponent: Number
    front_nominal: Number
    rear_nominal: Number
    full_slip: Number
    radius: Number
    effort: Number
    braking: Number
    driving: Number


NAMES = tuple(f.name for f in fields(Kart))


def usual(figures: Mapping[str, Figure] | None = None) -> Kart:
    """The kart of the usual figures; `figures` replace some of them."""
    known = {**FIGURES, **(figures or {})}
    return Kart(**{name: known[name].usual for name in NAMES})


def sample(size: int, figures: Mapping[str, Figure] | None = None) -> Kart:
    """As many karts as `size` that fill the ranges evenly, as arrays; half on either side of each usual figure."""
    known = {**FIGURES, **(figures or {})}
    return Kart(**{name: drawn(size, place, known[name]) for place, name in enumerate(NAMES)})


def drawn(size: int, place: int, figure: Figure) -> Real:
    """As many values of a figure as `size`, that fill its range evenly and go with no other `place`.

    No chance is in it: the values are the broken parts of i times the root of a prime number, another one for each
    place (R. D. Richtmyer, The evaluation of definite integrals, Los Alamos report LA-1342, 1951; from memory).
    """
    part = (np.arange(1, size + 1) * np.sqrt(_primes(place + 1)[place])) % 1.0
    below = figure.low + 2 * part * (figure.usual - figure.low)
    above = figure.usual + (2 * part - 1) * (figure.high - figure.usual)
    return np.asarray(np.where(part < 0.5, below, above), dtype=np.float64)


@lru_cache
def _primes(many: int) -> tuple[int, ...]:
    found: list[int] = []
    number = 2
    while len(found) < many:
        if all(number % p for p in found):
            found.append(number)
        number += 1
    return tuple(found)
