"""Read folders of knowledge into a Book, with every problem found on the way.

The only room that reads knowledge files. The first folder is whole; those over it are a team's own and add
records, or replace those of the same id: a later folder counts before an earlier one. Nothing is merged
inside a record.

YAML and validation cost most of a start, so a validated book is kept as JSON in the user's cache; the list
of all files with their sizes and times is the key, so that any change of a file rebuilds it. The ear is kept
there unpacked. Without a usable cache folder nothing is kept.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from advisor.book import marked, rebuild
from advisor.model.knowledge import Book
from advisor.problems import Problem, UnusableError, hint
from advisor.words.ear import Ear

EAR = "ear.bin"  # the weights that were fitted to them
VOICES = "voices"  # examples that the ear is trained on; the program itself does not read them
SCHEMA = 23  # raise when the records change, so that older caches are not read

# Every part of the knowledge base but the words: the kind of its records, and what one of them is called.
ROOMS = {
    "sources": ("Source", "source"),
    "effects": ("Effect", "effect"),
    "overlaps": ("Overlap", "overlap"),
    "groups": ("Group", "group of causes"),
    "counts": ("Count", "count of a group"),
    "bars": ("Bar", "bar"),
    "fields": ("SheetField", "value of a sheet"),
    "jobs": ("Job", "job"),
    "glossary": ("Term", "word to explain"),
    "tongues": ("Tongue", "other language"),
    "causes": ("Cause", "cause"),
    "levers": ("Lever", "lever"),
    "observations": ("Observation", "observation"),
    "fixes": ("Fix", "fix"),
}
Place = tuple[marked.Marked, tuple[Any, ...]]  # a document and the path in it


@dataclass
class Loaded:
    """A book with its problems and the documents it came from; `book` is None when it cannot load."""

    book: Book | None
    problems: list[Problem] = field(default_factory=list)
    documents: dict[str, marked.Marked] = field(default_factory=dict)
    broken: set[str] = field(default_factory=set)  # ids whose own record did not load
    places: dict[tuple[str, str], Place] = field(default_factory=dict)  # of each record, by room and id


def shipped(name: str = "knowledge") -> Path:
    """Return the folder shipped with the program: inside the wheel, or beside it in a checkout."""
    inside = Path(__file__).parents[1] / f"_{name}"
    return inside if inside.is_dir() else Path(__file__).parents[2] / name


def book(folder: Path | None = None, *over: Path, without: frozenset[str] = frozenset()) -> Book:
    """Return the book of a folder with those over it, from the cache when no file has changed.

    `without`: files that are left out. Raises UnusableError.
    """
    folders = (folder or shipped(), *over)
    if without:
        return _sound(load(*folders, quality=False, without=without))
    key = _key(folders)
    store = _cache_file(folders, "book", "json")
    kept = _from_cache(store, key)
    if kept is not None:
        return kept
    found = _sound(load(*folders, quality=False))
    _keep(store, json.dumps({"key": key, "book": rebuild.slim(found)}).encode())
    return found


def _sound(loaded: Loaded) -> Book:
    if loaded.book is None:
        raise UnusableError(p for p in loaded.problems if p.severity == "error")
    return loaded.book


def ear(folder: Path | None = None, *over: Path) -> Ear | None:
    """The learned ear of a folder, or of the last one over it that has its own; None where there is none.

    Raises UnusableError.
    """
    for layer in reversed((folder or shipped(), *over)):
        path = layer / EAR
        if path.is_file():
            try:
                return _ear(path)
            except (OSError, ValueError) as problem:
                message = f"cannot be used: {problem}; make it anew or remove it"
                raise UnusableError([Problem(str(path), 1, 1, message)]) from None
    return None


def _ear(path: Path) -> Ear:
    """The ear of a file, kept unpacked: to unpack it takes twice as long as to read the book."""
    from advisor.words.ear_file import inflated, read

    status = path.stat()
    key = [SCHEMA, str(path), status.st_mtime_ns, status.st_size]
    store = _cache_file((path,), "ear", "bin")
    if store:
        with suppress(OSError, ValueError), store.open("rb") as file:
            head, text = file.readline(), file.read()
            if head == _sealed(key, text):
                return read(text)
    text = inflated(path.read_bytes())
    found = read(text)
    _keep(store, _sealed(key, text) + text)
    return found


def _sealed(key: list[Any], text: bytes) -> bytes:
    """The key with a checksum: the file itself has one, so what is kept of it needs one too."""
    from zlib import crc32

    return json.dumps([*key, crc32(text)]).encode() + b"\n"


def load(folder: Path, *over: Path, quality: bool = True, without: frozenset[str] = frozenset()) -> Loaded:
    """Read and validate every file of the folders but those left out (`without`); collects all problems.

    `quality`: look for weaknesses as well, which nobody needs who only wants to use the book.
    """
    parts: dict[str, dict[str, Any]] = {room: {} for room in ROOMS}
    words: Any = None
    result = Loaded(None)
    own: dict[str, None] = {}
    for layer in (folder, *over):
        said = _Layer()
        for path in (path for path in _files(layer) if str(path) not in without):
            said.take(path, path.relative_to(layer).as_posix(), result)
        words = said.words or words
        if layer != folder:
            _tell_replaced(said, result, str(folder))
            own.update(dict.fromkeys(f"{room}/{ident}" for room, ident in said.places))
        for room, records in said.parts.items():
            parts[room].update(records)
        result.places.update(said.places)
    if words is None and not any(p.severity == "error" for p in result.problems):
        result.problems.append(Problem(str(folder), 1, 1, "holds no words.yaml", "missing"))
    from advisor.book import checks

    if words is not None:
        draft = Book(words=words, **parts, own=tuple(own))
        shapely = quality and not any(p.severity == "error" for p in result.problems)
        stems = {Path(name).stem for name in result.documents}
        result.broken |= stems - {i for p in parts.values() for i in p}
        result.problems += checks.check(result, draft, frozenset(result.broken), quality=shapely)
        if not any(p.severity == "error" for p in result.problems):
            result.book = draft
    return result


def _tell_replaced(layer: _Layer, result: Loaded, base: str) -> None:
    """A note for each record of a team's folder that stands for another one."""
    for (room, ident), (document, path) in layer.places.items():
        old = result.places.get((room, ident))
        if old is None:
            continue
        theirs = "the shipped one" if Path(old[0].file).is_relative_to(base) else f"that of {old[0].file}"
        name = ROOMS[room][1] if room in ROOMS else "the words that complaints are written in"
        message = f"{' '.join((name, ident)).strip()}: your file replaces {theirs}"
        place = document.problem(path, message, key=True)
        result.problems.append(replace(place, code="replaced", severity="note"))


@dataclass
class _Layer:
    """What one folder holds."""

    parts: dict[str, dict[str, Any]] = field(default_factory=lambda: {room: {} for room in ROOMS})
    places: dict[tuple[str, str], Place] = field(default_factory=dict)
    words: Any = None

    def take(self, path: Path, name: str, result: Loaded) -> None:
        """Read one file; `name` is its path inside the folder."""
        document = marked.read(path, str(path))
        result.documents[str(path)] = document
        result.problems += document.problems
        if not document.readable or not _is_mapping(document, result):
            return
        room = name.split("/")[0].removesuffix(".yaml")
        if room == "words":
            self.words = _validated("Words", document, (), document.data, result)
            self.places["words", ""] = document, ()
        elif "/" not in name and room in self.parts:
            self._table(room, document, result)
        elif room in self.parts:
            self._record(room, path.stem, document, result)
        else:
            result.problems.append(
                document.problem((), f"no such part of the knowledge base{hint(room, [*ROOMS, 'words'])}")
            )

    def _table(self, room: str, document: marked.Marked, result: Loaded) -> None:
        for ident, data in document.data.items():
            row = {"id": ident, **data} if isinstance(data, dict) else data
            record = _validated(ROOMS[room][0], document, (ident,), row, result)
            if record is None:
                result.broken.add(ident)
            else:
                self.parts[room][ident] = record
                self.places[room, ident] = document, (ident,)

    def _record(self, room: str, stem: str, document: marked.Marked, result: Loaded) -> None:
        record = _validated(ROOMS[room][0], document, (), document.data, result)
        if record is None:
            return
        if record.id != stem:
            result.problems.append(
                document.problem(("id",), f'the id "{record.id}" differs from the file name "{stem}"')
            )
        if record.id in self.parts[room]:
            message = f'the id "{record.id}" is used twice among the {room}'
            result.problems.append(document.problem(("id",), message, "duplicate_id"))
        self.parts[room][record.id] = record
        self.places[room, record.id] = document, ()


def _is_mapping(document: marked.Marked, result: Loaded) -> bool:
    if isinstance(document.data, dict):
        return True
    result.problems.append(
        document.problem((), "is empty" if document.data is None else "must be a mapping of keys to values")
    )
    return False


def _validated(kind: str, document: marked.Marked, at: tuple[Any, ...], data: Any, result: Loaded) -> Any:
    from advisor.book import validate

    record, problems = validate.record(kind, document, at, data)
    result.problems += problems
    return record


def _files(folder: Path) -> list[Path]:
    return [Path(name) for name, _, _ in _stamps(folder)]


def _stamps(folder: Path) -> list[tuple[str, int, int]]:
    """Every file with its time and size, in order; one walk without an object for each, since each start takes it."""
    if not folder.is_dir():
        raise UnusableError([Problem(str(folder), 1, 1, "is not a folder of knowledge", "missing")])
    found, left = [], [str(folder)]
    while left:
        for entry in os.scandir(left.pop()):
            if entry.is_dir():
                if entry.name != VOICES:
                    left.append(entry.path)
            elif entry.name.endswith(".yaml") and not entry.name.startswith(".") and entry.is_file():
                status = entry.stat()
                found.append((entry.path, status.st_mtime_ns, status.st_size))
    return sorted(found)


def _key(folders: Sequence[Path]) -> list[Any]:
    return [SCHEMA, sys.version_info[:2], list(map(str, folders)), [_stamps(top) for top in folders]]


def _cache_file(made_of: Sequence[Path], what: str, kind: str) -> Path | None:
    if os.environ.get("ADVISOR_NO_CACHE"):
        return None
    from zlib import crc32

    from platformdirs import user_cache_path

    name = "\n".join(str(path.resolve()) for path in made_of)
    return (
        user_cache_path("kart-advisor") / f"{what}-{crc32(name.encode(errors='surrogateescape')):08x}.{kind}"
    )


def _from_cache(store: Path | None, key: list[Any]) -> Book | None:
    if store is None:
        return None
    try:
        kept = json.loads(store.read_text("utf-8"))
        if kept["key"] != json.loads(json.dumps(key)):
            return None
        book: Book = rebuild.builder(Book)(kept["book"])
        return book
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None  # a missing, torn or foreign cache is no cache; the files decide


def _keep(store: Path | None, content: bytes) -> None:
    if store is None:
        return
    draft = store.with_suffix(f".{os.getpid()}")
    try:
        store.parent.mkdir(parents=True, exist_ok=True)
        draft.write_bytes(content)
        draft.replace(store)
    except OSError:
        with suppress(OSError):
            draft.unlink(missing_ok=True)
