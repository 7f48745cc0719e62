"""Karts, trailers and classes on file: plain YAML that a person writes, merged into a case.

A garage is a folder with `karts/`, `trailers/` and `classes/`. A kart file holds what a case may say of
a kart (`kart`, `setup`, `conditions`, `keep`), the names of its trailer and class, and the units its
owner likes. A trailer file is what a case calls `kit`, a class file what it calls `rules`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from advisor import units
from advisor.book import marked
from advisor.book.cases import from_document
from advisor.model.case import Case
from advisor.model.knowledge import Book
from advisor.problems import Problem, UnusableError, hint

ROOMS = {"karts": "kart", "trailers": "trailer", "classes": "class"}
KART_KEYS = ("note", "trailer", "class_rules", "units")
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 _-]{0,60}\Z")

TEMPLATE = """\
# A kart on file. Every line is optional; take out the # of those you know, and write your own values.
# Units as you write them: psi kPa bar, mm cm in, degC degF, kg lb.
note: ""
kart:
  class: ""
  # driver_mass: 62 kg
setup:
  # front_track_width: 1180 mm
  # rear_track_width: 1390 mm
  # tyre_pressure_front: 11 psi
  # tyre_pressure_rear: 11 psi
  # caster: 12 deg
  # toe: 1 mm
  # axle_stiffness: medium
  # rear_hub_length: 95 mm
  # seat_stays: 0
  # tyres: {kind: slick, compound: medium, laps: 40}
# What is in the trailer; leave the line out and every part is assumed to be there.
# kit: {axle_stiffness: [soft, medium], rear_hub_length: [75 mm, 95 mm]}
# What the class allows; the rulebook decides.
# rules: {rear_track_width: {max: 1400 mm}, tyre_pressure_rear: {min: 8 psi}}
# Or as files of their own, trailers/NAME.yaml and classes/NAME.yaml in this garage:
# trailer: van
# class_rules: club-junior
# How to show things: units: {pressure: bar, length: mm, temperature: degC, mass: kg}
"""


@dataclass(frozen=True, slots=True)
class Kart:
    """A kart on file: its name, where it stands, and the case it gives."""

    name: str
    path: Path
    case: Case
    note: str = ""
    warnings: tuple[str, ...] = ()


def names(garage: Path, room: str = "karts") -> list[str]:
    """Names on file in a room of the garage, in order."""
    folder = garage / room
    return sorted(p.stem for p in folder.glob("*.yaml")) if folder.is_dir() else []


def path_of(garage: Path, name: str, room: str = "karts") -> Path:
    """Where a name is kept. Raises UnusableError for a name that is no plain word."""
    if not _NAME.match(name):
        raise UnusableError(
            [Problem(str(garage / room), 1, 1, f'"{name}" is no name: letters, digits, blanks, - and _')]
        )
    return garage / room / f"{name}.yaml"


def read(garage: Path, name: str, book: Book) -> Kart:
    """Read a kart with its trailer and class. Raises UnusableError with every problem of the files."""
    path = Path(name) if name.endswith((".yaml", ".yml")) else path_of(garage, name)
    if not path.exists():
        known = names(garage)
        raise UnusableError(
            [
                Problem(
                    str(path),
                    1,
                    1,
                    f"no such kart{hint(name, known)} (on file: {', '.join(known) or 'none'})",
                )
            ]
        )
    document = marked.read(path)
    if document.data is None and not document.problems:
        return Kart(path.stem, path, Case())
    found = from_document(document, book, KART_KEYS, silent=True)
    problems = [*document.problems, *found.problems]
    data: Mapping[str, Any] = document.data if isinstance(document.data, dict) else {}
    case = found.case or Case()
    case = replace(case, units=_units(document, data, problems))
    for key, room, part in (("trailer", "trailers", "kit"), ("class_rules", "classes", "rules")):
        if data.get(key) is not None:
            case = _with(garage, room, part, document, key, case, book, problems)
    if problems:
        raise UnusableError(problems)
    return Kart(path.stem, path, case, str(data.get("note") or ""), tuple(found.warnings))


def problems(path: Path, book: Book) -> list[Problem]:
    """Every problem of a file of a garage: a kart, a trailer or a class."""
    if path.parent.name == "karts":
        try:
            read(path.parents[1], path.stem, book)
        except UnusableError as error:
            return list(error.problems)
        return []
    part = "kit" if path.parent.name == "trailers" else "rules"
    document = marked.read(path)
    return document.problems or from_document(_wrapped(document, part), book, silent=True).problems


def _wrapped(document: marked.Marked, part: str) -> marked.Marked:
    """A trailer or class file as the part of a case that it is."""
    data = {part: document.data}
    return marked.Marked(document.file, data, [], document._keys, document._values, document._root)


def _units(document: marked.Marked, data: Mapping[str, Any], problems: list[Problem]) -> dict[str, str]:
    wishes = data.get("units") or {}
    if not isinstance(wishes, dict):
        problems.append(document.problem(("units",), "units is a mapping such as {pressure: bar}"))
        return {}
    dimensions = {u.dimension for u in units.UNITS.values()}
    kept = {}
    for dimension, name in wishes.items():
        unit = units.find_unit(str(name))
        if dimension not in dimensions:
            problems.append(
                document.problem(
                    ("units", dimension),
                    f'"{dimension}" is nothing with units{hint(dimension, dimensions)}',
                    key=True,
                )
            )
        elif unit is None or unit.dimension != dimension:
            fitting = ", ".join(u.name for u in units.UNITS.values() if u.dimension == dimension)
            problems.append(
                document.problem(
                    ("units", dimension), f'"{name}" is no unit of {dimension} (known: {fitting})'
                )
            )
        else:
            kept[dimension] = unit.name
    return kept


def _with(
    garage: Path,
    room: str,
    part: str,
    kart: marked.Marked,
    key: str,
    case: Case,
    book: Book,
    problems: list[Problem],
) -> Case:
    """The case with the trailer or class that the kart file names."""
    name = str(kart.data[key])
    path = garage / room / f"{name}.yaml"
    if not _NAME.match(name) or not path.exists():
        known = names(garage, room)
        problems.append(
            kart.problem(
                (key,),
                f'no {ROOMS[room]} "{name}" on file{hint(name, known)} (on file: {", ".join(known) or "none"})',
            )
        )
        return case
    document = marked.read(path)
    problems += document.problems
    if document.problems:
        return case
    found = from_document(_wrapped(document, part), book, silent=True)
    problems += found.problems
    if found.case is None:
        return case
    return (
        replace(case, kit=found.case.kit)
        if part == "kit"
        else replace(case, rules={**found.case.rules, **case.rules})
    )


def merged(kart: Case, case: Case) -> Case:
    """A case on top of the kart it is about: what the case says outranks the file, value by value."""
    return replace(
        case,
        kart_class=case.kart_class or kart.kart_class,
        driver_mass=case.driver_mass or kart.driver_mass,
        setup={**kart.setup, **case.setup},
        tyres={**kart.tyres, **case.tyres},
        conditions={**kart.conditions, **case.conditions},
        kit=kart.kit if case.kit is None else case.kit,
        rules={**kart.rules, **case.rules},
        keep=(*case.keep, *(k for k in kart.keep if k not in case.keep)),
        minutes=kart.minutes if case.minutes is None else case.minutes,
        units={**kart.units, **case.units},
    )


def create(garage: Path, name: str, text: str) -> Path:
    """Write a new kart file. Raises UnusableError when the name is taken; nothing is overwritten."""
    path = path_of(garage, name)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8") as stream:
            stream.write(text)
    except FileExistsError:
        raise UnusableError(
            [Problem(str(path), 1, 1, f'a kart "{name}" is on file already; choose another name')]
        ) from None
    except OSError as error:
        raise UnusableError(
            [Problem(str(path), 1, 1, f"cannot be written: {error.strerror or error}")]
        ) from None
    return path
