"""Troubleshooting models: small ones with known answers, and seeded random ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from advisor.planning.repair import Action, Query, Repair

NEVER = 1e6  # giving up is out of the question


@dataclass(frozen=True, slots=True)
class Model:
    """A repair with its belief, its questions, and the letters its actions go by."""

    repair: Repair
    belief: tuple[float, ...]
    queries: tuple[Query, ...] = ()
    letters: str = ""

    def spelled(self, moves: Sequence[int]) -> str:
        """The moves as text: `d,b,a`."""
        return ",".join(self.letters[k] for k in moves)


def perfect(letters: str, belief: tuple[float, ...], costs: tuple[float, ...], run: float = 0.0) -> Model:
    """One perfect action for each hypothesis."""
    actions = tuple(Action(c, run, ((i, 1.0),)) for i, c in enumerate(costs))
    return Model(Repair(actions, NEVER), belief, (), letters)


def t1(run: float = 0.0) -> Model:
    """Independent faults, with `run` minutes a run."""
    return perfect("abcd", (0.45, 0.30, 0.15, 0.10), (9.0, 5.0, 2.0, 1.0), run)


def t1b() -> Model:
    """A residual no action cures, and a service call."""
    actions = perfect("abcd", (), (10.0, 4.0, 2.0, 1.0)).repair.actions
    return Model(Repair(actions, 20.0), (0.40, 0.25, 0.12, 0.08, 0.15), (), "abcd")


def t2() -> Model:
    """Three dependent actions of cost 1 over four faults, after a running example in the literature."""
    cured = ((0, 1), (1, 2), (2, 3))
    actions = tuple(Action(1.0, 0.0, tuple((f, 1.0) for f in faults)) for faults in cured)
    return Model(Repair(actions, NEVER), (0.20, 0.25, 0.40, 0.15), (), "123")


def t4() -> Model:
    """One question with two answers; its minutes are to be set against what it is worth."""
    model = perfect("1234", (0.4, 0.3, 0.2, 0.1), (8.0, 5.0, 3.0, 2.0))
    yes = (0.9, 0.2, 0.8, 0.3)
    rows = (tuple(enumerate(y / 0.5 for y in yes)), tuple(enumerate((1 - y) / 0.5 for y in yes)))
    return Model(model.repair, model.belief, (Query(0.0, rows, (0.5, 0.5)),), "1234")


def prior(rng: Random, faults: int) -> tuple[float, ...]:
    """Random weights that add up to one."""
    weights = [rng.random() for _ in range(faults)]
    return tuple(w / sum(weights) for w in weights)


@dataclass(frozen=True, slots=True)
class Kind:
    """What random models of one kind are like; `runs` are the minutes of a run to draw from."""

    most: int
    give_up: float
    certain: bool = False
    runs: tuple[float, ...] = (0.0,)
    paired: bool = False
    queries: int = 0
    faults: int = 8
    actions: int = 9


def draw(kind: Kind, rng: Random) -> Model:
    """8 faults, 9 actions, costs {1,2,3,5,8,10}, rates 1 or .5 to .95, unless the kind says otherwise."""
    actions = tuple(_action(kind, rng, k) for k in range(kind.actions))
    return Model(
        Repair(actions, kind.give_up),
        prior(rng, kind.faults),
        tuple(_query(kind, rng) for _ in range(kind.queries)),
    )


def _action(kind: Kind, rng: Random, k: int) -> Action:
    cured = set(rng.sample(range(kind.faults), rng.randint(1, kind.most)))
    if kind.certain and k < kind.faults:
        cured.add(k)  # every fault has a cure
    highest = 0.5 if kind.paired else 0.95
    rates = [(i, 1.0 if kind.certain else rng.uniform(highest - 0.45, highest)) for i in sorted(cured)]
    cost = float(rng.choice((1, 2, 3, 5, 8, 10)))
    return Action(cost, rng.choice(kind.runs), tuple(rates), k // 2 if kind.paired else -1)


def _query(kind: Kind, rng: Random) -> Query:
    """Two or three answers that speak of half the faults, and now and then no answer."""
    answers = rng.choice((2, 2, 3))
    usual = prior(rng, answers)
    rows: list[list[tuple[int, float]]] = [[] for _ in range(answers)]
    for i in rng.sample(range(kind.faults), kind.faults // 2):
        shares = prior(rng, answers)
        peak = rng.randrange(answers)
        for a in range(answers):
            share = 0.2 * shares[a] + 0.8 * (a == peak)
            rows[a].append((i, share / usual[a]))
    minutes = rng.choice((0.2, 0.5, 1.0, 2.0))
    return Query(minutes, tuple(map(tuple, rows)), usual, rng.choice((0.7, 0.9, 1.0)))
