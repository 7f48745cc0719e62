"""What follows from the numbers of a kart on file: shares of its weight, gearing, pressures when hot."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from advisor import units
from advisor.model.case import WEIGHT, Case, Value
from advisor.sums.working import WrongValuesError, work
from advisor.units import Quantity

Settings = Mapping[str, Sequence[tuple[str, Value]]]
ENDS = ("front", "rear")


def worked_out(case: Case, settings: Settings) -> list[tuple[str, str]]:
    """Label and text of everything that can be worked out; a sum whose numbers are missing or odd is left out."""
    rows = (
        ("corner weights, worked out", _corner_weights(case, settings)),
        ("gearing, worked out", _gearing(settings)),
        *((f"{end} pressure when hot, expected", _hot(case, end)) for end in ENDS),
    )
    return [(label, text) for label, text in rows if text]


def _corner_weights(case: Case, settings: Settings) -> str:
    found = {label.replace(" ", "_"): mass for label, mass in settings.get("corner_weights", ())}
    rule = case.rules.get(WEIGHT)
    if found and rule is not None and rule.least is not None:
        found["minimum"] = rule.least
    return _text("weights", _typed(found, case), ("total", "front", "left", "cross", "over_minimum"))


def _gearing(settings: Settings) -> str:
    found = {_DRIVE[label]: value for label, value in settings.get("gearing", ()) if label in _DRIVE}
    if "rollout" not in found:
        found.pop("rpm", None)
    return _text("gearing", _typed(found), ("ratio", "per_turn", "speed"))


_DRIVE = {"engine": "engine_teeth", "axle": "axle_teeth", "rpm": "rpm", "rollout": "rollout"}


def _hot(case: Case, end: str) -> str:
    """The cold pressure is taken to be set at the temperature of the air."""
    cold, at = case.setup.get(f"tyre_pressure_{end}"), case.conditions.get("air_temperature")
    to = case.conditions.get(f"tyre_temperature.{end}") or case.conditions.get("tyre_temperature")
    if cold is None or at is None or to is None:
        return ""
    text = _text("pressure", _typed({"cold": cold, "at": at, "to": to}, case), ("hot",)).removeprefix("hot ")
    return f"{text} (if set at {_liked(at, case)} and {_liked(to, case)} inside)" if text else ""


def _typed(values: Mapping[str, Value], case: Case | None = None) -> list[str]:
    """Values as a person would type them, but to the last digit."""
    return [f"{key}={_exact(_liked(value, case))}" for key, value in values.items()]


def _exact(value: Value) -> str:
    if isinstance(value, Quantity):
        return f"{value.value:.12g} {value.unit.name}"
    return f"{value:g}" if isinstance(value, float | int) else value


def _liked(value: Value, case: Case | None) -> Value:
    """A value in the unit that its owner likes."""
    if not isinstance(value, Quantity) or case is None:
        return value
    unit = units.find_unit(case.units.get(value.dimension, ""))
    return value.within(unit) if unit else value


def _text(name: str, words: Sequence[str], wanted: Sequence[str]) -> str:
    """The wanted figures of a sum as text; nothing where it cannot be done."""
    try:
        figures = {figure.name: figure.text for figure in work(name, words).figures}
    except WrongValuesError:
        return ""
    return ", ".join(f"{key.replace('_', ' ')} {figures[key]}" for key in wanted if key in figures)
