"""The journal file: append-only, on the disk when acknowledged, and one sentence for whatever is wrong with it."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.journal.store import Event, Journal, JournalError
from tests.hostile.command import HANG, ROOT
from tests.journal import rows

FULL_SYNC = 2  # PRAGMA synchronous: 2 is FULL (sqlite.org, PRAGMA statements)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "journal.sqlite3"


def refuses(path: Path, *, read_only: bool) -> str:
    """Open and read a journal; the sentence of the refusal."""
    with pytest.raises(JournalError) as refusal, Journal(path, read_only=read_only) as journal:
        list(journal.since())
    text = str(refusal.value)
    assert "\n" not in text
    assert str(path) in text
    return text


# --- events go in and come out ----------------------------------------------------------------------


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=12,
)
EVENTS = st.lists(
    st.builds(
        Event, st.text(), st.text(), st.sampled_from(["trial", "verdict"]), st.dictionaries(st.text(), JSON)
    ),
    unique_by=lambda event: event.id,
    max_size=6,
)


@given(given_events=EVENTS)
@settings(max_examples=60, deadline=None)
def test_what_was_appended_comes_back_in_its_order(given_events: list[Event]) -> None:
    half = len(given_events) // 2
    with TemporaryDirectory(dir=rows.IN_MEMORY) as folder:
        path = Path(folder) / "j"
        rows.write(path, *given_events[:half])
        rows.write(path, *given_events[half:])
        assert rows.events(path) == given_events


def test_since_gives_only_what_came_after(path: Path) -> None:
    rows.write(path, rows.trial("a"), rows.trial("b"), rows.trial("c"))
    with Journal(path) as journal:
        numbered = list(journal.since())
        last = numbered[1][0]
        assert [event.id for _, event in journal.since(last)] == ["c"]


def test_an_id_is_taken_only_once(path: Path) -> None:
    rows.write(path, rows.trial("a"))
    with Journal(path) as journal, pytest.raises(JournalError):
        journal.append(rows.verdict("a"))
    assert rows.events(path) == [rows.trial("a")]


@pytest.mark.parametrize("body", [{"note": "\ud800"}, {"\udfff": 1}, {"note": object()}, {"note": {1, 2}}])
def test_what_cannot_be_written_is_refused_and_nothing_is_written(path: Path, body: dict[str, Any]) -> None:
    rows.write(path, rows.trial("a"))
    with Journal(path) as journal:
        with pytest.raises(JournalError):
            journal.append(Event("b", rows.AT, "verdict", body))
        journal.append(rows.verdict("c"))
    assert [event.id for event in rows.events(path)] == ["a", "c"]


# --- append-only ------------------------------------------------------------------------------------


CHANGES = [
    "UPDATE event SET body = '{}'",
    "UPDATE event SET seq = 9",
    "UPDATE OR REPLACE event SET id = 'b' WHERE id = 'a'",
    "DELETE FROM event",
    "DELETE FROM event WHERE id = 'a'",
    "REPLACE INTO event (id, at, kind, body) VALUES ('a', '', 'trial', '{}')",
    "REPLACE INTO event (seq, id, at, kind, body) VALUES (1, 'z', '', 'trial', '{}')",
    "INSERT OR REPLACE INTO event (id, at, kind, body) VALUES ('b', '', 'trial', '{}')",
    "INSERT INTO event (id, at, kind, body) VALUES ('a', '', 'trial', '{}') "
    "ON CONFLICT (id) DO UPDATE SET body = excluded.body",
]


@pytest.fixture
def own(path: Path) -> Iterator[sqlite3.Connection]:
    """The journal's own connection."""
    with Journal(rows.write(path, rows.trial("a"), rows.trial("b"))) as journal:
        yield journal._db


@pytest.mark.parametrize("statement", CHANGES)
def test_no_event_is_ever_changed_or_deleted(own: sqlite3.Connection, path: Path, statement: str) -> None:
    with pytest.raises(sqlite3.Error, match="append-only"):
        own.execute(statement)
    assert rows.events(path) == [rows.trial("a"), rows.trial("b")]


@pytest.mark.parametrize("statement", CHANGES)
def test_no_other_program_changes_an_event_by_accident(path: Path, statement: str) -> None:
    """A connection of somebody else's, with SQLite's defaults: recursive triggers are off there."""
    rows.write(path, rows.trial("a"), rows.trial("b"))
    with closing(sqlite3.connect(path)) as db, pytest.raises(sqlite3.Error, match="append-only"):
        db.executescript(f"{statement};")
    assert rows.events(path) == [rows.trial("a"), rows.trial("b")]


# --- on the disk ------------------------------------------------------------------------------------


@pytest.mark.parametrize("opened", ["new", "again", "empty file"])
def test_every_writing_connection_syncs_in_full_and_logs_ahead(path: Path, opened: str) -> None:
    if opened == "again":
        rows.write(path, rows.trial())
    elif opened == "empty file":
        path.touch()
    with Journal(path) as journal:
        assert journal._db.execute("PRAGMA synchronous").fetchone() == (FULL_SYNC,)
        assert journal._db.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        journal.append(rows.trial("later"))
        assert journal._db.execute("PRAGMA synchronous").fetchone() == (FULL_SYNC,)


def test_a_reading_connection_cannot_write(path: Path) -> None:
    rows.write(path, rows.trial())
    with Journal(path, read_only=True) as journal:
        with pytest.raises(JournalError, match="read-only"):
            journal.append(rows.trial("b"))
        assert [event.id for _, event in journal.since()] == ["t1"]


DIES = """
import os, signal, sys
from pathlib import Path
from advisor.journal.store import Event, Journal

journal = Journal(Path(sys.argv[1]))
for i in range(5):
    journal.append(Event(f"e{i}", "", "trial", {"i": i}))
    os.write(1, f"e{i}\\n".encode())
if sys.argv[2] == "in between":
    journal._db.execute("BEGIN IMMEDIATE")
    journal._db.execute("INSERT INTO event (id, at, kind, body) VALUES ('half', '', 'trial', '{}')")
if sys.argv[2] == "exit":
    os._exit(7)
os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no SIGKILL here")
@pytest.mark.parametrize("how", ["exit", "kill", "in between"])
def test_acknowledged_events_outlive_a_process_that_dies(path: Path, how: str) -> None:
    done = run(DIES, path, how)
    assert done.returncode in (7, -signal.SIGKILL), done.stderr
    acknowledged = done.stdout.decode().split()
    assert acknowledged == [f"e{i}" for i in range(5)]
    assert [event.id for event in rows.events(path)] == acknowledged
    rows.write(path, rows.trial("afterwards"))  # no lock is left behind


APPENDS = """
import sys
from pathlib import Path
from advisor.journal.store import Event, Journal

with Journal(Path(sys.argv[1])) as journal:
    for i in range(20):
        journal.append(Event(f"{sys.argv[2]}-{i}", "", "trial", {}))
"""


def run(script: str, *arguments: object) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-c", script, *map(str, arguments)],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        timeout=HANG,
        check=False,
    )


def test_several_processes_may_write_a_new_journal_at_once(path: Path) -> None:
    started = [
        subprocess.Popen(
            [sys.executable, "-c", APPENDS, str(path), str(n)],
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            stderr=subprocess.PIPE,
        )
        for n in range(6)
    ]
    errors = [process.communicate(timeout=4 * HANG)[1].decode() for process in started]
    assert errors == [""] * 6
    found = [event.id for event in rows.events(path)]
    assert sorted(found) == sorted(f"{n}-{i}" for n in range(6) for i in range(20))


# --- what is no journal -----------------------------------------------------------------------------


def a_text(path: Path) -> None:
    path.write_text("complaint: loose on entry\n" * 400)


def a_binary(path: Path) -> None:
    path.write_bytes(bytes(range(256)) * 64)


def something_else(path: Path, version: int = 0) -> None:
    with closing(sqlite3.connect(path)) as db:
        db.executescript(f"CREATE TABLE recipe (name TEXT); PRAGMA user_version = {version};")


def something_else_of_our_version(path: Path) -> None:
    something_else(path, 1)


def something_else_of_another_version(path: Path) -> None:
    something_else(path, 77)


def other_events(path: Path) -> None:
    """A table of that name with other columns."""
    with closing(sqlite3.connect(path)) as db:
        db.executescript("CREATE TABLE event (day TEXT, place TEXT); PRAGMA user_version = 1;")


FOREIGN = [a_text, a_binary, something_else, something_else_of_our_version]
FOREIGN += [something_else_of_another_version, other_events]


@pytest.mark.parametrize("make", FOREIGN, ids=lambda make: make.__name__)
@pytest.mark.parametrize("read_only", [True, False])
def test_a_file_of_something_else_is_refused_and_left_as_it_was(
    path: Path, make: Any, read_only: bool
) -> None:
    make(path)
    before = path.read_bytes()
    refuses(path, read_only=read_only)
    assert path.read_bytes() == before
    assert list(path.parent.iterdir()) == [path]


@pytest.mark.parametrize("make", FOREIGN, ids=lambda make: make.__name__)
def test_a_file_of_something_else_is_called_that(path: Path, make: Any) -> None:
    make(path)
    text = refuses(path, read_only=False)
    assert "not a journal" in text or "not a sound journal" in text, text


@pytest.mark.parametrize("read_only", [True, False])
def test_a_newer_version_is_refused_and_nothing_is_lost(path: Path, read_only: bool) -> None:
    rows.write(path, rows.trial())
    set_version(path, 99)
    assert "newer version" in refuses(path, read_only=read_only)
    set_version(path, 1)
    assert rows.events(path) == [rows.trial()]


def set_version(path: Path, version: int) -> None:
    with closing(sqlite3.connect(path)) as db:
        db.execute(f"PRAGMA user_version = {version}")


@pytest.mark.parametrize("left", [2, 50, 99, 100, 1000, 4096, 5000, 8192])
@pytest.mark.parametrize("read_only", [True, False])
def test_a_truncated_journal_is_refused_in_a_sentence(path: Path, left: int, read_only: bool) -> None:
    rows.write(path, *(rows.trial(f"t{i}") for i in range(60)))
    whole = path.read_bytes()
    assert len(whole) > 12_000
    path.write_bytes(whole[:left])
    refuses(path, read_only=read_only)
    assert path.read_bytes()[:left] == whole[:left]


@pytest.mark.parametrize("read_only", [True, False])
def test_overwritten_pages_are_refused_in_a_sentence(path: Path, read_only: bool) -> None:
    rows.write(path, *(rows.trial(f"t{i}") for i in range(60)))
    whole = path.read_bytes()
    path.write_bytes(whole[:4096] + b"\xa5" * (len(whole) - 4096))
    refuses(path, read_only=read_only)


@pytest.mark.parametrize("read_only", [True, False])
def test_a_folder_is_no_journal(path: Path, read_only: bool) -> None:
    path.mkdir()
    assert "folder" in refuses(path, read_only=read_only)


def test_reading_makes_no_journal(path: Path) -> None:
    assert "no journal" in refuses(path, read_only=True)
    assert not path.exists()


def test_a_missing_folder_is_made_for_a_new_journal(tmp_path: Path) -> None:
    path = tmp_path / "a" / "b" / "journal.sqlite3"
    rows.write(path, rows.trial())
    assert rows.events(path) == [rows.trial()]


def test_reading_leaves_the_file_as_it_was(path: Path) -> None:
    rows.write(path, rows.trial(), rows.verdict())
    before = path.read_bytes()
    assert len(rows.events(path)) == 2
    assert path.read_bytes() == before


@pytest.mark.xfail(strict=True, reason="SQLite keeps side files beside a write-ahead log that is read")
def test_reading_leaves_no_files_beside_the_journal(path: Path) -> None:
    rows.write(path, rows.trial(), rows.verdict())
    assert list(path.parent.iterdir()) == [path]
    assert len(rows.events(path)) == 2
    assert list(path.parent.iterdir()) == [path]


# --- hostile rows -----------------------------------------------------------------------------------


GOOD = rows.body_with()
HOSTILE: dict[str, tuple[Any, Any, Any, Any]] = {
    "no JSON": ("x", rows.AT, "trial", "{oops"),
    "empty": ("x", rows.AT, "trial", ""),
    "null": ("x", rows.AT, "trial", "null"),
    "a list": ("x", rows.AT, "trial", "[]"),
    "a number": ("x", rows.AT, "trial", "7"),
    "a text": ("x", rows.AT, "trial", '"loose"'),
    "no value": ("x", rows.AT, "trial", None),
    "an integer": ("x", rows.AT, "trial", 7),
    "bytes": ("x", rows.AT, "trial", b"\xff\xfe"),
    "deep": ("x", rows.AT, "trial", "[" * 100_000),
    "deep inside": ("x", rows.AT, "trial", '{"a":' * 100_000),
    "endless digits": ("x", rows.AT, "trial", '{"a": ' + "9" * 10_000 + "}"),
    "two objects": ("x", rows.AT, "trial", "{}{}"),
    "an id of bytes": (b"x", rows.AT, "trial", GOOD),
    "no id": (None, rows.AT, "trial", GOOD),
    "no time": ("x", None, "trial", GOOD),
    "a kind of number": ("x", rows.AT, 3, GOOD),
}


@pytest.mark.parametrize("row", HOSTILE.values(), ids=HOSTILE)
def test_a_hostile_row_is_told_with_its_number(path: Path, row: tuple[Any, Any, Any, Any]) -> None:
    rows.smuggle(path, ("good", rows.AT, "trial", GOOD), row)
    for read_only in (True, False):
        assert "row 2" in refuses(path, read_only=read_only)


def test_text_that_is_no_utf8_is_told_in_a_sentence(path: Path) -> None:
    rows.smuggle(path)
    with closing(sqlite3.connect(path)) as db:
        db.execute(
            "INSERT INTO event (id, at, kind, body) VALUES ('x', '', 'trial', CAST(x'7bff7d' AS TEXT))"
        )
        db.commit()
    refuses(path, read_only=True)
