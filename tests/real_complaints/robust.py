"""How far the answers to complaints hang on exact numbers: `python -m tests.real_complaints.robust [DRAWS] [all]`.

Every number that an author of the book chose is moved at random (tests/properties/shaken.py), by a standard deviation
of 0.5 and of 1 in log-odds, and all complaints are answered again. One step on the scale of likelihoods is 0.7 to 1.7
in log-odds ("likely" to "very likely" is 1.5): so 0.5 is an author who is out by half a step everywhere at once, and 1
by about a whole one. With `all` every constant that the reasoning assumes moves as well, by as much; which of them
matter alone is told by tests/real_complaints/constants.py.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from math import sqrt
from random import Random
from statistics import fmean, quantiles, stdev

from advisor.inference.tables import compile_tables
from advisor.reasoning.weighing import Mind
from tests.properties.shaken import shaken
from tests.properties.shaken_constants import constants, drawn, moved
from tests.real_complaints.measure import DRIVER, NOBODY, Result, hits, mind, run
from tests.real_complaints.reading import complaints

DRAWS = 50
SIGMAS = {0.5: 5.0, 1.0: 10.0}  # and by how many points of hits in the first three the mean may fall
TOLD = {"words and fields": True, "words alone": False}
COUNTS: dict[str, Callable[[Sequence[Result]], int]] = {
    "first 1": lambda results: hits(results, 1, NOBODY),
    "first 3": lambda results: hits(results, 3, NOBODY),
    "first 3, besides driver": lambda results: hits(results, 3, DRIVER),
}


@dataclass(frozen=True, slots=True)
class Draw:
    """What one draw of the numbers makes of all complaints."""

    firsts: tuple[object, ...]
    hit: tuple[bool, ...]  # by complaint: an accepted change among the first three
    counts: tuple[int, ...]


def answered(by: Mind, fields: bool) -> Draw:
    results = run(complaints(), fields=fields, by=by)
    firsts = tuple(r.listed[0] if r.listed else None for r in results)
    return Draw(firsts, tuple(r.hit(3) for r in results), tuple(count(results) for count in COUNTS.values()))


def draw(
    number: int, sigma: float, told: Sequence[bool] = tuple(TOLD.values()), assumed: bool = False
) -> tuple[Draw, ...]:
    """One draw of the numbers, for each manner of telling (with fields or without).

    The same number gives the same draw, whatever else is drawn.
    """
    chosen = constants() if assumed else []
    with (
        shaken(mind().book, sigma, Random(f"{number}/{sigma}")) as book,
        moved(chosen, drawn(sigma, Random(f"{number}/{sigma}/assumed"))),
    ):
        other = Mind(book, compile_tables(book), mind().lexicon, mind().ear)
        return tuple(answered(other, fields) for fields in told)


def percent(count: float) -> float:
    return 100 * count / len(complaints())


def same_first(one: Draw, other: Draw) -> float:
    """Share of complaints whose first change is the same, in percent."""
    return percent(sum(a == b for a, b in zip(one.firsts, other.firsts, strict=True)))


def lines(drawn: Sequence[Draw], still: Draw) -> list[str]:
    """A line for each count: without noise, the mean and spread with it, and the fall."""
    rows = []
    for place, name in enumerate(COUNTS):
        shares = [percent(d.counts[place]) for d in drawn]
        cuts = quantiles(shares, n=20, method="inclusive")
        mean, spread, base = fmean(shares), stdev(shares), percent(still.counts[place])
        rows.append(
            f"{name:<26}{base:5.0f} %{mean:7.1f} %{spread:7.1f}{cuts[0]:7.0f}-{cuts[-1]:3.0f} %"
            f"{base - mean:7.1f} ± {1.96 * spread / sqrt(len(shares)):3.1f}"
        )
    return rows


def shaky(drawn: Sequence[Draw], still: Draw) -> list[str]:
    """The complaints that lose their hit in the first three in most draws, or gain one, with the share of hits."""
    found = []
    for place, complaint in enumerate(complaints()):
        share = fmean(d.hit[place] for d in drawn)
        if (share >= 0.5) != still.hit[place]:
            found.append(f"{complaint.id} {100 * share:.0f} %")
    return found


def main(arguments: Sequence[str]) -> None:
    numbers = [a for a in arguments if a != "all"]
    draws = int(numbers[0]) if numbers else DRAWS
    assumed = "all" in arguments
    still = draw(0, 0.0)
    with ProcessPoolExecutor() as pool:
        for sigma, aim in SIGMAS.items():
            shaken_all = list(pool.map(partial(draw, sigma=sigma, assumed=assumed), range(draws)))
            for place, name in enumerate(TOLD):
                told = [d[place] for d in shaken_all]
                same = fmean(same_first(d, still[place]) for d in told)
                print(f"\nsigma {sigma:g}, {name}: {draws} draws; the same first change in {same:.0f} %")
                print(f"{'':<26}{'still':>7}{'mean':>9}{'s.d.':>7}{'5-95 %':>13}{'fall, points':>15}")
                print(*lines(told, still[place]), sep="\n")
                others = ", ".join(shaky(told, still[place])) or "none"
                print(f"hit or missed otherwise than still in most draws: {others}")
            print(f"(aim: a fall of at most {aim:g} points in the first three)", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
