"""Whether what is believed with 40 % is true in 40 %: `python -m tests.properties.calibration [CASES]`.

Every case is a hidden cause with a complaint and a handful of answers, drawn from the book as it is or from a book
whose numbers are others (tests/properties/shaken.py, a fresh one for each case). The shipped book judges it. The
questions are drawn too, the more telling the more often. At sigma 0 the truth is the advisor's own model but for
this: answers are drawn each by itself, while belief counts those of one overlap group only in part, and of the odds
only those for a single answer are at work. So it should come out a little too modest there.

The last stage is what a judge would believe who had the other numbers: what lies between is the price of not having
them. It is the figure to look at, since errors in many numbers that go either way leave the pooled shares honest.

The figures say how the reasoning keeps its word if the book is about right. Whether it is, only karts can say.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from math import log
from random import Random
from statistics import fmean

from advisor.inference.belief import believe
from advisor.inference.evidence import Evidence
from advisor.inference.tables import Tables, compile_tables
from advisor.model.feel import CELLS, FEEL
from advisor.model.knowledge import Observation
from advisor.planning.questions import askable, outlook
from advisor.planning.repair import told as brought
from tests.paddock.worlds import answer_row
from tests.properties.random_cases import shipped
from tests.properties.scores import Bet, Bin, brier, excess, gap, log_score, reliability
from tests.properties.shaken import shaken
from tests.real_complaints.measure import accepts, run, wilson
from tests.real_complaints.reading import complaints

CASES = 500
SIGMAS = (0.0, 0.5, 1.0)
HANDFUL = 5
FELT = ("phase", "balance")
STAGES = ("base rates", "complaint", f"and {HANDFUL} answers", "numbers known")
OURS = 2  # the stage whose tables are shown
FIRST = (0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)
EVERY = (0.0, 0.01, 0.03, 0.1, 0.2, 0.3, 0.5, 0.7, 0.9, 1.0)


@dataclass(frozen=True, slots=True)
class Judged:
    """The hidden cause of a case, and what was believed at each of STAGES."""

    truth: int
    beliefs: tuple[tuple[float, ...], ...]


def case(number: int, sigma: float) -> Judged:
    """One case. The same number and noise give the same case."""
    source, tables = Random(f"{number}/{sigma}"), shipped().tables
    with shaken(tables.book, sigma, source) as book:
        world = compile_tables(book)
    truth = source.choices(range(len(world.prior)), world.prior)[0]
    told = _complaint(world, truth, source)
    beliefs = [tables.prior, believe(tables, told).probabilities]
    for _ in range(HANDFUL):
        told = _answered(world, truth, told, source)
    return Judged(truth, (*beliefs, *(believe(t, told).probabilities for t in (tables, world))))


def _complaint(world: Tables, truth: int, source: Random) -> Evidence:
    cells = world.rows[FEEL].get(truth, world.usual[FEEL])
    phase, balance = CELLS[source.choices(list(cells), list(cells.values()))[0]]
    return Evidence({}, {}).answering("phase", phase).answering("balance", balance)


def _answered(world: Tables, truth: int, told: Evidence, source: Random) -> Evidence:
    """The evidence with the answer to one more question."""
    tables = shipped().tables
    belief = believe(tables, told).probabilities
    able = [o for o in tables.book.observations.values() if o.id not in FELT and askable(o, told)]
    weights = [_telling(tables, o, told, belief) for o in able]
    ident = source.choices(able, weights)[0].id
    row = answer_row(world, ident, truth)
    return told.answering(ident, source.choices(list(row), list(row.values()))[0])


def _telling(tables: Tables, observation: Observation, told: Evidence, belief: Sequence[float]) -> float:
    """Nats that the answer is expected to bring."""
    found = 0.0
    for after in brought(outlook(tables, observation, told, belief), belief):
        chance = sum(after)
        found += sum(a * log(a / (chance * b)) for a, b in zip(after, belief, strict=True) if a > 0 and b > 0)
    return max(0.0, found)


# --- what is looked at ---------------------------------------------------------------------------------


def likeliest(judged: Iterable[Judged], stage: int) -> Iterator[Bet]:
    """The most probable hypothesis of each case, and whether it is the truth."""
    for one in judged:
        belief = one.beliefs[stage]
        best = max(range(len(belief)), key=belief.__getitem__)
        yield belief[best], best == one.truth


def everything(judged: Iterable[Judged], stage: int) -> Iterator[Bet]:
    """Every hypothesis of each case. Those of one case are not independent."""
    for one in judged:
        for i, p in enumerate(one.beliefs[stage]):
            yield p, i == one.truth


def scores(judged: Sequence[Judged], stage: int) -> tuple[float, float]:
    """Mean Brier and log score at a stage."""
    return (
        fmean(brier(one.beliefs[stage], one.truth) for one in judged),
        fmean(log_score(one.beliefs[stage], one.truth) for one in judged),
    )


def firsts(fields: bool) -> list[Bet]:
    """The chance stated for the first change to each real complaint, and whether that change is accepted."""
    answers = [r for r in run(complaints(), fields=fields) if r.listed]
    return [(r.chance, accepts(r.complaint, r.listed[0])) for r in answers]


# --- what is printed -----------------------------------------------------------------------------------


def show_bins(title: str, bins: Sequence[Bin]) -> None:
    print(f"  {title:<16}{'count':>7}{'stated':>9}{'true':>8}   95 %")
    for b in bins:
        low, high = (100 * share for share in b.interval)
        print(
            f"  {100 * b.low:5.0f}-{100 * b.high:3.0f} %{b.count:13}{100 * b.stated:8.1f} %"
            f"{100 * b.true / b.count:6.1f} %   {low:.1f}-{high:.1f}"
        )


def show(judged: Sequence[Judged], sigma: float) -> None:
    print(f"\nsigma {sigma:g}, {len(judged)} cases")
    print(f"  {'':<16}{'Brier':>8}{'log':>8}{'first is true':>15}{'stated':>9}{'excess, s.e.':>14}{'gap':>8}")
    for stage, name in enumerate(STAGES):
        bets = list(likeliest(judged, stage))
        right, stated = fmean(true for _, true in bets), fmean(p for p, _ in bets)
        square, nats = scores(judged, stage)
        off = gap(reliability(bets, FIRST))
        print(
            f"  {name:<16}{square:8.3f}{nats:8.2f}{100 * right:13.1f} %{100 * stated:7.1f} %"
            f"{excess(bets):14.1f}{100 * off:6.1f} %"
        )
    show_bins("the likeliest", reliability(likeliest(judged, OURS), FIRST))
    show_bins("every cause", reliability(everything(judged, OURS), EVERY))


def show_real() -> None:
    print("\nReal complaints: the chance stated for the first change against its being an accepted one.")
    print(
        "The chance is that it cures; accepted means that somebody named it. A lever may be accepted and cure"
    )
    print(
        "nothing, or cure unnamed, and lists of accepted levers differ in length. So only this can be read off:"
    )
    print("where higher chances are not accepted more often, the chances do not rank the answers.")
    for name, fields in (("words and fields", True), ("words alone", False)):
        bets = firsts(fields)
        came, stated = sum(true for _, true in bets), fmean(p for p, _ in bets)
        share, (low, high) = came / len(bets), wilson(came, len(bets))
        square = fmean((p - true) ** 2 for p, true in bets)
        print(
            f"  {name}: {len(bets)} answers, stated {100 * stated:.0f} %, accepted {100 * share:.0f} % "
            f"({100 * low:.0f}-{100 * high:.0f}); Brier (0 to 1) {square:.3f}, of their mean share "
            f"{share * (1 - share):.3f}; area under the curve {area(bets):.2f}"
        )


def area(bets: Sequence[Bet]) -> float:
    """How often what came true had the higher probability of a pair, ties by half; 0.5 says nothing."""
    true, false = ([p for p, t in bets if t is wanted] for wanted in (True, False))
    pairs = [(p > q) + (p == q) / 2 for p in true for q in false]
    return fmean(pairs) if pairs else 0.5


def main(arguments: Sequence[str]) -> None:
    cases = int(arguments[0]) if arguments else CASES
    with ProcessPoolExecutor() as pool:
        for sigma in SIGMAS:
            show(list(pool.map(partial(case, sigma=sigma), range(cases), chunksize=10)), sigma)
    show_real()


if __name__ == "__main__":
    main(sys.argv[1:])
