"""Hidden faults in worlds of several kinds: what a kart really has, what helps it, and what its driver says.

Every draw has a stream of its own, named by the number of the case and by what is drawn. So all policies
meet the same fault, the same answers and the same verdicts, and a case differs between worlds only in
what the worlds differ in.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from random import Random
from typing import TypeVar

from advisor.book import load
from advisor.inference import cures
from advisor.inference.cures import Link
from advisor.inference.evidence import Evidence
from advisor.inference.tables import Row, Tables
from advisor.model import assumed, conditions
from advisor.model.assumed import ANSWERED
from advisor.model.case import VERDICTS, Verdict
from advisor.model.feel import CELLS, FEEL, by_question
from advisor.model.scale import PROBABILITY
from advisor.reasoning.weighing import Mind, make_ready

K = TypeVar("K")

Cell = tuple[str, str]  # phase, balance
Complaint = tuple[Cell, ...]  # the worst first; two only where there are two faults that feel different

# A copy, so that a policy that believes something else does not change the world.
VERDICT_IF: Mapping[str, Mapping[Verdict, float]] = {k: dict(v) for k, v in assumed.VERDICT_IF.items()}
# How often a way that cures an invented fault does so.
STRANGE_CURES = tuple(PROBABILITY[w] for w in ("about as likely as not", "likely", "very likely"))
FELT = ("phase", "balance")  # what the complaint says; the other observations are asked


@dataclass(frozen=True, slots=True)
class World:
    """How the truth differs from the book: `sigma` is the noise on every probability, in log-odds."""

    name: str
    sigma: float = 0.0
    strange: float = 0.0  # share of faults that the book does not hold
    wrong_answers: float = 0.0
    wrong_verdicts: float = 0.0
    faults: int = 1


OURS = World("as the book has it")
FOREIGN = World("foreign, sigma 1", sigma=1.0, strange=0.2)
WORLDS = (
    OURS,
    FOREIGN,
    World("foreign, sigma 2", sigma=2.0, strange=0.2),
    World("two faults", faults=2),
    World("15 % wrong answers", wrong_answers=0.15),
    World("20 % wrong verdicts", wrong_verdicts=0.2),
)


@dataclass(frozen=True, slots=True)
class Act:
    """What one lever really does about a fault: `way` cures and `opposite` hurts, with this chance."""

    way: str
    opposite: str | None
    rate: float


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong. `own`: the observations that it bears upon."""

    name: str
    cells: Row
    rows: Mapping[str, Row]
    own: frozenset[str]
    acts: Mapping[str, Act]


@dataclass(frozen=True, slots=True)
class Kart:
    """A kart with its hidden faults. `left` is always those of them that are not cured yet."""

    case: int
    world: World
    tables: Tables
    faults: tuple[Fault, ...]

    def complaint(self, left: Sequence[Fault]) -> Complaint:
        """What the driver feels, the one fault and the other."""
        cells = [CELLS[_drawn(f.cells, stream(self.case, "complaint", f.name))] for f in left]
        return tuple(dict.fromkeys(cells))

    def answer(self, ident: str, left: Sequence[Fault]) -> str | None:
        """What the driver answers; None when he does not know."""
        speaking = [f for f in left if ident in f.own] or list(left)
        fault = stream(self.case, "speaking", ident).choice(speaking)
        source = stream(self.case, "answer", ident)
        said = _drawn(fault.rows[ident], source)
        known, wrong = source.random(), source.random()
        if known >= ANSWERED[""][self.tables.book.observations[ident].effort]:
            return None
        if wrong < self.world.wrong_answers:
            return source.choice([a for a in fault.rows[ident] if a != said])
        return said

    def outcome(self, lever: str, way: str, fault: Fault) -> str:
        """What turning a lever does about a fault: a key of VERDICT_IF. Turned again, it does the same."""
        act = fault.acts.get(lever)
        ways = self.tables.book.levers[lever].ways
        if act is not None and way == cures.WHOLE and ways[act.way].look:
            way = act.way  # a whole inspection finds what any of its looks would
        if act is None or way not in (act.way, act.opposite):
            return "nothing"
        if stream(self.case, "acts", fault.name, lever).random() >= act.rate:
            return "nothing"
        return "cured" if way == act.way else "hurt"

    def verdict(self, lever: str, way: str, outcome: str, time: int) -> Verdict:
        """What is said of a change after its run; `time` counts how often it was tried before."""
        source = stream(self.case, "verdict", lever, way, time)
        said: Verdict = _drawn(VERDICT_IF[outcome], source)
        if source.random() < self.world.wrong_verdicts:
            return source.choice([v for v in VERDICTS if v != said])
        return said


@cache
def shipped() -> Mind:
    """The shipped book, made ready once."""
    return make_ready(load.book(), load.ear())


def stream(*key: object) -> Random:
    """Chance that depends on nothing but its name."""
    return Random("/".join(map(str, key)))


def kart(mind: Mind, case: int, world: World) -> Kart:
    """The kart of a case: its number decides everything about it."""
    source = stream(case, "cause")
    weights = list(mind.tables.prior[:-1])
    faults: list[Fault] = []
    for place in range(world.faults):
        i = source.choices(range(len(weights)), weights)[0]
        weights[i] = 0.0
        strange = stream(case, "strange", place).random() < world.strange
        faults.append(_invented(mind, case, world, i) if strange else _of_the_book(mind, case, world, i))
    return Kart(case, world, mind.tables, tuple(faults))


def _of_the_book(mind: Mind, case: int, world: World, i: int) -> Fault:
    """A cause of the book; outside our world its numbers are others than the book says."""
    tables, name = mind.tables, mind.tables.hypotheses[i]
    noise = stream(case, "noise", name)
    cells = tables.rows[FEEL].get(i, tables.usual[FEEL])
    rows = {ident: _noisy(answer_row(tables, ident, i), world.sigma, noise) for ident in _asked(tables)}
    own = frozenset(ident for ident in rows if i in tables.rows.get(ident, {}))
    fault = Fault(name, _noisy(cells, world.sigma, noise), rows, own, {})
    return replace(fault, acts=_acts(mind, case, world, i, fault))


def _asked(tables: Tables) -> list[str]:
    return [ident for ident in tables.usual if ident not in (FEEL, *FELT)]


def answer_row(tables: Tables, ident: str, i: int) -> Row:
    """The answers under a cause; where an answer multiplies its odds, it is that much more frequent."""
    row = dict(tables.rows.get(ident, {}).get(i, tables.usual[ident]))
    path = f"observed.{ident}"
    for j, odds in tables.stirred.get(ident, ()):
        if j == i and list(odds.where) == [path]:
            for answer in row:
                if conditions.holds(odds.where, {path: frozenset((answer,))}):
                    row[answer] *= odds.times
    return _normalised(row)


def _acts(mind: Mind, case: int, world: World, i: int, fault: Fault) -> dict[str, Act]:
    """What each lever does: the links of the book where it stands, every direction drawn by its own chance.

    A direction is drawn for a lever and an effect; what it is for one fault, it is for the other.
    """
    found = {}
    for lever, row in cures.links(mind.book, _truly(case, fault)).items():
        if (link := row.get(i)) is None:
            continue
        as_stated = stream(case, "direction", lever, _effect(link)).random() < link.stated
        way, opposite = (link.way, link.opposite) if as_stated else (link.opposite, link.way)
        noise = stream(case, "rate", fault.name, lever).gauss(0.0, world.sigma)
        if way is not None:
            found[lever] = Act(way, opposite, _moved(link.cures, noise))
    return found


def _effect(link: Link) -> str:
    return link.gives.effect if link.gives else "remedy"


def _truly(case: int, fault: Fault) -> Evidence:
    """Everything that could be answered, answered as it is: claims of the book hold in their regimes."""
    cell = _drawn(fault.cells, stream(case, "complaint", fault.name))
    answers = {
        o: frozenset((_drawn(row, stream(case, "answer", o)),)) for o, row in sorted(fault.rows.items())
    }
    answers[FEEL] = frozenset((cell,))
    return Evidence(answers, {f"observed.{q}": a for q, a in by_question(answers).items()})


def _invented(mind: Mind, case: int, world: World, i: int) -> Fault:
    """A fault that the book does not hold: some cause's answers shuffled, cured by one to three ways."""
    tables, source = mind.tables, stream(case, "invented")
    own = [ident for ident in _asked(tables) if i in tables.rows.get(ident, {})]
    rows = {ident: tables.usual[ident] for ident in _asked(tables)}
    for ident in own:
        row = tables.rows[ident][i]
        rows[ident] = dict(zip(row, source.sample(list(row.values()), len(row)), strict=True))
    rows = {ident: _noisy(row, world.sigma, source) for ident, row in rows.items()}
    acts = {}
    for lever in source.sample(sorted(mind.book.levers), source.randint(1, 3)):
        ways = mind.book.levers[lever].ways
        way = source.choice(sorted(ways))
        acts[lever] = Act(way, ways[way].opposite, source.choice(STRANGE_CURES))
    return Fault("not in the book", tables.usual[FEEL], rows, frozenset(own), acts)


def _noisy(row: Mapping[K, float], sigma: float, source: Random) -> dict[K, float]:
    return _normalised({a: _moved(p, source.gauss(0.0, sigma)) for a, p in row.items()})


def _moved(p: float, log_odds: float) -> float:
    if not log_odds or not 0 < p < 1:
        return p
    return 1 / (1 + (1 - p) / p * math.exp(-log_odds))


def _normalised(row: Mapping[K, float]) -> dict[K, float]:
    total = sum(row.values())
    return {a: p / total for a, p in row.items()}


def _drawn(row: Mapping[K, float], source: Random) -> K:
    return source.choices(list(row), list(row.values()))[0]
