"""Troubleshooting by expected cost: what a search still costs, when to give it up, and which question comes next.

One hypothesis is true; given it, actions cure independently, except that those of one pair exclude each other. `belief`
is what is believed of each hypothesis before any action in `done` was made, not normalised; those in `done` were all
made in vain. Costs are minutes times what is still alive, so that they add up.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

from advisor.model import assumed

Rates = tuple[tuple[int, float], ...]
FREE = 1e-9  # minutes of what costs nothing, so that ratios are finite


@dataclass(frozen=True, slots=True)
class Action:
    """A change, inspection or habit to try; `rates` are pairs of hypothesis and P(cured | hypothesis).

    `run` is the run that judges it, 0 for an inspection. Of the actions with one `pair` number at most one can cure:
    two ways of one lever. `name`: lever and way. `gains`, if they are not the rates: what it is worth under each
    hypothesis, which says what comes first. `hit`: how often a cure is seen. `after`: it is open when that action
    was made in vain.
    """

    work: float
    run: float
    rates: Rates
    pair: int = -1
    name: tuple[str, str] = ("", "")
    gains: Rates | None = None
    hit: float = 1.0
    after: int = -1

    @property
    def worth(self) -> Rates:
        """What it is worth under each hypothesis."""
        return self.rates if self.gains is None else self.gains

    @property
    def minutes(self) -> float:
        """Until it is judged."""
        return max(FREE, self.work + self.run)


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
    """The actions, and the minutes that giving up costs; `patience` times as many, where it is asked whether to.

    `least`: the smallest part of what it cures that an action is worth.
    """

    actions: tuple[Action, ...]
    give_up: float
    patience: float = 1.0
    mates: tuple[tuple[int, ...], ...] = field(init=False, repr=False, compare=False)
    next: tuple[tuple[int, ...], ...] = field(init=False, repr=False, compare=False)
    least: float = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        pairs: dict[int, list[int]] = {}
        for k, action in enumerate(self.actions):
            pairs.setdefault(action.pair, []).append(k)
        mates = [pairs[a.pair] if a.pair >= 0 else [k] for k, a in enumerate(self.actions)]
        object.__setattr__(self, "mates", tuple(tuple(m for m in ms if m != k) for k, ms in enumerate(mates)))
        following: list[list[int]] = [[] for _ in self.actions]
        for k, action in enumerate(self.actions):
            if action.after >= 0:
                following[action.after].append(k)
        object.__setattr__(self, "next", tuple(map(tuple, following)))
        parts = (sum([g for _, g in a.worth]) / max(FREE, sum([r for _, r in a.rates])) for a in self.actions)
        object.__setattr__(self, "least", min(1.0, *parts) if self.actions else 1.0)


@dataclass(slots=True)
class Search:
    """What may still be the case, and the rates and the worth of the actions, given the failures so far.

    Chances only fall; so `bounds`, which are worths computed earlier, are upper bounds.
    """

    repair: Repair
    left: list[float]
    alive: float
    rates: list[Rates]
    gains: list[Rates]
    bounds: list[float]

    def copy(self) -> Search:
        """A copy to follow one way."""
        return Search(self.repair, self.left[:], self.alive, self.rates[:], self.gains[:], self.bounds[:])

    def worth(self, k: int) -> float:
        """What an action is worth, times the chance that nothing cured yet: P(it cures), unless it has other gains."""
        left = self.left
        self.bounds[k] = worth = sum([left[i] * g for i, g in self.gains[k]])
        return worth

    def fail(self, k: int) -> None:
        """An action was made in vain: what its mates would do is the likelier now, and what waited for it is open."""
        left, rates, hit = self.left, self.rates, self.repair.actions[k].hit
        for i, r in rates[k]:
            left[i] -= left[i] * r * hit
        mates = [m for m in self.repair.mates[k] if rates[m]]
        if mates:
            vain = {i: max(FREE, 1 - r * hit) for i, r in rates[k]}
            for mate in mates:
                rates[mate] = tuple([(i, min(1.0, r / vain.get(i, 1.0))) for i, r in rates[mate]])
                self.gains[mate] = tuple([(i, g / vain.get(i, 1.0)) for i, g in self.gains[mate]])
        rates[k] = self.gains[k] = ()
        self.bounds[k] = 0.0
        self.alive = sum(left)
        for m in self.repair.next[k]:
            self.worth(m)


def begin(repair: Repair, belief: Sequence[float], done: Collection[int] = ()) -> Search:
    """What is left of a belief after the actions in `done` were made in vain."""
    rates, gains = [a.rates for a in repair.actions], [a.worth for a in repair.actions]
    search = Search(repair, list(belief), sum(belief), rates, gains, [0.0] * len(rates))
    for k in sorted(done):
        search.fail(k)
    for k, action in enumerate(repair.actions):
        if action.after < 0 or action.after in done:
            search.worth(k)
    return search


def worth_now(action: Action, belief: Sequence[float]) -> float:
    """What an action is worth a minute."""
    return sum([belief[i] * g for i, g in action.worth]) / action.minutes


def expected_cost(repair: Repair, belief: Sequence[float], done: Collection[int] = ()) -> float:
    """Expected minutes of the base policy until the cure, or until giving up is cheaper."""
    search = begin(repair, belief, done)
    return base(search)[0] / search.alive if search.alive > 0 else 0.0


def first(repair: Repair, belief: Sequence[float], done: Collection[int] = ()) -> int | None:
    """The action that the base policy makes now; None when giving up is cheaper."""
    return base(begin(repair, belief, done))[1]


def base(search: Search) -> tuple[float, int | None]:
    """The cost of the base policy and its first action: chance over minutes, given up where that is cheapest."""
    repair = search.repair
    order, left = _order(search.copy())
    cost, now = left * repair.give_up, None
    patient = cost * repair.patience
    for k, alive in reversed(order):
        spent, stopped = alive * repair.actions[k].minutes, alive * repair.give_up
        cost, patient, now = spent + cost, spent + patient, k
        if patient >= stopped * repair.patience:
            cost, patient, now = stopped, stopped * repair.patience, None
    return cost, now


def _order(search: Search) -> tuple[list[tuple[int, float]], float]:
    """Actions by their worth over minutes, recomputed after each failure, with what is alive before each.

    Heckerman, Breese, Rommelse, Decision-theoretic troubleshooting, CACM 38(3), 1995. Last: what is alive after all.
    """
    prices = [a.minutes for a in search.repair.actions]
    heap = [(-bound / prices[k], k) for k, bound in enumerate(search.bounds) if bound > 0]
    heapq.heapify(heap)
    order: list[tuple[int, float]] = []
    limit = search.repair.give_up * search.repair.patience / search.repair.least
    while heap:
        _, k = heapq.heappop(heap)
        ratio = search.worth(k) / prices[k]
        if heap and ratio < -heap[0][0]:
            heapq.heappush(heap, (-ratio, k))
            continue
        # no minute from here on cures more than `ratio` over `least`, so no further move pays
        if ratio * limit <= search.alive * 0.5:
            break
        order.append((k, search.alive))
        search.fail(k)
        for m in search.repair.next[k]:
            heapq.heappush(heap, (-search.bounds[m] / prices[m], m))
    return order, search.alive


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
    minutes = base(search)[0] / search.alive
    does = aims(search)
    masses: dict[int, float] = {}
    for mass, aim in zip(search.left, does, strict=True):
        masses[aim] = masses.get(aim, 0.0) + mass
    return [
        q.answered * (assumed.TELLS * minutes * _nats(q, search, does, masses) + q.saves) for q in queries
    ]


def aims(search: Search) -> list[int]:
    """For each hypothesis the action that is worth most a minute under it; -1 where none does."""
    best = [(0.0, -1)] * len(search.left)
    for k, gains in enumerate(search.gains):
        minutes = search.repair.actions[k].minutes
        for i, gain in gains:
            if gain / minutes > best[i][0]:
                best[i] = gain / minutes, k
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
