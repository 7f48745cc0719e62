"""What is jotted down at the kart, a line at a time, read into values: weather, changes, laps; pressures: `corners`.

Each reader raises ValueError with one sentence for a person; what it understood is said back before it counts.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from rapidfuzz import fuzz, process

from advisor import units
from advisor.book.marked import Marked
from advisor.karts.sheets import SheetReader
from advisor.karts.values import SAME_GRADE
from advisor.karts.written import as_data
from advisor.laps.times import seconds
from advisor.model.case import Case
from advisor.model.knowledge import Book
from advisor.model.levers import Lever

NUMBER = r"[-+]?\d+(?:[.,]\d+)?"
DEGREES = re.compile(rf"({NUMBER})\s*(°?[CcFf]\b|deg[CF])?")
STATES = ("dry", "green", "rubbered", "damp", "wet", "drying")  # those that the book knows are read
NEAR, SHORTEST = 84.0, 3  # how alike a name of a lever must be, of 100; letters that its beginning needs
USUAL = {"length": "mm", "angle": "deg", "pressure": "psi", "mass": "kg", "temperature": "degC"}
GEARING = "gearing"


@dataclass(frozen=True, slots=True)
class Weather:
    """The weather as it was jotted down; temperatures as text with a unit."""

    words: str = ""
    conditions: Mapping[str, str] = field(default_factory=dict)
    state: str = ""


def weather(text: str, book: Book) -> Weather:
    """Read "cloudy 18 24 wind 3 NW dry": words, air and track temperature, wind, the state of the track."""
    rest, found = text.strip(), {}
    if wind := re.search(r"(?i)\bwind\b\s*([^,;]*?)(?=$|[,;]|\b(?:dry|wet|damp|green|rubbered)\b)", rest):
        found["wind"] = wind[1].strip() or "yes"
        rest = f"{rest[: wind.start()]} {rest[wind.end() :]}"
    temperatures = [
        f"{m[1].replace(',', '.')} {_degrees(m[2])}"
        for m in re.finditer(rf"({NUMBER})\s*(°?[CcFf]\b|deg[CF])?", rest)
    ]
    if len(temperatures) > 2:
        raise ValueError("two numbers are air and track temperature; say the wind as: wind 3 NW")
    for key, value in zip(("air_temperature", "track_temperature"), temperatures, strict=False):
        if not -30 <= (units.parse(value).si - 273.15) <= 80:
            raise ValueError(f"{value} is no {key.replace('_', ' ')}; write it like 18 24, air first")
        found[key] = value
    rest = DEGREES.sub(" ", rest)
    known = [s for s in STATES if "track" in book.observations and s in book.observations["track"].answers]
    said = [s for s in known if re.search(rf"(?i)\b{s}\b", rest)]
    words = " ".join(re.sub(r"[,;/]+", " ", rest).split())
    return Weather(words, found, said[-1] if said else "")


def _degrees(unit: str | None) -> str:
    return "degF" if unit and unit.upper().endswith("F") else "degC"


def tyres(text: str) -> tuple[str, int | None]:
    """Read "set 2, 34 laps" or "old 34": the name of the set, and the laps it has done."""
    found = re.search(r"(?i)[,;]?\s*\b(\d{1,4})\s*(?:laps?|l)\b", text) or re.search(
        r"[,;]\s*(\d{1,4})\s*$", text
    )
    laps = int(found[1]) if found else None
    name = f"{text[: found.start()]} {text[found.end() :]}" if found else text
    return " ".join(name.strip(" ,;").split()), laps


def laps(text: str) -> tuple[float, ...]:
    """Lap times in seconds with blanks or commas between; a decimal comma stands between digits."""
    pieces = [p.strip(",;") for p in text.replace(";", " ").split()]
    found = []
    for number, piece in enumerate((p for p in pieces if p), start=1):
        try:
            found.append(seconds(piece))
        except ValueError as error:
            raise ValueError(f"lap {number}: {error}") from error
    return tuple(found)


BELOW_NOTHING = ("toe", "camber")  # what is often set to less than nothing, so that a minus tells no step


# --- changes ------------------------------------------------------------------------------------------


def changes(text: str, book: Book, wishes: Mapping[str, str]) -> dict[str, Any]:
    """Read "rear track 1390, caster 10 deg, axle soft" as settings by lever, in the shape of a case file.

    A bare number is in the unit that is wished for what it measures, else in that of the lever's step.
    """
    found: dict[str, Any] = {}
    for piece in (p.strip() for p in re.split(r"[;\n]|,(?!\d)", text)):
        if piece:
            lever, value = _change(piece, book)
            if value[:1] == "+" or (value[:1] == "-" and lever.id not in BELOW_NOTHING):
                raise ValueError(
                    f'"{piece[:40]}" says by how much it was changed; write what it is set to now, sign left out'
                )
            found[lever.id] = _settled(lever, value, book, wishes)
    return found


def _change(piece: str, book: Book) -> tuple[Lever, str]:
    """The lever that a piece begins with, and what it was set to."""
    words = re.sub(r"\s*(=|:|->|→|\bto\b|\bnow\b)\s*", " ", piece).split()
    for end in range(min(4, len(words) - 1), 0, -1):
        value = " ".join(words[end:])
        fitting = [lever for lever in _named(" ".join(words[:end]), book) if _takes(lever, value)]
        if len(fitting) == 1:
            return fitting[0], value
        if len(fitting) > 1:
            each = " or ".join(lever.name for lever in fitting[:3])
            raise ValueError(f'"{piece[:40]}" may be {each}; write the whole name')
    raise ValueError(
        f'"{piece[:40]}" is no setting with its value; write them like rear track width 1390, or tell it in your words'
    )


def _named(said: str, book: Book) -> list[Lever]:
    """The levers that a name may mean: by the whole of it, its beginning, all words of it, else by a likely slip."""
    bare = said.casefold().replace("_", " ")
    names = {
        name: lever
        for lever in book.levers.values()
        if lever.dimension or lever.grades or lever.id == GEARING
        for name in (lever.id.replace("_", " "), lever.name.casefold())
    }
    if bare in names:
        return [names[bare]]
    found = [lever for name, lever in names.items() if len(bare) >= SHORTEST and name.startswith(bare)]
    words = {word.removesuffix("s") for word in bare.split()}
    if not found and len(words) > 1:  # "rear pressure" leaves a word of the name out
        found = [
            lever for name, lever in names.items() if words <= {w.removesuffix("s") for w in name.split()}
        ]
    if not found and (near := process.extractOne(bare, list(names), scorer=fuzz.ratio, score_cutoff=NEAR)):
        found = [names[near[0]]]
    return list({lever.id: lever for lever in found}.values())


def _takes(lever: Lever, value: str) -> bool:
    """True when a value is of the kind that the lever has: a number, or one of its grades."""
    if re.match(NUMBER, value):
        return bool(lever.dimension) or lever.id == GEARING
    return bool(lever.grades) and SAME_GRADE.get(value.casefold(), value.casefold()) in (
        *lever.grades,
        "none",
    )


def _settled(lever: Lever, value: str, book: Book, wishes: Mapping[str, str]) -> Any:
    """The value as a case file has it; judged as one there is."""
    said: Any = value
    if lever.id == GEARING and (teeth := re.fullmatch(r"(\d+)\D+(\d+)", value)):
        said = {"engine": int(teeth[1]), "axle": int(teeth[2])}
    elif re.fullmatch(NUMBER, value) and lever.dimension:
        dimension = lever.dimension.split("|")[0]
        usual = units.parse(lever.step.amount).unit.name if lever.step else USUAL.get(dimension, "")
        said = f"{value.replace(',', '.')} {wishes.get(dimension) or usual}"
    reader = SheetReader(Marked("the changes", {}), book)
    setup, _ = reader.setup({lever.id: said})
    if reader.problems:
        raise ValueError(reader.problems[0].message)
    return as_data(Case(setup=setup))["setup"][lever.id] if lever.id in setup else said
