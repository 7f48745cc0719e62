"""Karts, trailers and classes on file: plain YAML that a person writes, merged into a case.

They stand in one folder, in its `karts/`, `trailers/` and `classes/`. A kart file holds what a case may say of
a kart (`kart`, `setup`, `conditions`, `kit`, `rules`, `keep`), a note, the names of its trailer and class,
and the units its owner likes. A trailer file is what a case calls `kit`, a class file what it calls `rules`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from advisor import units
from advisor.book import edit, marked
from advisor.book.load import shipped
from advisor.karts import sheets
from advisor.karts.cases import DAY_KEYS, CaseFile
from advisor.karts.sheets import SheetReader
from advisor.karts.values import Odd, same
from advisor.model.case import Case, Limit, Pieces, Value, in_liked_units
from advisor.model.knowledge import Book
from advisor.problems import Problem, UnusableError, hint, shown

ROOMS = {"karts": "kart", "trailers": "trailer", "classes": "class"}
KEYS = ("note", "driver", "track", *sheets.KEYS, "trailer", "class_rules", "units")
PARTS = {"trailers": "trailer", "classes": "class_rules"}  # rooms, and the keys that name a file there
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 _-]{0,60}\Z")


@dataclass(frozen=True, slots=True)
class Kart:
    """A kart on file: its name, where it stands, and the case it gives."""

    name: str
    path: Path
    case: Case
    note: str = ""
    driver: str = ""  # who usually drives it
    track: str = ""  # where it usually runs
    trailer: str = ""
    class_rules: str = ""
    settings: Mapping[str, Pieces] = field(default_factory=dict)  # the whole setup, to be shown
    odd: tuple[Odd, ...] = ()

    @property
    def warnings(self) -> list[str]:
        """What is unusual about the kart as it stands on file."""
        return [*(text for _, text in self.odd), *sheets.beyond(self.case)]


def template() -> bytes:
    """A new kart file, every line of it a comment: it stands beside the levers in the knowledge base."""
    return (shipped() / "kart_file.txt").read_bytes()


def names(folder: Path, room: str = "karts") -> list[str]:
    """Names on file in a room of the folder, in order. Raises UnusableError when the room is no folder."""
    place = _room(folder, room)
    return sorted(p.stem for p in place.glob("*.yaml") if p.is_file()) if place.is_dir() else []


def _room(folder: Path, room: str) -> Path:
    for place in (folder, folder / room):
        if place.exists() and not place.is_dir():
            message = f"is a file, and the folder of the {ROOMS[room]} files belongs there; move it away"
            raise UnusableError([Problem(str(place), 1, 1, message)])
    return folder / room


def path_of(folder: Path, name: str) -> Path:
    """Where a kart of that name is kept. Raises UnusableError for a name that is no plain word."""
    if not _NAME.match(name):
        raise UnusableError(
            [Problem(str(folder / "karts"), 1, 1, f'"{name}" is no name: letters, digits, blanks, - and _')]
        )
    return folder / "karts" / f"{name}.yaml"


def read(folder: Path, name: str, book: Book) -> Kart:
    """Read a kart with its trailer and class. Raises UnusableError with every problem of the files."""
    path = Path(name) if name.endswith((".yaml", ".yml")) else path_of(folder, name)
    if not path.exists():
        known = names(folder)
        message = f"no such kart{hint(name, known)} (on file: {', '.join(known) or 'none'})"
        raise UnusableError([Problem(str(path), 1, 1, message)])
    document = marked.read(path)
    if not document.readable:
        raise UnusableError(document.problems)
    reader = _KartReader(document, book)
    kart = reader.kart(path)
    parts = [part for room, key in PARTS.items() if (part := reader.part(folder, room, key)) is not None]
    for part in parts:
        kart = part.onto(kart)
    problems = [*document.problems, *reader.problems, *(p for part in parts for p in part.problems)]
    if problems:
        raise UnusableError(problems)
    return replace(kart, case=replace(kart.case, kart_file=name))


def problems(path: Path, book: Book) -> list[Problem]:
    """Every problem of a file in that folder: a kart, a trailer or a class."""
    if path.parent.name != "karts":
        return _Part(path, path.parent.name, book).problems
    try:
        read(path.parents[1], path.stem, book)
    except UnusableError as error:
        return [p for p in error.problems if p.file.startswith(str(path.parent))]  # the others have their own
    return []


class _KartReader(SheetReader):
    """Reads a kart file; what belongs to one day is refused."""

    def __init__(self, document: marked.Marked, book: Book) -> None:
        super().__init__(document, book)
        self.data: Mapping[str, Any] = document.data if isinstance(document.data, dict) else {}

    def kart(self, path: Path) -> Kart:
        """The kart as this file alone has it."""
        if self.document.data is not None and not isinstance(self.document.data, dict):
            self.fail((), 'must be a mapping of keys to values, such as "note: the red one"')
        for key in self.data:
            if key in DAY_KEYS:
                self.fail((key,), f"{key} belongs to a day, not to the kart; leave it out here", key=True)
            elif key not in KEYS:
                self.unknown((key,), KEYS)
        case = replace(self.sheet(self.data), units=self._wishes(self.data.get("units")))
        note, driver, track = (self.text(self.data, (key,)) for key in ("note", "driver", "track"))
        return Kart(path.stem, path, case, note, driver, track, settings=self.settings, odd=tuple(self.odd))

    def part(self, folder: Path, room: str, key: str) -> _Part | None:
        """The trailer or class file that the kart names, if it is on file."""
        name = self.data.get(key)
        if name is None:
            return None
        path = folder / room / f"{name}.yaml"
        known = names(folder, room)
        if not isinstance(name, str | int):
            message = f"{key} is the name of one {ROOMS[room]}"
        elif _NAME.match(str(name)) and path.exists():
            return _Part(path, room, self.book)
        else:
            message = f'no {ROOMS[room]} "{shown(name)}" on file{hint(str(name), known)}'
        self.fail((key,), f"{message} (on file: {', '.join(known) or 'none'})")
        return None

    def _wishes(self, value: Any) -> dict[str, str]:
        """The units that the owner likes, by dimension."""
        if value is not None and not isinstance(value, dict):
            self.fail(("units",), "units is a mapping such as {pressure: bar}")
        kept = {}
        dimensions = list(dict.fromkeys(u.dimension for u in units.UNITS.values()))
        for dimension, name in (value if isinstance(value, dict) else {}).items():
            unit, path = units.find_unit(str(name)), ("units", dimension)
            if dimension not in dimensions:
                message = f'"{dimension}" is nothing that is measured{hint(dimension, dimensions)}'
                self.fail(path, f"{message} (known: {', '.join(dimensions)})", key=True)
            elif unit is None or unit.dimension != dimension:
                fitting = ", ".join(u.name for u in units.UNITS.values() if u.dimension == dimension)
                self.fail(path, f'"{name}" is no unit of {dimension} (known: {fitting})')
            else:
                kept[dimension] = unit.name
        return kept


class _Part:
    """A trailer or class file: what a case calls `kit` or `rules`, as a document of its own."""

    def __init__(self, path: Path, room: str, book: Book) -> None:
        document = marked.read(path)
        reader = SheetReader(document, book)
        self.name, self.room = path.stem, room
        self.kit: dict[str, tuple[Value, ...]] | None = None
        self.rules: dict[str, Limit] = {}
        if document.readable and room == "trailers":
            self.kit = reader.kit(document.data, ())
        elif document.readable:
            self.rules = reader.rules(document.data, ())
        self.problems = [*document.problems, *reader.problems]
        self.odd = reader.odd

    def onto(self, kart: Kart) -> Kart:
        """The kart with this part; what the kart file says itself comes on top."""
        if self.room == "trailers":
            case = replace(kart.case, kit=_joined(self.kit, kart.case.kit))
            odd = [(("kit", *path), text) for path, text in self.odd]
            return replace(kart, case=case, trailer=self.name, odd=(*kart.odd, *odd))
        case = replace(kart.case, rules={**self.rules, **kart.case.rules})
        odd = [(("rules", *path), text) for path, text in self.odd if path[0] not in kart.case.rules]
        return replace(kart, case=case, class_rules=self.name, odd=(*kart.odd, *odd))


Kit = Mapping[str, tuple[Value, ...]]


def _joined(one: Kit | None, other: Kit | None) -> Kit | None:
    """The parts of two lists, those of one lever together and none twice."""
    if one is None or other is None:
        return other if one is None else one
    joined = {lever: list(parts) for lever, parts in one.items()}
    for lever, parts in other.items():
        there = joined.setdefault(lever, [])
        there += [part for part in parts if not any(same(part, known) for known in there)]
    return {lever: tuple(parts) for lever, parts in joined.items()}


def on_top(kart: Kart, read: CaseFile) -> tuple[Case, list[str]]:
    """The case that was read on top of its kart, and what is odd about the two together."""
    assert read.case is not None
    base = replace(kart.case, setup={k: v for k, v in kart.case.setup.items() if k not in read.settings})
    case = merged(base, read.case)
    said = read.document.data if read.document is not None else {}
    odd = [text for path, text in kart.odd if not _outranked(path, said)]
    alone = sheets.beyond(read.case)  # told of the two together instead, in the units of the kart
    return case, [*odd, *(text for text in read.warnings if text not in alone), *sheets.beyond(case)]


_WHOLE = {"kit": 1, "rules": 2}  # how far down a case replaces what its kart says, as a whole


def _outranked(path: tuple[Any, ...], said: Any) -> bool:
    """True when a case says something else in that place."""
    for step in path[: _WHOLE.get(path[0])]:
        if not isinstance(said, dict):
            return said is not None
        if step not in said:
            return False
        said = said[step]
    return said is not None


def merged(kart: Case, case: Case) -> Case:
    """A case on top of the kart it is about: what the case says outranks the file, value by value."""
    whole = replace(
        case,
        kart_file=kart.kart_file,
        observed={**{k: v for k, v in kart.observed.items() if k not in case.denied}, **case.observed},
        kart_class=case.kart_class or kart.kart_class,
        driver_mass=case.driver_mass or kart.driver_mass,
        setup={k: v for k, v in kart.setup.items() if k not in case.pieces} | dict(case.setup),
        pieces={k: v for k, v in kart.pieces.items() if k not in case.setup} | dict(case.pieces),
        tyres={**kart.tyres, **case.tyres},
        conditions={**kart.conditions, **case.conditions},
        kit=kart.kit if case.kit is None else case.kit,
        rules={**kart.rules, **case.rules},
        keep=(*case.keep, *(k for k in kart.keep if k not in case.keep)),
        units={**kart.units, **case.units},
    )
    return in_liked_units(whole)


def create(folder: Path, name: str, content: bytes) -> Path:
    """Write a new kart file. Raises UnusableError when the name is taken; nothing is overwritten."""
    path = path_of(folder, name)
    try:
        _room(folder, "karts").mkdir(parents=True, exist_ok=True)
        with path.open("xb") as stream:
            stream.write(content)
    except FileExistsError:
        message = f'a kart "{name}" is on file already; choose another name'
        raise UnusableError([Problem(str(path), 1, 1, message)]) from None
    except OSError as error:
        message = f"cannot be written: {error.strerror or error}"
        raise UnusableError([Problem(str(path), 1, 1, message)]) from None
    return path


def value_of(path: Path, lever: str) -> str:
    """A setup value as it stands in a kart file; empty where there is none."""
    data = marked.read(path).data
    setup = data.get("setup") if isinstance(data, dict) else None
    found = setup.get(lever) if isinstance(setup, dict) else None
    return "" if found is None else str(found)


def write_value(path: Path, lever: str, value: str) -> bool:
    """Put a new setup value in place of the old one in a kart file; all else stays to the letter.

    False, and nothing is touched, where the value is not there as plain text: then a person writes it.
    """
    return value_of(path, lever) != "" and edit.replace_values(path, {("setup", lever): value})
