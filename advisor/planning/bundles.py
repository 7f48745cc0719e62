"""Fix it now: several changes before one run, where a run costs far more than a change.

What is won in runs is lost in knowing: a bundle that helps does not tell which part of it did. So it is
offered beside the advice, never in its place.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import prod

from advisor.inference.cures import Links
from advisor.inference.trials import Moved, rates
from advisor.model import assumed
from advisor.model.case import Case
from advisor.model.knowledge import Book
from advisor.model.levers import Lever
from advisor.planning.ranking import Ranked, runs


def bundle(
    book: Book, case: Case, ranked: Sequence[Ranked], links: Links, moved: Moved, shares: Sequence[float]
) -> list[Ranked]:
    """The changes to make before one run: those that cure more a run together than the best change does alone.

    That one may be none that goes with others, such as a habit of driving; on small books it was lost without it, in
    runs and in minutes (`python -m tests.optimum.shown`).
    """
    chosen = _several(book, case, ranked, links, moved, shares)
    driven = [
        r for r in ranked if r.barred is None and not book.levers[r.prospect.lever].ways[r.prospect.way].look
    ]
    alone = max(driven, key=lambda r: r.chance / _price(book, [r]), default=None)
    if alone is None:
        return chosen
    together = cures([_acts(book, r, links, moved) for r in chosen], shares) / _price(book, chosen)
    return [alone] if alone.chance / _price(book, [alone]) > together else chosen


def _price(book: Book, chosen: Sequence[Ranked]) -> float:
    """What changes cost until one run has judged them, in runs."""
    minutes = sum(work(book, r, chosen[:n]) for n, r in enumerate(chosen))
    return max((runs(book.levers[r.prospect.lever], r.prospect.way) for r in chosen), default=1) + (
        assumed.MINUTE_OF_RUN * minutes
    )


def _several(
    book: Book, case: Case, ranked: Sequence[Ranked], links: Links, moved: Moved, shares: Sequence[float]
) -> list[Ranked]:
    """Changes that can be judged together: the first by its chance a run, then what adds most to the whole.

    The chance of the whole is that something of it cures and nothing does harm (`cures`): a change that may act the
    other way round, or answers what the others cure already, adds little or takes away.
    """
    able = [r for r in ranked if r.barred is None and _fits(book, r)]
    chosen: list[Ranked] = []
    acts = {id(r): _acts(book, r, links, moved) for r in able}
    limit = assumed.AT_ONCE_MINUTES if case.minutes is None else min(assumed.AT_ONCE_MINUTES, case.minutes)
    while able and len(chosen) < assumed.AT_ONCE:
        beside = [
            r
            for r in able
            if not any(_same(book, r, c) for c in chosen)
            and sum(c.minutes for c in chosen) + work(book, r, chosen) <= limit
        ]
        if not beside:
            break
        if not chosen:
            chosen.append(max(beside, key=lambda r: _first(acts[id(r)], shares, r.minutes)))
            continue
        now = cures([acts[id(c)] for c in chosen], shares)
        chance, best = max(
            ((cures([acts[id(c)] for c in (*chosen, r)], shares), r) for r in beside),
            key=lambda found: found[0],
        )
        if chance - now <= assumed.BUNDLE_GAIN:
            break
        chosen.append(best)
    return chosen


Acts = Mapping[
    int, tuple[float, float]
]  # by hypothesis, the chance that a change cures and that it does harm


def cures(acts: Sequence[Acts], shares: Sequence[float]) -> float:
    """The chance that one of some changes cures and none does harm, summed over the causes with their shares.

    What each does about a cause is independent of the others: P = prod(1 - harm) - prod(1 - harm - cure).
    """
    touched = {i for change in acts for i in change}
    found = 0.0
    for i in touched:
        mine = [change[i] for change in acts if i in change]
        found += shares[i] * (
            prod(1 - harm for _, harm in mine) - prod(1 - harm - cure for cure, harm in mine)
        )
    return found


def _first(acts: Acts, shares: Sequence[float], minutes: float) -> float:
    """What a change is worth a run: a wrong way tells at once to go the other way."""
    chance = sum(shares[i] * (cure + assumed.OTHER_WAY * harm) for i, (cure, harm) in acts.items())
    return chance / (1 + assumed.MINUTE_OF_RUN * minutes)


def _acts(book: Book, ranked: Ranked, links: Links, moved: Moved) -> Acts:
    lever, way = ranked.prospect.lever, ranked.prospect.way
    other = book.levers[lever].ways[way].opposite
    found = {}
    for i, link in links[lever].items():
        chances = dict(rates(link, moved.get(lever, {}).get(i)))
        found[i] = chances.get(way, 0.0), chances.get(other, 0.0) if other else 0.0
    return found


ALSO, WORTH_NAMING = 2, 0.01  # changes named while something is open, and their least chance


def meanwhile(book: Book, ranked: Sequence[Ranked], one: Ranked) -> list[tuple[Ranked, float]]:
    """What else is open to change once the work of `one` is done, best first, with the minutes it then takes."""
    job = book.levers[one.prospect.lever].job
    likely = (r for r in ranked if r.barred is None and r.chance >= WORTH_NAMING and r is not one)
    mates = [r for r in likely if job is not None and book.levers[r.prospect.lever].job == job]
    return [(r, work(book, r, [one])) for r in mates[:ALSO]]


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
    return runs(lever, ranked.prospect.way) == 1 and reversible and ranked.prospect.confidence >= assumed.SURE


def _same(book: Book, one: Ranked, other: Ranked) -> bool:
    """Two ways to turn one thing: the pressures of all four, and those of their ends, are one."""
    a, b = (_whole(book, r.prospect.lever) for r in (one, other))
    return a == b


def _whole(book: Book, lever: str) -> str:
    return next((w.id for w in book.levers.values() if lever in w.parts), lever)
