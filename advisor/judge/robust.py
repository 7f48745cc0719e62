"""Robust location, scale and slope of lap times: no lap is deleted, a lap far off counts little or nothing.

Every run's pace is Tukey's biweight: a weighted mean whose weights fall to zero six median absolute deviations
from the centre (F. Mosteller, J. W. Tukey, Data Analysis and Regression, 1977, chapter 10; from memory). The
scale is one for all runs of a day, because a single run has too few laps to tell its own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean, median

CUT = 6.0  # median absolute deviations at which the weight of a lap is zero
LEAST_SPREAD = 0.03  # seconds: no driver is steadier; the least median deviation (common practice, no source)
_PASSES = 30


@dataclass(frozen=True, slots=True)
class Paces:
    """Paces of several runs on one footing.

    `locations`: seconds, at the same place in the run (`at` laps from going out); `weights` of the laps, 0 to 1;
    `scale`: the s.d. of one lap that the spread of a location follows from; `df`: its degrees of freedom;
    `slope`: seconds a lap gained or lost within a run (wear, heat, fuel), with its variance; `leads`: how far each
    run's mean lap number lies from `at`; `echo`: correlation of neighbouring laps.
    """

    locations: tuple[float, ...]
    weights: tuple[tuple[float, ...], ...]
    scale: float
    df: int
    slope: float
    slope_variance: float
    leads: tuple[float, ...]
    at: float
    echo: float


def mad(values: Sequence[float]) -> float:
    """The median absolute deviation from the median, as it is (times 1.4826 it estimates a normal s.d.)."""
    centre = median(values)
    return median(abs(v - centre) for v in values)


def biweight(values: Sequence[float], spread: float | None = None) -> float:
    """Tukey's biweight location; `spread` is the median absolute deviation to use, the values' own if left out."""
    spread = mad(values) if spread is None else spread
    centre = median(values)
    for _ in range(_PASSES):
        weights = biweights(values, centre, spread)
        if not any(weights):
            return centre
        moved = sum(w * v for w, v in zip(weights, values, strict=True)) / sum(weights)
        if abs(moved - centre) < 1e-9:
            break
        centre = moved
    return centre


def biweights(values: Sequence[float], centre: float, spread: float) -> list[float]:
    """(1 - u^2)^2 with u = (value - centre) / (CUT spread), and zero beyond |u| = 1."""
    reach = CUT * max(spread, LEAST_SPREAD)
    return [(1 - ((v - centre) / reach) ** 2) ** 2 if abs(v - centre) < reach else 0.0 for v in values]


def slope(runs: Sequence[Sequence[tuple[float, float]]]) -> float:
    """Median of the slopes of all pairs of points within each run (H. Theil, 1950; P. K. Sen, 1968), over all runs."""
    slopes = [
        (y2 - y1) / (x2 - x1)
        for points in runs
        for i, (x1, y1) in enumerate(points)
        for x2, y2 in points[i + 1 :]
        if x1 != x2
    ]
    return median(slopes) if slopes else 0.0


def paces(runs: Sequence[Sequence[tuple[int, float]]], echo: float = 0.3, echo_pairs: float = 20.0) -> Paces:
    """The pace of each run of (lap number, seconds), all at the same lap; see `Paces`."""
    at = fmean(x for run in runs for x, _ in run)
    along = slope(runs)
    level = [[y - along * (x - at) for x, y in run] for run in runs]
    rest = [[v - median(values) for v in values] for values in level]
    df = max(1, sum(map(len, runs)) - len(runs) - 1)
    spread = _common_mad(rest, df)
    found = [biweight(values, spread) for values in level]
    left = [[v - c for v in values] for values, c in zip(level, found, strict=True)]
    scale = _scale([e for row in left for e in row], spread, df)
    leads = [fmean(x for x, _ in run) - at for run in runs]
    width = sum((x - at - lead) ** 2 for run, lead in zip(runs, leads, strict=True) for x, _ in run)
    repeated = _echo(left, CUT * spread, echo, echo_pairs)
    scale *= _held_together(sum(map(len, runs)) / len(runs), repeated)
    grown = (1 + repeated) / (1 - repeated)
    return Paces(
        tuple(found),
        tuple(tuple(biweights(row, 0.0, spread)) for row in left),
        scale,
        df,
        along,
        scale**2 * grown / width if width else 0.0,
        tuple(leads),
        at,
        repeated,
    )


def _common_mad(rest: Sequence[Sequence[float]], df: int) -> float:
    """One median absolute deviation for all runs, corrected for the centres and the slope taken out."""
    every = [abs(e) for row in rest for e in row]
    return max(LEAST_SPREAD, median(every) * math.sqrt(len(every) / df))


def _scale(left: Sequence[float], spread: float, df: int) -> float:
    """The s.d. of a lap that gives the variance of a biweight as scale^2 / n.

    The asymptotic variance of an M-estimator, mean(psi^2) / mean(psi')^2 (P. J. Huber, E. M. Ronchetti, Robust
    Statistics, 2nd ed., 2009, chapter 3; from memory), with n replaced by the degrees of freedom once.
    """
    reach = CUT * spread
    inside = [e / reach for e in left if abs(e) < reach]
    squares = sum((reach * u * (1 - u * u) ** 2) ** 2 for u in inside)
    steepness = sum((1 - u * u) * (1 - 5 * u * u) for u in inside) / len(left)
    found = math.sqrt(squares / df) / steepness if steepness > 0.2 else 1.4826 * spread
    return max(LEAST_SPREAD, found)


def _echo(left: Sequence[Sequence[float]], reach: float, expected: float, pairs: float) -> float:
    """Correlation of neighbouring laps, drawn towards what is expected; laps far off are held back."""
    held = [[max(-reach / 2, min(reach / 2, e)) for e in row] for row in left]
    both = sum(a * b for row in held for a, b in pairwise(row))
    square = sum(e * e for row in held for e in row) / sum(map(len, held))
    count = sum(max(0, len(row) - 1) for row in held)
    if not square:
        return expected
    # about a centre that is fitted it comes out as r - (1 + 3 r)/m for m pairs a run
    # (F. H. C. Marriott, J. A. Pope, Biometrika 41, 1954)
    a_run = count / len(held)
    seen = (both / square / count + 1 / a_run) / max(0.4, 1 - 3 / a_run)
    return min(0.8, max(0.0, (count * seen + pairs * expected) / (count + pairs)))


def _held_together(laps: float, echo: float) -> float:
    """By how much laps that follow each other scatter less about their own mean than about the true one."""
    count = round(laps)
    lost = (count * mean_variance(count, echo) - 1) / (count - 1)
    return 1 / math.sqrt(max(0.3, 1 - lost))


def mean_variance(laps: int, echo: float) -> float:
    """Variance of the mean of `laps` laps of variance 1 whose correlation falls as echo^distance.

    Var = (1 + 2 sum (1 - j/n) echo^j) / n (G. E. P. Box, G. M. Jenkins, Time Series Analysis, 1976, chapter 2; from
    memory).
    """
    return (1 + 2 * sum((1 - j / laps) * echo**j for j in range(1, laps))) / laps
