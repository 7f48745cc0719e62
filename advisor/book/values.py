"""Values of levers as people write them, judged against the book: quantities, grades, counts, lists.

Problems are collected with their place in the document; a value that fails is left out.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from advisor import units
from advisor.book.marked import Marked
from advisor.model.case import Value
from advisor.model.knowledge import Book, Lever
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
# Outside of these a value is unusual, not impossible: a warning. Common practice, no source.
USUAL: dict[str, tuple[str, str]] = {
    "tyre_pressure_front": ("5 psi", "35 psi"),
    "tyre_pressure_rear": ("5 psi", "35 psi"),
    "front_track_width": ("800 mm", "1420 mm"),
    "rear_track_width": ("800 mm", "1420 mm"),
    "caster": ("0 deg", "30 deg"),
    "toe": ("-10 mm", "10 mm"),
    "camber": ("-4 deg", "4 deg"),
    "driver_mass": ("18 kg", "140 kg"),
    "air_temperature": ("-15 degC", "48 degC"),
    "track_temperature": ("-15 degC", "75 degC"),
    "tyre_temperature": ("-15 degC", "140 degC"),
}
MOST_PIECES = 20  # of stays or bearings; more is a slip
BELOW = ("min", "max", "left", "right", "front", "rear", "mass")
NEVER_NEGATIVE = ("pressure", "mass", "time")
SIGNED = ("toe", "camber", "caster", "seat_fore_aft", "seat_height")


class ValueReader:
    """Reads values at paths below `at` of a document, and keeps what was wrong and what was odd."""

    def __init__(self, document: Marked, book: Book, at: tuple[Any, ...]) -> None:
        self.document, self.book, self.base = document, book, at
        self.problems: list[Problem] = []
        self.warnings: list[str] = []

    def fail(self, path: tuple[Any, ...], message: str, code: str = "invalid", key: bool = False) -> None:
        self.problems.append(self.document.problem(self.base + path, message, code, key=key))

    def quantity(self, value: Any, path: tuple[Any, ...], dimensions: Collection[str]) -> Quantity | None:
        if value is None:
            return None
        example = {
            "pressure": "12 psi",
            "length": "1390 mm",
            "angle": "12 deg",
            "mass": "72 kg",
            "temperature": "28 degC",
        }
        if not isinstance(value, str):
            self.fail(
                path, f'{path[-1]} needs a number with a unit, such as "{example[next(iter(dimensions))]}"'
            )
            return None
        try:
            quantity = units.parse(value)
        except ValueError as error:
            self.fail(path, str(error))
            return None
        if quantity.dimension not in dimensions:
            kinds = " or ".join(dimensions)
            self.fail(path, f"{_name(path)} is a {kinds}, but {value} is a {quantity.dimension}")
            return None
        self._plausible(quantity, path)
        return quantity

    def _plausible(self, quantity: Quantity, path: tuple[Any, ...]) -> None:
        name = _name(path)
        may = quantity.dimension not in NEVER_NEGATIVE and (
            name in SIGNED or quantity.dimension == "temperature"
        )
        if quantity.si < 0 and not may:
            self.fail(path, f"{name} cannot be negative ({quantity})")
            return
        usual = USUAL.get(name)
        if usual and not units.parse(usual[0]).si <= quantity.si <= units.parse(usual[1]).si:
            self.warnings.append(f"{name} of {quantity} is unusual; is it right?")

    def lever(self, ident: str, path: tuple[Any, ...], key: bool = True) -> Lever | None:
        lever = self.book.levers.get(ident)
        if lever is None:
            self.fail(
                path,
                f'unknown lever "{printable(ident)}"{hint(ident, self.book.levers)}',
                "unknown_lever",
                key=key,
            )
        return lever

    def value(self, lever: Lever, value: Any, path: tuple[Any, ...]) -> Value | None:
        """A value as the lever holds it: quantity, grade or count; lists (lead, teeth) are only looked at."""
        if isinstance(value, list | dict):
            return self._listed(lever, value, path)
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

    def _number(
        self, lever: Lever, value: float, path: tuple[Any, ...], dimensions: Collection[str]
    ) -> float | None:
        if lever.grades or dimensions:
            self.fail(path, f"{lever.id} takes {_takes(lever)}, not a bare number")
            return None
        if value < 0:
            self.fail(path, f"{lever.id} cannot be negative ({value:g})")
            return None
        if value > MOST_PIECES:
            self.warnings.append(f"{lever.id} of {value:g} is unusual; is it right?")
        return value

    def _grade(
        self, lever: Lever, text: str, path: tuple[Any, ...], dimensions: Collection[str]
    ) -> str | None:
        if not lever.grades:
            if dimensions:
                self.fail(path, f'{lever.id} takes {_takes(lever)}, not "{printable(text)[:30]}"')
                return None
            return printable(text)
        grade = text.lower()
        grade = grade if grade in lever.grades else SAME_GRADE.get(grade, grade)
        if grade not in lever.grades and grade != "none":
            known = ", ".join(lever.grades)
            self.warnings.append(
                f'{lever.id} "{printable(text)[:30]}" is none of {known}: no step can be worked out from it'
            )
        return printable(grade)

    def _known(self, value: dict[str, Any], keys: Collection[str], path: tuple[Any, ...]) -> bool:
        """True when a mapping has any of the keys; each other key is a problem with a hint."""
        if not set(value) & set(keys):
            return False
        for key in value:
            if key not in keys:
                self.fail(
                    (*path, key), f'unknown key "{printable(key)}"{hint(key, keys)}', "unknown_key", key=True
                )
        return True

    def _teeth(self, value: dict[str, Any], path: tuple[Any, ...]) -> None:
        for key in ("engine", "axle"):
            teeth = value.get(key, 1)
            if isinstance(teeth, bool) or not isinstance(teeth, int) or teeth < 1:
                self.fail((*path, key), "teeth are a whole number from 1 on")

    def _lead(self, pieces: list[Any], path: tuple[Any, ...]) -> None:
        for i, piece in enumerate(pieces):
            if isinstance(piece, dict) and "mass" in piece:
                self._known(piece, ("mass", "place"), (*path, i))
                self.quantity(piece["mass"], (*path, i, "mass"), ("mass",))
            else:
                message = "a piece of lead is a mapping such as {mass: 2 kg, place: seat back}"
                self.fail((*path, i), message)

    def _listed(self, lever: Lever, value: Any, path: tuple[Any, ...]) -> Value | None:
        """Lead is a list of mass and place, gearing two tooth counts, a side-by-side value two entries."""
        if lever.id.startswith("ballast") and isinstance(value, list):
            self._lead(value, path)
            return None
        if lever.id == "gearing" and isinstance(value, dict) and self._known(value, ("engine", "axle"), path):
            self._teeth(value, path)
            return None
        if lever.id == "corner_weights" and isinstance(value, list) and len(value) == 4:
            for i, mass in enumerate(value):
                self.quantity(mass, (*path, i), ("mass",))
            return None
        if isinstance(value, dict) and value and self._known(value, ("left", "right"), path):
            sides = [self.value(lever, value[s], (*path, s)) for s in ("left", "right") if s in value]
            return sides[0] if len(sides) == 2 and sides[0] == sides[1] else None
        self.fail(path, f"{lever.id} takes {_takes(lever)}")
        return None


def _name(path: tuple[Any, ...]) -> str:
    """The name of a value: rules, pairs, ends and list places stand one level below it."""
    return str(next((p for p in reversed(path) if p not in BELOW and isinstance(p, str)), path[-1]))


def _dimensions(lever: Lever) -> tuple[str, ...]:
    return tuple(lever.dimension.split("|")) if lever.dimension else ()


def _takes(lever: Lever) -> str:
    kinds = [f"a {d} with its unit" for d in _dimensions(lever)]
    if lever.grades:
        kinds.append("one of " + ", ".join(lever.grades))
    if not kinds:
        kinds.append("a count")
    return " or ".join(kinds)
