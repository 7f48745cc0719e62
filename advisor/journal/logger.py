"""Runs that a logger timed, matched to the notes of the diary by the time; the logger's clock may be wrong.

A logger's clock neither knows a time zone nor when the clocks change: it runs on evenly. So one number, the seconds
that it is behind UTC, told once, is good on both sides of midnight and of a change of the clocks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from advisor.journal.belonging import moment
from advisor.journal.notes import Note

FARTHEST = timedelta(minutes=40)  # between a run and its note, written before or after it; assumed, no source
BACK = timedelta(hours=1)  # a clock that goes back by more has passed midnight


@dataclass(frozen=True, slots=True)
class Logged:
    """A run as the logger has it: `began` by its own clock, without a zone; laps in seconds."""

    name: str
    began: datetime
    laps: tuple[float, ...] = ()

    @property
    def lasted(self) -> timedelta:
        return timedelta(seconds=sum(self.laps))


@dataclass(frozen=True, slots=True)
class Matched:
    """A run or a note, with its mate where it has one; `began` is the right time of the run."""

    run: Logged | None
    note: Note | None
    began: datetime | None


def over_midnight(clocks: Sequence[datetime]) -> list[datetime]:
    """Times of day in the order driven, put on following days where the clock begins anew."""
    found: list[datetime] = []
    for clock in clocks:
        while found and clock < found[-1] - BACK:
            clock += timedelta(days=1)
        found.append(clock)
    return found


def match(runs: Sequence[Logged], behind: float, notes: Sequence[Note]) -> list[Matched]:
    """Runs and notes in the order of time, those that belong together in one; neither is used twice.

    The mates are those of the least sum of gaps, where one without a mate costs `FARTHEST`, in order (the alignment
    of two sequences, Needleman and Wunsch, J. Mol. Biol. 48, 1970).
    """
    times = [(r.began + timedelta(seconds=behind)).replace(tzinfo=UTC) for r in runs]
    rows = sorted(zip(times, runs, strict=True), key=lambda row: row[0])
    told = sorted(((t, n) for n in notes if (t := moment(n.belongs.time))), key=lambda row: row[0])
    lone = FARTHEST.total_seconds()
    cost = [[lone * (i + j) for j in range(len(told) + 1)] for i in range(len(rows) + 1)]
    for i, (began, run) in enumerate(rows, start=1):
        for j, (then, _) in enumerate(told, start=1):
            both = cost[i - 1][j - 1] + 2 * gap(began, run, then)
            cost[i][j] = min(both, cost[i - 1][j] + lone, cost[i][j - 1] + lone)
    found: list[Matched] = []
    i, j = len(rows), len(told)
    while i or j:
        if (
            i
            and j
            and cost[i][j] == cost[i - 1][j - 1] + 2 * gap(rows[i - 1][0], rows[i - 1][1], told[j - 1][0])
        ):
            i, j = i - 1, j - 1
            found.append(Matched(rows[i][1], told[j][1], rows[i][0]))
        elif i and cost[i][j] == cost[i - 1][j] + lone:
            i -= 1
            found.append(Matched(rows[i][1], None, rows[i][0]))
        else:
            j -= 1
            found.append(Matched(None, told[j][1], None))
    found.reverse()
    return sorted(found, key=_when)


def _when(mate: Matched) -> float:
    then = mate.began or (moment(mate.note.belongs.time) if mate.note else None)
    return then.timestamp() if then else 0.0


def gap(began: datetime, run: Logged, then: datetime) -> float:
    """Seconds between a run and the time of a note: none while it was driven."""
    early, late = (began - then).total_seconds(), (then - began - run.lasted).total_seconds()
    return max(0.0, early, late)
