"""Quantities as people write them: parse, convert, print. Inside the program they are SI floats.

pint would read more, but costs over 0.3 s at every start (measured when this was written); it
serves as the oracle in the tests instead. Factors: The International System of Units (BIPM, 9th
edition, 2019) and NIST Special Publication 811 (2008), appendix B.8.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

ZERO_CELSIUS = 273.15  # kelvin, exact by definition
PSI = 4.4482216152605 / 0.0254**2  # pascal: pound-force over square inch, both exact


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: `si = value * factor + offset`; `offset` only matters for temperatures."""

    name: str
    dimension: str
    factor: float
    offset: float = 0.0
    decimals: int = 1


_UNITS = (
    Unit("psi", "pressure", PSI, decimals=1),
    Unit("kPa", "pressure", 1e3, decimals=1),
    Unit("bar", "pressure", 1e5, decimals=2),
    Unit("mm", "length", 1e-3, decimals=1),
    Unit("cm", "length", 1e-2, decimals=1),
    Unit("m", "length", 1.0, decimals=3),
    Unit("in", "length", 0.0254, decimals=2),
    Unit("kg", "mass", 1.0, decimals=1),
    Unit("g", "mass", 1e-3, decimals=0),
    Unit("lb", "mass", 0.45359237, decimals=1),
    Unit("degC", "temperature", 1.0, ZERO_CELSIUS, decimals=1),
    Unit("degF", "temperature", 5 / 9, ZERO_CELSIUS - 32 * 5 / 9, decimals=1),
    Unit("K", "temperature", 1.0, decimals=1),
    Unit("deg", "angle", math.pi / 180, decimals=1),
    Unit("min", "time", 60.0, decimals=0),
    Unit("s", "time", 1.0, decimals=0),
)
UNITS = {u.name: u for u in _UNITS}
_ALIASES = {
    "°c": "degC", "c": "degC", "celsius": "degC", "degc": "degC",
    "°f": "degF", "f": "degF", "fahrenheit": "degF", "degf": "degF",
    "°": "deg", "degree": "deg", "degrees": "deg",
    "inch": "in", "inches": "in", '"': "in", "lbs": "lb", "pound": "lb", "pounds": "lb", "kilo": "kg", "kilos": "kg",
    "kgs": "kg", "kpa": "kPa", "bars": "bar", "minute": "min", "minutes": "min", "k": "K",
}  # fmt: skip
_NUMBER = re.compile(r"\s*[+-]?[\d.,]+\s*\Z")
_FINER = 2  # decimals that a person may add to those a unit is shown with; more come from a computer
_QUANTITY = re.compile(r"\s*([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?)\s*([^\d\s].*?)\s*\Z")


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in SI with the unit and the decimals it was written with, so that it can be shown the same way."""

    si: float
    unit: Unit
    decimals: int = field(default=0, compare=False)  # shown at least; never more than a gauge could tell

    @classmethod
    def of(cls, value: float, unit: Unit) -> Quantity:
        """The quantity of `value` in `unit`."""
        return cls(value * unit.factor + unit.offset, unit)

    @property
    def dimension(self) -> str:
        return self.unit.dimension

    @property
    def value(self) -> float:
        """The value in the unit it was written in."""
        return round((self.si - self.unit.offset) / self.unit.factor, 9)

    def plus(self, step: Quantity, times: float = 1.0) -> Quantity:
        """Add `times` a step of the same dimension; the result keeps this quantity's unit.

        Steps are differences, so the offset of a temperature scale is left out of them.
        """
        finer = step.decimals if step.unit is self.unit else 0
        return Quantity(self.si + times * step.value * step.unit.factor, self.unit, max(self.decimals, finer))

    def within(self, unit: Unit) -> Quantity:
        """Return the same quantity to be shown in another unit of its dimension, about as finely."""
        if unit is self.unit:
            return self
        decimals = self.decimals + math.ceil(math.log10(unit.factor / self.unit.factor))
        return Quantity(self.si, unit, min(decimals, unit.decimals + 1))

    def __str__(self) -> str:
        text = f"{self.value:.{max(self.unit.decimals, self.decimals)}f}"
        least = self.unit.decimals if self.unit.name == "bar" else 0
        whole, _, rest = text.partition(".")
        rest = rest[:least] + rest[least:].rstrip("0")
        text = f"{whole}.{rest}" if rest else whole
        if not text.strip("-0."):
            text = text.lstrip("-")
        return f"{text} {SYMBOLS.get(self.unit.name, self.unit.name)}"


SYMBOLS = {"degC": "°C", "degF": "°F", "deg": "°", "gn": "g", "kgf": "kg"}


def find_unit(text: str) -> Unit | None:
    """Return the unit of that name or alias, or None."""
    return UNITS.get(text) or UNITS.get(_ALIASES.get(text.lower(), text.lower()))


def parse(text: str, also: Mapping[str, Unit] | None = None) -> Quantity:
    """Read "12 psi", "0,85 bar", "1390 mm" or "28 degC"; `also`: further units by name, in small letters.

    Raises ValueError with a sentence for a person when there is no number, no unit or an unknown one,
    or when a temperature lies below absolute zero.
    """
    match = None if _NUMBER.match(text) else _QUANTITY.match(text)
    if not match:
        raise ValueError(f'"{text[:40]}" is not a number with a unit, such as "12 psi" or "1390 mm"')
    unit = (also or {}).get(match[2].lower()) or find_unit(match[2])
    if unit is None:
        known = ", ".join(dict.fromkeys((*UNITS, *(u.name for u in (also or {}).values()))))
        raise ValueError(f'unknown unit "{match[2][:20]}"; use one of {known}')
    si = float(match[1].replace(",", ".")) * unit.factor + unit.offset
    if not math.isfinite(si):
        raise ValueError(f'"{text[:20].strip()}..." is no size that anything has')
    if unit.dimension == "temperature" and si < -1e-9:
        raise ValueError(f'"{text.strip()}" is below absolute zero')
    decimals = len(match[1].lower().partition("e")[0].replace(",", ".").partition(".")[2])
    return Quantity(si, unit, decimals if decimals <= unit.decimals + _FINER else 0)


_IN_TEXT = re.compile(
    r"(?<![\w.])(\d+(?:\.\d+)?)(?: (to|and|or) (\d+(?:\.\d+)?))? (psi|kPa|bar|mm|cm|in|kg|g|lb|°C|°F)(?!\w)"
)
_SIGNIFICANT = 2  # figures of a rule of thumb at least


def reworded(text: str, wishes: Mapping[str, str]) -> str:
    """The quantities in a sentence of the book in the units of `wishes` (dimension -> unit), as round as they were.

    Differences of temperature are not told apart from temperatures, so write none in a sentence.
    """
    if not wishes:
        return text

    def other(match: re.Match[str]) -> str:
        unit = find_unit(match[4])
        wish = find_unit(wishes.get(unit.dimension, "")) if unit else None
        if unit is None or wish is None or wish == unit:
            return match[0]
        low, high = (
            _as_round_as(n, Quantity.of(float(n), unit).within(wish)) for n in (match[1], match[3] or "0")
        )
        range_ = f" {match[2]} {high}" if match[2] else ""
        return f"{low}{range_} {SYMBOLS.get(wish.name, wish.name)}"

    return _IN_TEXT.sub(other, text)


def _as_round_as(number: str, quantity: Quantity) -> str:
    """A quantity with as many figures as the number had: 10 psi is 0.69 bar, 1395 mm is 54.92 in."""
    value = quantity.value
    figures = max(_SIGNIFICANT, len(number.replace(".", "").strip("0")))
    places = max(0, figures - 1 - math.floor(math.log10(abs(value)))) if value else 0
    return f"{value:.{places}f}"


_SIGNS = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅓": "1/3",
    "⅔": "2/3",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}
_WITH_UNIT = r"(?=(?:psi|bar|inch|deg|turn|pound|lb|kilo|kg)\w*\b)"
_SPOKEN = (
    (rf"(?i)\bthree quarters? (?:of )?(?:an? )?{_WITH_UNIT}", "0.75 "),
    (rf"(?i)\b(?:a )?quarter (?:of )?(?:an? )?{_WITH_UNIT}", "0.25 "),
)
_FRACTION = re.compile(r"(?<![\d./:])(?:(\d{1,3})[ -])?([1-7])/(2|3|4|8|16)(?![\d./:])")


def in_decimals(text: str) -> str:
    """A text with its fractions as decimals: "2 1/2 gallons" and "2½ gallons" as "2.5 gallons"; 11/80 stays."""
    for pattern, number in _SPOKEN:
        text = re.sub(pattern, number, text)
    for sign, plain in _SIGNS.items():
        text = re.sub(rf"(?<=\d) ?{sign}", f" {plain}", text).replace(sign, plain)
    return _FRACTION.sub(_decimal, text)


def _decimal(found: re.Match[str]) -> str:
    whole, part, of = (int(x or 0) for x in found.groups())
    return found[0] if part >= of else f"{whole + part / of:g}"
