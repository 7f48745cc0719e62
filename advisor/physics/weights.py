"""The four corner weights of a kart on level scales. Kilograms, shares and metres."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Weights:
    """total [kg]; front, left, cross (front right and rear left): shares of it; over_minimum [kg]; cg_to_axle: from
    the rear axle forward to the centre of gravity [m]."""

    total: float
    front: float
    left: float
    cross: float
    over_minimum: float | None = None
    cg_to_axle: float | None = None


def weights(
    *,
    front_left: float,
    front_right: float,
    rear_left: float,
    rear_right: float,
    minimum: float | None = None,
    wheelbase: float | None = None,
) -> Weights:
    """Total and shares of four scale readings [kg], driver in the seat.

    minimum: what the class asks for [kg]; wheelbase [m]. Raises ValueError when nothing stands on the scales.
    T. D. Gillespie, Fundamentals of Vehicle Dynamics (1992), ch. 1; cross is named by the diagonal front right
    and rear left, and the trade uses both.
    """
    total = front_left + front_right + rear_left + rear_right
    if total <= 0:
        raise ValueError("nothing stands on the scales")
    front = (front_left + front_right) / total
    return Weights(
        total=total,
        front=front,
        left=(front_left + rear_left) / total,
        cross=(front_right + rear_left) / total,
        over_minimum=total - minimum if minimum is not None else None,
        cg_to_axle=wheelbase * front if wheelbase is not None else None,
    )
