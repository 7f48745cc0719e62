"""Designs: which order of runs tells how much. A is the kart as it was, B the kart with the change.

The variance of an effect is that of generalised least squares (`effect.least_squares`); with no drift assumed it is
k (r^2 + s^2/n) with k = 2 for A-B, 1.5 for A-B-A and 1 for A-B-B-A.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from scipy import special

from advisor.judge.assumed import GAIN, LEVEL, Day
from advisor.judge.effect import Floats, Mixture, design, noise, scatter_prior
from advisor.judge.robust import mean_variance

OFFERED = ("AB", "ABA", "ABBA", "ABABA", "ABBABA", "ABBABAAB")


def weak(arms: Sequence[str]) -> bool:
    """True when the kart was never put back between: a drift of the track looks like the change."""
    return sum(a != b for a, b in pairwise(arms)) < 2


def weights(arms: Sequence[str], covariance: Floats) -> Floats:
    """What each run's pace counts in the effect; the weights of A sum to -1, those of B to 1."""
    columns, inverse = design(arms), np.linalg.inv(covariance)
    found: Floats = (np.linalg.inv(columns.T @ inverse @ columns) @ columns.T @ inverse)[1]
    return found


def leak(arms: Sequence[str], covariance: Floats) -> float:
    """How much of a steady drift of 1 s a run is taken for the change: 1 for A-B, 0 for A-B-A."""
    return float(weights(arms, covariance) @ np.arange(len(arms)))


def errors(arms: Sequence[str], scatters: Floats, run_variance: float, day: Day) -> Floats:
    """Standard error of the effect, in seconds, for every run-to-run scatter; `run_variance`: by laps, of a run."""
    covariance = noise(len(arms), day, scatters) + run_variance * np.eye(len(arms))
    columns = design(arms)
    inner = np.linalg.inv(columns.T @ np.linalg.inv(covariance) @ columns)
    found: Floats = np.sqrt(inner[:, 1, 1])
    return found


def standard_error(arms: Sequence[str], scatter: float, lap_sd: float, laps: int) -> float:
    """Standard error for a scatter that is known, independent laps and no drift: sqrt(k (r^2 + s^2/n)), seconds."""
    still = replace(Day(), drift=0.0, step=0.0)
    return float(errors(arms, np.array([scatter]), lap_sd**2 / laps, still)[0])


def right_way(effect: float, sd: float, runs: int = 1) -> float:
    """P(the means of `runs` runs of each kind lie in the true order), for runs of standard deviation `sd`."""
    return float(special.ndtr(abs(effect) / (sd * math.sqrt(2 / runs))))


def power(arms: Sequence[str], effect: float, laps: int, lap_sd: float, day: Day) -> float:
    """P(the change is accepted) when it makes the lap `effect` seconds quicker.

    Counts with what is believed of the scatter before the runs; zero for a weak design, which is never accepted.
    """
    if weak(arms):
        return 0.0
    scatters, log_chance = scatter_prior(day)
    chance = np.exp(log_chance) / np.exp(log_chance).sum()
    sds = errors(arms, scatters, lap_sd**2 * mean_variance(laps, day.echo), day)
    return float(chance @ special.ndtr((effect - needed(sds, chance, LEVEL)) / sds))


def needed(sds: Floats, chance: Floats, level: float, gain: float = GAIN) -> float:
    """The gain in seconds that must be measured for P(better) to reach `level`, by bisection to 1e-4 s."""
    low, high = -20.0 * float(np.max(sds)), 20.0 * float(np.max(sds))
    while high - low > 1e-4:
        middle = (low + high) / 2
        sure = Mixture(np.full_like(sds, -middle), sds, chance).tempered(gain).below(0.0) > level
        low, high = (low, middle) if sure else (middle, high)
    return high


def cheapest(
    effect: float, laps: int, lap_sd: float, day: Day, wanted: float = 0.8
) -> tuple[str, float] | None:
    """The design with the fewest runs that sees the effect that often, with its power; None if none offered does."""
    for arms in OFFERED:
        found = power(arms, effect, laps, lap_sd, day)
        if found >= wanted:
            return arms, found
    return None
