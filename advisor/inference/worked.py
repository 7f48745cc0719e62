"""What follows from the figures of a kart and a day, as facts that observations can be read from.

Paths, beside those of the case itself: `setup.corner_weights.diagonal_more` (front right with rear left over the other
diagonal) and `.diagonal_less`; `setup.LEVER.sides_apart` (left and right of one setting); `setup.gearing.revs`
(`at_limit`, `below` or `far_below`); `setup.tyre_pressure_front.hot` and `_rear.hot` (what the air comes to as the
tyre warms).
"""

from __future__ import annotations

from collections.abc import Iterator

from advisor import units
from advisor.model.case import Case
from advisor.physics.pressure import warmed
from advisor.units import Quantity

AT_LIMIT = 0.99  # of the rev limit: nearer than that, a rev counter cannot tell (common practice, no source)
FAR_BELOW = 0.93  # of it: what a kart on the right sprocket does not stay under on the straight (ours)
AMBIENT = 101_325.0  # [Pa] standard atmosphere (ISO 2533:1975): a kart file tells no barometer
Fact = tuple[str, Quantity | str]
DIMENSIONS = {
    "setup.corner_weights.diagonal_more": "mass",
    "setup.corner_weights.diagonal_less": "mass",
    "setup.tyre_pressure_front.hot": "pressure",
    "setup.tyre_pressure_rear.hot": "pressure",
}
REVS, SIDES = ("at_limit", "below", "far_below"), ("differ", "alike")
WORDS = {"setup.gearing.revs": REVS}
APART = ".sides_apart"  # after the path of a lever


def worked_out(case: Case) -> Iterator[Fact]:
    """Path and value of everything that the figures of the case give; nothing where they are not told."""
    yield from _diagonals(case)
    yield from _revs(case)
    yield from _sides(case)
    for end in ("front", "rear"):
        yield from _hot(case, end)


def _diagonals(case: Case) -> Iterator[Fact]:
    """The diagonals against each other, driver in the seat, in the unit of the scales."""
    loads = {
        corner: load for corner, load in case.pieces.get("corner_weights", ()) if isinstance(load, Quantity)
    }
    if len(loads) < 4 or min(load.si for load in loads.values()) <= 0:
        return
    unit = loads["front left"].unit
    one, other = (
        loads["front right"].si + loads["rear left"].si,
        loads["front left"].si + loads["rear right"].si,
    )
    yield "setup.corner_weights.diagonal_more", Quantity(one - other, unit)
    yield "setup.corner_weights.diagonal_less", Quantity(other - one, unit)


def _revs(case: Case) -> Iterator[Fact]:
    """The most revs on the straight against the limit of the engine."""
    drive = dict(case.pieces.get("gearing", ()))
    revs, limit = drive.get("rpm"), drive.get("limit")
    if isinstance(revs, int | float) and isinstance(limit, int | float) and limit > 0:
        yield "setup.gearing.revs", REVS[(revs < AT_LIMIT * limit) + (revs < FAR_BELOW * limit)]


def _sides(case: Case) -> Iterator[Fact]:
    """By how much left and right of one setting differ."""
    for lever, pieces in case.pieces.items():
        sides = dict(pieces)
        left, right = sides.get("left"), sides.get("right")
        if isinstance(left, Quantity) and isinstance(right, Quantity) and left.dimension == right.dimension:
            yield f"setup.{lever}{APART}", Quantity(abs(left.si - right.si), left.unit)
        elif isinstance(left, str) and isinstance(right, str):
            yield f"setup.{lever}{APART}", SIDES[left == right]


def _hot(case: Case, end: str) -> Iterator[Fact]:
    """The pressure that a cold one comes to at the temperature inside the tyre; set at the temperature of the air."""
    cold, at = case.setup.get(f"tyre_pressure_{end}"), case.conditions.get("air_temperature")
    to = case.conditions.get(f"tyre_temperature.{end}") or case.conditions.get("tyre_temperature")
    if at is None or to is None or not isinstance(cold, Quantity) or cold.dimension != "pressure":
        return
    hot = warmed(cold.si, at.si, to.si, AMBIENT)
    if hot > 0:
        unit = units.find_unit(case.units.get("pressure", "")) or cold.unit
        yield f"setup.tyre_pressure_{end}.hot", Quantity(hot, unit)
