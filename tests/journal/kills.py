"""A writer killed at random moments: no acknowledged event is lost, and the file is sound.

Run as `python -m tests.journal.kills [N [SEED]]`; prints how many were killed and what was found. The moment is
drawn: after so many acknowledgements, and then within a few thousandths of a second.
"""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import sys
import time
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

from advisor.journal.store import Event, Journal
from tests.journal import rows


def main(times: int = 500, seed: int = 1) -> None:
    chance = random.Random(seed)
    acknowledged = beyond = 0
    with TemporaryDirectory() as folder:
        for turn in range(times):
            # some are killed while they make the journal or bring it up to date, most while they write on
            path = some_journal(Path(folder), turn // 6)
            told, found = kill_one(path, turn, chance)
            missing = told - found
            assert not missing, f"lost after acknowledgement: {missing}"
            acknowledged += len(told)
            beyond += len(found) - len(told)
    print(f"{times} kills, {acknowledged} acknowledged events, none lost, every file sound")
    print(f"{beyond} events were on the disk although their acknowledgement was not heard any more")


def some_journal(folder: Path, number: int) -> Path:
    """A journal to write on: every other one was begun by the first version of the program."""
    path = folder / f"{'old' if number % 2 else 'new'}-{number}.sqlite3"
    return rows.old(path) if number % 2 and not path.exists() else path


def kill_one(path: Path, turn: int, chance: random.Random) -> tuple[set[str], set[str]]:
    """Kill a writer; the ids of its events that were acknowledged, and of those that are in the journal."""
    ear, mouth = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(ear)
        _write_for_ever(path, turn, mouth)
    os.close(mouth)
    heard = b""
    wanted = chance.choice([0, 0, 1, 2, 3, 5])
    with os.fdopen(ear, "rb", buffering=0) as file:
        while heard.count(b"\n") < wanted:
            piece = file.read(100)
            assert piece, "the writer stopped by itself"
            heard += piece
        time.sleep(chance.uniform(0, 0.02))  # the moment of the kill, not a wait for anything
        os.kill(child, signal.SIGKILL)
        heard += file.read()
    os.waitpid(child, 0)
    told = {line.decode() for line in heard.split(b"\n")[:-1]}
    return told, {ident for ident in check(path) if ident.startswith(f"{turn}-")}


def _write_for_ever(path: Path, turn: int, mouth: int) -> None:
    try:
        with Journal(path) as journal:
            for i in range(1_000_000):
                ident = f"{turn}-{i}"
                body = {"n": "x" * (37 * i % 9000)}  # some need several pages
                if i % 4 == 3:
                    journal.merge([Event(ident, rows.AT, "trial", rows.TRIAL)])
                else:
                    journal.append(Event(ident, rows.AT, "laps", body))  # type: ignore[arg-type]
                os.write(mouth, f"{ident}\n".encode())
    finally:
        os._exit(1)


def check(path: Path) -> set[str]:
    """The ids in a journal, which must be sound and whose derived tables must be those of its events."""
    if not path.exists():
        return set()
    expected = {"s1", "t1", "v1", "t2"} if path.name.startswith("old-") else set[str]()
    with Journal(path) as journal:
        found = {event.id for _, event in journal.since()}
        assert expected <= found
        before = derived(journal)
        journal.rebuild()
        assert derived(journal) == before
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    return found


def derived(journal: Journal) -> list[tuple[object, ...]]:
    """All that is derived, brought up to date."""
    trials = journal.ask("SELECT * FROM derived_trial ORDER BY id")
    return trials + journal.ask("SELECT * FROM derived ORDER BY name")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
