"""How far an advised change would turn a lever, worked out from the sheet alone, and what it would run into."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.model.advice import Advice
from advisor.model.case import Case, Limit, Value
from advisor.model.levers import Lever
from advisor.units import UNITS, Quantity, parse
from tests.properties.random_cases import lever

NEAR = 1e-9  # of the SI unit
BOTH_ENDS = "tyre_pressure"
ENDS = ("tyre_pressure_front", "tyre_pressure_rear")


def sign(advice: Advice) -> int:
    """+1 when the way raises the value on the sheet, -1 when it lowers it, 0 where there is no step."""
    entry = lever(advice.lever)
    if entry.step is None or entry.ways[advice.direction].opposite is None:
        return 0
    return 1 if advice.direction == entry.step.raises else -1


def number(value: object, like: Value) -> float | None:
    """A value of the same kind as `like`, as a number; None where the two cannot be compared."""
    if isinstance(value, Quantity) and isinstance(like, Quantity):
        return value.si if value.dimension == like.dimension else None
    counted = isinstance(value, int | float) and isinstance(like, int | float)
    return float(value) if counted else None  # type: ignore[arg-type]


def target(case: Case, advice: Advice) -> Value | None:
    """Where the lever comes to stand, as the answer has it: a quantity, a grade or a count."""
    if advice.to is None:
        return None
    return advice.to.si or advice.to.value


def bounds(entry: Lever, rule: Limit | None) -> Iterator[tuple[int, Value]]:
    """Every limit of a lever, mechanical and of the class: +1 for a most, -1 for a least."""
    if rule is not None:
        yield from ((s, b) for s, b in ((1, rule.most), (-1, rule.least)) if b is not None)
    yield from ((s, parse(t)) for s, t in ((1, entry.most), (-1, entry.least)) if t is not None)


def past(case: Case, advice: Advice) -> list[str]:
    """Every limit that a change would cross, or leave further behind."""
    entry, now, way = lever(advice.lever), case.setup.get(advice.lever), sign(advice)
    if now is None or not way:
        return []
    crossed = list(_past_grades(case, advice, entry, now, way))
    for side, bound in bounds(entry, case.rules.get(entry.id)):
        here, edge = number(now, bound), number(bound, bound)
        if side != way or here is None or edge is None:
            continue
        there = number(target(case, advice), bound)
        # without a result, any step from the limit on goes past it
        outside = (there - edge) * way > NEAR if there is not None else (here - edge) * way > -NEAR
        if outside:
            crossed.append(f"{entry.id}: {now} to {target(case, advice)}, past {bound}")
    return crossed


def _past_grades(case: Case, advice: Advice, entry: Lever, now: Value, way: int) -> Iterator[str]:
    if now not in entry.grades:
        return
    place, to = entry.grades.index(str(now)), target(case, advice)
    if place == (len(entry.grades) - 1 if way > 0 else 0):
        yield f"{entry.id}: nothing lies beyond {now}"
    elif to not in entry.grades or (entry.grades.index(str(to)) - place) * way < 1:
        yield f"{entry.id}: {advice.direction} from {now} does not lead to {to}"
    rule = case.rules.get(entry.id)
    if rule is not None and rule.only and to not in rule.only:
        yield f"{entry.id}: the class does not allow {to}"


def past_an_end(case: Case, advice: Advice) -> list[str]:
    """Limits of one end that a change of all four pressures would cross."""
    if advice.lever != BOTH_ENDS:
        return []
    step = sign(advice) * parse(_amount(lever(BOTH_ENDS))).si
    crossed = []
    for end in ENDS:
        now = case.setup.get(end)
        for side, bound in bounds(lever(end), case.rules.get(end)):
            here, edge = number(now, bound), number(bound, bound)
            if here is None or edge is None or side * step < 0:
                continue
            if (here + step - edge) * side > NEAR:
                crossed.append(f"{end}: {now} would go past {bound}")
    return crossed


def _amount(entry: Lever) -> str:
    assert entry.step is not None
    return entry.step.amount


def needs_part(case: Case, advice: Advice) -> bool:
    """Whether something from the trailer goes onto the kart: taking off a bar or a stay needs nothing."""
    entry = lever(advice.lever)
    if not entry.part or (advice.lever, advice.direction) in (("tyres", "warm"), ("tyres", "scrub")):
        return False
    return not (advice.direction == "remove" and target(case, advice) in ("none", None)) and not (
        entry.id == "seat_stays" and advice.direction == "remove"
    )


def missing_part(case: Case, advice: Advice) -> bool:
    """Whether a change needs a part that a given list of parts does not hold."""
    if case.kit is None or not needs_part(case, advice):
        return False
    if advice.lever == "tyres" and advice.lever not in case.kit:
        return False  # a list of chassis parts says nothing of the tyres
    parts, to = case.kit.get(advice.lever, ()), target(case, advice)
    if isinstance(to, Quantity):
        return not any(abs(p.si - to.si) < NEAR for p in parts if isinstance(p, Quantity))
    if isinstance(to, str):
        return to not in parts
    if advice.lever == "tyres" and advice.direction in ("slicks", "wets"):
        return advice.direction.removesuffix("s") not in parts
    return not any(parts)  # an empty list, or none of them left


def step_in_si(advice: Advice) -> float:
    """The amount of an advice in the SI unit of its dimension; steps are differences."""
    assert advice.amount is not None
    return advice.amount.value * UNITS[advice.amount.unit].factor


def grain(unit: str) -> float:
    """How far a figure that is told may lie from the exact one, in SI: half of one place more than is printed."""
    return 0.5 * 10.0 ** -(UNITS[unit].decimals + 1) * UNITS[unit].factor * (1 + 1e-6)
