"""Values of levers as people write them, judged against the book: quantities, grades, counts, lists.

Problems are collected with their place in the document; a value that fails is left out.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from math import isclose
from typing import Any

from advisor import units
from advisor.book.marked import Marked
from advisor.model.case import Pieces, Value
from advisor.model.knowledge import Book
from advisor.model.levers import Lever
from advisor.problems import Problem, hint, printable
from advisor.units import Quantity

# Words that people use for a grade of ours.
SAME_GRADE = {
    "hard": "stiff",
    "harder": "stiff",
    "std": "medium",
    "standard": "medium",
    "mid": "middle",
    "medium-hard": "stiff",
}
DRIVE = ("engine", "axle", "rpm", "limit", "rollout")
MOST_RPM = 30_000
CROSSED = 15.0  # kg between the diagonals: more is a slip of the scales or a kart to be levelled (ours)
OVER = 1.02  # of the limit: more than an engine overshoots (ours)
MOST_PIECES = 20  # of stays or bearings; more is a slip
EXAMPLES = {
    "pressure": "12 psi",
    "length": "95 mm",
    "angle": "12 deg",
    "mass": "72 kg",
    "temperature": "28 degC",
}
CORNERS = ("front left", "front right", "rear left", "rear right")
BELOW = ("min", "max", "left", "right", "front", "rear", "mass")
NEVER_NEGATIVE = ("pressure", "mass", "time")
SIGNED = ("toe", "camber", "caster", "seat_fore_aft", "seat_height")

Place = tuple[Any, ...]
Odd = tuple[Place, str]  # where something unusual stands, and the sentence about it


def same(one: Value | None, other: Value | None) -> bool:
    """True when two values are the same to a part in a thousand million, in whatever unit they are written."""
    if isinstance(one, Quantity) and isinstance(other, Quantity):
        close = isclose(one.si, other.si, rel_tol=1e-9, abs_tol=1e-12)
        return one.dimension == other.dimension and close
    return one == other


def liked(value: Quantity, wishes: Mapping[str, str]) -> Quantity:
    """A quantity in the unit that is wished for its dimension, else as it was written."""
    unit = units.find_unit(wishes.get(value.dimension, ""))
    return value.within(unit) if unit is not None and unit.dimension == value.dimension else value


def told(value: Value, wishes: Mapping[str, str]) -> str:
    """A value as text."""
    if isinstance(value, Quantity):
        return str(liked(value, wishes))
    return value if isinstance(value, str) else f"{value:g}"


def listed(pieces: Pieces, wishes: Mapping[str, str], between: str = ", ") -> str:
    """The values of a setting of several as text."""
    return between.join(f"{label} {told(value, wishes)}".strip() for label, value in pieces) or "none"


class ValueReader:
    """Reads values at paths below `at` of a document, and keeps what was wrong and what was odd."""

    def __init__(self, document: Marked, book: Book, at: Place = ()) -> None:
        self.document, self.book, self.base = document, book, at
        self.problems: list[Problem] = []
        self.odd: list[Odd] = []

    def fail(self, path: Place, message: str, code: str = "invalid", key: bool = False) -> None:
        self.problems.append(self.document.problem(self.base + path, message, code, key=key))

    def unknown(self, path: Place, known: Collection[str], where: str = "") -> None:
        """Refuse the key at the end of a path."""
        message = f'unknown key "{printable(path[-1])}"{where}{hint(path[-1], known)}'
        self.fail(path, message, "unknown_key", key=True)

    def warn(self, path: Place, text: str) -> None:
        self.odd.append((path, text))

    def quantity(self, value: Any, path: Place, dimensions: Collection[str]) -> Quantity | None:
        if value is None:
            return None
        if not isinstance(value, str):
            example = EXAMPLES[next(iter(dimensions))]
            self.fail(path, f'{path[-1]} needs a number with a unit, such as "{example}"')
            return None
        try:
            quantity = units.parse(value)
        except ValueError as error:
            self.fail(path, str(error))
            return None
        if quantity.dimension not in dimensions:
            kinds = _a(" or ".join(dimensions))
            self.fail(path, f"{_name(path)} is {kinds}, but {value} is {_a(quantity.dimension)}")
            return None
        self._plausible(quantity, path)
        return quantity

    def _plausible(self, quantity: Quantity, path: Place) -> None:
        name = _name(path)
        may = quantity.dimension not in NEVER_NEGATIVE and (
            name in SIGNED or quantity.dimension == "temperature"
        )
        if quantity.si < 0 and not may:
            self.fail(path, f"{name} cannot be negative ({quantity})")
            return
        known = self.book.levers.get(name) or self.book.fields.get(name)
        if known and known.usual:
            low, high = (units.parse(end) for end in known.usual)
            if quantity.dimension == low.dimension and not low.si <= quantity.si <= high.si:
                self.warn(path, f"{name} of {quantity} is unusual; is it right?")

    def lever(self, ident: str, path: Place, key: bool = True) -> Lever | None:
        lever = self.book.levers.get(ident)
        if lever is None:
            self.fail(
                path,
                f'unknown lever "{printable(ident)}"{hint(ident, self.book.levers)}',
                "unknown_lever",
                key=key,
            )
        return lever

    def value(self, lever: Lever, value: Any, path: Place) -> Value | Pieces | None:
        """A value as the lever holds it: quantity, grade or count; lead, teeth and two sides are pieces."""
        if isinstance(value, list | dict):
            return self._pieces(lever, value, path)
        if value is None:
            self.fail(path, f"{lever.id} takes {_takes(lever)}, not nothing; leave the key out")
            return None
        if isinstance(value, bool):
            value = "yes" if value else "no"
        dimensions = _dimensions(lever)
        if isinstance(value, int | float):
            return self._number(lever, value, path, dimensions)
        text = str(value).strip()
        if text[:1].isdigit() or text[:1] in "+-.":
            if not dimensions:
                self.fail(path, f"{lever.id} takes {_takes(lever)}, not {text[:30]}")
                return None
            return self.quantity(text, path, dimensions)
        return self._grade(lever, text, path, dimensions)

    def _number(self, lever: Lever, value: float, path: Place, dimensions: Collection[str]) -> float | None:
        if lever.grades or dimensions:
            self.fail(path, f"{lever.id} takes {_takes(lever)}, not a bare number")
            return None
        if value < 0:
            self.fail(path, f"{lever.id} cannot be negative ({value:g})")
            return None
        if lever.step and value > MOST_PIECES:
            self.warn(path, f"{lever.id} of {value:g} is unusual; is it right?")
        return value

    def _grade(self, lever: Lever, text: str, path: Place, dimensions: Collection[str]) -> str | None:
        if not lever.grades:
            if dimensions or lever.step:
                self.fail(path, f'{lever.id} takes {_takes(lever)}, not "{printable(text)[:30]}"')
                return None
            return printable(text)
        grade = text.lower()
        grade = grade if grade in lever.grades else SAME_GRADE.get(grade, grade)
        if grade not in lever.grades and grade != "none":
            known = ", ".join(lever.grades)
            self.warn(
                path,
                f'{lever.id} "{printable(text)[:30]}" is none of {known}: no step can be worked out from it',
            )
        return printable(grade)

    def _known(self, value: dict[str, Any], keys: Collection[str], path: Place) -> bool:
        """True when a mapping has any of the keys; each other key is a problem with a hint."""
        if not set(value) & set(keys):
            return False
        for key in value:
            if key not in keys:
                self.unknown((*path, key), keys)
        return True

    def _pieces(self, lever: Lever, value: Any, path: Place) -> Value | Pieces | None:
        """Lead is a list of mass and place, gearing two tooth counts (with revs and roll-out, if they are known), a
        side-by-side value two entries."""
        if lever.id.startswith("ballast") and isinstance(value, list):
            return tuple(p for i, piece in enumerate(value) for p in self._lead(piece, (*path, i)))
        if lever.id.startswith("ballast"):
            return self._lead(value, path)
        if lever.id == "gearing" and isinstance(value, dict) and self._known(value, DRIVE, path):
            return (*self._teeth(value, path), *self._drive(value, path))
        if lever.id == "corner_weights" and isinstance(value, list) and len(value) == len(CORNERS):
            masses = [self.quantity(mass, (*path, i), ("mass",)) for i, mass in enumerate(value)]
            self._crossed(masses, path)
            return tuple((c, m) for c, m in zip(CORNERS, masses, strict=True) if m is not None)
        if isinstance(value, dict) and value and self._known(value, ("left", "right"), path):
            return self._sides(lever, value, path)
        self.fail(path, f"{lever.id} takes {_takes(lever)}")
        return None

    def _crossed(self, masses: Sequence[Quantity | None], path: Place) -> None:
        """A warning where the diagonals are further apart than a kart is that stands straight."""
        loads = [mass.si for mass in masses if mass is not None]
        if len(loads) == len(CORNERS) and (apart := abs(loads[0] + loads[3] - loads[1] - loads[2])) > CROSSED:
            self.warn(
                path,
                f"corner_weights: one diagonal carries {apart:.0f} kg more than the other; weigh again (pads level and "
                "zeroed, driver still), and level them before anything else is tried",
            )

    def _lead(self, piece: Any, path: Place) -> Pieces:
        if not isinstance(piece, dict) or piece.get("mass") is None:
            self.fail(path, "a piece of lead is a mapping such as {mass: 2 kg, place: seat back}")
            return ()
        self._known(piece, ("mass", "place"), path)
        place = piece.get("place")
        if isinstance(place, dict | list):
            self.fail((*path, "place"), "the place of a piece of lead is a short text, such as seat back")
        mass = self.quantity(piece["mass"], (*path, "mass"), ("mass",))
        return () if mass is None else (("" if place is None else printable(str(place)), mass),)

    def _teeth(self, value: dict[str, Any], path: Place) -> Pieces:
        counts = {key: value[key] for key in ("engine", "axle") if key in value}
        sound = True
        for key, teeth in counts.items():
            if isinstance(teeth, bool) or not isinstance(teeth, int) or teeth < 1:
                self.fail((*path, key), "teeth are a whole number from 1 on")
                sound = False
        if not sound:
            return ()
        if counts.get("engine", 0) > counts.get("axle", counts.get("engine", 0)):
            self.warn(path, "gearing has more teeth on the engine than on the axle; is it right?")
        return tuple(counts.items())

    def _drive(self, value: dict[str, Any], path: Place) -> Pieces:
        """The most revs of the engine, its limit, and what the rear tyre rolls in a turn, for a speed."""
        told: dict[str, float] = {}
        for name in ("rpm", "limit"):
            revs = value.get(name)
            if isinstance(revs, int) and not isinstance(revs, bool) and 0 < revs <= MOST_RPM:
                told[name] = float(revs)
            elif revs is not None:
                self.fail((*path, name), f"{name} is a whole number from 1 to {MOST_RPM}")
        if len(told) == 2 and told["rpm"] > OVER * told["limit"]:
            self.warn(path, "gearing has more revs than the limit allows; is it right?")
        rollout = self.quantity(value.get("rollout"), (*path, "rollout"), ("length",))
        if rollout is not None and rollout.si <= 0:
            self.fail(
                (*path, "rollout"), "rollout is what the rear tyre rolls in one turn, more than nothing"
            )
            rollout = None
        return (*told.items(), *((("rollout", rollout),) if rollout else ()))

    def _sides(self, lever: Lever, value: dict[str, Any], path: Place) -> Value | Pieces | None:
        """Left and right, or one value when they are equal."""
        found = []
        for side in ("left", "right"):
            if isinstance(value.get(side), dict | list):
                self.fail((*path, side), f"{lever.id} takes {_takes(lever)}")
            elif side in value:
                one = self.value(lever, value[side], (*path, side))
                found += [(side, one)] if one is not None and not isinstance(one, tuple) else []
        if len(found) == 2 and same(found[0][1], found[1][1]):
            return found[0][1]
        return tuple(found)


def _name(path: Place) -> str:
    """The name of a value: rules, pairs, ends and list places stand one level below it."""
    return str(next((p for p in reversed(path) if p not in BELOW and isinstance(p, str)), path[-1]))


def _dimensions(lever: Lever) -> tuple[str, ...]:
    return tuple(lever.dimension.split("|")) if lever.dimension else ()


def _a(dimension: str) -> str:
    return f"an {dimension}" if dimension.startswith("angle") else f"a {dimension}"


def _takes(lever: Lever) -> str:
    if lever.form:
        return lever.form
    kinds = [f"{_a(d)} with its unit ({EXAMPLES[d]})" for d in _dimensions(lever)]
    if lever.grades:
        kinds.append("one of " + ", ".join(lever.grades))
    if not kinds:
        kinds.append("a count" if lever.step else "a word")
    return " or ".join(kinds)
