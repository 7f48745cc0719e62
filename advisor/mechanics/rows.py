"""A figure before and after a change, with the spread of its change and the direction that this allows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

SIGNED = 0.4  # of what is felt: below it the assumptions of the model itself make the direction (assumption)
ROUNDING = 1e-6  # a wheel that hangs in the air already carries nothing before and after
LOW, HIGH = 0.05, 0.95  # of the karts lie below and above what is told as a spread
Sign = Literal["more", "less", "cannot tell", "nothing"]


@dataclass(frozen=True, slots=True)
class Row:
    """A figure before and after: what the middle kart has, and between which ends the change lies in 90 % of them.

    tiny: a change that nobody would feel; up, down: share of the karts in which it grows and shrinks by more than
    `SIGNED` of that, which is enough for a direction.
    """

    before: float
    after: float
    low: float
    middle: float
    high: float
    tiny: float = 0.0
    up: float = 0.0
    down: float = 0.0

    @property
    def sign(self) -> Sign:
        """Which way it goes in nineteen karts of twenty; "nothing" where no kart changes by what is felt."""
        if max(abs(self.low), abs(self.high)) <= self.tiny:
            return "nothing"
        if self.low > -ROUNDING:
            return "more"
        return "less" if self.high < ROUNDING else "cannot tell"
