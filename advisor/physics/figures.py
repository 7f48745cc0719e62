"""The figures that make a kart: what is usual, between which ends they lie, and where they come from. SI, radians.

Nothing but geometry and masses of a kart is well published, so every result is to be told with the spread that these
ranges give it. Nothing here needs arrays.
"""

from __future__ import annotations

from dataclasses import dataclass

from advisor.physics.elements import DEGREE, membrane_rate, tube_stiffness


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure of a kart: `usual` and the ends of its range in SI, and where they come from."""

    usual: float
    low: float
    high: float
    source: str


ASSUMED = "assumption"
# Radial rates of the tyres [N/m] at the pressures of FRONT_AIR and REAR_AIR [Pa], by tread, radius and static load.
FRONT_AIR, REAR_AIR = 75e3, 85e3
FRONT_RATE = membrane_rate(FRONT_AIR, 0.110, 0.140, 360.0)
REAR_RATE = membrane_rate(REAR_AIR, 0.180, 0.1475, 498.0)
AXLE = tube_stiffness(0.050, 0.002)  # E I of the rear axle [N m2]
FIGURES: dict[str, Figure] = {
    # Kart and driver [kg]: federations ask for 150 to 175 in 125 cc classes (international karting rules, 2025).
    "mass": Figure(165.0, 150.0, 180.0, "federation minimums of 150 to 175 kg"),
    # [m]: 1.01 to 1.07 without gearbox (a national federation's rules, 2026; the upper end from memory).
    "wheelbase": Figure(1.05, 1.01, 1.07, "competition rules"),
    # Of the weight on the front wheels: 43/57 and 40 to 45 % are told as starting points by clubs.
    "front_share": Figure(0.43, 0.40, 0.45, "club guides to scaling"),
    # Centre of gravity towards the inner wheels [m]: engine and driver seldom balance exactly.
    "offset": Figure(0.0, -0.015, 0.015, ASSUMED),
    # Height of the centre of gravity [m]: no measured value was found.
    "height": Figure(0.25, 0.21, 0.30, ASSUMED),
    # Between the middles of the wheels [m].
    "front_track": Figure(1.08, 1.02, 1.15, ASSUMED),
    "rear_track": Figure(1.17, 1.13, 1.19, "overall width of at most 1.40 m less the tyre, an assumption"),
    # Radial rate of a tyre [N/m]: membrane estimate at 0.75 and 0.85 bar, a third either way.
    "front_rate": Figure(
        FRONT_RATE, 0.7 * FRONT_RATE, 1.35 * FRONT_RATE, "derived from the air alone; " + ASSUMED
    ),
    "rear_rate": Figure(
        REAR_RATE, 0.7 * REAR_RATE, 1.35 * REAR_RATE, "derived from the air alone; " + ASSUMED
    ),
    # E I of the rear axle [N m2]: a steel tube of 50 mm (the most that rules allow) with a wall of 1.5 to 2.5 mm.
    "axle_stiffness": Figure(
        AXLE,
        tube_stiffness(0.050, 0.0015),
        tube_stiffness(0.050, 0.0025),
        "steel tube of 50 mm by 2 mm; wall " + ASSUMED,
    ),
    "bearing_span": Figure(0.66, 0.60, 0.72, ASSUMED),  # between the outer bearings [m]
    "hub_grip": Figure(
        0.05, 0.03, 0.07, ASSUMED
    ),  # tube that the hub holds stiff, inwards of the wheel's middle [m]
    # Torsion of the whole frame [N m/rad]: 193.6 N m/degree for a bare frame, 165 to 253 with more or less in it
    # (Liang, Yu & Wu, A study on torsional stiffness of the competition go-kart frame, 2007; second-hand).
    "frame": Figure(193.6 / DEGREE, 160 / DEGREE, 253 / DEGREE, "Liang, Yu & Wu 2007, second-hand"),
    "caster": Figure(15 * DEGREE, 12 * DEGREE, 19 * DEGREE, "frames are told with 12 to 19 degrees"),
    "inclination": Figure(
        11 * DEGREE, 10 * DEGREE, 12 * DEGREE, "king-pins lean 10 to 12 degrees, two guides"
    ),
    "arm": Figure(0.090, 0.075, 0.110, ASSUMED),  # king-pin to wheel middle, at the spindle [m]
    "wheel_radius": Figure(0.128, 0.124, 0.140, "front wheel, from memory"),
    "ackermann": Figure(0.8, 0.4, 1.2, ASSUMED),
    "driver_share": Figure(0.42, 0.36, 0.48, ASSUMED),  # of the mass
    "toe": Figure(0.0, -0.004, 0.008, ASSUMED),  # toe-out of both wheels [rad]
    # Load of the outer front and inner rear over the others' in equal karts [share of the weight].
    "cross": Figure(0.0, -0.01, 0.01, "equal diagonals on the scales; the rest " + ASSUMED),
    "stagger": Figure(
        0.0, 0.0, 0.0, "nought on a road course"
    ),  # outer rear's circumference over the inner's [m]
    "brake_front": Figure(0.0, 0.0, 0.0, "most karts brake on the rear axle alone"),
    "friction": Figure(1.6, 1.3, 1.9, ASSUMED),  # at the nominal load, dry
    "exponent": Figure(0.85, 0.75, 0.95, "0.7 to 0.9 for car tyres; " + ASSUMED),
    # Loads at which both tyres have that friction [N]: the usual static ones, so that size suits the load.
    "front_nominal": Figure(350.0, 350.0, 350.0, ASSUMED),
    "rear_nominal": Figure(460.0, 460.0, 460.0, ASSUMED),
    "full_slip": Figure(0.14, 0.10, 0.18, "car tyres peak at 6 degrees; " + ASSUMED),
    "radius": Figure(15.0, 9.0, 28.0, ASSUMED),  # of the path of the kart [m]
    "effort": Figure(0.95, 0.90, 0.99, ASSUMED),  # of what the end holds that gives up first, in mid-corner
    "braking": Figure(0.35, 0.2, 0.5, ASSUMED),  # on the way in [g]
    "driving": Figure(0.20, 0.1, 0.3, ASSUMED),  # on the way out [g]
}
# What a child's kart has instead; "common practice, no source" but for the widths that its guides tell.
SMALL: dict[str, Figure] = {
    "mass": Figure(105.0, 90.0, 120.0, "common practice, no source"),
    "wheelbase": Figure(0.95, 0.90, 0.99, "common practice, no source"),
    "height": Figure(0.24, 0.20, 0.29, ASSUMED),
    "front_track": Figure(0.93, 0.88, 0.98, ASSUMED),
    "rear_track": Figure(0.94, 0.88, 0.98, "about 1.10 m outside to outside, less the tyre"),
    "bearing_span": Figure(0.56, 0.50, 0.62, ASSUMED),
    "axle_stiffness": Figure(5.0e3, 3.0e3, 9.0e3, "solid bar or thin tube of 25 to 30 mm, " + ASSUMED),
    "front_nominal": Figure(225.0, 225.0, 225.0, ASSUMED),
    "rear_nominal": Figure(290.0, 290.0, 290.0, ASSUMED),
    "friction": Figure(1.4, 1.1, 1.7, ASSUMED),
}
UNITS = {
    "mass": "kg",
    **dict.fromkeys(("wheelbase", "offset", "height", "front_track", "rear_track"), "m"),
    **dict.fromkeys(("bearing_span", "hub_grip", "arm", "wheel_radius", "stagger", "radius"), "m"),
    **dict.fromkeys(("front_rate", "rear_rate"), "N/m"),
    **dict.fromkeys(("front_nominal", "rear_nominal"), "N"),
    "axle_stiffness": "N m2",
    "frame": "N m/rad",
    **dict.fromkeys(("caster", "inclination", "toe"), "rad"),
    **dict.fromkeys(("braking", "driving"), "g"),
}  # of the figures; the others are shares
