"""Where lead goes so that the weight is split as wanted. Kilograms, shares and metres."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

Place = tuple[str, float, float]  # name; forward of the rear axle, to the left of the centre line [m]

# Where lead is usually bolted: forward of the rear axle, left of the centre line [m]. Assumptions of ours, for a
# seat whose back is 0.17 m in front of the axle; measure your own.
PLACES: tuple[Place, ...] = (
    ("seat back", 0.12, 0.0),
    ("seat left", 0.35, 0.2),
    ("seat right", 0.35, -0.2),
    ("seat front", 0.55, 0.0),
    ("floor", 0.75, 0.0),
    ("nose", 1.0, 0.0),
)
# Places that are known by name, and none that lead is put to unasked: pods come off, and rules often forbid them.
MORE_PLACES: tuple[Place, ...] = (
    ("under the seat", 0.33, 0.0),
    ("left pod", 0.5, 0.5),
    ("right pod", 0.5, -0.5),
    ("behind the axle", -0.1, 0.0),
)
CALLED = {
    "front": "nose",
    "back": "seat back",
    "rear": "behind the axle",
    "left": "seat left",
    "right": "seat right",
}
LEAST = 0.05  # [kg] what no scale tells
MOST_PIECES = 400
GAP = 5e-4  # [kg] by which the placing may miss the best one
PATIENCE = 5.0  # [s] of search; the best that was found by then is taken
# Distance from the target [kg] that one place fewer is worth, and each kilogram a wheelbase or a track nearer the
# middle: about what a scale tells (assumed), so that lead is not scattered for grams.
PLACE_COSTS = 0.1
OUT_COSTS = 0.05


@dataclass(frozen=True, slots=True)
class Ballast:
    """placing: lead by place [kg]; bolts: how many each needs; total [kg]; front, left: shares with the lead;
    front_before, left_before: without it; off_target: both distances from the target together, as a share; mass: of
    the lead [kg]; over_minimum: of the total over what the class asks for [kg]."""

    placing: Mapping[str, float]
    bolts: Mapping[str, float]
    total: float
    front: float
    left: float
    front_before: float
    left_before: float
    off_target: float
    mass: float
    over_minimum: float | None = None


def ballast(
    *,
    front_left: float,
    front_right: float,
    rear_left: float,
    rear_right: float,
    mass: float | None = None,
    minimum: float | None = None,
    places: Sequence[Place] = PLACES,
    wheelbase: float,
    track: float,
    target_front: float,
    target_left: float,
    piece: float,
    place_limit: float,
    per_bolt: float,
) -> Ballast:
    """The placing of lead that comes nearest to the wanted shares of front and left.

    mass: of the lead [kg], or what lacks to `minimum`, which the class asks for [kg]. Corner weights without the lead,
    driver in [kg]; places: name, forward of the rear axle, left of the centre line [m]; wheelbase, track (mean of both
    axles, centre to centre) [m]; target_front, target_left: shares; piece: the lead comes in pieces of about this [kg];
    place_limit: most in one place [kg]; per_bolt: most on one bolt [kg]. Raises ValueError where the places cannot take
    the lead, or none is needed.

    Moments: T. D. Gillespie, Fundamentals of Vehicle Dynamics (1992), ch. 1, both tracks taken as their mean. The
    sum of both distances is least, and places are few and near the middle (PLACE_COSTS, OUT_COSTS): a
    mixed-integer linear problem (L. A. Wolsey, Integer Programming, 1998, ch. 1) for scipy's HiGHS.
    """
    kart, front, left = (
        front_left + front_right + rear_left + rear_right,
        front_left + front_right,
        front_left + rear_left,
    )
    if kart <= 0:
        raise ValueError("nothing stands on the scales")
    mass = mass if mass is not None else _lacking(kart, minimum)
    arms = {name: (x / wheelbase, 0.5 + y / track) for name, x, y in places}
    total = kart + mass
    short = (target_front * total - front, target_left * total - left)
    lead = _lead(mass, piece, place_limit, arms, short)
    more = [sum(kg * arms[name][axis] for name, kg in lead.items()) for axis in (0, 1)]
    shares = (front + more[0]) / total, (left + more[1]) / total
    return Ballast(
        placing=lead,
        bolts={name: float(bolts(kg, per_bolt)) for name, kg in lead.items()},
        total=total,
        front=shares[0],
        left=shares[1],
        front_before=front / kart,
        left_before=left / kart,
        off_target=abs(shares[0] - target_front) + abs(shares[1] - target_left),
        mass=mass,
        over_minimum=total - minimum if minimum is not None else None,
    )


def _lacking(kart: float, minimum: float | None) -> float:
    """What a kart lacks to the least weight of its class [kg]."""
    if minimum is None:
        raise ValueError("give mass, or minimum: what the class asks for")
    if kart >= minimum - LEAST:
        raise ValueError(f"no lead is needed: the kart is {kart - minimum:.1f} kg over minimum")
    return minimum - kart


def _lead(
    mass: float,
    piece: float,
    place_limit: float,
    arms: Mapping[str, tuple[float, float]],
    short: tuple[float, float],
) -> dict[str, float]:
    """Lead by place [kg], in equal pieces of about `piece` [kg]."""
    pieces = max(1, round(mass / piece))
    if pieces > MOST_PIECES:
        raise ValueError(f"that would be {pieces} pieces of lead: take a larger piece")
    each = mass / pieces
    most = math.floor(place_limit / each + 1e-9)
    counts = placed(arms=list(arms.values()), short=short, pieces=pieces, each=each, most=most)
    return {name: n * each for name, n in zip(arms, counts, strict=True) if n}


def bolts(mass: float, per_bolt: float) -> int:
    """Bolts for a block of `mass` [kg], at most `per_bolt` [kg] on each; the federations differ, so it is a setting."""
    return max(1, math.ceil(mass / per_bolt - 1e-9))


def placed(
    *,
    arms: Sequence[tuple[float, float]],
    short: tuple[float, float],
    pieces: int,
    each: float,
    most: int,
) -> list[int]:
    """How many pieces go to each place, so that the two sums come nearest to `short`.

    arms: share of a piece that goes to the front and to the left, by place; short: what front and left lack
    [kg]; each: mass of a piece [kg]; most: pieces that one place takes. Raises ValueError where they do not fit.
    Fewer places, and nearer to the middle, win where the distances are alike.
    """
    if most * len(arms) < pieces:
        room = most * len(arms) * each
        raise ValueError(
            f"the places take {room:g} kg in pieces of {each:.2g} kg, within place_limit: "
            "name more places, or raise place_limit if your class allows it"
        )
    counts = _solved(arms, short, pieces, each, most)
    if counts is None:
        raise ValueError("no placing was found in time: take larger pieces or fewer places")
    return counts


def _solved(
    arms: Sequence[tuple[float, float]], short: tuple[float, float], pieces: int, each: float, most: int
) -> list[int] | None:
    """The mixed-integer problem of `placed`.

    Unknowns: pieces by place; whether a place is used; distance of front and of left; and one that is always 1, so
    that the solver's relative gap is one of GAP kilograms.
    """
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    n = len(arms)
    weights = each * np.array(arms)  # kg that a piece gives to front and left
    out = np.abs(np.array(arms) - 0.5).sum(axis=1)
    used = np.hstack([np.eye(n), -most * np.eye(n), np.zeros((n, 3))])
    near = np.vstack([_distance(weights[:, axis], axis, sign) for axis in (0, 1) for sign in (1, -1)])
    whole = np.concatenate([np.ones(n), np.zeros(n + 3)])
    lack = [-sign * short[axis] for axis in (0, 1) for sign in (1, -1)]
    found = milp(
        c=np.concatenate([OUT_COSTS * each * out, np.full(n, PLACE_COSTS), np.ones(3)]),
        constraints=[
            LinearConstraint(whole, pieces, pieces),
            LinearConstraint(near, lack, np.inf),
            LinearConstraint(used, -np.inf, 0),
        ],
        integrality=np.concatenate([np.ones(2 * n), np.zeros(3)]),
        bounds=Bounds([0] * (2 * n + 2) + [1], [most] * n + [1] * n + [np.inf, np.inf, 1]),
        options={"mip_rel_gap": GAP, "time_limit": PATIENCE},
    )
    return None if found.x is None else [round(value) for value in found.x[:n]]


def _distance(weights: Any, axis: int, sign: int) -> Any:
    """A row that says: the distance on this axis is at least sign x (what is lacking - what the lead gives)."""
    gap = [1.0 if axis == i else 0.0 for i in (0, 1)]
    return [*(-sign * weights), *([0.0] * len(weights)), *gap, 0.0]
