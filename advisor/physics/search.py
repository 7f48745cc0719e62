"""Where functions of many karts cross nought, all at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]
LEAST = 1e-9  # apart by less than this the ends are taken to have met


def crossing(
    over: Callable[[Real], Real], low: Real, high: Real, at_low: Real, at_high: Real, rounds: int
) -> Real:
    """Where a rising function crosses nought between `low` and `high`, for each element by itself.

    at_low, at_high: its values there. An element that is still below nought at `high` gives `high`. False position by
    the Illinois rule (Dowell & Jarratt, BIT 11, 1971, from memory): an end that stays is counted half.
    """
    side = 0.0 * at_low
    beyond = at_high <= 0
    for _ in range(rounds):
        place = _between(low, high, at_low, at_high, beyond)
        now = over(place)
        below = now < 0
        at_high = np.where(below, np.where(side < 0, 0.5 * at_high, at_high), now)
        at_low = np.where(below, now, np.where(side > 0, 0.5 * at_low, at_low))
        low, high = np.where(below, place, low), np.where(below, high, place)
        side = np.where(below, -1.0, 1.0)
    return _between(low, high, at_low, at_high, beyond)


def _between(low: Real, high: Real, at_low: Real, at_high: Real, beyond: NDArray[np.bool_]) -> Real:
    apart = at_high - at_low
    place = np.where(apart > LEAST, low - at_low * (high - low) / np.maximum(apart, LEAST), high)
    return np.where(beyond, high, np.clip(place, low, high))
