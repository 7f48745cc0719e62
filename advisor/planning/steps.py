"""One sensible step of a lever from where the setup stands, and whether anything forbids it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from advisor import units
from advisor.model import assumed, conditions
from advisor.model.advice import Amount, Target
from advisor.model.case import Case, Limit, Value
from advisor.model.knowledge import Book
from advisor.model.levers import Guide, Lever
from advisor.planning.sizes import USUAL, Size
from advisor.units import Quantity


@dataclass(frozen=True, slots=True)
class Move:
    """A step worked out: its amount, what results, and the reason it cannot be done, if any.

    `guide`: the window of the trade for this kart and day, where there is one. `parts`: for a lever that turns
    others, what each of them that stands on the sheet comes to. `size`: how strong a step is on this kart.
    `inward`: the value stands outside of its window, and this brings it in.
    """

    amount: Amount | None = None
    to: Target | None = None
    barred: str | None = None
    guide: Guide | None = None
    parts: tuple[str, ...] = ()
    size: Size = USUAL
    inward: bool = False


def move(book: Book, lever: Lever, way: str, case: Case, facts: conditions.Facts, size: Size = USUAL) -> Move:
    """Work out one step of a lever for a case: amount, resulting value, and the first limit it meets.

    A value outside of the window that the trade gives for this kart and day is brought to its nearer end at once.
    """
    guide = window(lever, facts)
    found = _step(lever, way, case, guide, size.times)
    if lever.ways[way].on_kart and (found.to is None or found.to.value == NONE):
        found = _step(lever, way, replace(case, kit=None), guide, size.times)
    parts = () if found.to else tuple(_parts(book, lever, way, case, facts, size))
    amount = None if parts else found.amount
    barred = (
        found.barred or _further_out(lever, way, case, guide) or _ruled_out(book, lever, way, case, found)
    )
    return replace(found, guide=guide, parts=parts, amount=amount, barred=barred, size=size)


def _parts(
    book: Book, lever: Lever, way: str, case: Case, facts: conditions.Facts, size: Size
) -> Iterator[str]:
    """What each part of a lever comes to, from where it stands."""
    for part in lever.parts:
        to = move(book, book.levers[part], way, case, facts, size).to
        if to is not None and to.since is not None:
            yield f"{book.levers[part].name} from {to.since:g} to {to.value:g} {to.unit}"


def _further_out(lever: Lever, way: str, case: Case, guide: Guide | None) -> str | None:
    """A value that stands beyond its window already goes no further that way."""
    now = case.setup.get(lever.id)
    if guide is None or lever.step is None or not isinstance(now, Quantity):
        return None
    sign = 1 if way == lever.step.raises else -1
    end = units.parse(guide.high if sign > 0 else guide.low)
    if end.dimension != now.dimension or sign * (now.si - end.si) <= 1e-9:
        return None
    return f"it stands at {now}, and {end.within(now.unit)} is the usual end here"


def window(lever: Lever, facts: conditions.Facts) -> Guide | None:
    """The first window of a lever that holds for these facts."""
    return next((guide for guide in lever.guide if conditions.holds(guide.where, facts)), None)


def _step(lever: Lever, way: str, case: Case, guide: Guide | None, times: float) -> Move:
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
    amount = Amount(_tidy(times * shown.value, shown.unit), shown.unit.name, lever.step.per)
    if not isinstance(now, Quantity) or now.dimension != step.dimension:
        # a sheet in another kind of unit, such as toe in degrees: the step stands, no result is claimed
        return Move(amount, barred=_kit(lever, case, None))
    now = now.within(shown.unit)
    inside = _into(guide, now, sign)
    to = inside or now.plus(step, sign * lever.step.counts * times)
    part = _nearest_part(lever, now, sign, case)
    if part is not None:
        to = part.within(shown.unit)
    elif not lever.part:
        to = _cut(lever, to, now, case.rules.get(lever.id))
    each = abs(to.value - now.value) / (lever.step.counts if part is None else 1)
    amount = Amount(_tidy(each, shown.unit), shown.unit.name, lever.step.per)
    target = Target(_tidy(to.value, to.unit), to.unit.name, to, _tidy(now.value, to.unit))
    barred = _kit(lever, case, to) or _limits(lever, to, now, case.rules.get(lever.id))
    return Move(amount, target, barred, inward=inside is not None)


def _into(guide: Guide | None, now: Quantity, sign: int) -> Quantity | None:
    """The nearer end of the window, where the value lies outside of it and this is the way in."""
    if guide is None:
        return None
    end = units.parse(guide.low if sign > 0 else guide.high)
    outside = end.dimension == now.dimension and sign * (end.si - now.si) > 1e-9
    return end.within(now.unit) if outside else None


NONE = "none"  # the grade of a part that is taken off


def _ruled_out(book: Book, lever: Lever, way: str, case: Case, found: Move) -> str | None:
    """Rules and stops that a single step does not see: whole kinds, both ends, a sheet in other units."""
    rule = case.rules.get(lever.id)
    if lever.id == "tyres":
        return _wrong_tyres(way, case, rule)
    if rule and rule.only:
        here = case.setup.get(lever.id)
        to = (found.to.si or found.to.value) if found.to else None
        if (to is not None and not _allowed(to, rule)) or (
            to is None and set(rule.only) <= {str(here), rule.only[0]}
        ):
            stands = f"; it stands at {here}" if here is not None else ""
            return f"the class allows only {', '.join(rule.only)}{stands}"
    if lever.step is None or lever.dimension is None:
        return None
    sign = 1 if way == lever.step.raises else -1
    return _at_bound(case.setup.get(lever.id), rule, sign) or _ends(book, lever, sign, case)


def _allowed(to: Value, rule: Limit) -> bool:
    """True when a value is among those that the class allows, in whatever unit they are written."""
    if not isinstance(to, Quantity):
        return str(to) in rule.only
    for text in rule.only:
        try:
            allowed = units.parse(text)
        except ValueError:
            continue
        if allowed.dimension == to.dimension and abs(allowed.si - to.si) < 1e-6:
            return True
    return False


def _wrong_tyres(way: str, case: Case, rule: Limit | None) -> str | None:
    """Slicks and wets must be allowed, and in the trailer where a list of parts is given."""
    kind = {"wets": "wet", "slicks": "slick"}.get(way)
    if kind is None:
        return None
    if rule and rule.only and not any(kind in str(o) for o in rule.only):
        return f"the class allows only {', '.join(rule.only)}"
    parts = (case.kit or {}).get("tyres")
    if parts is not None and not any(kind in str(p) for p in parts):
        return f"no {kind} tyres are in the trailer (there: {', '.join(map(str, parts)) or 'none'})"
    return None


def _at_bound(now: Value | None, rule: Limit | None, sign: int) -> str | None:
    """A value that stands at a bound of the class already cannot go further, whatever unit the step has."""
    if not isinstance(now, Quantity) or rule is None:
        return None
    bound = rule.most if sign > 0 else rule.least
    if (
        isinstance(bound, Quantity)
        and bound.dimension == now.dimension
        and sign * (now.si - bound.si) > -1e-9
    ):
        word = "at most" if sign > 0 else "no less than"
        return f"the class allows {word} {bound.within(now.unit)}; it stands at {now}"
    return None


def _ends(book: Book, lever: Lever, sign: int, case: Case) -> str | None:
    """What is turned as a whole moves all its parts, and a rule for the whole binds each part."""
    pairs = [(end, end) for end in lever.parts]
    pairs += [(lever.id, whole.id) for whole in book.levers.values() if lever.id in whole.parts]
    for end, ruled in pairs:
        now = case.setup.get(end)
        assert lever.step is not None
        if isinstance(now, Quantity):
            to = now.plus(units.parse(lever.step.amount), sign)
            found = _limits(lever, to, now, case.rules.get(ruled))
            if found:
                return f"{end.replace('_', ' ')}: {found}"
    return None


def _tidy(value: float, unit: units.Unit) -> float:
    """One place more than the unit is shown with: enough to set, and no noise."""
    return round(value, unit.decimals + 1)


def _cut(lever: Lever, to: Quantity, now: Quantity, rule: Limit | None) -> Quantity:
    """The step, cut short where a limit lies between here and there and enough of it is left."""
    bounds = [units.parse(b) for b in (lever.most, lever.least) if b]
    rules = (rule.most, rule.least) if rule else ()
    bounds += [b for b in rules if isinstance(b, Quantity) and b.dimension == now.dimension]
    low, high = min(now.si, to.si), max(now.si, to.si)
    between = [
        b
        for b in bounds
        if low < b.si < high and abs(b.si - now.si) >= assumed.LEAST_STEP * abs(to.si - now.si)
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
        if (
            isinstance(high, Quantity)
            and high.dimension == to.dimension
            and to.si > max(high.si, now.si) + 1e-9
        ):
            return f"the class allows at most {high.within(now.unit)}; it stands at {now}"
        if isinstance(low, Quantity) and low.dimension == to.dimension and to.si < min(low.si, now.si) - 1e-9:
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
    if lever.id == "tyres" and lever.id not in case.kit:
        return None  # a list of chassis parts says nothing of the tyres
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
    assert lever.step is not None
    amount = Amount(1, "grade", lever.step.per)
    now = case.setup.get(lever.id)
    if not isinstance(now, str) or now not in lever.grades:
        return Move(amount, barred=_kit(lever, case, None))
    here = lever.grades.index(now)
    place = here + (1 if way == lever.step.raises else -1)
    if not 0 <= place < len(lever.grades):
        return Move(amount, barred=f'it is at its stop: "{now}" is the last grade that way')
    to = _next_part(lever, now, place, case)
    amount = Amount(abs(lever.grades.index(to) - here), "grade", lever.step.per)
    return Move(amount, Target(to, "grade", since=now), _kit(lever, case, to))


def _next_part(lever: Lever, now: str, place: int, case: Case) -> str:
    """The nearest grade that way; further on if only a further one is in the trailer."""
    step = 1 if place > lever.grades.index(now) else -1
    parts: Sequence[Value] = (case.kit or {}).get(lever.id, ())
    for i in range(place, len(lever.grades) if step > 0 else -1, step):
        if lever.grades[i] in parts or lever.grades[i] == NONE:
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
    return Move(amount, Target(to, unit, since=now), barred)
