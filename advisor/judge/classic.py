"""Textbook statistics beside the judge's own: what a plain test of the laps would say, and scatter by variances."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, variance

from scipy import special


@dataclass(frozen=True, slots=True)
class TTest:
    """`difference` is first minus second, `error` its standard error; `p` is two-sided."""

    difference: float
    error: float
    t: float
    df: float
    p: float

    def interval(self, level: float = 0.95) -> tuple[float, float]:
        """The interval that covers the difference with that probability."""
        half = float(special.stdtrit(self.df, (1 + level) / 2)) * self.error
        return self.difference - half, self.difference + half


Sample = tuple[int, float, float]  # count, mean, standard deviation


def summary(values: Sequence[float]) -> Sample:
    """Count, mean and standard deviation (n - 1) of at least two values."""
    return len(values), fmean(values), math.sqrt(variance(values))


def welch(first: Sample, second: Sample) -> TTest:
    """Welch's test of two means of unlike variance (B. L. Welch, Biometrika 34, 1947, with his degrees of freedom)."""
    (n1, mean1, s1), (n2, mean2, s2) = first, second
    v1, v2 = s1 * s1 / n1, s2 * s2 / n2
    df = (v1 + v2) ** 2 / (v1**2 / (n1 - 1) + v2**2 / (n2 - 1))
    error = math.sqrt(v1 + v2)
    t = (mean1 - mean2) / error
    return TTest(mean1 - mean2, error, t, df, 2 * float(special.stdtr(df, -abs(t))))


@dataclass(frozen=True, slots=True)
class Variances:
    """One-way analysis of variance: sums of squares between and within groups, F, and the s.d. of each kind."""

    between: float
    within: float
    df_between: int
    df_within: int

    @property
    def f(self) -> float:
        return (self.between / self.df_between) / (self.within / self.df_within)

    @property
    def lap_sd(self) -> float:
        """The s.d. within a group: of a lap in its run."""
        return math.sqrt(self.within / self.df_within)


def variances(groups: Sequence[Sequence[float]]) -> Variances:
    """One-way analysis of variance of groups of values. Values are centred first: large equal parts cost no digits."""
    shift = groups[0][0]
    level = [[v - shift for v in group] for group in groups]
    means = [fmean(group) for group in level]
    grand = fmean(v for group in level for v in group)
    between = sum(len(g) * (m - grand) ** 2 for g, m in zip(level, means, strict=True))
    within = sum((v - m) ** 2 for g, m in zip(level, means, strict=True) for v in g)
    count = sum(map(len, groups))
    return Variances(between, within, len(groups) - 1, count - len(groups))


def run_scatter(groups: Sequence[Sequence[float]]) -> float:
    """The run-to-run s.d. from runs without a change: (MS between - MS within) / n0, zero if negative.

    n0 = (N - sum n^2 / N) / (k - 1) for k unequal runs (S. R. Searle, Linear Models, 1971; from memory).
    """
    found = variances(groups)
    count = sum(map(len, groups))
    n0 = (count - sum(len(g) ** 2 for g in groups) / count) / (len(groups) - 1)
    return math.sqrt(max(0.0, (found.between / found.df_between - found.within / found.df_within) / n0))
