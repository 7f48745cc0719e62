"""Journal files on the disk: how they are opened, how folders are put on the disk, and errors in words."""

from __future__ import annotations

import os
import sqlite3
from contextlib import suppress
from pathlib import Path

from advisor import disk
from advisor.journal.events import JournalError, SenseError

WAIT, STEP = 3.0, 0.02  # seconds to wait for another program that is writing, and between two tries of ours
RESCUE = "save what can be read: advisor journal rescue FILE"


def makes_no_sense(number: int, path: Path, error: SenseError) -> JournalError:
    """What to say of an event that can be read, but not understood."""
    return JournalError(f"row {number} of the journal {path} makes no sense ({error}); {RESCUE}")


def missing_folders(path: Path) -> list[Path]:
    """The folders whose lists of names change when this file is made: its own, and those above what is missing."""
    if _is_there(path):
        return []
    found = [path.parent]
    while not _is_there(found[-1]) and found[-1] != found[-1].parent:
        found.append(found[-1].parent)
    return found


def _is_there(path: Path) -> bool:
    try:
        return path.exists()
    except (OSError, ValueError):  # behind a closed door, or no name at all: whoever opens it will say so
        return True


def sync_folder(folder: Path) -> None:
    """Put the names in a folder on the disk, where the system can do that."""
    with suppress(OSError):  # Windows opens no folders, some file systems sync none
        number = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(number)
        finally:
            os.close(number)


def open_file(path: Path, read_only: bool, alone: bool = False) -> sqlite3.Connection:
    try:
        if read_only and not path.exists():
            raise JournalError(f"there is no journal at {path}")
        if path.is_dir():
            raise JournalError(f"{path} is a folder; the journal is a file")
        if path.exists():
            disk.plain(path)
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


def sentence(path: Path, error: sqlite3.Error) -> str:
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
        return f"the file {path} is not a sound journal; it is left as it is; choose another (--journal), or {RESCUE}"
    if "I/O" in text:
        return f"the disk of the journal {path} fails or is full; what was written down before is safe"
    if "full" in text:
        return f"the disk is full: nothing was written to the journal {path}"
    return f"the journal {path} failed: {text}"
