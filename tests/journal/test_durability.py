"""No acknowledged event is lost: killed, without power, on a full disk, with two writers, from an older schema."""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from advisor.journal.migrations import MIGRATIONS
from advisor.journal.sittings import unfinished
from advisor.journal.store import Event, Journal, JournalError
from advisor.journal.trials import latest, pending, trials
from tests.benchmarks import growth
from tests.journal import kills, power, rows

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="no fork and no SIGKILL there")
ALL = bool(os.environ.get("ADVISOR_TEST_ALL"))


# --- killed -----------------------------------------------------------------------------------------


def test_no_acknowledged_event_is_lost_when_the_writer_is_killed(tmp_path: Path) -> None:
    chance = random.Random(7)
    heard = 0
    for turn in range(500 if ALL else 15):
        path = kills.some_journal(tmp_path, turn // 3)
        told, found = kills.kill_one(path, turn, chance)
        assert told <= found
        heard += len(told)
    assert heard  # otherwise nothing was tested


# --- without power ----------------------------------------------------------------------------------


def recorded(tmp_path: Path, *, careless: bool = False) -> tuple[str, Path]:
    path = tmp_path.resolve() / "pits" / "journal.sqlite3"
    try:
        return power.record(path, 10 if ALL else 6, careless=careless), path
    except RuntimeError as reason:
        pytest.skip(str(reason))


def test_no_acknowledged_event_is_lost_when_the_power_fails(tmp_path: Path) -> None:
    log, path = recorded(tmp_path)
    done = power.replay(log, path, draws=1, seed=3, most=None if ALL else 60)
    assert done.cuts
    assert done.lost == 0


def test_the_replay_finds_what_is_lost_without_syncing(tmp_path: Path) -> None:
    """Otherwise the test above could not fail."""
    log, path = recorded(tmp_path, careless=True)
    assert power.replay(log, path, draws=1, seed=3, most=30).lost > 0


def test_the_folders_that_are_made_for_a_journal_are_synced(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced: list[int] = []
    monkeypatch.setattr(os, "fsync", lambda number: synced.append(os.fstat(number).st_ino))
    rows.write(tmp_path / "a" / "b" / "journal.sqlite3", rows.trial())
    made = [tmp_path, tmp_path / "a", tmp_path / "a" / "b"]
    assert {folder.stat().st_ino for folder in made} == set(synced)


# --- two writers ------------------------------------------------------------------------------------


def test_two_writers_at_once_lose_nothing_and_agree_on_what_is_derived(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite3"
    children = []
    for name in ("a", "b"):
        child = os.fork()
        if child == 0:
            try:
                with Journal(path) as journal:
                    for i in range(25):
                        journal.append(rows.trial(f"t{name}{i}"))
                        journal.append(rows.verdict(f"v{name}{i}", f"t{name}{i}"))
                os._exit(0)
            finally:
                os._exit(1)
        children.append(child)
    assert [os.waitpid(child, 0)[1] for child in children] == [0, 0]
    assert len(kills.check(path)) == 100
    with Journal(path, read_only=True) as journal:
        assert len(trials(journal)) == 50
        assert pending(journal) is None


# --- a full disk ------------------------------------------------------------------------------------


def fill(journal: Journal, acknowledge: Callable[[int], object]) -> str:
    """Append until it is refused; the sentence."""
    for i in range(10_000):
        try:
            journal.append(rows.trial(f"e{i}", complaint="c" * 3000))
        except JournalError as error:
            return str(error)
        acknowledge(i)
    return ""


def test_no_acknowledged_event_is_lost_when_the_file_may_not_grow(tmp_path: Path) -> None:
    """The system's limit on the size of a file stands for a full disk: the write itself fails."""
    resource = pytest.importorskip("resource")
    path = tmp_path / "journal.sqlite3"
    ear, mouth = os.pipe()
    child = os.fork()
    if child == 0:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (300_000, 300_000))
        with Journal(path) as journal:
            text = fill(journal, lambda i: os.write(mouth, f"e{i}\n".encode()))
        os.write(mouth, f"refused: {text}".encode())
        os._exit(0)
    os.close(mouth)
    with os.fdopen(ear) as file:
        *told, last = file.read().splitlines()
    os.waitpid(child, 0)
    assert "fails or is full; what was written down before is safe" in last
    assert told
    assert set(told) == kills.check(path)


def test_no_acknowledged_event_is_lost_when_the_disk_is_full(tmp_path: Path) -> None:
    path = rows.write(tmp_path / "journal.sqlite3", rows.trial("first"))
    told: list[int] = []
    with Journal(path) as journal:
        journal._db.execute("PRAGMA max_page_count = 30")
        assert "full: nothing was written" in fill(journal, told.append)
        journal._db.execute("PRAGMA max_page_count = 1000")
        journal.append(rows.trial("with room again"))
    assert told
    assert kills.check(path) == {"first", "with room again", *(f"e{i}" for i in told)}


# --- older and newer schemas ------------------------------------------------------------------------


@pytest.mark.parametrize("read_only", [True, False])
def test_a_journal_of_schema_1_is_read_whole(tmp_path: Path, read_only: bool) -> None:
    path = rows.old(tmp_path / "journal.sqlite3")
    before = path.read_bytes()
    with Journal(path, read_only=read_only) as journal:
        assert [event.id for _, event in journal.since()] == ["s1", "t1", "v1", "t2"]
        assert [(t.id, t.verdict, t.note) for t in trials(journal)] == [
            ("t1", "worse", "sechs Runden, größer"),
            ("t2", None, ""),
        ]
        waiting = pending(journal)
        assert waiting is not None
        assert waiting.id == "t2"
        assert [t.id for t in latest(journal, 9, "judged")] == ["t1"]
        assert unfinished(journal) is None
        assert len(list(journal.all())) == 4
    if read_only:
        assert path.read_bytes() == before


def test_a_journal_of_schema_1_is_brought_up_to_date_and_written_on(tmp_path: Path) -> None:
    path = rows.old(tmp_path / "journal.sqlite3")
    rows.write(path, rows.verdict("v2", "t2", "better"))
    assert kills.check(path) == {"s1", "t1", "v1", "t2", "v2"}
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA user_version").fetchone() == (len(MIGRATIONS),)
        with pytest.raises(sqlite3.Error, match="append-only"):
            db.execute("DELETE FROM event")


def test_a_migrated_journal_has_the_schema_of_a_new_one(tmp_path: Path) -> None:
    def schema(path: Path) -> set[tuple[str, str]]:
        with closing(sqlite3.connect(path)) as db:
            found = db.execute("SELECT name, sql FROM sqlite_master WHERE sql NOT NULL").fetchall()
        return {(name, " ".join(sql.split())) for name, sql in found}

    new, migrated = rows.write(tmp_path / "new"), rows.old(tmp_path / "old")
    rows.write(migrated)
    assert schema(migrated) == schema(new)


def test_a_reader_of_a_journal_whose_tables_are_behind_makes_its_own(tmp_path: Path) -> None:
    """Another version of the program, which derives other things, wrote last."""
    path = rows.write(tmp_path / "journal.sqlite3", rows.trial(), rows.verdict(), rows.trial("t2"))
    with closing(sqlite3.connect(path)) as db:
        db.execute("DELETE FROM derived")
        db.commit()
    before = path.read_bytes()
    with Journal(path, read_only=True) as journal:
        waiting = pending(journal)
        assert waiting is not None
        assert waiting.id == "t2"
        assert [t.verdict for t in latest(journal, 9, "judged")] == ["worse"]
    assert path.read_bytes() == before


def test_a_view_under_a_new_name_is_built_anew(tmp_path: Path) -> None:
    path = rows.write(tmp_path / "journal.sqlite3", rows.trial())
    with closing(sqlite3.connect(path)) as db:
        db.execute("UPDATE derived SET name = 'trials 0' WHERE name LIKE 'trials%'")
        db.execute("UPDATE derived_trial SET verdict = 'better'")
        db.commit()
    with Journal(path) as journal:
        assert pending(journal) is not None


def test_a_row_that_makes_no_sense_does_not_keep_new_events_out(tmp_path: Path) -> None:
    path = rows.smuggle(tmp_path / "journal.sqlite3", ("x", rows.AT, "verdict", "{}"))
    with Journal(path) as journal:
        journal.append(rows.trial())
        assert [event.id for _, event in journal.since()] == ["x", "t1"]
        with pytest.raises(JournalError, match=r"row 1 of the journal .* makes no sense"):
            pending(journal)


# --- growth -----------------------------------------------------------------------------------------


def effort(trials_written: int, folder: Path) -> int:
    """Steps of SQLite's machine for what is read when the program starts, and for one more event."""
    path = folder / f"{trials_written}.sqlite3"
    steps = 0

    def count() -> int:
        nonlocal steps
        steps += 1
        return 0

    with Journal(path) as journal:
        journal.merge(growth.many(trials_written))
    with Journal(path) as journal:
        journal._db.set_progress_handler(count, 1)
        assert pending(journal) is None
        assert unfinished(journal) is None
        assert len(latest(journal, 20)) == len(latest(journal, 20, "judged")) == 20
        journal.append(Event("late", journal.stamp(rows.AT), "trial", rows.TRIAL))
        journal._db.set_progress_handler(None, 1)
    return steps


def test_a_start_takes_as_many_steps_however_many_trials_there_are(tmp_path: Path) -> None:
    few, many = effort(30, tmp_path), effort(900, tmp_path)
    assert many < 1.2 * few  # a scan would be thirty times as many
