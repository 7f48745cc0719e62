"""Gravity, the stiffness of a tube and the rate of a tyre: what the figures of a kart are made of. SI, no arrays."""

from __future__ import annotations

import math

G = 9.80665  # [m/s2] standard gravity, exact by definition (BIPM, SI brochure)
DEGREE = math.pi / 180  # [rad]


def tube_stiffness(outside: float, wall: float, modulus: float = 206e9) -> float:
    """E I of a round tube [N m2]; outside diameter and wall [m], modulus [Pa], steel where left out."""
    return modulus * math.pi / 64 * (outside**4 - (outside - 2 * wall) ** 4)


def membrane_rate(pressure: float, width: float, radius: float, load: float) -> float:
    """Radial rate of a tyre that only its air holds up [N/m].

    pressure: gauge [Pa]; width of the tread [m]; radius [m]; load [N]. From F = 2 p w sqrt(2 R d):
    k = 4 p^2 w^2 R / F. A derivation that leaves out the carcass, not a measurement: no measured rate of a kart
    tyre was found.
    """
    return 4 * pressure**2 * width**2 * radius / load
