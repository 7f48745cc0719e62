"""How much a change did: runs' paces to the effect with its uncertainty.

The pace of run i is

    m_i = mean + effect [i is B] + drift i + run_i + lap_i

with a steady drift, small steps, perhaps one jump of the track, run-to-run scatter r and lap scatter s as random
parts (`assumed.Day`). For given r and s the effect is that of generalised least squares; r and s are not known, so they
are integrated over: r over its log-normal, weighted by the residual likelihood of the runs (H. D. Patterson,
R. Thompson, Biometrika 58, 1971), s over the scaled inverse chi-square of its degrees of freedom. The answer is a
mixture of normals. With equal runs, A-B-A gives B - (A1 + A2)/2 and A-B-B-A (B1 + B2 - A1 - A2)/2: both cancel a
steady drift.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

from advisor.judge.assumed import Day
from advisor.judge.robust import Paces, mean_variance

Floats = NDArray[np.float64]
_SCATTERS = 41  # grid points of the run-to-run scatter, over plus and minus three of its standard deviations
_SCALES = 7  # equally likely values of the lap scatter


@dataclass(frozen=True, slots=True)
class Mixture:
    """A mixture of normals: seconds a lap; negative is quicker."""

    means: Floats
    sds: Floats
    weights: Floats

    def below(self, x: float) -> float:
        """P(effect < x)."""
        return float(self.weights @ special.ndtr((x - self.means) / self.sds))

    def density(self, x: Floats) -> Floats:
        """Density at each x, per second."""
        z = (x[:, None] - self.means) / self.sds
        found: Floats = np.exp(-0.5 * z * z) / (self.sds * math.sqrt(2 * math.pi)) @ self.weights
        return found

    def tempered(self, gain: float) -> Mixture:
        """The same seen by somebody who expects effects about zero of standard deviation `gain`."""
        both = self.sds**2 + gain**2
        chance = np.log(np.maximum(self.weights, 1e-300)) - 0.5 * (self.means**2 / both + np.log(both))
        weights = _shares(chance)  # by logarithms: effects of a minute would leave nothing of every weight
        return Mixture(self.means * gain**2 / both, self.sds * gain / np.sqrt(both), weights)

    @property
    def mean(self) -> float:
        return float(self.weights @ self.means)

    def quantile(self, p: float) -> float:
        """The x with P(effect < x) = p, by bisection to 1e-6 s."""
        low = float(np.min(self.means - 12 * self.sds))
        high = float(np.max(self.means + 12 * self.sds))
        while high - low > 1e-6:
            middle = (low + high) / 2
            low, high = (middle, high) if self.below(middle) < p else (low, middle)
        return (low + high) / 2


@dataclass(frozen=True, slots=True)
class Effect:
    """`size`: B minus A. `scatters` and `chances`: what is believed of the run-to-run scatter after these runs.

    `learnt`: what other days said of it, as given. `jumped`: P(the track jumped once between two of the runs).
    """

    size: Mixture
    scatters: Floats
    chances: Floats
    learnt: Floats | None
    jumped: float = 0.0

    @property
    def scatter(self) -> float:
        """The run-to-run scatter: the mean of what is believed of it."""
        return float(self.scatters @ self.chances)


def least_squares(columns: Floats, values: Floats, covariance: Floats) -> tuple[Floats, Floats, Floats]:
    """Generalised least squares for a stack of covariances: coefficients, their covariance, log residual likelihood.

    `columns` is (n, p), `values` (..., n), `covariance` (..., n, n). A. C. Aitken, Proc. R. Soc. Edinburgh 55, 1935.
    """
    inverse = np.linalg.inv(covariance)
    inner = np.linalg.inv(columns.T @ inverse @ columns)
    fitted = (inner @ (columns.T @ inverse @ values[..., None]))[..., 0]
    left = values - fitted @ columns.T
    squares = np.einsum("...i,...ij,...j->...", left, inverse, left)
    size = np.linalg.slogdet(covariance)[1] - np.linalg.slogdet(inner)[1]
    likelihood: Floats = np.asarray(-0.5 * (squares + size), dtype=np.float64)
    return fitted, np.asarray(inner, dtype=np.float64), likelihood


def design(arms: Sequence[str]) -> Floats:
    """The columns of the model: the level of the day, and the change."""
    found: Floats = np.column_stack([np.ones(len(arms)), [float(a == "B") for a in arms]])
    return found


def _shares(log_chance: Floats) -> Floats:
    """Chances from their logarithms, up to a constant: they sum to one."""
    found = np.exp(log_chance - np.max(log_chance))
    shares: Floats = found / found.sum()
    return shares


def scatter_prior(day: Day) -> tuple[Floats, Floats]:
    """A grid of run-to-run scatters, and the logarithm of each one's chance before any run."""
    z = np.linspace(-3, 3, _SCATTERS)
    return day.scatter * np.exp(day.spread * z), -0.5 * z * z


def believed(day: Day, learnt: Floats | None = None) -> float:
    """The median of what is believed of the run-to-run scatter before any run of the day, in seconds."""
    scatters, chance = scatter_prior(day)
    shares = _shares(chance + (0.0 if learnt is None else learnt))
    return float(np.exp(np.interp(0.5, np.cumsum(shares) - shares / 2, np.log(scatters))))


def noise(count: int, day: Day, scatters: Floats) -> Floats:
    """Covariance of the paces of `count` runs apart from lap scatter, for every run-to-run scatter."""
    place = np.arange(count) - (count - 1) / 2
    wander = np.minimum.outer(np.arange(count), np.arange(count))
    steady = day.drift**2 * np.outer(place, place) + day.step**2 * wander
    found: Floats = scatters[:, None, None] ** 2 * np.eye(count) + steady
    return found


def lap_noise(paces: Paces, laps: Sequence[int]) -> Floats:
    """Covariance of the paces by lap scatter, and by the slope that put them at the same lap."""
    own = [paces.scale**2 * mean_variance(n, paces.echo) for n in laps]
    found: Floats = np.diag(own) + paces.slope_variance * np.outer(paces.leads, paces.leads)
    return found


def jumps(count: int, day: Day) -> tuple[Floats, Floats]:
    """Covariances by one jump of the track, none first, then one for each gap between runs; and their log chances.

    Of long days only some gaps are looked at.
    """
    gaps = np.unique(np.linspace(1, count - 1, min(count - 1, max(3, 60 // count))).round())
    after = (np.arange(count) >= gaps[:, None]).astype(float)
    made = day.jump**2 * after[:, :, None] * after[:, None, :]
    chance = np.log([1 - day.jumps, *np.full(len(gaps), day.jumps / len(gaps))])
    return np.concatenate([np.zeros((1, count, count)), made]), chance


def learn_scatter(days: Sequence[tuple[Sequence[str], Paces, Sequence[int]]], day: Day) -> Floats:
    """What other days (arms, paces and laps of their runs) add to the log chance of every scatter on the grid.

    Days need not be without a change: the effect of one is taken out. Each day's scatter is drawn about the driver's
    own, which is what is learnt: a hierarchical model (A. Gelman and others, Bayesian Data Analysis, 3rd ed., 2013,
    chapter 5; from memory).
    """
    scatters, usual = scatter_prior(day)
    place = np.log(scatters / day.scatter)
    own = -0.5 * (place / day.unsure) ** 2
    between = np.exp(-0.5 * ((place[:, None] - place) / day.varies) ** 2)
    between /= between.sum(axis=0)  # column: the driver's scatter, row: that of a day
    for arms, paces, laps in days:
        own = own + np.log(np.exp(_of_scatters(arms, paces, laps, day, scatters)) @ between)
    found: Floats = np.log(np.maximum(between @ _shares(own), 1e-300)) - usual
    return found


def _of_scatters(
    arms: Sequence[str], paces: Paces, laps: Sequence[int], day: Day, scatters: Floats
) -> Floats:
    """Log likelihood of a day's paces for every scatter, the greatest 0."""
    columns = design(arms) if "B" in arms else np.ones((len(arms), 1))
    columns = np.unique(columns, axis=1)  # runs of B alone have no level of their own
    jumped, chance = jumps(len(arms), day)
    covariance = noise(len(arms), day, scatters) + lap_noise(paces, laps)
    likelihood = least_squares(columns, np.array(paces.locations), covariance + jumped[:, None])[2]
    found: Floats = np.logaddexp.reduce(likelihood + chance[:, None], axis=0)
    return found - np.max(found)


def effect(
    arms: Sequence[str], paces: Paces, laps: Sequence[int], day: Day, learnt: Floats | None = None
) -> Effect:
    """The effect of B against A from the paces of runs in the order driven; `learnt` is from `learn_scatter`."""
    scatters, log_chance = scatter_prior(day)
    if learnt is not None:
        log_chance = log_chance + learnt
    values = np.array(paces.locations)
    columns = design(arms)
    middle = (np.arange(_SCALES) + 0.5) / _SCALES
    factors = paces.df / special.chdtri(paces.df, middle)  # of the lap variance; equally likely each
    jumped, jump_chance = jumps(len(arms), day)
    covariance = noise(len(arms), day, scatters)[:, None] + factors[:, None, None] * lap_noise(paces, laps)
    fitted, inner, likelihood = least_squares(columns, values, covariance + jumped[:, None, None])
    weight = _shares(likelihood + log_chance[:, None] + jump_chance[:, None, None])
    size = Mixture(fitted[..., 1].ravel(), np.sqrt(inner[..., 1, 1]).ravel(), weight.ravel())
    return Effect(size, scatters, weight.sum(axis=(0, 2)), learnt, 1 - float(weight[0].sum()))


def predicted(
    arms: Sequence[str], paces: Paces, laps: Sequence[int], variance: float, day: Day, known: Effect
) -> Mixture:
    """The pace that the last run of `arms` may have, from the runs before it; `variance` by laps, of that run.

    The best linear prediction with coefficients that are estimated (A. S. Goldberger, JASA 57, 1962).
    """
    values, columns = np.array(paces.locations), design(arms)
    before, new = columns[:-1], columns[-1]
    covariance = noise(len(arms), day, known.scatters)
    covariance[:, :-1, :-1] += lap_noise(paces, laps)
    covariance[:, -1, -1] += variance
    fitted, inner, _ = least_squares(before, values, covariance[:, :-1, :-1])
    shared = covariance[:, :-1, -1]
    gain = np.linalg.solve(covariance[:, :-1, :-1], shared[..., None])[..., 0]
    mean = fitted @ new + np.sum(gain * (values - fitted @ before.T), axis=1)
    rest = new - gain @ before
    spread = (
        covariance[:, -1, -1] - np.sum(gain * shared, axis=1) + np.einsum("ri,rij,rj->r", rest, inner, rest)
    )
    return Mixture(mean, np.sqrt(spread), known.chances)
