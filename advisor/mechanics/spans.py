"""A change of a figure as people read it: its name, its unit, and both ends of its spread."""

from __future__ import annotations

import math
from dataclasses import dataclass

from advisor.mechanics.rows import Row
from advisor.physics.elements import G

TOP = 2  # figures that are told of a change: the model knows no more


@dataclass(frozen=True, slots=True)
class Words:
    """How a figure is told: its name, unit, what a newton or a metre is divided by, and the words for more and less."""

    name: str
    unit: str
    part: float = 1.0
    more: str = "more"
    less: str = "less"


WORDS: dict[str, Words] = {
    "front_inner": Words("inside front carries", "kg", G),
    "front_outer": Words("outside front carries", "kg", G),
    "rear_inner": Words("inside rear carries", "kg", G),
    "rear_outer": Words("outside rear carries", "kg", G),
    "height": Words("inside rear above the ground", "mm", 1.0, "higher", "lower"),
    "steer": Words("turn of the front wheels", "deg"),
    "lifts_at": Words("inside rear lifts at", "g", 1.0, "later", "earlier"),
    "tips_at": Words("tips on to two wheels at", "g", 1.0, "later", "earlier"),
    "resisting": Words("locked axle resists the turn by", "N m"),
    "drag": Words("locked axle drags by", "kg", G),
    "front_left": Words("front, side force in hand", "kg", G),
    "rear_left": Words("rear, side force in hand", "kg", G),
    "balance": Words("front uses more of its grip than the rear by", "points"),
}
TOLD = (
    "rear_inner",
    "lifts_at",
    "steer",
    "resisting",
    "drag",
    "front_left",
    "rear_left",
    "balance",
    "tips_at",
)


def figure(value: float) -> str:
    """Two figures of a number, never more than a person could use; "0" for what rounds to nothing."""
    text = f"{value:.{TOP}g}" if abs(value) < 10 else f"{value:.0f}"
    if "e" in text:
        return "0"
    return "0" if float(text) == 0 else text


def stands(words: Words, value: float) -> str:
    """A figure as it stands: "17.4 kg"."""
    value /= words.part
    places = 2 if words.unit == "g" else 1 if abs(value) < 100 else 0
    return f"{value:.{places}f} {words.unit}"


def span(words: Words, row: Row) -> str:
    """The change of a figure: "0.1 to 0.3 kg less", "cannot tell (...)" or "no change that is felt"."""
    low, high = row.low / words.part, row.high / words.part
    sign = row.sign
    if sign == "nothing":
        return "no change that you would feel"
    if sign == "more":
        return f"{_range(low, high)} {words.unit} {words.more}"
    if sign == "less":
        return f"{_range(-high, -low)} {words.unit} {words.less}"
    return f"cannot tell ({either(words, row)})"


def either(words: Words, row: Row) -> str:
    """Both ends of a spread that straddles nothing."""
    low, high = (max(0.0, end) / words.part for end in (-row.low, row.high))
    places = _places(max(low, high))
    return (
        f"{_least(low, places)} {words.unit} {words.less} to {_least(high, places)} {words.unit} {words.more}"
    )


def _least(value: float, places: int) -> str:
    """A number as finely as its larger neighbour deserves; what rounds to nothing is no more than the last place."""
    text = f"{max(value, 10.0**-places if value > 0 else 0.0):.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _places(most: float) -> int:
    return max(0, TOP - 1 - math.floor(math.log10(most))) if most > 0 else 0


def _range(low: float, high: float) -> str:
    """Two ends, smaller first, as finely as the larger one deserves: "0.25 to 0.98", "up to 0.1"."""
    places = _places(high)
    small, large = f"{low:.{places}f}", f"{high:.{places}f}"
    if float(small) <= 0:
        return f"up to {large}"
    return large if small == large else f"{small} to {large}"
