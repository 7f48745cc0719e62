"""How far the base policy and its questions are from optimal, on random models small enough to be solved exactly.

What the screen shows is measured in `shown.py`, on books; `first.py` asks whether the search there makes first what the
screen does.

Run as `python -m tests.optimum.regret [MODELS]`. Prints mean, 95th percentile and maximum of the excess
cost in per cent for each kind of model; asserts nothing.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from random import Random

import numpy as np

from advisor.planning import repair as engine
from advisor.planning.repair import Query, Repair, begin
from tests.optimum.exact import (
    Told,
    likelihood,
    members,
    optimum,
    optimum_with_questions,
    replies,
    survival,
)
from tests.optimum.models import NEVER, Kind, Model, draw

KINDS = {
    "perfect, at most 3 faults": Kind(3, NEVER, certain=True),
    "perfect, at most 5 faults": Kind(5, NEVER, certain=True),
    "imperfect, at most 3 faults": Kind(3, 30.0),
    "imperfect, at most 5 faults": Kind(5, 30.0),
    "imperfect, a run each": Kind(3, 90.0, runs=(0.0, 5.0, 20.0)),
    "pairs": Kind(3, 30.0, paired=True),
}
ASKING = {
    "questions, imperfect": Kind(3, 30.0, queries=4, faults=6, actions=6),
    "questions, perfect": Kind(3, NEVER, certain=True, queries=4, faults=6, actions=6),
    "questions, run 10": Kind(3, 100.0, runs=(10.0,), queries=4, faults=6, actions=6),
    "questions, larger": Kind(3, 60.0, runs=(0.0, 5.0), queries=5, faults=8, actions=7),
}


def ours(repair: Repair, belief: Sequence[float], done: Sequence[int] = ()) -> list[int]:
    """The moves of the base policy, each chosen anew after the failure of those before it, until it gives up."""
    made = list(done)
    while (k := engine.first(repair, belief, made)) is not None:
        made.append(k)
    return made[len(done) :]


def followed(repair: Repair, belief: Sequence[float], moves: Sequence[int]) -> float:
    """Expected minutes of moves until the cure or until they are through and it is given up."""
    alive = survival(repair, len(belief)) @ np.array(belief)
    mask, spent = 0, 0.0
    for k in moves:
        spent += float(alive[mask]) * repair.actions[k].minutes
        mask |= 1 << k
    return spent + float(alive[mask]) * repair.give_up


def in_turn(repair: Repair, belief: Sequence[float], order: Sequence[int]) -> float:
    """Minutes of a fixed order, passing over what cannot cure any more, given up at the best point."""
    alive = survival(repair, len(belief)) @ np.array(belief)
    mask, spent, least = 0, 0.0, float(alive[0]) * repair.give_up
    for k in order:
        if alive[mask] - alive[mask | 1 << k] > 1e-12:
            spent += float(alive[mask]) * repair.actions[k].minutes
            mask |= 1 << k
            least = min(least, spent + float(alive[mask]) * repair.give_up)
    return least


def sorted_once(repair: Repair, belief: Sequence[float]) -> list[int]:
    """Actions by chance over minutes as it is before anything was tried."""
    worth = [sum(belief[i] * r for i, r in a.rates) / a.minutes for a in repair.actions]
    return sorted(range(len(worth)), key=lambda k: -worth[k])


def regrets(kind: Kind, rng: Random) -> dict[str, float]:
    """Excess over the optimum of each policy on one random model, as a fraction."""
    model = draw(kind, rng)
    repair, belief = model.repair, model.belief
    shuffled = rng.sample(range(kind.actions), kind.actions)
    least = optimum(repair, belief).values[0]
    costs = {
        "ours": followed(repair, belief, ours(repair, belief)),
        "sorted once": in_turn(repair, belief, sorted_once(repair, belief)),
        "random": in_turn(repair, belief, shuffled),
    }
    return {name: cost / least - 1 for name, cost in costs.items()}


@dataclass(frozen=True, slots=True)
class Move:
    """Ask the question `query`, or, if that is -1, do the action; without one give up."""

    query: int = -1
    action: int | None = None


Asking = Callable[[Model, list[float], list[int], list[int]], Move]  # belief, done, open questions


def asked(model: Model, policy: Asking) -> float:
    """Expected minutes of a policy with questions: every answer and failure is followed."""
    table = survival(model.repair, len(model.belief))
    known: dict[tuple[Told, int], float] = {}

    def follow(told: Told, mask: int) -> float:
        if (told, mask) not in known:
            known[told, mask] = step(told, mask)
        return known[told, mask]

    def step(told: Told, mask: int) -> float:
        belief = np.array(model.belief)
        for query, reply in zip(model.queries, told, strict=True):
            belief = belief * likelihood(query, reply, len(belief))
        alive = float(belief @ table[mask])
        if alive < 1e-13:
            return 0.0
        move = policy(model, belief.tolist(), members(mask), [q for q, t in enumerate(told) if t < 0])
        if move.query >= 0:
            query, before, behind = model.queries[move.query], told[: move.query], told[move.query + 1 :]
            after = sum(follow((*before, reply, *behind), mask) for reply in replies(query))
            return alive * query.minutes + after
        if move.action is None:
            return alive * model.repair.give_up
        return alive * model.repair.actions[move.action].minutes + follow(told, mask | 1 << move.action)

    return follow((-1,) * len(model.queries), 0)


def by_cost(model: Model, belief: list[float], done: list[int], open_: list[int]) -> Move:
    """The engine's choice of questions and actions."""
    found = engine.next_query(model.repair, [model.queries[q] for q in open_], belief, done)
    return Move(open_[found[0]]) if found else act(model, belief, done, open_)


def act(model: Model, belief: list[float], done: list[int], open_: list[int]) -> Move:
    """The engine's choice without questions."""
    return Move(action=engine.first(model.repair, belief, done))


def by_entropy(least: float, stops: bool = False) -> Asking:
    """The question that tells most a minute while it tells `least` nats; with `stops` while it pays."""

    def choose(model: Model, belief: list[float], done: list[int], open_: list[int]) -> Move:
        left = begin(model.repair, belief, done).left
        worth = {q: information(model.queries[q], left) for q in open_}
        told = [q for q in open_ if worth[q] > least]
        best = max(told, key=lambda q: worth[q] / model.queries[q].minutes, default=-1)
        if best < 0 or (stops and not engine.next_query(model.repair, [model.queries[best]], belief, done)):
            return act(model, belief, done, open_)
        return Move(best)

    return choose


def information(query: Query, belief: Sequence[float]) -> float:
    """Mutual information of the reply and the hypothesis in nats, straight from its definition."""
    prior = np.array(belief) / sum(belief)
    nats = 0.0
    for reply in replies(query):
        joint = prior * likelihood(query, reply, len(prior))
        share = float(joint.sum())
        nats += sum(
            j * math.log(j / (p * share))
            for j, p in zip(joint.tolist(), prior.tolist(), strict=True)
            if j > 0
        )
    return nats


def asking_regrets(kind: Kind, rng: Random) -> dict[str, float]:
    """Excess over exhaustive search of each way of asking on one random model, as a fraction."""
    model = draw(kind, rng)
    least = optimum_with_questions(model.repair, model.queries, model.belief)
    policies: dict[str, Asking] = {
        "ours": by_cost,
        "entropy, ours to stop": by_entropy(0.0, stops=True),
        "entropy > .1 nats": by_entropy(0.1),
        "entropy > .02 nats": by_entropy(0.02),
        "no questions": act,
    }
    return {name: asked(model, policy) / least - 1 for name, policy in policies.items()}


def table(
    kind: Kind, models: int, seed: int, one: Callable[[Kind, Random], dict[str, float]]
) -> dict[str, list[float]]:
    """Sorted regrets of each policy in per cent."""
    rng = Random(seed)
    drawn = [one(kind, rng) for _ in range(models)]
    return {name: sorted(100 * d[name] for d in drawn) for name in drawn[0]}


def summary(regret: Sequence[float]) -> tuple[float, float, float]:
    """Mean, 95th percentile and maximum of sorted values."""
    return sum(regret) / len(regret), regret[math.ceil(0.95 * len(regret)) - 1], regret[-1]


def main(models: int = 400) -> None:
    """Print both tables; with questions, which take longer, over a quarter of the models."""
    for kinds, one, count in ((KINDS, regrets, models), (ASKING, asking_regrets, max(1, models // 4))):
        for title, kind in kinds.items():
            print(f"\n{title}")
            for policy, regret in table(kind, count, 1, one).items():
                mean, p95, most = summary(regret)
                print(f"  {policy:22} {mean:9.3f} {p95:9.3f} {most:9.3f}", flush=True)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
