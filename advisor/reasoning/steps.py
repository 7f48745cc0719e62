"""One sensible step of a lever from where the setup stands, and whether anything forbids it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from advisor import units
from advisor.model.advice import Amount, Target
from advisor.model.case import Case, Limit, Value
from advisor.model.knowledge import Lever
from advisor.units import Quantity


@dataclass(frozen=True, slots=True)
class Move:
    """A step worked out: its amount, what results, and the reason it cannot be done, if any."""

    amount: Amount | None = None
    to: Target | None = None
    barred: str | None = None


def move(lever: Lever, way: str, case: Case) -> Move:
    """Work out one step of a lever for a case: amount, resulting value, and the first limit it meets."""
    if lever.step is None or lever.ways[way].opposite is None:
        return Move(barred=_kit(lever, case, None))
    if lever.grades:
        return _graded(lever, way, case)
    now = case.setup.get(lever.id)
    sign = 1 if way == lever.step.raises else -1
    if lever.dimension is None:
        return _counted(lever, sign, now, case)
    step = units.parse(lever.step.amount)
    shown = _shown_in(step, now, case)
    amount = Amount(shown.value, shown.unit.name, lever.step.per)
    if not isinstance(now, Quantity) or now.dimension != step.dimension:
        # a sheet in another kind of unit, such as toe in degrees: the step stands, no result is claimed
        return Move(amount, barred=_kit(lever, case, None))
    now = now.within(shown.unit)
    to = now.plus(step, sign * lever.step.counts)
    part = _nearest_part(lever, now, sign, case)
    if part is not None:
        to = part.within(shown.unit)
    elif not lever.part:
        to = _cut(lever, to, now, case.rules.get(lever.id))
    each = abs(to.value - now.value) / (lever.step.counts if part is None else 1)
    amount = Amount(_tidy(each, shown.unit), shown.unit.name, lever.step.per)
    target = Target(_tidy(to.value, to.unit), to.unit.name, to)
    return Move(amount, target, _kit(lever, case, to) or _limits(lever, to, now, case.rules.get(lever.id)))


def _tidy(value: float, unit: units.Unit) -> float:
    """One place more than the unit is shown with: enough to set, and no noise."""
    return round(value, unit.decimals + 1)


LEAST_STEP = 0.3  # a step cut to less than this share of itself is not worth a run


def _cut(lever: Lever, to: Quantity, now: Quantity, rule: Limit | None) -> Quantity:
    """The step, cut short where a limit lies between here and there and enough of it is left."""
    bounds = [units.parse(b) for b in (lever.most, lever.least) if b]
    bounds += [b for b in (rule.most, rule.least) if isinstance(b, Quantity)] if rule else []
    low, high = min(now.si, to.si), max(now.si, to.si)
    between = [
        b for b in bounds if low < b.si < high and abs(b.si - now.si) >= LEAST_STEP * abs(to.si - now.si)
    ]
    return min(between, key=lambda b: abs(b.si - now.si)).within(now.unit) if between else to


def _nearest_part(lever: Lever, now: Quantity, sign: int, case: Case) -> Quantity | None:
    """The next length that way that is in the trailer; None where no list of parts is given, or none fits."""
    parts = (case.kit or {}).get(lever.id, ()) if lever.part else ()
    fitting = [p for p in parts if isinstance(p, Quantity) and sign * (p.si - now.si) > 1e-9]
    return min(fitting, key=lambda p: abs(p.si - now.si)) if fitting else None


def _shown_in(step: Quantity, now: Value | None, case: Case) -> Quantity:
    """The step in the unit the user prefers, else in that of the sheet. The size stays the same."""
    wish = units.find_unit(case.units.get(step.dimension, ""))
    if wish is not None and wish.dimension == step.dimension:
        return Quantity.of(step.value * step.unit.factor / wish.factor, wish)
    if isinstance(now, Quantity) and now.dimension == step.dimension:
        return Quantity.of(step.value * step.unit.factor / now.unit.factor, now.unit)
    return step


def _limits(lever: Lever, to: Quantity, now: Quantity, rule: Limit | None) -> str | None:
    if rule is not None:
        low, high = rule.least, rule.most
        if isinstance(high, Quantity) and to.si > max(high.si, now.si) + 1e-9:
            return f"the class allows at most {high.within(now.unit)}; it stands at {now}"
        if isinstance(low, Quantity) and to.si < min(low.si, now.si) - 1e-9:
            return f"the class allows no less than {low.within(now.unit)}; it stands at {now}"
    if lever.most and to.si > max(units.parse(lever.most).si, now.si) + 1e-9:
        return f"it is at its stop: {now}, and {units.parse(lever.most).within(now.unit)} is the most"
    if lever.least and to.si < min(units.parse(lever.least).si, now.si) - 1e-9:
        return f"it is at its stop: {now}, and {units.parse(lever.least).within(now.unit)} is the least"
    return None


def _kit(lever: Lever, case: Case, to: Quantity | str | None) -> str | None:
    """The part must be in the trailer, where a list of parts is given at all."""
    if not lever.part or case.kit is None:
        return None
    parts = case.kit.get(lever.id)
    if not parts:
        return f"no part for the {lever.name} is in the trailer"
    there = ", ".join(str(p) for p in parts)
    if isinstance(to, str) and to not in parts:
        return f"{to} is not in the trailer (there: {there})"
    if isinstance(to, Quantity) and not any(
        isinstance(p, Quantity) and abs(p.si - to.si) < 1e-9 for p in parts
    ):
        return f"{to} is not in the trailer (there: {there})"
    return None


def _graded(lever: Lever, way: str, case: Case) -> Move:
    amount = Amount(1, "grade")
    now = case.setup.get(lever.id)
    if not isinstance(now, str) or now not in lever.grades:
        return Move(amount, barred=_kit(lever, case, None))
    assert lever.step is not None
    place = lever.grades.index(now) + (1 if way == lever.step.raises else -1)
    if not 0 <= place < len(lever.grades):
        return Move(amount, barred=f'it is at its stop: "{now}" is the last grade that way')
    to = _next_part(lever, now, place, case)
    rule = case.rules.get(lever.id)
    if rule and rule.only and to not in rule.only:
        return Move(
            amount, Target(to, "grade"), f'the class does not allow "{to}" (allowed: {", ".join(rule.only)})'
        )
    return Move(amount, Target(to, "grade"), _kit(lever, case, to))


def _next_part(lever: Lever, now: str, place: int, case: Case) -> str:
    """The nearest grade that way; further on if only a further one is in the trailer."""
    step = 1 if place > lever.grades.index(now) else -1
    parts: Sequence[Value] = (case.kit or {}).get(lever.id, ())
    for i in range(place, len(lever.grades) if step > 0 else -1, step):
        if lever.grades[i] in parts:
            return lever.grades[i]
    return lever.grades[place]


def _counted(lever: Lever, sign: int, now: Value | None, case: Case) -> Move:
    assert lever.step is not None
    value, unit = lever.step.amount.split()
    amount = Amount(float(value), unit, lever.step.per)
    if not isinstance(now, float | int):
        return Move(amount, barred=_kit(lever, case, None) if sign > 0 else None)
    to = now + sign * float(value)
    rule = case.rules.get(lever.id)
    barred = None
    if to < 0:
        barred = f"there is none to remove: it stands at {now:g}"
    elif rule and isinstance(rule.most, float | int) and to > rule.most:
        barred = f"the class allows at most {rule.most:g}; it stands at {now:g}"
    elif rule and isinstance(rule.least, float | int) and to < rule.least:
        barred = f"the class allows no less than {rule.least:g}; it stands at {now:g}"
    elif sign > 0:
        barred = _kit(lever, case, None)
    return Move(amount, Target(to, unit), barred)
