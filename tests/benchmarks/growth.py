"""What a journal with many trials costs, against an empty one in the same run.

Run as `python -m tests.benchmarks.growth [TRIALS [ROUNDS [RUNS]]]`. Prints medians and ratios; asserts nothing. The
trials are invented: a sitting of three events, a trial and a verdict each; beside them runs of the diary.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

import pexpect

from advisor.journal.notes import Note, note_event
from advisor.journal.sittings import SittingRow, sitting_event, unfinished
from advisor.journal.store import Event, Journal
from advisor.journal.trials import pending, verdict_event
from advisor.model.belonging import Belonging
from advisor.model.case import Verdict
from tests.benchmarks.start_up import CASE
from tests.journal import rows

Job = Callable[[Path], float]
VERDICTS: list[Verdict] = ["better", "same", "worse"]
LEVERS = [("rear_track_width", "narrower"), ("caster", "more"), ("tyre_pressure_rear", "lower")]


def many(trials: int, seed: int = 1) -> Iterator[Event]:
    """So many trials with their verdicts, and the sittings they came of."""
    chance = random.Random(seed)
    now = datetime(2024, 5, 4, 9, tzinfo=UTC)
    for i in range(trials):
        for part in range(3):
            now += timedelta(seconds=20)
            row = SittingRow(
                sitting=f"s{i}",
                complaint="loose on entry",
                case=rows.TRIAL["case"],
                asked=part,
                done=part == 2,
            )
            yield sitting_event(f"s{i}-{part}", now.isoformat(timespec="microseconds"), row)
        lever, direction = chance.choice(LEVERS)
        change = {**rows.CHANGE, "lever": lever, "direction": direction}
        belongs = {"kart": f"kart {i % 3}", "driver": "Mia", "track": "Lakeside", "time": now.isoformat()}
        body = {**rows.TRIAL, "change": change, "belongs": belongs}
        yield Event(f"t{i}", now.isoformat(timespec="microseconds"), "trial", body)
        now += timedelta(minutes=20)
        given = chance.choice(VERDICTS)
        yield verdict_event(
            f"v{i}", now.isoformat(timespec="microseconds"), f"t{i}", given, "six laps, 12 psi hot"
        )


def noted(runs: int) -> Iterator[Event]:
    """So many runs of the diary of three karts; the first of each is good, and its engine was serviced."""
    now = datetime(2024, 1, 1, 9, tzinfo=UTC)
    for i in range(runs):
        now += timedelta(minutes=1)
        where = Belonging(kart=f"kart {i % 3}", driver="Mia", track="Lakeside", time=now.isoformat())
        first = {"good": True, "service": "engine"} if i < 3 else {}
        told = {"words": "loose on entry", "fault": "oversteer entry", "setup": rows.TRIAL["case"]["setup"]}
        note = Note(f"n{i}", where, laps=(45.3,) * 8, **{**told, **first})
        yield note_event(f"n{i}", now.isoformat(timespec="microseconds"), note)


def main(trials: int = 100_000, rounds: int = 9, runs: int = 100_000) -> None:
    with TemporaryDirectory() as folder:
        few, full = Path(folder) / "few.sqlite3", Path(folder) / "full.sqlite3"
        Path(folder, "case.yaml").write_text(CASE, "utf-8")
        with Journal(few), Journal(full) as journal:
            start = perf_counter()
            journal.merge(many(trials))
            journal.merge(noted(runs))
            print(f"{trials} trials and {runs} runs written in {perf_counter() - start:.1f} s", flush=True)
            start = perf_counter()
            journal.rebuild()
            print(f"all that is derived built anew in {perf_counter() - start:.1f} s", flush=True)
        print(f"file: {full.stat().st_size / 1e6:.0f} MB")
        jobs: dict[str, Job] = {
            "what a start looks up": _look_up,
            "an event written": _write,
            "advisor advise --journal": _advice,
            "advisor, until it asks": _first_question,
            "advisor history": _history,
            "advisor history --kart": _history_of_a_kart,
            "advisor history --good": lambda path: _history(path, "--good"),
            "advisor history --service": lambda path: _history(path, "--service"),
            "advisor history --lever": lambda path: _history(path, "--lever", "caster"),
            "a run noted": _note,
        }
        for name, job in jobs.items():
            job(few), job(full)
            taken: dict[Path, list[float]] = {few: [], full: []}
            for _ in range(rounds):
                for path, times in taken.items():
                    times.append(job(path))
            base, grown = median(taken[few]), median(taken[full])
            print(f"{name:28} empty {1e3 * base:8.2f} ms   full {1e3 * grown:8.2f} ms   {grown / base:.2f} x")


def _look_up(path: Path) -> float:
    start = perf_counter()
    with Journal(path) as journal:
        pending(journal), unfinished(journal)
    return perf_counter() - start


def _write(path: Path) -> float:
    with Journal(path) as journal:
        event = Event(os.urandom(8).hex(), rows.AT, "trial", rows.TRIAL)
        start = perf_counter()
        journal.append(event)
        taken = perf_counter() - start
        journal.append(verdict_event(f"v-{event.id}", rows.AT, event.id, "same", ""))
    return taken


def _advice(path: Path) -> float:
    command = ["advise", "case.yaml", "--json", "--journal", str(path)]
    start = perf_counter()
    subprocess.run(
        [sys.executable, "-m", "advisor", *command],
        check=True,
        capture_output=True,
        cwd=path.parent,
        env=_environment(path),
    )
    return perf_counter() - start


def _history(path: Path, *more: str) -> float:
    start = perf_counter()
    done = subprocess.run(
        [sys.executable, "-m", "advisor", "history", *more, "--journal", str(path)],
        capture_output=True,
        cwd=path.parent,
        env=_environment(path),
    )
    taken = perf_counter() - start
    assert done.returncode in (0, 1), done.stderr  # 1: nothing to show in an empty one
    return taken


def _note(path: Path) -> float:
    """A run noted in one line, with all that it carries."""
    start = perf_counter()
    command = [sys.executable, "-m", "advisor", "diary", "--words", "hops", "--journal", str(path)]
    subprocess.run(command, check=True, capture_output=True, cwd=path.parent, env=_environment(path))
    return perf_counter() - start


def _history_of_a_kart(path: Path) -> float:
    return _history(path, "--kart", "kart 1", "--fault", "oversteer")


def _first_question(path: Path) -> float:
    start = perf_counter()
    child = pexpect.spawn(
        sys.executable, ["-m", "advisor", "--journal", str(path)], env=_environment(path), timeout=60
    )
    child.expect("What does the kart do")
    taken = perf_counter() - start
    child.close(force=True)
    return taken


def _environment(path: Path) -> dict[str, str]:
    root = str(Path(__file__).parents[2])
    return {**os.environ, "PYTHONPATH": root, "ADVISOR_KARTS": str(path.parent / "karts"), "TERM": "xterm"}


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
