"""Journals for tests: good events, and rows that no version of the program would write."""

from __future__ import annotations

import json
import os
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

from advisor.journal.store import Event, Journal

# A folder in memory for tests that make many journals and are not about the disk; elsewhere the usual place.
IN_MEMORY = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None

AT = "2024-05-04T09:30:00+00:00"
CHANGE: dict[str, Any] = {
    "lever": "rear_track_width",
    "direction": "narrower",
    "say": "narrow the rear track",
    "amount": {"value": 5.0, "unit": "mm", "per": "side"},
    "to": {"value": 1380.0, "unit": "mm"},
    "chance": 0.3,
    "confidence": 0.8,
    "feel_for": "the rear holds when you lean on it",
    "wrong_if": "the rear slides sooner",
}
TRIAL: dict[str, Any] = {
    "complaint": "loose on entry",
    "case": {
        "observed": {"phase": "entry", "balance": "oversteer"},
        "setup": {"rear_track_width": "1390 mm"},
    },
    "change": CHANGE,
}


def trial(ident: str = "t1", **changes: Any) -> Event:
    """A trial that waits for its verdict."""
    return Event(ident, AT, "trial", {**TRIAL, **changes})


def verdict(ident: str = "v1", of: str = "t1", given: str = "worse", note: str = "") -> Event:
    return Event(ident, AT, "verdict", {"trial": of, "verdict": given, "note": note})


def write(path: Path, *events: Event) -> Path:
    """A sound journal with these events."""
    with Journal(path) as journal:
        for event in events:
            journal.append(event)
    return path


def old(path: Path) -> Path:
    """A journal as schema 1 wrote it, with the events s1, t1, v1 and t2."""
    with closing(sqlite3.connect(path)) as db:
        db.executescript(Path(__file__).with_name("schema_1.sql").read_text("utf-8"))
    return path


def events(path: Path) -> list[Event]:
    with Journal(path, read_only=True) as journal:
        return [event for _, event in journal.since()]


def smuggle(path: Path, *rows: tuple[Any, Any, Any, Any]) -> Path:
    """A journal of the present version whose rows were written by hand, without any check."""
    write(path)
    with closing(sqlite3.connect(path)) as db:
        version = db.execute("PRAGMA user_version").fetchone()[0]
        db.executescript(
            "DROP TABLE event; CREATE TABLE event (seq INTEGER PRIMARY KEY, id, at, kind, body);"
            f"PRAGMA user_version = {version};"
        )
        db.executemany("INSERT INTO event (id, at, kind, body) VALUES (?, ?, ?, ?)", rows)
        db.commit()
    return path


def body_with(**changes: Any) -> str:
    """The body of a trial as text, with parts of its change replaced."""
    return json.dumps({**TRIAL, "change": {**CHANGE, **changes}})
