"""Troubleshooting by expected cost: which change, inspection or question comes next, and when to give up.

`belief` is what is believed of each hypothesis before any action in `done` was made, not normalised;
those in `done` were all made in vain. Where verdicts are noisy, build the actions with `judged`.
With `bundles` several actions may be made before one run (fix it now), without it one (learn).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from advisor.reasoning.schedules import (
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
    "told",
]

# How many actions of a bundled schedule are thought out, how many of its first batches are improved, and in how
# many looks at most. `python -m tests.optimum.regret` shows what they are worth.
AHEAD, HEAD, LOOKS = 8, 5, 200
LATER = 4  # of the questions looked at, one in so many is looked at again as it would be after a first move


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
    repair: Repair,
    queries: Sequence[Query],
    belief: Sequence[float],
    done: Collection[int] = (),
    bundles: bool = False,
    close: int = 12,
) -> tuple[int, float] | None:
    """The question whose answer saves most, and the minutes it saves besides its own.

    None when no question saves any, or when it is better to make a move first and to ask after it.
    """
    search = begin(repair, belief, done)
    minutes, schedule = _follow(search, bundles)
    best = _most_worth(search, queries, minutes, bundles, close)
    if best is None:
        return None
    if schedule:
        after = failed(search, schedule[0])
        then = _follow(after, bundles)[0]
        later = _most_worth(after, queries, then, bundles, max(1, close // LATER))
        moved = search.alive * search.minutes(schedule[0]) + then - (later[1] if later else 0.0)
        if moved < (minutes - best[1]) * (1 - FREE):
            return None
    return best[0], best[1] / search.alive


def _most_worth(
    search: Search, queries: Sequence[Query], minutes: float, bundles: bool, close: int
) -> tuple[int, float] | None:
    """Value of information of the best of the `close` most informative questions, not normalised."""
    order = sorted(range(len(queries)), key=lambda q: (-_information(queries[q], search), q))
    worth = [(_worth(search, queries[q], minutes, bundles), -q) for q in order[:close]]
    gain, q = max(worth, default=(0.0, 0))
    return (-q, gain) if gain > 0 else None


def _worth(search: Search, query: Query, minutes: float, bundles: bool) -> float:
    then = sum(_follow(_told(search, belief), bundles)[0] for belief in told(query, search.left))
    return query.answered * (minutes - then + query.saves * search.alive) - query.minutes * search.alive


def _told(search: Search, belief: list[float]) -> Search:
    after = search.copy()
    after.left, after.alive = belief, sum(belief)
    return after


def _information(query: Query, search: Search) -> float:
    """Mutual information of answer and hypothesis, times the chance of an answer and of what is alive."""
    if search.alive <= 0:
        return 0.0
    nats = 0.0
    for row, usual in zip(query.rows, query.usual, strict=True):
        listed = [(search.left[i], ratio) for i, ratio in row]
        mean = 1 + sum(b * (ratio - 1) for b, ratio in listed) / search.alive
        nats += usual * sum(b * ratio * math.log(ratio) for b, ratio in listed if ratio > 0)
        nats -= usual * search.alive * mean * math.log(mean) if mean > 0 else 0.0
    return query.answered * nats


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
