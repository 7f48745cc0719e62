"""Fix it now: several changes before one run, where a run costs far more than a change.

What is won in runs is lost in knowing: a bundle that helps does not tell which part of it did. So it is
offered beside the advice, never in its place.
"""

from __future__ import annotations

from collections.abc import Sequence

from advisor.model.case import Case
from advisor.model.knowledge import Book, Lever
from advisor.reasoning.cures import Links
from advisor.reasoning.ranking import RUN_MINUTES, SURE, Ranked, runs
from advisor.reasoning.trials import Moved, rates

MOST = 3  # changes at once; more could not be undone one by one in a day


def bundle(
    book: Book, case: Case, ranked: Sequence[Ranked], links: Links, moved: Moved, shares: Sequence[float]
) -> list[Ranked]:
    """The first change and those that are worth making beside it, each for what the others leave over.

    A change is added while it cures more a minute of its work than the bundle so far does a minute,
    its run included: the rule for batches with a common test cost (Ottosen and Jensen, The cost of
    troubleshooting cost clusters with inside information, arXiv 1203.3502).
    """
    able = [r for r in ranked if r.barred is None and _fits(book, r)]
    if not able or ranked_first(ranked) is not able[0]:
        return []
    left = list(shares)
    chosen: list[Ranked] = []
    cured, minutes = 0.0, RUN_MINUTES
    while len(chosen) < MOST:
        open_ = [r for r in able if not any(_same(book, r, c) for c in chosen)]
        spent = sum(c.minutes for c in chosen)
        open_ = [r for r in open_ if case.minutes is None or spent + work(book, r, chosen) <= case.minutes]
        gains = {r.prospect.lever: sum(left[i] * p for i, p in _rates(r, links, moved)) for r in open_}
        worth = {r.prospect.lever: gains[r.prospect.lever] / max(1.0, work(book, r, chosen)) for r in open_}
        best = able[0] if not chosen else max(open_, key=lambda r: worth[r.prospect.lever], default=None)
        if best is None or (chosen and worth[best.prospect.lever] < cured / minutes):
            break
        minutes += work(book, best, chosen)
        for i, p in _rates(best, links, moved):
            cured += left[i] * p
            left[i] *= 1 - p
        chosen.append(best)
    return chosen


ALSO, WORTH_NAMING = 2, 0.01  # changes named while something is open, and their least chance


def meanwhile(book: Book, ranked: Sequence[Ranked], one: Ranked) -> list[tuple[Ranked, float]]:
    """What else is open to change once the work of `one` is done, best first, with the minutes it then takes."""
    job = book.levers[one.prospect.lever].job
    likely = (r for r in ranked if r.barred is None and r.chance >= WORTH_NAMING and r is not one)
    mates = [r for r in likely if job is not None and book.levers[r.prospect.lever].job == job]
    return [(r, work(book, r, [one])) for r in mates[:ALSO]]


def ranked_first(ranked: Sequence[Ranked]) -> Ranked | None:
    """The first that can be made."""
    return next((r for r in ranked if r.barred is None), None)


def work(book: Book, ranked: Ranked, chosen: Sequence[Ranked]) -> float:
    """Minutes of a change beside others: work that it shares with one of them is done already."""
    lever = book.levers[ranked.prospect.lever]
    shared = lever.job and any(book.levers[c.prospect.lever].job == lever.job for c in chosen)
    known = book.jobs[lever.job].minutes if shared and lever.job in book.jobs else 0.0
    return max(0.0, ranked.minutes - known)


def _fits(book: Book, ranked: Ranked) -> bool:
    """Changes of the setup that can be put back and are judged by one run."""
    lever: Lever = book.levers[ranked.prospect.lever]
    reversible = lever.ways[ranked.prospect.way].opposite is not None
    return runs(lever, ranked.prospect.way) == 1 and reversible and ranked.prospect.confidence >= SURE


def _same(book: Book, one: Ranked, other: Ranked) -> bool:
    """Two ways to turn one thing: the pressures of all four, and those of their ends, are one."""
    a, b = (_whole(book, r.prospect.lever) for r in (one, other))
    return a == b


def _whole(book: Book, lever: str) -> str:
    return next((w.id for w in book.levers.values() if lever in w.parts), lever)


def _rates(ranked: Ranked, links: Links, moved: Moved) -> list[tuple[int, float]]:
    lever, way = ranked.prospect.lever, ranked.prospect.way
    row = links[lever]
    each = ((i, w, p) for i, link in row.items() for w, p in rates(link, moved.get(lever, {}).get(i)))
    return [(i, p) for i, w, p in each if w == way]
