"""Days of a team that keeps its runs: what the judge says on its first day, and after twelve days of its own.

Run as `python -m tests.judge.learnt [DAYS [SEED]]`. Beside the judge stands a plain linear model of the runs' means
(level, change, steady drift) that is told the true scatter, one-sided at 5 %, and Welch's test of all laps.

Eight laps a run of s.d. 0.2 s, skewed and correlated; a steady drift of 0.1 s a run either way; run-to-run scatter
as the row says. "Jump": the track gets 0.4 s quicker at once, half-way, on every day. A gain only shifts what is
measured, so a day is judged once for all gains.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from statistics import fmean

import numpy as np

from advisor.judge.assumed import GAIN, LEVEL
from advisor.judge.designs import doubtful, weak
from advisor.judge.effect import Mixture
from advisor.judge.robust import mean_variance
from advisor.judge.verdict import Judged, Laps, judge
from advisor.laps.ends import slow_ends
from tests.judge.days import World, _errors

GAINS = (0.0, 0.3, 0.5)
DESIGNS = ("ABA", "ABBA", "ABABA")
KEPT = 12  # days of its own that a team has, A-B-A and A-B-B-A in turn, a change of some size on each
TEAMS = 40
LAP_SD, DRIFT = 0.2, 0.1
PLAIN = World("laps", traffic=0.0)


@dataclass(frozen=True, slots=True)
class Row:
    """A kind of day. `out`: seconds that the first lap of a run loses; `laps` of a run with it."""

    name: str
    scatter: float = 0.1
    jump: float = 0.0
    laps: int = 8
    out: float = 0.0


ROWS = (
    Row("scatter 0.1 s"),
    Row("scatter 0.2 s", scatter=0.2),
    Row("scatter 0.3 s", scatter=0.3),
    Row("jump of 0.4 s", jump=-0.4),
)
SHORT = tuple(Row(f"out lap, {n} laps", laps=n, out=2.5) for n in (8, 6, 5, 4))


def day(row: Row, arms: str, chance: random.Random, gain: float = 0.0) -> list[Laps]:
    """A day's runs, out laps and all."""
    drift = chance.choice((-1, 1)) * DRIFT
    runs = []
    for i, arm in enumerate(arms):
        pace = (
            45
            + drift * i
            + row.jump * (i >= len(arms) // 2)
            + chance.gauss(0, row.scatter)
            - gain * (arm == "B")
        )
        laps = [pace + LAP_SD * e for e in _errors(row.laps, PLAIN, chance)]
        laps[0] += row.out
        runs.append(Laps(arm, tuple(enumerate(laps, start=1))))
    return runs


def trimmed(runs: Sequence[Laps]) -> list[Laps]:
    """The runs without out and in laps, as the command hands them to the judge."""
    ends = slow_ends([[s for _, s in run.laps] for run in runs])
    return [
        replace(run, laps=run.laps[first : len(run.laps) - last])
        for run, (first, last) in zip(runs, ends, strict=True)
    ]


@lru_cache(maxsize=1000)
def kept(row: Row, team: int, seed: int) -> list[list[Laps]]:
    """A team's own days before this one; no jump was there on them."""
    chance = random.Random(f"{seed} {row.name} team {team}")
    still = replace(row, jump=0.0)
    gains = [chance.gauss(0, 0.2) for _ in range(KEPT)]
    return [trimmed(day(still, "ABBA" if i % 2 else "ABA", chance, g)) for i, g in enumerate(gains)]


def accepted(found: Judged, gain: float) -> bool:
    """Whether the same day had been accepted, had the change been so much quicker."""
    size = found.effect.size
    moved = Mixture(size.means - gain, size.sds, size.weights)
    arms = found.design.split("-")
    short = weak(arms) or doubtful(arms, found.paces.locations, gain - size.mean)
    return moved.tempered(GAIN).below(0.0) > LEVEL and not short


def linear(runs: Sequence[Laps], row: Row, gain: float) -> bool:
    """Whether a linear model that knows the scatter calls it better."""
    arms = [run.arm for run in runs]
    columns = np.column_stack([np.ones(len(arms)), [float(a == "B") for a in arms], np.arange(len(arms))])
    contrast = (np.linalg.inv(columns.T @ columns) @ columns.T)[1]
    means = [fmean(s for _, s in run.laps) for run in runs]
    laps = len(runs[0].laps)
    variance = float(contrast @ contrast) * (row.scatter**2 + LAP_SD**2 * mean_variance(laps, PLAIN.echo))
    return bool(float(contrast @ np.array(means)) - gain < -1.645 * variance**0.5)


@dataclass(slots=True)
class Cell:
    """Shares of days: `covered` by the interval, accepted at each gain by the judge, the linear model, Welch at 0."""

    covered: float
    judge: list[float]
    linear: list[float]
    welch: float


def cell(row: Row, arms: str, days: int, seed: int, learnt: bool) -> Cell:
    """One cell of the table."""
    chance = random.Random(f"{seed} {row.name} {arms}")
    covered, plain = 0, 0
    ours, theirs = [0] * len(GAINS), [0] * len(GAINS)
    for number in range(days):
        runs = trimmed(day(row, arms, chance))
        found = judge(runs, earlier=kept(row, number % TEAMS, seed) if learnt else ())
        covered += found.low <= 0 <= found.high
        plain += found.naive.t < -1.645
        for i, gain in enumerate(GAINS):
            ours[i] += accepted(found, gain)
            theirs[i] += linear(runs, row, gain)
    return Cell(covered / days, [n / days for n in ours], [n / days for n in theirs], plain / days)


def main(days: int = 1000, seed: int = 1) -> None:
    """Print the table."""
    print(f"{days} days a cell; false yes, then seen at 0.3 and 0.5 s; covered: by the 95 % interval")
    pooled = {False: [], True: []}  # type: dict[bool, list[float]]
    for row, arms in [(r, a) for r in ROWS for a in DESIGNS] + [(r, "ABA") for r in SHORT]:
        text = f"{row.name:18} {arms:6}"
        for learnt in (False, True):
            found = cell(row, arms, days, seed, learnt)
            pooled[learnt].append(found.covered)
            text += f"| {found.covered:6.1%} " + " ".join(f"{s:6.1%}" for s in found.judge)
        print(
            text,
            "| linear " + " ".join(f"{s:6.1%}" for s in found.linear) + f" | laps {found.welch:5.1%}",
            flush=True,
        )
    for learnt, name in ((False, "first day"), (True, f"after {KEPT} days")):
        print(f"covered, all rows alike, {name}: {fmean(pooled[learnt]):.1%}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))
