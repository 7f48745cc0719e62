"""Schedules of troubleshooting: what they cost, and the base policy, which is chance of a cure over minutes.

One hypothesis is true; given it, actions cure independently, except that those of one pair exclude each
other. Beliefs need not be normalised: costs are minutes times what is still alive, so that they add up.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field

Rates = tuple[tuple[int, float], ...]
Batch = tuple[int, ...]
Schedule = tuple[Batch, ...]
FREE = 1e-9  # minutes of what costs nothing, so that ratios are finite
NEVER = 1e15  # minutes of what cannot be done
ALL = 999  # a horizon beyond every schedule


@dataclass(frozen=True, slots=True)
class Action:
    """A change, inspection or habit to try; `rates` are pairs of hypothesis and P(cured | hypothesis).

    `run` is the run that judges it, 0 for an inspection; `opening` shared work, paid once for a batch.
    Of the actions with one `pair` number at most one can cure: two ways of one lever. `name`: lever and way.
    """

    work: float
    run: float
    rates: Rates
    opening: int = -1
    pair: int = -1
    name: tuple[str, str] = ("", "")


@dataclass(frozen=True, slots=True)
class Query:
    """A question or measurement; `rows` are for each answer pairs of hypothesis and P(answer | it) / usual.

    `usual` is P(answer) for hypotheses not listed, `answered` the chance of any answer; `saves` are minutes
    that an answer saves besides those of the search.
    """

    minutes: float
    rows: tuple[Rates, ...]
    usual: tuple[float, ...]
    answered: float = 1.0
    saves: float = 0.0


@dataclass(frozen=True, slots=True)
class Repair:
    """The actions, the minutes of each opening, and the minutes that giving up costs.

    With `test_open` an opening is paid once, and what is behind it is judged while it stands open;
    otherwise it is closed for each run and paid again with the next batch.
    """

    actions: tuple[Action, ...]
    openings: tuple[float, ...]
    give_up: float
    test_open: bool = False
    mates: tuple[Batch, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        pairs: dict[int, list[int]] = {}
        for k, action in enumerate(self.actions):
            pairs.setdefault(action.pair, []).append(k)
        mates = [pairs[a.pair] if a.pair >= 0 else [k] for k, a in enumerate(self.actions)]
        object.__setattr__(self, "mates", tuple(tuple(m for m in ms if m != k) for k, ms in enumerate(mates)))


@dataclass(slots=True)
class Search:
    """What may still be the case, and the rates of the open actions, given the failures so far.

    Chances only fall; so `bounds`, which are chances computed earlier, are upper bounds.
    """

    repair: Repair
    left: list[float]
    alive: float
    rates: list[Rates]
    bounds: list[float]
    opened: frozenset[int] = frozenset({-1})

    def copy(self) -> Search:
        """A copy to follow one way."""
        return Search(self.repair, self.left[:], self.alive, self.rates[:], self.bounds[:], self.opened)

    def chance(self, k: int) -> float:
        """P(nothing cured yet, and this does)."""
        left = self.left
        self.bounds[k] = chance = sum([left[i] * r for i, r in self.rates[k]])
        return chance

    def minutes(self, batch: Batch) -> float:
        """Minutes until a batch is judged; two ways of one lever are never made together."""
        actions, openings = self.repair.actions, self.repair.openings
        work = run = 0.0
        paid: set[int] = set()
        levers: set[int] = set()
        for k in batch:
            action = actions[k]
            work += action.work
            if action.run > run:
                run = action.run
            if action.opening not in self.opened and action.opening not in paid:
                paid.add(action.opening)
                work += openings[action.opening]
            if action.pair in levers:
                return NEVER
            if action.pair >= 0:
                levers.add(action.pair)
        return work + run

    def fail(self, batch: Batch) -> None:
        """The batch was made in vain: what its mates would do is the likelier now."""
        left, rates = self.left, self.rates
        for k in batch:
            for i, r in rates[k]:
                left[i] -= left[i] * r
            mates = [m for m in self.repair.mates[k] if self.rates[m]]
            if mates:
                vain = {i: max(FREE, 1 - r) for i, r in rates[k]}
                for mate in mates:
                    rates[mate] = tuple([(i, min(1.0, r / vain.get(i, 1.0))) for i, r in rates[mate]])
            rates[k] = ()
            self.bounds[k] = 0.0
            if self.repair.test_open:
                self.opened |= {self.repair.actions[k].opening}
        self.alive = sum(left)

    def bar(self, actions: Batch) -> None:
        """Leave actions out."""
        for k in actions:
            self.rates[k] = ()
            self.bounds[k] = 0.0


def begin(repair: Repair, belief: Sequence[float], done: Collection[int]) -> Search:
    """What is left of a belief after the actions in `done` were made in vain."""
    rates = [a.rates for a in repair.actions]
    search = Search(repair, list(belief), sum(belief), rates, [0.0] * len(rates))
    search.fail(tuple(sorted(done)))
    for k in range(len(rates)):
        search.chance(k)
    return search


class _Queue:
    """Open actions by chance over price; those behind a closed opening wait together, as a cluster.

    A cluster is worth the best ratio of its prefixes for all they take: bottom-up P-over-C, arXiv 1203.3502.
    """

    def __init__(self, search: Search, prices: Sequence[float], clustered: bool) -> None:
        self.search, self.prices = search, prices
        self.behind: dict[int, list[int]] = {}
        self.heap: list[tuple[float, int]] = []
        for k, bound in enumerate(search.bounds):
            opening = search.repair.actions[k].opening
            if clustered and opening not in search.opened:
                self.behind.setdefault(-1 - opening, []).append(k)
            elif bound > 0:
                self.heap.append((-bound / prices[k], k))
        self.heap += [(-math.inf, item) for item in self.behind]
        heapq.heapify(self.heap)

    def pop(self) -> tuple[float, Batch]:
        """The best ratio and its actions; none when nothing can cure any more."""
        while self.heap:
            _, item = heapq.heappop(self.heap)
            ratio, members = self._weigh(item)
            if not self.heap or ratio >= -self.heap[0][0]:
                for k in self.behind.pop(item, ()):
                    if k not in members:
                        heapq.heappush(self.heap, (-self.search.bounds[k] / self.prices[k], k))
                return ratio, members if ratio > 0 else ()
            heapq.heappush(self.heap, (-ratio, item))
        return 0.0, ()

    def _weigh(self, item: int) -> tuple[float, Batch]:
        if item >= 0:
            return self.search.chance(item) / self.prices[item], (item,)
        chances = sorted(
            ((self.search.chance(k), self.prices[k], k) for k in self.behind[item]),
            key=lambda m: (-m[0] / m[1], m[2]),
        )
        minutes, cured, best, size = self.search.repair.openings[-1 - item], 0.0, 0.0, 0
        for n, (chance, price, _) in enumerate(chances, 1):
            minutes += price
            cured += chance
            if cured / minutes > best:
                best, size = cured / minutes, n
        return best, tuple(k for _, _, k in chances[:size])


def _order(
    search: Search, prices: Sequence[float], clustered: bool, horizon: int, apart: bool = False
) -> tuple[list[int], list[Search]]:
    """Chance of a cure over price, recomputed after each failure; and what is left at each stage.

    Heckerman, Breese, Rommelse, Decision-theoretic troubleshooting, CACM 38(3), 1995.
    """
    order: list[int] = []
    stages = [search]
    queue = _Queue(search, prices, clustered)
    while len(order) < horizon:
        ratio, batch = queue.pop()
        # No minute from here on cures more than `ratio` (what is shared apart), so no further move pays.
        if not batch or 2 * ratio * search.repair.give_up <= stages[-1].alive:
            break
        for k in batch:
            order.append(k)
            stages.append(failed(stages[-1], (k,)))
            if apart:
                stages[-1].bar(search.repair.mates[k])
        queue.search = stages[-1]
    return order, stages


def failed(search: Search, batch: Batch) -> Search:
    """What is left when the batch was made in vain."""
    after = search.copy()
    after.fail(batch)
    return after


def priced(search: Search, schedule: Schedule, limit: float = math.inf) -> tuple[float, Schedule]:
    """Minutes, times what is alive, of a schedule stopped where giving up is cheapest; may stop at `limit`."""
    trial, give_up = search.copy(), search.repair.give_up
    spent, least, end = 0.0, search.alive * give_up, 0
    for n, batch in enumerate(schedule, 1):
        spent += trial.alive * trial.minutes(batch)
        if spent >= limit:
            break
        trial.fail(batch)
        if spent + trial.alive * give_up < least:
            least, end = spent + trial.alive * give_up, n
    return least, schedule[:end]


def base(search: Search, bundles: bool, horizon: int = ALL) -> tuple[float, Schedule]:
    """The base policy and its cost: the order one by one, or the best of several cut into batches."""
    actions, together = search.repair.actions, bundles or search.repair.test_open
    full = [max(FREE, a.work + a.run if together else search.minutes((k,))) for k, a in enumerate(actions)]
    best = _cut(*_order(search, full, together, horizon), bundles)
    runs = {a.run for k, a in enumerate(actions) if a.run > 0 and search.bounds[k] > 0} if bundles else ()
    for shared in sorted(runs):
        short = [max(FREE, a.work + max(0.0, a.run - shared)) for a in actions]
        best = min(best, _cut(*_order(search, short, together, horizon, apart=True), bundles))
    return best


def _cut(order: list[int], stages: list[Search], bundles: bool) -> tuple[float, Schedule]:
    """The best way to cut an order into batches, by dynamic programming from its end."""
    repair = stages[0].repair
    best: list[tuple[float, Schedule]] = [(s.alive * repair.give_up, ()) for s in stages]
    for start in range(len(order) - 1, -1, -1):
        for end in range(start + 1, len(stages) if bundles else start + 2):
            batch = tuple(order[start:end])
            spent = stages[start].alive * stages[start].minutes(batch)
            if spent >= best[start][0]:
                break
            if spent + best[end][0] < best[start][0]:
                best[start] = (spent + best[end][0], (batch, *best[end][1]))
    return best[0]
