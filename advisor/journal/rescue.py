"""Save what can be read of a damaged journal into a new one beside it. Nothing is overwritten or repaired in place.

SQLite reads a copy first, row by row; what it cannot reach is looked for on the pages of the file and of its
write-ahead log. Not feasible: what lies behind a cut or on overwritten pages is gone, and a letter that was altered
within a text so that it still reads as JSON cannot be told from what was written.
"""

from __future__ import annotations

import json
import shutil
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from advisor.journal import pages
from advisor.journal.events import TWIN, Document, Event, JournalError, canonical
from advisor.journal.migrations import APPLICATION, MIGRATIONS
from advisor.journal.store import Journal
from advisor.journal.trials import check

Rows = dict[int, Event]  # by row number
SANE = 1000  # a version above it is damage


@dataclass(frozen=True, slots=True)
class Rescued:
    """What came of it. `lost` is how many events are known to be missing; a cut may have taken more."""

    path: Path | None  # none where the journal is sound, so that nothing had to be saved
    events: int
    documents: int
    lost: int
    senseless: int


def rescue(path: Path) -> Rescued:
    """Save all that can be read into a new journal beside the damaged one. Raises JournalError, OSError."""
    if not path.is_file():
        raise JournalError(f"there is no journal at {path}")
    with TemporaryDirectory(prefix="rescue-") as folder:
        copy = _copy(path, Path(folder))
        _refuse_what_is_not_ours(path, copy)
        raw = list(_raw(copy))  # before SQLite touches the copy
        sound, told, highest = _by_sqlite(copy)
    found: Rows = {}
    documents: dict[str, Document] = {}
    for number, columns in (*told, *raw):  # SQLite's reading comes first: it knows what is current
        event, document = _event(columns), _document(columns)
        if event is not None:
            found.setdefault(number, event)
        elif document is not None:
            documents.setdefault(document.digest, document)
    good = [found[number] for number in sorted(found) if _makes_sense(found[number])]
    lost = max(0, (highest or max(found, default=0)) - len(found))
    if not good and not documents:
        raise JournalError(
            f"nothing that can be read as an event was found in {path}; no new file was written"
        )
    if sound and lost == 0 and len(good) == len(found):
        return Rescued(None, len(good), len(documents), 0, 0)
    new = _new_name(path)
    with Journal(new) as journal:
        merged = journal.merge(_items(good, documents.values()))
    return Rescued(new, merged.new, len(documents), lost, len(found) - len(good))


def _refuse_what_is_not_ours(path: Path, copy: Path) -> None:
    """A file that plainly belongs to another program or a newer version; a header that is damaged says nothing."""
    with copy.open("rb") as file:
        head = file.read(100)
    if len(head) < 100 or not head.startswith(b"SQLite format 3\0"):
        return
    version, owner = (int.from_bytes(head[i : i + 4], "big") for i in (60, 68))
    if owner not in (0, APPLICATION):  # it is 0 while all that was written is in the write-ahead log
        raise JournalError(f"the file {path} is a database of something else, not a journal of this program")
    if owner == APPLICATION and len(MIGRATIONS) < version < SANE:
        raise JournalError(
            f"the journal {path} was written by a newer version of this program; update the program to read it"
        )


def _copy(path: Path, folder: Path) -> Path:
    """The file and its write-ahead log in a folder of their own: opening the original would change them."""
    copy = folder / "journal.sqlite3"
    shutil.copyfile(path, copy)
    log = path.with_name(path.name + "-wal")
    if log.is_file():
        shutil.copyfile(log, copy.with_name(copy.name + "-wal"))
    return copy


def _raw(copy: Path) -> Iterator[pages.Row]:
    log = copy.with_name(copy.name + "-wal")
    yield from pages.rows(copy.read_bytes(), log.read_bytes() if log.exists() else b"")


def _by_sqlite(copy: Path) -> tuple[bool, list[pages.Row], int]:
    """Whether the file is sound, the rows that SQLite can reach, and the highest row number ever given."""
    told: dict[int, pages.Row] = {}
    sound, highest = False, 0
    with suppress(sqlite3.Error), closing(sqlite3.connect(copy)) as db:
        db.text_factory = _text
        with suppress(sqlite3.Error):
            sound = db.execute("PRAGMA integrity_check(1)").fetchone()[0] == "ok"
        with suppress(sqlite3.Error):
            row = db.execute("SELECT seq FROM sqlite_sequence WHERE name = 'event'").fetchone()
            highest = row[0] if row and isinstance(row[0], int) else 0
        for way in ("ASC", "DESC"):  # from both ends up to the damage
            query = f"SELECT seq, NULL, id, at, kind, body FROM event NOT INDEXED ORDER BY seq {way}"
            with suppress(sqlite3.Error):
                for number, *columns in db.execute(query):
                    told[number] = (number, tuple(columns))
        with suppress(sqlite3.Error):
            for number, *columns in db.execute("SELECT rowid, digest, kind, body FROM document NOT INDEXED"):
                told[-number] = (number, tuple(columns))
    return sound, list(told.values()), highest or max(told, default=0)


def _text(raw: bytes) -> str | bytes:
    """A text, or its bytes where they are none: an error here would end the reading of all that follows."""
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError:
        return raw


def _event(columns: tuple[object, ...]) -> Event | None:
    """A row of the event table; its number is stored apart, so its first column is empty."""
    match columns:
        case (None, str(ident), str(at), str(kind), str(body)):
            data = _json(body)
            # a kind of another version is kept like those of ours
            return Event(ident, at, kind, data) if isinstance(data, dict) else None  # type: ignore[arg-type]
    return None


def _document(columns: tuple[object, ...]) -> Document | None:
    """A row of the document table, which proves itself by its digest."""
    match columns:
        case (str(digest), str(kind), str(body)):
            with suppress(ValueError, RecursionError):
                found = Document(kind, json.loads(body))
                return found if found.digest == digest else None
    return None


def _json(text: str) -> object:
    with suppress(ValueError, RecursionError):
        return json.loads(text)
    return None


def _makes_sense(event: Event) -> bool:
    try:
        check(event)
        canonical(event.body)
    except ValueError:
        return False
    return True


def _items(good: list[Event], documents: Iterable[Document]) -> Iterator[Event | Document]:
    """Events that were kept beside another one of their id become such again."""
    yield from good
    for document in documents:
        yield Event(**document.body) if document.kind == TWIN else document


def _new_name(path: Path) -> Path:
    """A name beside the damaged file that nothing has yet."""
    for number in range(1, 1000):
        new = path.with_name(f"{path.stem}-rescued{f'-{number}' if number > 1 else ''}.sqlite3")
        if not any(new.with_name(new.name + end).exists() for end in ("", "-wal", "-shm", "-journal")):
            return new
    raise JournalError(f"there are too many rescued journals beside {path}; move some away")
