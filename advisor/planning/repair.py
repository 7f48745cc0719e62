"""Troubleshooting by expected cost: which change, inspection or question comes next, and when to give up.

`belief` is what is believed of each hypothesis before any action in `done` was made, not normalised;
those in `done` were all made in vain. Where verdicts are noisy, build the actions with `judged`.
With `bundles` several actions may be made before one run (fix it now), without it one (learn).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from advisor.model import assumed
from advisor.planning.schedules import (
    ALL,
    FREE,
    Action,
    Batch,
    Query,
    Rates,
    Repair,
    Schedule,
    Search,
    base,
    begin,
    failed,
    priced,
)

__all__ = [
    "Action",
    "Plan",
    "Query",
    "Rates",
    "Repair",
    "expected_cost",
    "judged",
    "next_batch",
    "next_query",
    "plan",
    "ranked_queries",
    "told",
]

# How many actions of a bundled schedule are thought out, how many of its first batches are improved, and in how
# many looks at most. `python -m tests.optimum.regret` shows what they are worth.
AHEAD, HEAD, LOOKS = 8, 5, 200


@dataclass(frozen=True, slots=True)
class Plan:
    """Make `batch`, which takes `minutes` and cures with `chance`; if in vain, `then`. Without a batch: give up."""

    batch: Batch
    minutes: float
    chance: float
    then: Plan | None = None


def judged(action: Action, hit: float, false_alarm: float) -> Action:
    """The action under a noisy verdict: a cure is seen with `hit`; a false alarm costs the run once more."""
    rates = tuple((i, r * hit) for i, r in action.rates)
    return replace(action, run=action.run * (1 + false_alarm), rates=rates)


def expected_cost(
    repair: Repair,
    belief: Sequence[float],
    done: Collection[int] = (),
    bundles: bool = False,
    horizon: int = ALL,
) -> float:
    """Expected minutes of the base policy until the cure, or until giving up is cheaper."""
    search = begin(repair, belief, done)
    return base(search, bundles, horizon)[0] / search.alive if search.alive > 0 else 0.0


def next_batch(
    repair: Repair,
    belief: Sequence[float],
    done: Collection[int] = (),
    bundles: bool = False,
    close: int = 8,
    deep: int = 5,
) -> Batch:
    """The actions to make now: one, or with `bundles` the best batch; none when giving up is cheaper."""
    schedule = _best(begin(repair, belief, done), bundles, close, deep)[1]
    return schedule[0] if schedule else ()


def plan(
    repair: Repair, belief: Sequence[float], done: Collection[int] = (), depth: int = 3, bundles: bool = False
) -> Plan:
    """Try this; cured: stop; not: then that; at most `depth` moves."""
    search = begin(repair, belief, done)
    batch = next_batch(repair, belief, done, bundles)
    if not batch:
        return Plan((), repair.give_up, 0.0)
    chance = 1 - failed(search, batch).alive / search.alive
    then = (
        plan(repair, belief, frozenset(done) | set(batch), depth - 1, bundles)
        if depth > 1 and chance < 1
        else None
    )
    return Plan(batch, search.minutes(batch), chance, then)


def told(query: Query, belief: Sequence[float]) -> list[list[float]]:
    """For each answer the belief after it, not normalised: their sums are the chances of the answers."""
    beliefs = []
    for row, usual in zip(query.rows, query.usual, strict=True):
        after = [b * usual for b in belief]
        for i, ratio in row:
            after[i] *= ratio
        beliefs.append(after)
    return beliefs


def next_query(
    repair: Repair, queries: Sequence[Query], belief: Sequence[float], done: Collection[int] = ()
) -> tuple[int, float] | None:
    """The question that is worth most a minute, and the minutes it saves besides its own; None when none saves any."""
    search = begin(repair, belief, done)
    gains = [w - q.minutes for w, q in zip(_worths(search, queries), queries, strict=True)]
    best = max(range(len(gains)), key=lambda k: (gains[k] / max(FREE, queries[k].minutes), -k), default=-1)
    return (best, gains[best]) if best >= 0 and gains[best] > 0 else None


def ranked_queries(repair: Repair, queries: Sequence[Query], belief: Sequence[float]) -> list[int]:
    """The questions, that which is worth most a minute first, whether it pays or not."""
    worths = _worths(begin(repair, belief, ()), queries)
    return sorted(range(len(queries)), key=lambda k: (-worths[k] / max(FREE, queries[k].minutes), k))


def _worths(search: Search, queries: Sequence[Query]) -> list[float]:
    """Minutes that the answer to each question is expected to save.

    What one answer saves by itself is short-sighted where only several together change what comes first. So the
    nats that it tells about what to do count, each for a share of the minutes that are still expected.
    """
    if search.alive <= 0:
        return [0.0] * len(queries)
    minutes = base(search, bundles=False)[0] / search.alive
    does = aims(search)
    masses: dict[int, float] = {}
    for mass, aim in zip(search.left, does, strict=True):
        masses[aim] = masses.get(aim, 0.0) + mass
    return [
        q.answered * (assumed.TELLS * minutes * _nats(q, search, does, masses) + q.saves) for q in queries
    ]


def aims(search: Search) -> list[int]:
    """For each hypothesis the action that cures it most a minute; -1 where none does."""
    best = [(0.0, -1)] * len(search.left)
    for k, rates in enumerate(search.rates):
        minutes = max(FREE, search.minutes((k,)))
        for i, rate in rates:
            if rate / minutes > best[i][0]:
                best[i] = rate / minutes, k
    return [aim for _, aim in best]


def _nats(query: Query, search: Search, does: Sequence[int], masses: Mapping[int, float]) -> float:
    """Mutual information of the answer and what to do (Cover and Thomas, Elements of Information Theory, 2.4).

    Only the actions that an answer touches are added up. Answers that overlap with others do not average to the
    belief held; how far they miss it is no information, and is taken off again.
    """
    nats, left, alive = 0.0, search.left, search.alive
    every = sum(query.usual)
    drift = dict[int, float]()
    for row, usual in zip(query.rows, query.usual, strict=True):
        moved: dict[int, float] = {}
        for i, ratio in row:
            moved[does[i]] = moved.get(does[i], 0.0) + left[i] * (ratio - 1)
        mean = 1 + sum(moved.values()) / alive
        if mean > 0:
            told = sum([_entropic(masses[aim], more) for aim, more in moved.items()])
            nats += usual * (told / alive - mean * math.log(mean))
        for aim, more in moved.items():
            drift[aim] = drift.get(aim, 0.0) + usual * more
    off = sum([_entropic(masses[aim], more + (every - 1) * masses[aim]) for aim, more in drift.items()])
    still = alive - sum([masses[aim] for aim in drift])
    return max(0.0, nats - (off + _entropic(still, (every - 1) * still)) / alive)


def _entropic(mass: float, more: float) -> float:
    """x log(x / mass) of a mass that became x, `more` than it was."""
    after = mass + more
    return after * math.log(after / mass) if after > 0 and mass > 0 else 0.0


def _best(search: Search, bundles: bool, close: int, deep: int) -> tuple[float, Schedule]:
    """The base policy after each of the `close` likeliest moves; the `deep` best are then improved."""
    moves = [batch for _, batch in sorted(_moves(search, bundles))[:close]]
    cost, schedule = _follow(search, bundles)
    found = {schedule: cost}
    for batch in moves:
        cost, then = _follow(failed(search, batch), bundles)
        found[batch, *then] = search.alive * search.minutes(batch) + cost
    starts = sorted((cost, schedule) for schedule, cost in found.items())[:deep]
    return min(_climb(search, *start, moves, bundles) for start in starts)


def _follow(search: Search, bundles: bool) -> tuple[float, Schedule]:
    return base(search, bundles, AHEAD if bundles else ALL)


def _moves(search: Search, bundles: bool) -> Iterator[tuple[float, Batch]]:
    """Single actions, and for batches also two behind one opening, by chance over minutes."""
    able = [k for k, bound in enumerate(search.bounds) if bound > 0]
    for k in able:
        yield -search.bounds[k] / max(FREE, search.minutes((k,))), (k,)
    for k, m in combinations(able if bundles else (), 2):
        if search.repair.actions[k].opening == search.repair.actions[m].opening >= 0:
            yield -(search.bounds[k] + search.bounds[m]) / max(FREE, search.minutes((k, m))), (k, m)


def _climb(
    search: Search, cost: float, schedule: Schedule, moves: list[Batch], bundles: bool
) -> tuple[float, Schedule]:
    """Take the first neighbour that is cheaper, until there is none or LOOKS of them were looked at."""
    looks = 0
    while True:
        for other in _neighbours(search.repair, schedule, moves, bundles):
            looks += 1
            found = priced(search, other, cost)
            if found[0] < cost * (1 - 1e-9):
                break
            if looks > LOOKS:
                return cost, schedule
        else:
            return cost, schedule
        cost, schedule = found


def _neighbours(repair: Repair, schedule: Schedule, moves: list[Batch], bundles: bool) -> Iterator[Schedule]:
    """Schedules with one group of the first batches elsewhere or left out, or with two actions exchanged."""
    head, tail = schedule[:HEAD], schedule[HEAD:]
    used = [k for batch in head for k in batch]
    groups = dict.fromkeys([*head, *((k,) for k in used), *moves])
    for group in groups:
        rest, later = _without(head, group), _without(tail, group)
        yield rest + later
        for n in range(len(rest) + 1):
            yield (*rest[:n], group, *rest[n:], *later)
            if bundles and n < len(rest):
                yield (*rest[:n], rest[n] + group, *rest[n + 1 :], *later)
    near = dict.fromkeys(k for group in groups for k in group)
    for a, b in [*combinations(near, 2), *((k, mate) for k in used for mate in repair.mates[k])]:
        if a in used or b in used:
            swap = {a: b, b: a}
            yield tuple(tuple(swap.get(k, k) for k in batch) for batch in schedule)


def _without(schedule: Schedule, group: Batch) -> Schedule:
    return tuple(b for b in (tuple(k for k in batch if k not in group) for batch in schedule) if b)
