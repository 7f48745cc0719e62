"""Which assumed constants move the advice on published complaints: `python -m tests.real_complaints.constants [SIGMA]`.

Each constant of the reasoning (tests/properties/shaken_constants.py) is moved by one standard deviation, up and down,
alone; then all of them together by normal draws. Printed is the share of complaints whose first change, whose first
question, and whose next change after the first made no difference, are others than without noise.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import cache, partial
from random import Random
from statistics import fmean

from advisor.inference.evidence import Gathered, gather
from advisor.inference.tables import compile_tables
from advisor.model import assumed
from advisor.model.advice import Stop
from advisor.model.case import Case, Tried
from advisor.reasoning.advise import ask, find_stop
from advisor.reasoning.weighing import Mind, Reasoning, reason
from tests.properties.shaken_constants import (
    ELSEWHERE,
    Constant,
    Shift,
    constants,
    drawn,
    moved,
    one_deviation,
)
from tests.real_complaints.measure import mind
from tests.real_complaints.reading import complaints

SIGMA = 0.5
TOGETHER = 10  # draws of all at once
Turn = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Shown:
    """What a complaint is answered with."""

    first: Turn | str | None  # a change, or the reason of a stop
    question: str | None
    then: Turn | None  # what comes after `still`, the first change without noise, made no difference


COLUMNS = ("first", "question", "then")


@cache
def cases() -> tuple[Case, ...]:
    """Each complaint told in words with its fields."""
    return tuple(Case(complaint=c.text, observed=c.observed, secondary=c.secondary) for c in complaints())


def heard(by: Mind) -> list[Gathered]:
    return [gather(case, by.book, by.lexicon, by.ear) for case in cases()]


@cache
def heard_still() -> list[Gathered]:
    return heard(mind())


def _turn(done: Reasoning) -> Turn | None:
    return next(((r.prospect.lever, r.prospect.way) for r in done.ranked if r.barred is None), None)


def shown(by: Mind, case: Case, gathered: Gathered, still: Shown | None) -> Shown:
    """The answer; `still` is that without noise, None to find it."""
    done = reason(by, case, gathered)
    stop: Stop | None = find_stop(by, done)
    first = stop.reason if stop else _turn(done)
    tried = still.first if still else first
    then = None
    if isinstance(tried, tuple):
        trial = Tried(*tried, "same")
        evidence = replace(gathered.evidence, tried=(*gathered.evidence.tried, trial))
        then = _turn(reason(by, case, replace(gathered, evidence=evidence)))
    question = None if stop else ask(by, done, frozenset())
    return Shown(first, question.id if question else None, then)


@cache
def answers_still() -> list[Shown]:
    """Every complaint without noise."""
    return [shown(mind(), *told, None) for told in zip(cases(), heard_still(), strict=True)]


def changed(chosen: Sequence[Constant], shift: Shift) -> tuple[float, ...]:
    """The shares of complaints that are answered otherwise, by column, with these constants moved once."""
    before = answers_still()
    with moved(chosen, shift):
        by = replace(mind(), tables=compile_tables(mind().book))
        told = heard(by) if any(module in ELSEWHERE[:1] for module, _ in chosen) else heard_still()
        after = [shown(by, *one) for one in zip(cases(), told, before, strict=True)]
    return tuple(
        fmean(getattr(a, name) != getattr(b, name) for a, b in zip(after, before, strict=True))
        for name in COLUMNS
    )


def alone(place: int, sigma: float) -> tuple[float, ...]:
    """One constant up and down: the mean of the two."""
    chosen = [constants()[place]]
    each = [changed(chosen, shift) for shift in one_deviation(sigma, Random(place))]
    return tuple(map(fmean, zip(*each, strict=True)))


def together(number: int, sigma: float) -> tuple[float, ...]:
    """All constants at once, one draw."""
    return changed(constants(), drawn(sigma, Random(f"{number}/{sigma}")))


def line(name: str, shares: Sequence[float]) -> str:
    return f"{name:<28}" + "".join(f"{100 * s:9.1f} %" for s in shares)


def main(arguments: Sequence[str]) -> None:
    sigma = float(arguments[0]) if arguments else SIGMA
    names = [name if m is assumed else f"{m.__name__.rpartition('.')[2]}.{name}" for m, name in constants()]
    print(f"sigma {sigma:g}, {len(cases())} complaints; answered otherwise:")
    print(f"{'':<28}" + "".join(f"{name:>11}" for name in COLUMNS), flush=True)
    with ProcessPoolExecutor(2) as pool:
        each = list(pool.map(partial(alone, sigma=sigma), range(len(names))))
        whole = list(pool.map(partial(together, sigma=sigma), range(TOGETHER)))
    for name, shares in sorted(
        zip(names, each, strict=True), key=lambda row: (-row[1][0], -sum(row[1]), row[0])
    ):
        if any(shares):
            print(line(name, shares))
    print(line("all together", [fmean(column) for column in zip(*whole, strict=True)]))
    silent = [name for name, shares in zip(names, each, strict=True) if not any(shares)]
    print(f"moved nothing here: {', '.join(silent)}")


if __name__ == "__main__":
    main(sys.argv[1:])
