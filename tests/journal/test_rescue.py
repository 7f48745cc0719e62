"""A damaged journal: what can be read is saved into a new one, and the rest is counted."""

from __future__ import annotations

import os
import random
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from advisor.journal import pages
from advisor.journal.events import Document
from advisor.journal.rescue import rescue
from advisor.journal.store import Event, Journal, JournalError
from tests.hostile.command import Advisor
from tests.journal import rows
from tests.journal.test_store import HOSTILE

PAGE = 4096  # bytes; the size that SQLite takes by itself
EVENTS = [rows.trial(f"t{i}", complaint="c" * (i * 331 % 9000)) for i in range(60)]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A journal whose longer events take several pages."""
    return rows.write(tmp_path / "journal.sqlite3", *EVENTS)


def saved(path: Path) -> list[Event]:
    """The events of the new journal; the damaged one is left as it is, and what is saved is what was written."""
    before = path.read_bytes()
    done = rescue(path)
    assert path.read_bytes() == before
    assert done.path is not None
    found = rows.events(done.path)
    assert len(found) == done.events
    assert all(event in EVENTS for event in found)
    assert [event.id for event in found] == [e.id for e in EVENTS if e in found]
    return found


def test_a_sound_journal_needs_no_rescue(path: Path) -> None:
    done = rescue(path)
    assert (done.path, done.events) == (None, 60)
    assert [p.name for p in path.parent.iterdir()] == [path.name]


def test_a_journal_without_its_header_is_saved_whole(path: Path) -> None:
    path.write_bytes(bytes(100) + path.read_bytes()[100:])
    assert saved(path) == EVENTS


def test_a_cut_costs_only_what_was_cut_off(path: Path) -> None:
    whole = path.read_bytes()
    first = whole.index(b"rear_track_width")  # tables of what is derived stand before the events
    kept = []
    for share in (9, 6, 3):
        path.write_bytes(whole[: first + (len(whole) - first) * share // 10])
        kept.append(len(saved(path)))
    assert kept == sorted(kept, reverse=True)
    assert 60 > kept[0] > 40  # nine tenths of the rest hold about nine tenths of the events
    assert kept[2] > 5


def test_a_page_that_is_overwritten_costs_only_what_was_on_it(path: Path) -> None:
    whole = path.read_bytes()
    chance = random.Random(4)
    for page in chance.sample(range(len(whole) // PAGE), 12):
        path.write_bytes(whole[: page * PAGE] + chance.randbytes(PAGE) + whole[(page + 1) * PAGE :])
        assert len(saved(path)) >= 50  # a page holds at most a handful of these events


def test_what_is_missing_is_counted(path: Path) -> None:
    """The page of the longest chain is overwritten; the numbers that are missing tell how many events are lost."""
    whole = path.read_bytes()
    at = whole.index(b"c" * 2000)
    path.write_bytes(whole[:at] + bytes(b ^ 0x80 for b in whole[at : at + 900]) + whole[at + 900 :])
    done = rescue(path)
    assert done.lost >= 1
    assert done.events + done.lost + done.senseless == 60


def test_what_is_only_in_the_write_ahead_log_is_saved(tmp_path: Path, path: Path) -> None:
    """The writer was killed before its log was written into the file, and then the file was overwritten."""
    crashed = tmp_path / "crashed" / "journal.sqlite3"
    crashed.parent.mkdir()
    late = rows.trial("late", complaint="c" * 9000)
    with Journal(path) as journal:
        journal.append(late)
        shutil.copyfile(f"{path}-wal", f"{crashed}-wal")
    crashed.write_bytes(os.urandom(20 * PAGE))
    done = rescue(crashed)
    assert done.path is not None
    assert late in rows.events(done.path)


def test_documents_and_conflicts_are_saved_as_well(path: Path) -> None:
    fix = Document("fix", {"text": "f" * 6000})
    with Journal(path) as journal:
        journal.merge([fix, rows.trial("t3", complaint="told otherwise")])
        everything = list(journal.all())
    path.write_bytes(bytes(100) + path.read_bytes()[100:])
    done = rescue(path)
    assert done.path is not None
    with Journal(done.path) as journal:
        assert list(journal.all()) == everything


def test_rows_that_make_no_sense_are_left_out_and_counted(tmp_path: Path) -> None:
    path = rows.smuggle(
        tmp_path / "journal.sqlite3",
        ("good", rows.AT, "trial", rows.body_with()),
        ("bad", rows.AT, "trial", rows.body_with(chance=7)),
        ("worse", rows.AT, "trial", "{oops"),
    )
    done = rescue(path)
    assert (done.events, done.senseless, done.lost) == (1, 1, 1)


def test_hostile_rows_are_left_out(tmp_path: Path) -> None:
    for i, row in enumerate(HOSTILE.values()):
        path = rows.smuggle(tmp_path / f"{i}.sqlite3", ("good", rows.AT, "trial", rows.body_with()), row)
        done = rescue(path)
        assert done.path is not None
        assert [event.id for event in rows.events(done.path)] == ["good"]


def test_nothing_is_overwritten(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-PAGE])
    first, second = rescue(path), rescue(path)
    assert first.path != second.path
    assert first.events == second.events


@pytest.mark.parametrize("content", [b"", b"loose on entry\n" * 500, bytes(9000)])
def test_where_nothing_can_be_read_no_file_is_made(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "journal.sqlite3"
    path.write_bytes(content)
    with pytest.raises(JournalError, match="nothing that can be read"):
        rescue(path)
    assert list(tmp_path.iterdir()) == [path]


def test_a_database_of_something_else_and_a_newer_journal_are_refused(path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA user_version = 99")
    with pytest.raises(JournalError, match="newer version"):
        rescue(path)
    with closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA application_id = 7")
    with pytest.raises(JournalError, match="something else"):
        rescue(path)


@pytest.mark.parametrize("size", [512, 1024, 4096, 65536])
def test_pages_are_read_as_sqlite_reads_them(tmp_path: Path, size: int) -> None:
    """SQLite itself is the oracle: numbers, texts and bytes of every length, over pages of every size."""
    path = tmp_path / "any.sqlite3"
    chance = random.Random(size)
    values = [
        None,
        0,
        1,
        -1,
        127,
        128,
        -32769,
        2**23,
        2**31,
        -(2**47) - 1,
        2**62,
        0.5,
        -1e300,
        "",
        "ü",
        b"",
        b"\x00",
    ]
    given_rows = [
        (chance.choice(values), "x" * chance.randrange(3 * size), os.urandom(chance.randrange(200)))
        for _ in range(80)
    ]
    with closing(sqlite3.connect(path)) as db:
        db.execute(f"PRAGMA page_size = {size}")
        db.execute("CREATE TABLE t (a, b, c)")
        db.executemany("INSERT INTO t VALUES (?, ?, ?)", given_rows)
        db.commit()
    found = [columns for _, columns in pages.rows(path.read_bytes()) if len(columns) == 3]
    assert found == given_rows


def test_random_bytes_are_no_rows_and_no_crash() -> None:
    chance = random.Random(8)
    for _ in range(300):
        page = bytearray(chance.randbytes(2 * PAGE))
        page[0] = page[PAGE] = pages.LEAF
        for number, columns in pages.rows(bytes(page), chance.randbytes(chance.randrange(9000))):
            assert isinstance(number, int)
            assert isinstance(columns, tuple)


def test_the_command_tells_how_many_were_saved_and_how_many_not(advisor: Advisor) -> None:
    rows.write(advisor.journal, *EVENTS)
    whole = advisor.journal.read_bytes()
    assert advisor("journal", "rescue", "journal.sqlite3").out == (
        "The journal journal.sqlite3 is sound (60 entries); nothing had to be saved.\n"
    )
    advisor.journal.write_bytes(whole[: len(whole) // 2])
    done = advisor("journal", "rescue", "journal.sqlite3")
    assert done.status == 0, done.err
    assert done.out.startswith("Saved: ")
    assert "Could not be read: " in done.out
    new = advisor.folder / "journal-rescued.sqlite3"
    assert f"Saved: {len(rows.events(new))} entries, in journal-rescued.sqlite3" in done.out
    done = advisor("journal", "rescue", "none")
    assert (done.status, done.err) == (1, "there is no journal at none\n")
