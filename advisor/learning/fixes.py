"""A team's own fixes: when one fits, what its trials say, and what it takes to trust one."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from advisor.model import assumed, conditions
from advisor.model.case import Verdict
from advisor.model.knowledge import Book, Fix
from advisor.model.scale import PROBABILITY

STEPS = 2000  # of the integral over the share; the figures shown have two digits


def fits(fix: Fix, facts: conditions.Facts, causes: Mapping[str, float]) -> bool:
    """True when a fix speaks of this case: its regime holds, and its fault or, without one, its cause."""
    if not conditions.holds(fix.where, facts):
        return False
    return (
        conditions.holds(fix.fault, facts)
        if fix.fault
        else causes.get(fix.cause or "", 0.0) >= assumed.FIX_FITS
    )


def drafts(book: Book, facts: conditions.Facts, causes: Mapping[str, float]) -> list[str]:
    """A sentence for each draft that fits; drafts change no ranking."""
    return [
        f"a draft of your team ({fix.id}, {fix.author}) would {book.levers[fix.lever].ways[fix.direction].say}: "
        f"{fix.because.rstrip('.')}; it changes no ranking until it is trusted"
        for fix in book.fixes.values()
        if fix.status == "draft" and fits(fix, facts, causes)
    ]


class Counts(NamedTuple):
    """How many trials had each verdict."""

    better: int
    same: int
    worse: int

    @property
    def all(self) -> int:
        return sum(self)

    def __str__(self) -> str:
        return f"{self.better} better, {self.same} same, {self.worse} worse"


def counted(verdicts: Sequence[Verdict]) -> Counts:
    return Counts(*(verdicts.count(v) for v in ("better", "same", "worse")))


class Share(NamedTuple):
    """What trials say of the share of days on which a change helps."""

    mean: float
    above_half: float  # P(it helps more often than it does not)


def helped(counts: Counts) -> Share:
    """The share of days on which a change helps: Beta(1, 1) before the trials, and verdicts that err.

    P(verdict | it helped) is that of a cure in `VERDICT_IF`. A change that did not help did nothing or did
    harm: whichever of the two explains a verdict better counts, so that a doubtful verdict never speaks for it.
    """
    logs = [_log_likelihood(counts, (k + 0.5) / STEPS) for k in range(STEPS)]
    top = max(logs)
    weights = [math.exp(x - top) for x in logs]
    total = sum(weights)
    mean = sum((k + 0.5) / STEPS * w for k, w in enumerate(weights)) / total
    return Share(mean, sum(weights[STEPS // 2 :]) / total)


def _log_likelihood(counts: Counts, share: float) -> float:
    cured, nothing, hurt = (assumed.VERDICT_IF[k] for k in ("cured", "nothing", "hurt"))
    verdicts: tuple[Verdict, ...] = ("better", "same", "worse")
    return sum(
        n * math.log(share * cured[v] + (1 - share) * max(nothing[v], hurt[v]))
        for n, v in zip(counts, verdicts, strict=True)
    )


def word_for(counts: Counts) -> str:
    """How often it cures, as a word of the scale: the greatest that is not above the mean."""
    mean = helped(counts).mean
    return max((p, word) for word, p in PROBABILITY.items() if p <= mean or word == "exceptionally unlikely")[
        1
    ]


def doubt(counts: Counts) -> str | None:
    """Why a fix with these trials cannot be trusted yet, with the figures; None when it can."""
    share = helped(counts).above_half
    if counts.all >= assumed.FIX_TRIALS and share > assumed.TRUSTED:
        return None
    return (
        f"{counts} in {counts.all} {'trial' if counts.all == 1 else 'trials'}: it helps more often than not "
        f"with a probability of {share:.3f}; it takes {assumed.FIX_TRIALS} trials and more than {assumed.TRUSTED:g}"
    )
