"""The journal: append-only events in SQLite, acknowledged after they are on the disk.

A correction is a new event; everything learned is derived from the events. The interface is small
on purpose (append, since), so that the same events could live in a server database.
"""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from advisor.journal.migrations import APPLICATION, MIGRATIONS

WAIT = 3.0  # seconds to wait for another program that is writing

Kind = Literal["trial", "verdict", "sitting"]


class JournalError(Exception):
    """The journal cannot be used; the text is one sentence for a person."""


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened. `id` is unique anywhere, `at` is UTC in ISO 8601, `body` is JSON data."""

    id: str
    at: str
    kind: Kind
    body: dict[str, Any]


class Journal:
    """A journal file. Use as a context manager."""

    def __init__(self, path: Path, *, read_only: bool = False) -> None:
        self.path = path
        with self._in_words():
            self._db = _open(path, read_only)
            try:
                self._prepare(read_only)
            except sqlite3.Error as error:
                if not read_only or not re.search("unable to open|readonly", str(error)):
                    raise
                # a folder that cannot be written holds no side files of the journal: read the file alone
                self._db.close()
                self._db = _open(path, read_only, alone=True)
                self._prepare(read_only)

    def __enter__(self) -> Journal:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        self._db.close()

    def append(self, event: Event) -> None:
        """Write an event; returns only when it is on the disk. Raises JournalError, and then nothing is written."""
        try:
            body = json.dumps(event.body, ensure_ascii=False, sort_keys=True, allow_nan=False)
            body.encode("utf-8")
        except (TypeError, ValueError) as error:
            raise JournalError(f"this cannot be written down: {error}") from error
        with self._in_words():
            self._db.execute("BEGIN IMMEDIATE")
            try:
                self._db.execute(
                    "INSERT INTO event (id, at, kind, body) VALUES (?, ?, ?, ?)",
                    (event.id, event.at, event.kind, body),
                )
                self._db.execute("COMMIT")
            except BaseException:
                if self._db.in_transaction:
                    self._db.execute("ROLLBACK")
                raise

    def since(self, seq: int = 0) -> Iterator[tuple[int, Event]]:
        """Events after `seq` in the order written, each with its number. Raises JournalError on a bad row."""
        with self._in_words():
            rows = self._db.execute(
                "SELECT seq, id, at, kind, body FROM event WHERE seq > ? ORDER BY seq", (seq,)
            )
            for number, ident, at, kind, body in rows:
                yield number, self._event(number, ident, at, kind, body)

    def _event(self, number: int, ident: Any, at: Any, kind: Any, body: Any) -> Event:
        try:
            data = json.loads(body)
        except (TypeError, ValueError, RecursionError):
            data = None
        if not isinstance(data, dict) or not all(isinstance(x, str) for x in (ident, at, kind)):
            raise JournalError(
                f"row {number} of the journal {self.path} is damaged; copy the file before you repair it"
            )
        return Event(ident, at, kind, data)

    def _prepare(self, read_only: bool) -> None:
        """Make sure that the file is ours before anything of it is touched, then bring it up to date."""
        version = self._db.execute("PRAGMA user_version").fetchone()[0]
        owner = self._db.execute("PRAGMA application_id").fetchone()[0]
        empty = not self._db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
        if owner != APPLICATION and not (empty and owner == 0 and version == 0):
            raise JournalError(
                f"the file {self.path} is a database of something else, not a journal of this program"
            )
        if version > len(MIGRATIONS):
            raise JournalError(
                f"the journal {self.path} was written by a newer version of this program; update the program to read it"
            )
        if read_only:
            if version < len(MIGRATIONS):
                raise JournalError(
                    f"the journal {self.path} holds nothing yet, or is older than this program can read"
                )
            return
        self._db.execute("PRAGMA journal_mode = WAL")
        self._db.execute("PRAGMA synchronous = FULL")  # a commit is on the disk when it returns
        for number in range(version, len(MIGRATIONS)):
            self._migrate(number)

    def _migrate(self, number: int) -> None:
        self._db.execute("BEGIN IMMEDIATE")
        if self._db.execute("PRAGMA user_version").fetchone()[0] == number:  # nobody else was faster
            for statement in MIGRATIONS[number]:
                self._db.execute(statement)
            self._db.execute(f"PRAGMA user_version = {number + 1}")
        self._db.execute("COMMIT")

    @contextmanager
    def _in_words(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.Error as error:
            raise JournalError(_sentence(self.path, error)) from error


def _open(path: Path, read_only: bool, alone: bool = False) -> sqlite3.Connection:
    try:
        if read_only and not path.exists():
            raise JournalError(f"there is no journal at {path}")
        if path.is_dir():
            raise JournalError(f"{path} is a folder; the journal is a file")
        if not read_only:
            path.parent.mkdir(parents=True, exist_ok=True)
        address = path.absolute().as_uri()
    except (OSError, ValueError) as error:
        text = getattr(error, "strerror", None) or str(error)
        raise JournalError(f"the journal {path} cannot be reached: {text}") from error
    query = ("?mode=ro&immutable=1" if alone else "?mode=ro") if read_only else ""
    db = sqlite3.connect(f"{address}{query}", uri=True, timeout=WAIT, isolation_level=None)
    db.execute("PRAGMA trusted_schema = OFF")
    db.execute("PRAGMA recursive_triggers = ON")  # without it REPLACE slips past the delete trigger
    return db


def _sentence(path: Path, error: sqlite3.Error) -> str:
    text = str(error)
    if "locked" in text or "busy" in text:
        return f"the journal {path} is locked by another program; close it and try again (nothing was lost)"
    if "readonly" in text or "read-only" in text:
        return f"the journal {path} is read-only; choose another with --journal or allow writing (nothing was lost)"
    if "unable to open" in text:
        return (
            f"the journal {path} cannot be opened; check that the folder exists and may be read and written"
        )
    if "not a database" in text or "malformed" in text:
        return f"the file {path} is not a sound journal; it is left as it is; choose another with --journal"
    if "full" in text:
        return f"the disk is full: nothing was written to the journal {path}"
    return f"the journal {path} failed: {text}"
