"""The journal: append-only events in SQLite, acknowledged after they are on the disk.

A correction is a new event; everything learned is derived from the set of events, whatever order they came in. The
interface is small on purpose (append, since, merge), so that the same events could live in a server database.
"""

from __future__ import annotations

import json
import re
import sqlite3
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from heapq import merge as in_order
from pathlib import Path
from time import sleep
from typing import Any

from advisor.journal import derived
from advisor.journal.events import TWIN, Document, Event, JournalError, Kind, as_data, canonical, chosen
from advisor.journal.files import RESCUE, STEP, WAIT, missing_folders, open_file, sentence, sync_folder
from advisor.journal.migrations import APPLICATION, MIGRATIONS

__all__ = ["Document", "Event", "Journal", "JournalError", "Kind", "Merged"]


@dataclass(frozen=True, slots=True)
class Merged:
    """What a merge did: events that were new, what was known before, new documents, and ids told in two ways.

    `kinds`: how many of the new documents were of which kind.
    """

    new: int = 0
    known: int = 0
    conflicts: tuple[str, ...] = ()
    kinds: Mapping[str, int] = field(default_factory=dict)

    @property
    def documents(self) -> int:
        return sum(self.kinds.values())


class Journal:
    """A journal file. Use as a context manager."""

    def __init__(self, path: Path, *, read_only: bool = False) -> None:
        self.path = path
        self.read_only = read_only
        self._schema = "main"  # where the derived tables are
        with self._in_words():
            folders = [] if read_only else missing_folders(path)
            self._db = open_file(path, read_only)
            try:
                self._prepare(read_only)
            except sqlite3.Error as error:
                if not read_only or not re.search("unable to open|readonly", str(error)):
                    raise
                # a folder that cannot be written holds no side files of the journal: read the file alone
                self._db.close()
                self._db = open_file(path, read_only, alone=True)
                self._prepare(read_only)
            for folder in folders:
                sync_folder(folder)

    def __enter__(self) -> Journal:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        self._db.close()

    def append(self, event: Event) -> None:
        """Write an event; returns only when it is on the disk. Raises JournalError, and then nothing is written."""
        body = _text(event.body)
        _views()  # loaded before the lock is taken, which others wait for
        with self._in_words(), self._transaction():
            self._insert(event, body)
            self._take_in()

    def merge(self, items: Iterable[Event | Document]) -> Merged:
        """Take in what another journal holds, in any order; all of it or, if an error is raised, nothing.

        An event that is here already is passed over. One whose id is here with other contents is kept beside the
        first as a conflict; which of the two counts (`events.chosen`) does not depend on which came first. So the
        result is the union of both sets: merging is commutative, associative and idempotent.
        """
        new = known = 0
        kinds: Counter[str] = Counter()
        conflicts: dict[str, None] = {}
        _views()
        with self._in_words(), self._transaction():
            for item in items:
                if isinstance(item, Document):
                    if item.kind == TWIN:
                        raise ValueError("a conflict is merged as the event that it holds")
                    added = self._add(item)
                    kinds.update([item.kind] if added else [])
                    known += not added
                    continue
                old = self._by_id(item.id)
                if old is None:
                    self._insert(item, _text(item.body, surrogates=True))
                    new += 1
                elif canonical(as_data(old)) == canonical(as_data(item)):
                    known += 1
                else:
                    conflicts[item.id] = None
                    if self._add(Document(TWIN, as_data(item))):
                        # an event that was taken in long ago may count otherwise from now on
                        self._db.execute("DELETE FROM derived")
            self._take_in()
        return Merged(new, known, tuple(conflicts), dict(kinds))

    def since(self, seq: int = 0) -> Iterator[tuple[int, Event]]:
        """Events after `seq` in the order written, each with its number. Raises JournalError on a bad row.

        Of an id that was told in two ways the one that counts is given.
        """
        with self._in_words():
            twins = self._twins()
            rows = self._db.execute(
                "SELECT seq, id, at, kind, body FROM event WHERE seq > ? ORDER BY seq", (seq,)
            )
            for row in rows:
                event = self._event(*row)
                yield row[0], chosen(event, *twins[event.id]) if event.id in twins else event

    def all(self) -> Iterator[Event | Document]:
        """Everything that is written down, conflicts included, in an order that only depends on what it is."""
        # one transaction: one state of the journal, whoever writes meanwhile
        with self._in_words(), self._transaction("DEFERRED"):
            rows = self._db.execute("SELECT seq, id, at, kind, body FROM event ORDER BY at, id")
            twins = [event for told in self._twins().values() for event in told]

            def rank(event: Event) -> tuple[str, str, str]:
                return (*event.moment, canonical(as_data(event)) if twins else "")

            yield from in_order((self._event(*row) for row in rows), sorted(twins, key=rank), key=rank)
            yield from self.documents()

    def documents(self, kind: str | None = None) -> Iterator[Document]:
        """Documents of that kind, or of every kind but conflicting events, in the order of their digests."""
        with self._in_words():
            which, value = ("kind != ?", TWIN) if kind is None else ("kind = ?", kind)
            query = f"SELECT kind, body FROM document WHERE {which} ORDER BY digest"
            for found, body in self._db.execute(query, (value,)):
                try:
                    data = json.loads(body)
                except (ValueError, RecursionError) as error:
                    raise self._damaged("a document") from error
                yield Document(found, data)

    def conflicts(self) -> list[str]:
        """Ids that were told in more than one way."""
        with self._in_words():
            return sorted(self._twins())

    def stamp(self, now: str) -> str:
        """The time to write on a new event: `now`, or just after the latest event known if that is later.

        So whatever was written after something else was known also comes after it in (at, id) order, however wrong
        the clock of this machine or of the other one is. `now` and the result are UTC in ISO 8601.
        """
        with self._in_words():
            latest = self._db.execute("SELECT max(at) FROM event").fetchone()[0]
        if latest is None or latest < now:
            return now
        with suppress(TypeError, ValueError, OverflowError):
            after = datetime.fromisoformat(latest) + timedelta(microseconds=1)
            return after.isoformat(timespec="microseconds")
        return now  # a time that is none was written by hand: there is no "just after" it

    # --- what is derived ----------------------------------------------------------------------------

    def ask(self, query: str, *values: object) -> list[tuple[Any, ...]]:
        """Rows of the derived tables, which are brought up to date first."""
        with self._in_words():
            self._be_up_to_date()
            return self._db.execute(query, values).fetchall()

    def state(self, view: derived.View) -> derived.State:
        """The state of a view, which is brought up to date first."""
        with self._in_words():
            self._be_up_to_date()
            return derived.state_of(self._db, view)

    def event(self, seq: int) -> Event:
        """The event with that number. Raises JournalError if there is none, or on a bad row."""
        for number, event in self.since(seq - 1):
            if number == seq:
                return event
            break
        raise JournalError(f"row {seq} of the journal {self.path} is missing; {RESCUE}")

    def find(self, ident: str) -> Event | None:
        """The event with that id, if there is one. Raises JournalError on a bad row."""
        with self._in_words():
            return self._by_id(ident)

    def rebuild(self) -> None:
        """Throw away all that is derived and build it again from the events."""
        with self._in_words(), self._transaction():
            self._db.execute("DELETE FROM derived")
            self._catch_up()

    def _be_up_to_date(self) -> None:
        if not self._behind():
            return
        if self.read_only and self._schema == "main":
            self._lend_tables()
        with self._transaction("DEFERRED" if self.read_only else "IMMEDIATE"):
            self._catch_up()

    def _behind(self) -> list[derived.View]:
        return derived.behind(self._db, _views(), self._last())

    def _last(self) -> int:
        return int(self._db.execute("SELECT max(seq) FROM event").fetchone()[0] or 0)

    def _catch_up(self) -> None:
        last, anew = self._last(), False
        for view in _views():
            anew = derived.catch_up(self._db, view, last, self.since, self._schema, self.path, anew)
        if (
            anew
        ):  # another version's views may have shared tables with ours; it must not go on from where it was
            names = [view.name for view in _views()]
            self._db.execute(f"DELETE FROM derived WHERE name NOT IN ({', '.join('?' * len(names))})", names)

    def _take_in(self) -> None:
        """Bring the views up to date; a bad row must not keep a new event out, and is told when it is read."""
        self._db.execute("SAVEPOINT views")
        try:
            self._catch_up()
        except JournalError:
            self._db.execute("ROLLBACK TO views")
        self._db.execute("RELEASE views")

    def _lend_tables(self) -> None:
        """A journal that may only be read, and is old, gets its derived tables in memory."""
        self._db.execute("PRAGMA temp_store = MEMORY")
        version = self._db.execute("PRAGMA user_version").fetchone()[0]
        missing = ("document", "derived") if version < 2 else ("derived",)
        for statement in MIGRATIONS[1]:
            if statement.startswith(tuple(f"CREATE TABLE {name} " for name in missing)):
                self._db.execute(statement.replace("CREATE", "CREATE TEMP", 1))
        self._schema = "temp"

    # --- rows ---------------------------------------------------------------------------------------

    def _insert(self, event: Event, body: str) -> None:
        self._db.execute(
            "INSERT INTO event (id, at, kind, body) VALUES (?, ?, ?, ?)",
            (event.id, event.at, event.kind, body),
        )

    def _by_id(self, ident: str) -> Event | None:
        row = self._db.execute("SELECT seq, id, at, kind, body FROM event WHERE id = ?", (ident,)).fetchone()
        return self._event(*row) if row else None

    def _add(self, document: Document) -> bool:
        """Keep a document; False if it was there already."""
        digest = document.digest
        if self._db.execute("SELECT 1 FROM document WHERE digest = ?", (digest,)).fetchone():
            return False
        row = (digest, document.kind, canonical(document.body))
        self._db.execute("INSERT INTO document VALUES (?, ?, ?)", row)
        return True

    def _twins(self) -> dict[str, list[Event]]:
        """Events whose id was taken by another one, by id."""
        found: dict[str, list[Event]] = {}
        for document in self.documents(TWIN):
            try:
                event = Event(**document.body)
            except TypeError as error:
                raise self._damaged("a document") from error
            found.setdefault(event.id, []).append(event)
        return found

    def _event(self, number: int, ident: Any, at: Any, kind: Any, body: Any) -> Event:
        try:
            data = json.loads(body)
        except (TypeError, ValueError, RecursionError):
            data = None
        if not isinstance(data, dict) or not all(isinstance(x, str) for x in (ident, at, kind)):
            raise self._damaged(f"row {number}")
        return Event(ident, at, kind, data)

    def _damaged(self, what: str) -> JournalError:
        return JournalError(f"{what} of the journal {self.path} is damaged; {RESCUE}")

    def _prepare(self, read_only: bool) -> None:
        """Make sure that the file is ours before anything of it is touched, then bring it up to date."""
        self._db.execute("BEGIN")  # all three as of one moment: another program may just be making the file
        try:
            empty = not self._db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
            version = self._db.execute("PRAGMA user_version").fetchone()[0]
            owner = self._db.execute("PRAGMA application_id").fetchone()[0]
        finally:
            if self._db.in_transaction:
                self._db.execute("ROLLBACK")
        if owner != APPLICATION and not (empty and owner == 0 and version == 0):
            raise JournalError(
                f"the file {self.path} is a database of something else, not a journal of this program"
            )
        if version > len(MIGRATIONS):
            raise JournalError(
                f"the journal {self.path} was written by a newer version of this program; update the program to read it"
            )
        if read_only:
            if version == 0:
                raise JournalError(f"the journal {self.path} holds nothing yet")
            if version < len(MIGRATIONS):
                self._lend_tables()
            return
        self._write_ahead()
        self._db.execute("PRAGMA synchronous = FULL")  # a commit is on the disk when it returns
        self._db.execute("PRAGMA fullfsync = ON")  # macOS: on the disk, not in the disk's own memory
        self._db.execute("PRAGMA checkpoint_fullfsync = ON")
        for number in range(version, len(MIGRATIONS)):
            self._migrate(number)

    def _write_ahead(self) -> None:
        """Turn the write-ahead log on. SQLite does not wait for another program that is just doing so: we do."""
        for left in range(int(WAIT / STEP), -1, -1):
            try:
                self._db.execute("PRAGMA journal_mode = WAL")
                return
            except sqlite3.OperationalError as error:
                if "locked" not in str(error) or not left:
                    raise
                sleep(STEP)

    def _migrate(self, number: int) -> None:
        with self._transaction():
            if self._db.execute("PRAGMA user_version").fetchone()[0] == number:  # nobody else was faster
                for statement in MIGRATIONS[number]:
                    self._db.execute(statement)
                self._db.execute(f"PRAGMA user_version = {number + 1}")

    @contextmanager
    def _transaction(self, kind: str = "IMMEDIATE") -> Iterator[None]:
        """All of it or nothing; leaves only when it is on the disk."""
        self._db.execute(f"BEGIN {kind}")
        try:
            yield
            self._db.execute("COMMIT")
        except BaseException:
            if self._db.in_transaction:
                self._db.execute("ROLLBACK")
            raise

    @contextmanager
    def _in_words(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.Error as error:
            raise JournalError(sentence(self.path, error)) from error


def _views() -> tuple[derived.View, ...]:
    from advisor.journal.views import VIEWS  # the views import this module, and are slow to load

    return VIEWS


def _text(body: dict[str, Any], *, surrogates: bool = False) -> str:
    """A body as it is written; half characters, which no text can hold, only where another journal had them."""
    try:
        text = json.dumps(body, ensure_ascii=False, sort_keys=True, allow_nan=False)
        if not surrogates:
            text.encode("utf-8")
        return text if _is_text(text) else canonical(body)
    except (TypeError, ValueError, RecursionError) as error:
        raise JournalError(f"this cannot be written down: {error}") from error


def _is_text(text: str) -> bool:
    with suppress(UnicodeEncodeError):
        return bool(text.encode("utf-8"))
    return False
