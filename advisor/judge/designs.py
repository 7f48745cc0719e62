"""Designs: which order of runs tells how much. A is the kart as it was, B the kart with the change.

The variance of an effect is that of generalised least squares (`effect.least_squares`); with no drift assumed it is
k (r^2 + s^2/n) with k = 2 for A-B, 1.5 for A-B-A and 1 for A-B-B-A.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy import special

from advisor.judge.assumed import APART, GAIN, LEVEL, Day
from advisor.judge.effect import Floats, design, jumps, least_squares, noise, scatter_prior
from advisor.judge.robust import mean_variance

_DRAWS, _SEED = 600, 7  # of days for the power of a design
_BRACKETS = (0.2, 0.4, 0.6, 0.8, 1.0, 1.3, 1.6, 2.0, 2.5, 3.0)  # seconds a lap
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


def right_way(effect: float, sd: float, runs: int = 1) -> float:
    """P(the means of `runs` runs of each kind lie in the true order), for runs of standard deviation `sd`."""
    return float(special.ndtr(abs(effect) / (sd * math.sqrt(2 / runs))))


def apart(arms: Sequence[str], locations: Sequence[float]) -> float:
    """How far like runs lie apart in seconds, where the kart was put back only once; else 0.

    There it cannot be seen whether the track drifted steadily, which such a design cancels, or jumped, which it
    does not.
    """
    if sum(a != b for a, b in pairwise(arms)) != 2:
        return 0.0
    of = [[p for a, p in zip(arms, locations, strict=True) if a == arm] for arm in "AB"]
    return max(max(row) - min(row) for row in of)


def doubtful(arms: Sequence[str], locations: Sequence[float], gain: float) -> bool:
    """True when like runs differ by more than the measured `gain`; with a single run B also by APART at all."""
    gap = apart(arms, locations)
    lone = min(arms.count("A"), arms.count("B")) == 1
    far = gap >= APART
    return (far or gap > gain) if lone else (far and gap > gain)


@dataclass(frozen=True, slots=True)
class Sight:
    """What a design can see. `needed`: for each of many equally likely days, the gain in seconds that is accepted."""

    needed: tuple[float, ...]

    def power(self, effect: float) -> float:
        """P(the change is accepted) when it makes the lap `effect` seconds quicker."""
        return sum(n <= effect for n in self.needed) / len(self.needed)

    def seen(self, share: float = 0.8) -> float:
        """The gain in seconds that is accepted on that share of days; infinite for a design that is never accepted."""
        rank = max(0, math.ceil(share * len(self.needed)) - 1)
        return sorted(self.needed)[rank]


@lru_cache(maxsize=256)
def sight(
    arms: str,
    laps: int,
    lap_sd: float,
    day: Day,
    learnt: tuple[float, ...] | None = None,
    places: tuple[int, ...] = (),
) -> Sight:
    """What a design sees, with what is believed of the scatter before the runs: by drawing days and judging each.

    `places`: of its runs among those of the day, where other runs lie between them; the judge does not know of these.
    The draws are the same every time. A gain shifts all that is measured and leaves the residuals alone, so each
    day is judged once and the gain that it needs is found by bisection.
    """
    if weak(arms):
        return Sight((math.inf,) * _DRAWS)
    scatters, log_chance = scatter_prior(day)
    log_chance = log_chance + (0.0 if learnt is None else np.array(learnt))
    scatters, log_chance = scatters[::2], log_chance[::2]  # half of the grid is fine enough
    variance = lap_sd**2 * mean_variance(laps, day.echo)
    places = places or tuple(range(len(arms)))
    drawn = _days(places[-1] + 1, scatters, log_chance, variance, day)[:, list(places)]
    jumped, jump_chance = jumps(len(arms), day)
    covariance = noise(len(arms), day, scatters) + variance * np.eye(len(arms)) + jumped[:, None]
    fitted, inner, likelihood = least_squares(design(arms), drawn[:, None, None, :], covariance)
    chance = (likelihood + log_chance + jump_chance[:, None]).reshape(_DRAWS, -1)
    chance -= np.max(chance, axis=1, keepdims=True)
    means, sds = fitted[..., 1].reshape(_DRAWS, -1), np.sqrt(inner[..., 1, 1]).ravel()
    found = _accepted_from(means, sds, chance)
    shares = np.exp(chance) / np.exp(chance).sum(axis=1, keepdims=True)
    measured = (shares * means).sum(axis=1)
    return Sight(tuple(map(float, np.maximum(found, _agreed(arms, drawn, measured)))))


def _days(count: int, scatters: Floats, log_chance: Floats, variance: float, day: Day) -> Floats:
    """Paces of `count` runs on `_DRAWS` days without a change, as the day is believed to be."""
    chance = np.random.default_rng(_SEED)
    share = np.exp(log_chance - np.max(log_chance))
    scatter = chance.choice(scatters, _DRAWS, p=share / share.sum())
    own = chance.standard_normal((_DRAWS, count)) * np.sqrt(scatter**2 + variance)[:, None]
    steps = np.cumsum(day.step * chance.standard_normal((_DRAWS, count)), axis=1)
    drift = day.drift * chance.standard_normal((_DRAWS, 1)) * np.arange(count)
    size = day.jump * chance.standard_normal((_DRAWS, 1)) * (chance.random((_DRAWS, 1)) < day.jumps)
    after = np.arange(count) >= chance.integers(1, count, (_DRAWS, 1))
    found: Floats = own + steps + drift + size * after
    return found


def _agreed(arms: str, drawn: Floats, measured: Floats) -> Floats:
    """The gain from which on like runs are near enough to each other; see `doubtful`."""
    gaps = np.array([apart(arms, list(row)) for row in drawn])
    far = gaps >= APART
    lone = min(arms.count("A"), arms.count("B")) == 1
    found: Floats = np.where(far, np.inf if lone else gaps + measured, gaps + measured if lone else -np.inf)
    return found


def _accepted_from(means: Floats, sds: Floats, chance: Floats) -> Floats:
    """For each day the least gain at which P(better) reaches LEVEL, to 1e-4 s; infinite if none tried does.

    Bracketed first: a gain far beyond what is expected speaks for a large scatter as well, so P may fall again.
    """

    def sure(gains: Floats) -> NDArray[np.bool_]:
        moved = means - gains[:, None]
        weights = np.exp(chance - 0.5 * (moved**2 / both + np.log(both)))
        better = (weights * special.ndtr(-moved * scale)).sum(axis=1)
        found: NDArray[np.bool_] = better > LEVEL * weights.sum(axis=1)
        return found

    both = sds**2 + GAIN**2
    scale = GAIN / (sds * np.sqrt(both))
    low, high = np.full(len(means), -1.0), np.full(len(means), np.inf)
    for tried in _BRACKETS:
        open_yet = np.isinf(high)
        reached = sure(np.full(len(means), tried)) & open_yet
        high = np.where(reached, tried, high)
        low = np.where(open_yet & ~reached, tried, low)
    for _ in range(13):
        middle = np.where(np.isinf(high), low, (low + high) / 2)
        reached = sure(middle) & np.isfinite(high)
        low, high = np.where(reached, low, middle), np.where(reached, middle, high)
    return high


def power(arms: str, effect: float, laps: int, lap_sd: float, day: Day) -> float:
    """P(the change is accepted) when it makes the lap `effect` seconds quicker; zero for a weak design."""
    return sight(arms, laps, lap_sd, day).power(effect)


def cheapest(
    effect: float, laps: int, lap_sd: float, day: Day, wanted: float = 0.8
) -> tuple[str, float] | None:
    """The design with the fewest runs that sees the effect that often, with its power; None if none offered does."""
    for arms in OFFERED:
        found = power(arms, effect, laps, lap_sd, day)
        if found >= wanted:
            return arms, found
    return None
