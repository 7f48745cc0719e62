"""The figures of this kart: what a sheet and a day tell of them, narrower than the usual ranges."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from advisor.model.case import Case, Pieces
from advisor.physics.elements import DEGREE
from advisor.physics.figures import FIGURES, FRONT_AIR, REAR_AIR, SMALL, Figure
from advisor.physics.weight import KART_MASS
from advisor.units import Quantity

# Width of a tyre [m], between overall width and the middles of the wheels; common practice, no source.
FRONT_TYRE, REAR_TYRE = (0.132, 0.004), (0.205, 0.008)
PILLS = 8 * DEGREE  # a caster below is the mark of an adjuster, not the lean of the king-pin
CADET_MASS = 62.0  # [kg] of a child's kart with fuel, assumption
SURE = "your sheet"


@dataclass(frozen=True, slots=True)
class Known:
    """Figures that replace the usual ones, and in words what they were taken from. `turn`: left, right or nothing."""

    figures: Mapping[str, Figure]
    told: tuple[str, ...] = ()
    turn: str = ""


def known(case: Case, turn: str = "") -> Known:
    """What a case tells of its kart, the special after the general.

    turn: "left" or "right", that of the case where it is left out.
    """
    turn = turn or case.observed.get("direction", "")
    turn = turn if turn in ("left", "right") else ""
    figures = dict(FIGURES)
    told: list[str] = []
    for label, found in (
        *_day(case),
        *_sheet(case),
        *_scales(figures, case.pieces.get("corner_weights", ()), turn),
    ):
        figures.update(found)
        told += [label] if label not in told else []
    return Known(figures, tuple(told), turn)


Found = tuple[str, dict[str, Figure]]


def _about(value: float, by: float) -> Figure:
    return Figure(value, value - by, value + by, SURE)


# --- the day, by answers ----------------------------------------------------------------------------

# By "question answer": what it says of the figures. Assumptions all, but for the weights of gearbox karts.
ANSWERS: dict[str, dict[str, Figure]] = {
    "machine cadet": SMALL,
    "machine gearbox": {
        "mass": Figure(178.0, 170.0, 190.0, "federation minimums of 170 and 175 kg"),
        "brake_front": Figure(0.50, 0.40, 0.60, "assumption"),
    },
    "machine low_power": {"friction": Figure(1.35, 1.1, 1.6, "hard tyres, assumption")},
    "driver_mass light": {
        "mass": Figure(140.0, 125.0, 152.0, "assumption"),
        "driver_share": Figure(0.34, 0.28, 0.40, "assumption"),
        "height": Figure(0.23, 0.19, 0.28, "assumption"),
    },
    "driver_mass heavy": {
        "mass": Figure(180.0, 168.0, 200.0, "assumption"),
        "driver_share": Figure(0.48, 0.44, 0.54, "assumption"),
        "height": Figure(0.27, 0.23, 0.32, "assumption"),
    },
    "track wet": {"friction": Figure(0.9, 0.6, 1.15, "assumption")},
    "track damp": {"friction": Figure(1.15, 0.85, 1.4, "assumption")},
    "track green": {"friction": Figure(1.4, 1.1, 1.65, "assumption")},
    "track rubbered": {"friction": Figure(1.8, 1.55, 2.1, "assumption")},
    "corner_speed slow": {"radius": Figure(10.0, 7.0, 14.0, "assumption")},
    "corner_speed fast": {"radius": Figure(35.0, 22.0, 60.0, "assumption")},
    "layout oval": {"radius": Figure(22.0, 12.0, 45.0, "assumption")},
}
# What a light or a heavy driver means for a child's kart is in its own masses.
_ADULT = ("driver_mass light", "driver_mass heavy")


def answers_known(observed: Mapping[str, str]) -> Iterator[Found]:
    """What the answers to questions say of the figures, each with its name."""
    given = [f"{question} {answer}" for question, answer in observed.items()]
    small = "machine cadet" in given
    for name in ANSWERS:  # the machine first
        if name in given and not (small and name in _ADULT):
            question, _, answer = name.partition(" ")
            yield f"{question.replace('_', ' ')} {answer.replace('_', ' ')}", ANSWERS[name]


def _day(case: Case) -> Iterator[Found]:
    yield from answers_known(case.observed)


# --- the sheet --------------------------------------------------------------------------------------


def _sheet(case: Case) -> Iterator[Found]:
    if case.driver_mass is not None:
        yield "driver mass", _masses(case.driver_mass.si, case.observed.get("machine") == "cadet")
    for lever, read in (
        ("front_track_width", _front_track),
        ("rear_track_width", _rear_track),
        ("caster", _caster),
        ("tyre_pressure_front", _front_air),
        ("tyre_pressure_rear", _rear_air),
    ):
        now = case.setup.get(lever)
        if isinstance(now, Quantity) and (found := read(now)):
            yield lever.replace("_", " "), found
    for lever, grades in GRADES.items():
        word = case.setup.get(lever)
        if isinstance(word, str) and word in grades:
            yield lever.replace("_", " "), grades[word]


def _masses(driver: float, small: bool) -> dict[str, Figure]:
    whole = driver + (CADET_MASS if small else KART_MASS)
    return {"mass": _about(whole, 6.0), "driver_share": _about(driver / whole, 0.02)}


def _front_track(now: Quantity) -> dict[str, Figure]:
    return {"front_track": _about(now.si - FRONT_TYRE[0], FRONT_TYRE[1])} if now.dimension == "length" else {}


def _rear_track(now: Quantity) -> dict[str, Figure]:
    return {"rear_track": _about(now.si - REAR_TYRE[0], REAR_TYRE[1])} if now.dimension == "length" else {}


def _caster(now: Quantity) -> dict[str, Figure]:
    if now.dimension != "angle" or not PILLS <= now.si <= 30 * DEGREE:
        return {}
    return {"caster": _about(now.si, 0.5 * DEGREE)}


def _front_air(now: Quantity) -> dict[str, Figure]:
    return _air("front_rate", now, FRONT_AIR)


def _rear_air(now: Quantity) -> dict[str, Figure]:
    return _air("rear_rate", now, REAR_AIR)


def _air(name: str, now: Quantity, at: float) -> dict[str, Figure]:
    """A pressure moves the range of the tyre's rate; it does not narrow it."""
    if now.dimension != "pressure" or now.si <= 0:
        return {}
    by, was = (now.si / at) ** 0.8, FIGURES[name]
    return {name: Figure(was.usual * by, was.low * by, was.high * by, was.source)}


def _scaled(name: str, by: float) -> dict[str, Figure]:
    was = FIGURES[name]
    middle = was.usual * by
    half = 0.35 * (was.high - was.low)
    return {name: Figure(middle, middle - half, middle + half, was.source)}


# Grades of parts as what they make of the usual figure; sizes as in `turns`, assumptions.
GRADES: dict[str, dict[str, dict[str, Figure]]] = {
    "axle_stiffness": {
        "soft": _scaled("axle_stiffness", 0.87),
        "medium": _scaled("axle_stiffness", 1.0),
        "stiff": _scaled("axle_stiffness", 1.15),
    },
    "front_torsion_bar": {
        "none": _scaled("frame", 0.95),
        "soft": _scaled("frame", 1.0),
        "stiff": _scaled("frame", 1.08),
    },
}


def _scales(figures: Mapping[str, Figure], weights: Pieces, turn: str) -> Iterator[Found]:
    """Weight, its share on the front, its offset and the difference of the diagonals, from four scales.

    Where it is not told which side is the inner one, a difference of sides and diagonals only widens the ranges.
    """
    corners = {corner: value.si for corner, value in weights if isinstance(value, Quantity)}
    if len(corners) < 4 or min(corners.values()) <= 0:
        return
    total = sum(corners.values())
    front = corners["front left"] + corners["front right"]
    left = corners["front left"] + corners["rear left"]
    diagonal = corners["front right"] + corners["rear left"]
    aside = (left / total - 0.5) * figures["rear_track"].usual
    yield (
        "corner weights",
        {
            "mass": _about(total, 1.5),
            "front_share": _about(front / total, 0.004),
            "offset": _sided(aside, 0.003, turn),
            "cross": _sided(diagonal / total - 0.5, 0.004, turn),
        },
    )


def _sided(left: float, by: float, turn: str) -> Figure:
    """A figure that counts one way in left-handers and the other way in right-handers, `left` in the former."""
    if turn:
        return _about(left if turn == "left" else -left, by)
    return Figure(0.0, -abs(left) - by, abs(left) + by, SURE)


def narrowed(kart: Known, **values: float) -> Known:
    """The same with some figures told outright, such as the radius of a corner [m]."""
    figures = {name: Figure(value, value, value, "as you said") for name, value in values.items()}
    return replace(kart, figures={**kart.figures, **figures})
