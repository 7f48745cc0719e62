"""Read a folder of knowledge into a Book, with every problem found on the way.

The only room that reads knowledge files. YAML and validation cost most of a start, so a validated
book is kept as JSON in the user's cache; the list of files with their sizes and times is the key,
so that any change of a file rebuilds it. Without a usable cache folder nothing is kept.
"""

from __future__ import annotations

import json
import os
import sys
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from advisor.book import marked, rebuild
from advisor.model.knowledge import Book
from advisor.problems import Problem, UnusableError, hint

SCHEMA = 6  # raise when the records change, so that older caches are not read


@dataclass
class Loaded:
    """A book with its problems and the documents it came from; `book` is None when it cannot load."""

    book: Book | None
    problems: list[Problem] = field(default_factory=list)
    documents: dict[str, marked.Marked] = field(default_factory=dict)
    broken: set[str] = field(default_factory=set)  # ids whose own record did not load


def shipped(name: str = "knowledge") -> Path:
    """Return the folder shipped with the program: inside the wheel, or beside it in a checkout."""
    inside = Path(__file__).parents[1] / f"_{name}"
    return inside if inside.is_dir() else Path(__file__).parents[2] / name


def book(folder: Path | None = None) -> Book:
    """Return the book of a folder, from the cache when no file has changed. Raises UnusableError."""
    folder = folder or shipped()
    files = _files(folder)
    key = _key(folder, files)
    store = _cache_file(folder)
    kept = _from_cache(store, key)
    if kept is not None:
        return kept
    loaded = load(folder)
    if loaded.book is None:
        raise UnusableError(p for p in loaded.problems if p.severity == "error")
    _to_cache(store, key, loaded.book)
    return loaded.book


def load(folder: Path) -> Loaded:
    """Read and validate every file of a folder; collects all problems instead of stopping at one."""
    parts: dict[str, dict[str, Any]] = {
        k: {}
        for k in ("sources", "effects", "overlaps", "jobs", "glossary", "causes", "levers", "observations")
    }
    words: Any = None
    result = Loaded(None)
    for path in _files(folder):
        name = path.relative_to(folder).as_posix()
        document = marked.read(path, str(path))
        result.documents[name] = document
        result.problems += document.problems
        if not document.readable or not _is_mapping(document, result):
            continue
        room = name.split("/")[0].removesuffix(".yaml")
        if room == "words":
            words = _validated("Words", document, (), document.data, result)
        elif "/" not in name and room in parts:
            _read_table(room, document, parts[room], result)
        elif room in parts:
            _read_record(room, path.stem, document, parts[room], result)
        else:
            result.problems.append(
                document.problem((), f"no such part of the knowledge base{hint(room, [*parts, 'words'])}")
            )
    if words is None and not result.problems:
        result.problems.append(Problem(str(folder), 1, 1, "holds no words.yaml", "missing"))
    from advisor.book import checks

    if words is not None:
        draft = Book(words=words, **parts)
        shapely = not any(p.severity == "error" for p in result.problems)
        result.broken |= {Path(name).stem for name in result.documents} - {
            i for p in parts.values() for i in p
        }
        result.problems += checks.check(result, draft, frozenset(result.broken), quality=shapely)
        if not any(p.severity == "error" for p in result.problems):
            result.book = draft
    return result


_RECORDS = {
    "sources": "Source",
    "effects": "Effect",
    "overlaps": "Overlap",
    "jobs": "Job",
    "glossary": "Term",
    "causes": "Cause",
    "levers": "Lever",
    "observations": "Observation",
}


def _is_mapping(document: marked.Marked, result: Loaded) -> bool:
    if isinstance(document.data, dict):
        return True
    result.problems.append(
        document.problem((), "is empty" if document.data is None else "must be a mapping of keys to values")
    )
    return False


def _read_table(room: str, document: marked.Marked, into: dict[str, Any], result: Loaded) -> None:
    for ident, data in document.data.items():
        row = {"id": ident, **data} if isinstance(data, dict) else data
        record = _validated(_RECORDS[room], document, (ident,), row, result)
        if record is None:
            result.broken.add(ident)
        else:
            into[ident] = record


def _read_record(room: str, stem: str, document: marked.Marked, into: dict[str, Any], result: Loaded) -> None:
    record = _validated(_RECORDS[room], document, (), document.data, result)
    if record is None:
        return
    if record.id != stem:
        result.problems.append(
            document.problem(("id",), f'the id "{record.id}" differs from the file name "{stem}"')
        )
    if record.id in into:
        result.problems.append(
            document.problem(("id",), f'the id "{record.id}" is used twice among the {room}', "duplicate_id")
        )
    into[record.id] = record


def _validated(kind: str, document: marked.Marked, at: tuple[Any, ...], data: Any, result: Loaded) -> Any:
    from advisor.book import validate

    record, problems = validate.record(kind, document, at, data)
    result.problems += problems
    return record


def _files(folder: Path) -> list[Path]:
    if not folder.is_dir():
        raise UnusableError([Problem(str(folder), 1, 1, "is not a folder of knowledge", "missing")])
    found = []
    for top, _, names in os.walk(folder):
        found += [
            p
            for n in names
            if n.endswith(".yaml") and not n.startswith(".") and (p := Path(top, n)).is_file()
        ]
    return sorted(found)


def _key(folder: Path, files: list[Path]) -> list[Any]:
    stamps = [(str(f), (s := f.stat()).st_mtime_ns, s.st_size) for f in files]
    return [SCHEMA, sys.version_info[:2], str(folder), stamps]


def _cache_file(folder: Path) -> Path | None:
    if os.environ.get("ADVISOR_NO_CACHE"):
        return None
    from zlib import crc32

    from platformdirs import user_cache_path

    return user_cache_path("kart-advisor") / f"book-{crc32(str(folder.resolve()).encode()):08x}.json"


def _from_cache(store: Path | None, key: list[Any]) -> Book | None:
    if store is None:
        return None
    try:
        kept = json.loads(store.read_text("utf-8"))
        if kept["key"] != json.loads(json.dumps(key)):
            return None
        return rebuild.builder(Book)(kept["book"])  # type: ignore[no-any-return]
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None  # a missing, torn or foreign cache is no cache; the files decide


def _to_cache(store: Path | None, key: list[Any], read: Book) -> None:
    if store is None:
        return
    draft = store.with_suffix(f".{os.getpid()}")
    try:
        store.parent.mkdir(parents=True, exist_ok=True)
        draft.write_text(json.dumps({"key": key, "book": rebuild.slim(read)}), "utf-8")
        draft.replace(store)
    except OSError:
        with suppress(OSError):
            draft.unlink(missing_ok=True)
