"""How good stated probabilities are: scores of forecasts, and whether what is called so probable is so frequent."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean

from tests.real_complaints.measure import wilson

Bet = tuple[float, bool]  # a stated probability, and whether it came true


def brier(forecast: Sequence[float], truth: int) -> float:
    """Squared error over all classes, 0 best and 2 worst.

    G. W. Brier, Verification of forecasts expressed in terms of probability, Monthly Weather Review 78 (1950) 1-3,
    equation 2, for a single occasion.
    """
    return sum((p - (i == truth)) ** 2 for i, p in enumerate(forecast))


def log_score(forecast: Sequence[float], truth: int) -> float:
    """Surprise at the truth in nats, 0 best; infinite where the truth was held impossible.

    I. J. Good, Rational decisions, J. R. Stat. Soc. B 14 (1952) 107-114, with the sign turned.
    """
    return -math.log(forecast[truth]) if forecast[truth] > 0 else math.inf


def excess(bets: Iterable[Bet]) -> float:
    """By how many standard errors more comes true than was stated; within 2 either way where the two agree.

    D. J. Spiegelhalter, Probabilistic prediction in patient management and clinical trials, Statistics in Medicine 5
    (1986) 421-433, for calibration at large.
    """
    told = list(bets)
    variance = sum(p * (1 - p) for p, _ in told)
    return sum(true - p for p, true in told) / math.sqrt(variance) if variance else 0.0


@dataclass(frozen=True, slots=True)
class Bin:
    """Probabilities from `low` up to `high`: how many, their mean, and how many came true."""

    low: float
    high: float
    count: int
    stated: float
    true: int

    @property
    def interval(self) -> tuple[float, float]:
        """95 % interval of the share that came true."""
        return wilson(self.true, self.count)


def reliability(bets: Iterable[Bet], edges: Sequence[float]) -> list[Bin]:
    """The bets in bins from each edge up to the next (1 belongs to the last); empty bins are left out."""
    told = list(bets)
    found = []
    for low, high in pairwise(edges):
        inside = [(p, true) for p, true in told if low <= p < high or p == high == edges[-1]]
        if inside:
            stated, true = fmean(p for p, _ in inside), sum(true for _, true in inside)
            found.append(Bin(low, high, len(inside), stated, true))
    return found


def gap(bins: Sequence[Bin]) -> float:
    """Mean distance between stated and true over the bins, by how many fall into each (expected calibration error)."""
    total = sum(b.count for b in bins)
    return sum(b.count * abs(b.stated - b.true / b.count) for b in bins) / total
