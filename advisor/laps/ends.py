"""Out and in laps that no sheet marks, known by their place: the first and the last of a run, slower than the rest.

They are told by a pattern over the runs of a day, not one by one: a first lap that is slow in half of the runs is an
out lap in all, so that no run keeps what another one loses. The limits are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median

from advisor.laps.sheet import Run

SLOWER = 0.012  # share of a lap by which an out or in lap is slower than the middle of the rest, at the least
SPREADS = 5.0  # and median absolute deviations of the laps
FEWEST_LEFT = 2  # laps of a run that must remain


def slow_ends(runs: Sequence[Sequence[float]]) -> list[tuple[bool, bool]]:
    """For each run whether its first and its last lap are to be set aside; `runs` holds seconds in order driven."""
    limit = _limit(runs)
    first = _pattern([_excess(run, 0) for run in runs], limit)
    last = _pattern([_excess(run, -1) for run in runs], limit)
    left = [len(run) - FEWEST_LEFT for run in runs]
    return [(first and n >= 1, last and n >= 1 + first) for n in left]


def set_aside(runs: Sequence[Run]) -> None:
    """Move such laps of each run to what is told as set aside."""
    ends = slow_ends([[lap.seconds for lap in run.laps] for run in runs])
    for run, (out, back) in zip(runs, ends, strict=True):
        for slow, place, name in ((out, 0, "out"), (back, -1, "in")):
            if slow:
                lap = run.laps.pop(place)
                run.aside.append(f"lap {lap.number} ({lap.seconds:.2f}): {name} lap by its place")


def _limit(runs: Sequence[Sequence[float]]) -> float:
    """Seconds beyond the middle of a run from which a lap at its end counts as slow."""
    inner = [run[1:-1] if len(run) > 3 else run for run in runs]
    off = [abs(s - median(run)) for run in inner if run for s in run]
    every = [s for run in inner for s in run]
    return max(SLOWER * median(every), SPREADS * median(off)) if every else 0.0


def _excess(run: Sequence[float], place: int) -> float:
    """How much slower the lap at one end is than the middle of the others; the other end counts only in short runs."""
    rest = [s for i, s in enumerate(run) if i not in (0, len(run) - 1)] or list(
        run[1:] if place == 0 else run[:-1]
    )
    return run[place] - median(rest) if rest else 0.0


def _pattern(excess: Sequence[float], limit: float) -> bool:
    """Slow in half of the runs, two at least: then in all. A slow lap in one run may have been traffic."""
    slow = sum(e > limit for e in excess)
    return slow > 1 and 2 * slow >= len(excess)
