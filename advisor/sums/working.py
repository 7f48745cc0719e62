"""One sum: values in, figures out, each with its unit. The formula is imported when it is wanted."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from importlib import import_module
from math import isclose
from typing import Any

from advisor.sums.nomenclature import NAMES, Name, unit
from advisor.sums.reading import Given, read, split
from advisor.sums.registry import SUMS
from advisor.sums.rows import Sum
from advisor.units import Quantity, Unit

# What stands for a unit of ours where people write in the other system.
_OTHER = {"mm": "in", "ml": "fl oz", "l": "gal"}
_IMPERIAL = frozenset(("in", "gal", "fl oz"))
_FOLLOWS = ("pressure", "temperature", "mass", "speed")  # dimensions shown in the unit that was typed


class WrongValuesError(Exception):
    """Carries a sentence for each value that cannot be used."""

    def __init__(self, sentences: Sequence[str]) -> None:
        self.sentences = tuple(sentences)
        super().__init__("\n".join(self.sentences))


@dataclass(frozen=True, slots=True)
class Figure:
    """A result: a number in `unit` (empty for plain ones), words, or numbers by what they belong to."""

    name: str
    value: float | int | str | Mapping[str, float]
    unit: str = ""

    @property
    def text(self) -> str:
        """As a person reads it."""
        if isinstance(self.value, str):
            return self.value
        if isinstance(self.value, Mapping):
            return ", ".join(f"{label} {self._number(value)}" for label, value in self.value.items())
        return self._number(self.value)

    def _number(self, value: float) -> str:
        decimals = NAMES[self.name].decimals
        if self.unit and decimals is None:
            return str(Quantity.of(value, unit(self.unit)))
        text = f"{value:.{decimals or 0}f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
        return f"{text} {self.unit}".rstrip()


@dataclass(frozen=True, slots=True)
class Outcome:
    """A sum that was done: its row, its figures in order, what was given and what was assumed, as text.

    `echoed`: names of figures that are what was given; `taken`: names whose numbers were known before.
    """

    row: Sum
    figures: tuple[Figure, ...]
    given: Mapping[str, str]
    assumed: Mapping[str, str]
    echoed: frozenset[str]
    taken: frozenset[str] = frozenset()

    def plain(self) -> dict[str, dict[str, object]]:
        """`{name: {value, unit}}`, for JSON."""
        return {
            figure.name: {
                "value": dict(figure.value) if isinstance(figure.value, Mapping) else figure.value,
                "unit": figure.unit,
            }
            for figure in self.figures
        }


def work(name: str, words: Sequence[str], at_hand: Mapping[str, str] | None = None) -> Outcome:
    """Do the sum `name` with `words`, which are "key=value", and numbers known before for what they leave open.

    Raises WrongValuesError with a sentence for every value that is unknown, missing or impossible.
    """
    problems: list[str] = []
    texts = split(words, problems)
    row = SUMS[name]
    known = taken_from(at_hand or {}, row, texts)
    given = read(row, {**texts, **known})
    if sentences := [*problems, *given.problems, *given.missing]:
        raise WrongValuesError(sentences)
    return replace(done(row, {**texts, **known}, given), taken=frozenset(known))


def taken_from(
    at_hand: Mapping[str, str], row: Sum, texts: Mapping[str, str], wanted: str = ""
) -> dict[str, str]:
    """What is known before of what a sum takes, where it is neither told nor asked for."""
    open_ = (key for key in row.takes if key in at_hand and key not in texts and key != wanted)
    return {key: at_hand[key] for key in open_ if not replaced(row, key, texts)}


def replaced(row: Sum, key: str, texts: Mapping[str, str]) -> bool:
    """True where as many other names of its choice are told as there may be."""
    return any(key in c.names and sum(name in texts for name in c.names) >= c.most for c in row.choices)


def done(row: Sum, texts: Mapping[str, str], given: Given) -> Outcome:
    """The figures of values that were read without a problem. Raises WrongValuesError with the formula's sentence."""
    try:
        record = formula(row.name)(**{parameter(key): value for key, value in given.values.items()})
    except ValueError as error:
        raise WrongValuesError([str(error)]) from error
    found = {field.name.rstrip("_"): getattr(record, field.name) for field in fields(record)}
    figures = [
        _figure(NAMES[key], found[key], given) for key in row.gives if found[key] not in (None, "", {})
    ]
    assumed = {key: text for key, text in row.assumes.items() if key not in texts}
    echoed = frozenset(key for key in texts if key in found and _same(found[key], given.values[key]))
    return Outcome(row, tuple(figures), dict(texts), assumed, echoed)


def _same(one: object, other: object) -> bool:
    if isinstance(one, float | int) and isinstance(other, float | int):
        return isclose(one, other, rel_tol=1e-9)
    return one == other


def formula(name: str) -> Callable[..., Any]:
    """The function of a sum; each has parameters of its own."""
    function: Callable[..., Any] = getattr(import_module(f"advisor.physics.{name}"), name)
    return function


def parameter(key: str) -> str:
    """The name of a parameter: `lambda` is a word of the language."""
    return "lambda_" if key == "lambda" else key


def _figure(name: Name, value: float | str | Mapping[str, float], given: Given) -> Figure:
    if isinstance(value, str) or not name.unit:
        return Figure(name.id, value)
    shown = _shown(name, given)
    if isinstance(value, Mapping):
        return Figure(name.id, {label: _in(shown, v) for label, v in value.items()}, shown.name)
    return Figure(name.id, _in(shown, value), shown.name)


def _in(shown: Unit, si: float) -> float:
    """A value in a unit, without the dust of binary numbers."""
    return float(f"{(si - shown.offset) / shown.factor:.12g}")


def _shown(name: Name, given: Given) -> Unit:
    """The unit of a result: as typed for what was typed, else the first typed of its kind, else its own."""
    own = unit(name.unit)
    if name.id in given.units:
        return given.units[name.id]
    if name.fixed:
        return own
    if own.dimension in given.liked:
        return given.liked[own.dimension]
    typed = [u for u in given.units.values() if u.dimension == own.dimension]
    if typed and own.dimension in _FOLLOWS:
        return typed[0]
    if any(u.name in _IMPERIAL for u in typed) and own.name in _OTHER:
        return unit(_OTHER[own.name])
    return own
