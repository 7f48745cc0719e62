"""Numbers of a kart and a day by the names that sums have for them, as a person would type them."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.mechanics.known import known
from advisor.model.case import WEIGHT, Case, Value
from advisor.physics.figures import FIGURES
from advisor.sums.nomenclature import NAMES, unit
from advisor.units import Quantity

DRIVE = {"engine": "engine_teeth", "axle": "axle_teeth", "rpm": "rpm", "rollout": "rollout"}
# Figures of the kart model by the names of sums.
MODEL = {
    "mass": "total", "front_share": "front", "height": "cg_height",
    "front_track": "front_track", "rear_track": "rear_track", "caster": "caster", "front_rate": "front_rate",
    "rear_rate": "rear_rate", "frame": "frame",
}  # fmt: skip


def at_hand(case: Case) -> dict[str, str]:
    """What the sheet, the class and the day of a case tell."""
    found = {label.replace(" ", "_"): value for label, value in case.pieces.get("corner_weights", ())}
    found |= {DRIVE[label]: value for label, value in case.pieces.get("gearing", ()) if label in DRIVE}
    if air := case.conditions.get("air_temperature"):
        found |= {"at": air, "temperature": air}
    if hot := case.conditions.get("tyre_temperature"):
        found |= {"to": hot}
    if (rule := case.rules.get(WEIGHT)) and rule.least is not None:
        found |= {"minimum": rule.least}
    return {name: _typed(value) for name, value in found.items()} | dict(_of_the_model(case))


def _of_the_model(case: Case) -> Iterator[tuple[str, str]]:
    """The figures of the kart model that the case tells; those that are only usual are told by nobody."""
    figures = known(case).figures
    told = {name: figures[name].usual for name in MODEL if figures[name] is not FIGURES[name]}
    for name, value in told.items():
        yield MODEL[name], _in_unit(MODEL[name], value)
    if {"front_track", "rear_track"} & set(told):
        yield "track", _in_unit("track", (figures["front_track"].usual + figures["rear_track"].usual) / 2)


def _in_unit(name: str, si: float) -> str:
    shown = unit(NAMES[name].unit)
    return f"{(si - shown.offset) / shown.factor:.4g} {shown.name}"


def _typed(value: Value) -> str:
    if isinstance(value, Quantity):
        return f"{value.value:.6g} {value.unit.name}"
    return f"{value:g}" if isinstance(value, float | int) else str(value)
