"""Numbered changes of the journal's schema. Each is frozen once released; the number is `user_version`.

Plain SQL only, and the event table is never rewritten: its triggers would be lost with it.
"""

from __future__ import annotations

APPLICATION = 0x4B415254  # "KART": marks the file as ours, so that nobody else's is touched

MIGRATIONS: tuple[tuple[str, ...], ...] = (
    (
        """CREATE TABLE event (
            seq INTEGER PRIMARY KEY AUTOINCREMENT,
            id TEXT NOT NULL UNIQUE,
            at TEXT NOT NULL,
            kind TEXT NOT NULL,
            body TEXT NOT NULL
        ) STRICT""",
        f"PRAGMA application_id = {APPLICATION}",
        """CREATE TRIGGER event_is_never_replaced BEFORE INSERT ON event
        WHEN EXISTS (SELECT 1 FROM event WHERE id = NEW.id OR seq = NEW.seq)
        BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END""",
        """CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
        BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END""",
        """CREATE TRIGGER event_is_never_deleted BEFORE DELETE ON event
        BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END""",
    ),
    (
        """CREATE TABLE document (
            digest TEXT PRIMARY KEY,
            kind TEXT NOT NULL,
            body TEXT NOT NULL
        ) STRICT""",
        """CREATE TRIGGER document_is_never_replaced BEFORE INSERT ON document
        WHEN EXISTS (SELECT 1 FROM document WHERE digest = NEW.digest)
        BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END""",
        """CREATE TRIGGER document_is_never_changed BEFORE UPDATE ON document
        BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END""",
        """CREATE TRIGGER document_is_never_deleted BEFORE DELETE ON document
        BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END""",
        "CREATE INDEX event_in_time ON event (at, id)",
        """CREATE TABLE derived (
            name TEXT PRIMARY KEY,
            upto INTEGER NOT NULL,
            body TEXT NOT NULL
        ) STRICT""",
    ),
)
