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
# Half of the forty minutes that often lie between two sessions of a test day: a note farther off than that may as well
# be of a session that the logger missed. Assumed, no source
DOUBTFUL = timedelta(minutes=20)
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

    @property
    def off(self) -> float:
        """Seconds between the run and the time of its note; 0 while it was driven, and where one of them is missing."""
        then = moment(self.note.belongs.time) if self.note else None
        return gap(self.began, self.run, then) if self.began and self.run and then else 0.0

    @property
    def doubtful(self) -> bool:
        """True for mates so far apart that they may belong to others."""
        return self.off > DOUBTFUL.total_seconds()


def over_midnight(clocks: Sequence[datetime]) -> list[datetime]:
    """Times of day in the order driven, put on following days where the clock begins anew."""
    found: list[datetime] = []
    for clock in clocks:
        while found and clock < found[-1] - BACK:
            clock += timedelta(days=1)
        found.append(clock)
    return found


def karts_beside(runs: Sequence[Logged], behind: float, notes: Sequence[Note]) -> list[str]:
    """The karts whose notes lie in the time of a sheet, as they are written: a logger does not tell whose it was on."""
    times = [(r.began + timedelta(seconds=behind)).replace(tzinfo=UTC) for r in runs]
    first = min(times) - FARTHEST
    last = max(began + run.lasted for began, run in zip(times, runs, strict=True)) + FARTHEST
    near = {n.kart: n.belongs.kart for n in notes if (t := moment(n.belongs.time)) and first <= t <= last}
    return sorted(near.values())


Timed = list[tuple[datetime, Logged]]
Told = list[tuple[datetime, Note]]


def match(runs: Sequence[Logged], behind: float, notes: Sequence[Note]) -> list[Matched]:
    """Runs and notes in the order of time, those that belong together in one; neither is used twice.

    The mates are those of the least sum of gaps, where one without a mate costs `FARTHEST`, in order (the alignment
    of two sequences, Needleman and Wunsch, J. Mol. Biol. 48, 1970).
    """
    times = [(r.began + timedelta(seconds=behind)).replace(tzinfo=UTC) for r in runs]
    rows = sorted(zip(times, runs, strict=True), key=lambda row: row[0])
    told = sorted(((t, n) for n in notes if (t := moment(n.belongs.time))), key=lambda row: row[0])
    cost = _costs(rows, told)
    found: list[Matched] = []
    i, j = len(rows), len(told)
    while i or j:
        if i and j and cost[i][j] == cost[i - 1][j - 1] + _both(rows[i - 1], told[j - 1]):
            i, j = i - 1, j - 1
            found.append(Matched(rows[i][1], told[j][1], rows[i][0]))
        elif i and cost[i][j] == cost[i - 1][j] + LONE:
            i -= 1
            found.append(Matched(rows[i][1], None, rows[i][0]))
        else:
            j -= 1
            found.append(Matched(None, told[j][1], None))
    found.reverse()
    return sorted(found, key=_when)


LONE = FARTHEST.total_seconds()  # what a run or a note without a mate costs


def _costs(rows: Timed, told: Told) -> list[list[float]]:
    """The least cost of the first so many runs with the first so many notes."""
    cost = [[LONE * (i + j) for j in range(len(told) + 1)] for i in range(len(rows) + 1)]
    for i in range(1, len(rows) + 1):
        for j in range(1, len(told) + 1):
            mates = cost[i - 1][j - 1] + _both(rows[i - 1], told[j - 1])
            cost[i][j] = min(mates, cost[i - 1][j] + LONE, cost[i][j - 1] + LONE)
    return cost


def _both(row: tuple[datetime, Logged], note: tuple[datetime, Note]) -> float:
    """What two mates cost: twice their gap, because each alone would cost once."""
    return 2 * gap(row[0], row[1], note[0])


def _when(mate: Matched) -> float:
    then = mate.began or (moment(mate.note.belongs.time) if mate.note else None)
    return then.timestamp() if then else 0.0


def gap(began: datetime, run: Logged, then: datetime) -> float:
    """Seconds between a run and the time of a note: none while it was driven."""
    early, late = (began - then).total_seconds(), (then - began - run.lasted).total_seconds()
    return max(0.0, early, late)
