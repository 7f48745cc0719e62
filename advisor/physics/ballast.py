"""Where lead goes so that the weight is split as wanted. Kilograms, shares and metres."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

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
PLACE_COSTS = 1e-3  # [kg] of distance from the target that one place fewer is worth: only to settle ties


@dataclass(frozen=True, slots=True)
class Ballast:
    """placing: lead by place [kg]; bolts: how many each needs; total [kg]; front, left: shares with the lead;
    front_before, left_before: without it; off_target: both distances from the target together, as a share."""

    placing: Mapping[str, float]
    bolts: Mapping[str, float]
    total: float
    front: float
    left: float
    front_before: float
    left_before: float
    off_target: float


def ballast(
    *,
    front_left: float,
    front_right: float,
    rear_left: float,
    rear_right: float,
    mass: float,
    places: Sequence[Place] = PLACES,
    wheelbase: float,
    track: float,
    target_front: float,
    target_left: float,
    piece: float,
    place_limit: float,
    per_bolt: float,
) -> Ballast:
    """The placing of `mass` [kg] that comes nearest to the wanted shares of front and left.

    Corner weights without the lead, driver in [kg]; places: name, forward of the rear axle, left of the centre
    line [m]; wheelbase, track (mean of both axles, centre to centre) [m]; target_front, target_left: shares; piece:
    the lead comes in pieces of about this [kg]; place_limit: most in one place [kg]; per_bolt: most on one bolt
    [kg]. Raises ValueError where the places cannot take the lead.

    Moments: T. D. Gillespie, Fundamentals of Vehicle Dynamics (1992), ch. 1, both tracks taken as their mean. The
    sum of both distances is least: a mixed-integer linear problem (L. A. Wolsey, Integer Programming, 1998,
    ch. 1), solved exactly by scipy's HiGHS.
    """
    corners = (front_left, front_right, rear_left, rear_right)
    kart = sum(corners)
    pieces = max(1, round(mass / piece))
    each = mass / pieces
    counts = placed(
        arms=[(x / wheelbase, 0.5 + y / track) for _, x, y in places],
        short=(
            target_front * (kart + mass) - front_left - front_right,
            target_left * (kart + mass) - front_left - rear_left,
        ),
        pieces=pieces,
        each=each,
        most=math.floor(place_limit / each + 1e-9),
    )
    lead = {name: n * each for (name, *_), n in zip(places, counts, strict=True) if n}
    front = front_left + front_right + sum(lead.get(n, 0) * x / wheelbase for n, x, _ in places)
    left = front_left + rear_left + sum(lead.get(n, 0) * (0.5 + y / track) for n, _, y in places)
    total = kart + mass
    return Ballast(
        placing=lead,
        bolts={name: float(bolts(m, per_bolt)) for name, m in lead.items()},
        total=total,
        front=front / total,
        left=left / total,
        front_before=(front_left + front_right) / kart,
        left_before=(front_left + rear_left) / kart,
        off_target=abs(front / total - target_front) + abs(left / total - target_left),
    )


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
    Fewer places win a tie.
    """
    if most * len(arms) < pieces:
        room = most * len(arms) * each
        raise ValueError(
            f"the places take {room:g} kg in pieces of {each:.2g} kg, within place_limit: "
            "name more places, or raise place_limit if your class allows it"
        )
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    n = len(arms)  # unknowns: pieces by place, whether a place is used, distance of front and of left
    rows = [[1.0] * n + [0.0] * (n + 2)]
    low, high = [float(pieces)], [float(pieces)]
    for axis in (0, 1):
        for sign in (1, -1):
            gap = [1.0 if axis == i else 0.0 for i in (0, 1)]
            rows.append([sign * -each * arm[axis] for arm in arms] + [0.0] * n + gap)
            low.append(-sign * short[axis])
            high.append(np.inf)
    for i in range(n):
        rows.append(
            [float(i == j) for j in range(n)] + [-float(most) * (i == j) for j in range(n)] + [0.0, 0.0]
        )
        low.append(-np.inf)
        high.append(0.0)
    found = milp(
        c=[0.0] * n + [PLACE_COSTS] * n + [1.0, 1.0],
        constraints=LinearConstraint(np.array(rows), low, high),
        integrality=[1] * (2 * n) + [0, 0],
        bounds=Bounds([0.0] * (2 * n + 2), [float(most)] * n + [1.0] * n + [np.inf] * 2),
        options={"mip_rel_gap": 0.0},
    )
    if found.x is None:
        raise ValueError("no placing was found within the time")
    return [round(value) for value in found.x[:n]]
