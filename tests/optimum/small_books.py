"""Random books small enough to be solved exactly: what the screen shows can be followed to the end of every day.

A hidden day is a cause and, for each lever that bears upon it, whether it cures by its way, by the opposite or not at
all. Verdicts and answers are as the book has them, but verdicts do not err, so that what was seen of a lever is a
small state and the best policy can be found by dynamic programming. An inspection is judged where it is made.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product
from random import Random
from unittest.mock import patch

import numpy as np
import numpy.typing as npt

from advisor.inference.cures import Link, links
from advisor.inference.evidence import Gathered, gather
from advisor.model import assumed
from advisor.model.case import Case, Verdict
from advisor.model.knowledge import Answer, Book, Cause, Need, Observation, Remedy, Sign
from advisor.model.levers import Effect, Gives, Lever, Way
from advisor.model.scale import BASE_RATE
from advisor.planning.ranking import minutes, runs
from advisor.reasoning.weighing import Mind, make_ready
from tests.properties.random_cases import shipped

Mass = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]
CURES = ("about as likely as not", "likely", "very likely")
SPOKEN = ("very likely", "likely", "about as likely as not", "unlikely", "very unlikely")
CAUSES, QUESTIONS = 6, 4
ERR = 1e-9  # of a verdict; nothing at all would have no logarithm
SURE: dict[str, dict[Verdict, float]] = {
    outcome: {v: 1 - 2 * ERR if v == said else ERR for v in ("better", "same", "worse")}
    for outcome, said in (("cured", "better"), ("nothing", "same"), ("hurt", "worse"))
}


@contextmanager
def no_errors() -> Iterator[None]:
    """Verdicts that never err, in the reasoning as in the world."""
    with patch.dict(assumed.VERDICT_IF, SURE):
        yield


def book(source: Random) -> Book:
    """Six causes, four questions, two inspections of one or two looks, two levers with two ways each and a habit."""
    levers = [
        *(_inspection(source, f"look_{n}") for n in range(2)),
        *(_setup(source, f"turn_{n}") for n in range(2)),
        _lever("habit", 0, 1, {"practise": Way(say="practise it", together=True)}),
    ]
    observations = [_question(source, n) for n in range(QUESTIONS)]
    causes = [_cause(source, n, levers, observations) for n in range(CAUSES)]
    return replace(
        shipped().book,
        levers={x.id: x for x in levers},
        observations={x.id: x for x in observations},
        causes={x.id: x for x in causes},
        effects={x.gives[0].effect: _effect(x.gives[0].effect) for x in levers if x.gives},
        groups={},
        counts={},
        jobs={},
        overlaps={},
        bars={},
        fixes={},
    )


def _effect(ident: str) -> Effect:
    return Effect(id=ident, name=ident, more_feels="more of it", less_feels="less of it")


def _lever(
    ident: str, minutes: int, runs: float, ways: dict[str, Way], gives: tuple[Gives, ...] = ()
) -> Lever:
    return Lever(id=ident, name=ident, plain=ident, minutes=minutes, runs=runs, ways=ways, gives=gives)


def _inspection(source: Random, ident: str) -> Lever:
    names = ("one part", "another part")[: source.choice((1, 2))]
    ways = {n: Way(say=f"check {n}", look=True, minutes=source.choice((2, 5, 10, 20))) for n in names}
    return _lever(ident, 10, 0.5, ways)


def _setup(source: Random, ident: str) -> Lever:
    agree, against = source.choice(((6, 0), (4, 0), (3, 1), (2, 1), (3, 2)))
    gives = Gives(
        way="up", effect=f"effect of {ident}", change="more", supplies="very likely", because="it does",
        agree=tuple(f"a{n}" for n in range(agree)), disagree=tuple(f"d{n}" for n in range(against)),
    )  # fmt: skip
    ways = {"up": Way(say="turn it up", opposite="down"), "down": Way(say="turn it down", opposite="up")}
    return _lever(ident, source.choice((2, 5, 10, 20)), 1, ways, (gives,))


def _question(source: Random, n: int) -> Observation:
    stand = n < 2
    names = ("sound", "off") if stand else ("a", "b", "c")[: source.choice((2, 3))]
    usual = ["likely", source.choice(("unlikely", "very unlikely"))] if stand else source.choices(SPOKEN, k=3)
    return Observation(
        id=f"ask_{n}",
        question="Is it so?",
        plain="whether it is so",
        effort="look" if stand else "remember",
        seconds=source.choice((5, 15, 60)),
        stand=stand,
        answers={a: Answer(text=f"it is {a}", usual=u) for a, u in zip(names, usual, strict=False)},
    )


def _cause(source: Random, n: int, levers: Sequence[Lever], asked: Sequence[Observation]) -> Cause:
    chosen = source.sample(list(levers), source.choice((1, 1, 2)))
    return Cause(
        id=f"cause_{n}",
        name=f"cause {n}",
        kind="setup",
        plain="it is so",
        base=source.choice(list(BASE_RATE)),
        signs=tuple(_sign(source, o) for o in source.sample(list(asked), 2)),
        needs=tuple(_need(source, x.gives[0].effect) for x in chosen if x.gives),
        remedies=tuple(_remedy(source, x) for x in chosen if not x.gives),
    )


def _sign(source: Random, asked: Observation) -> Sign:
    answer = source.choice(list(asked.answers))
    return Sign(ask=asked.id, answers={answer: source.choice(("very likely", "likely"))})


def _need(source: Random, effect: str) -> Need:
    return Need(effect=effect, change=source.choice(("more", "less")), cures=source.choice(CURES))


def _remedy(source: Random, lever: Lever) -> Remedy:
    return Remedy(lever=lever.id, direction=source.choice(list(lever.ways)), cures=source.choice(CURES))


@dataclass(frozen=True)
class Small:
    """A small book made ready, its levers and questions in order."""

    mind: Mind
    table: dict[str, dict[int, Link]]
    bare: Gathered

    @property
    def levers(self) -> list[str]:
        return list(self.mind.book.levers)

    @property
    def questions(self) -> list[str]:
        return list(self.mind.book.observations)

    @property
    def size(self) -> int:
        return len(self.mind.tables.hypotheses)

    @cached_property
    def prior(self) -> Mass:
        prior: Mass = np.array(self.mind.tables.prior)
        prior /= prior.sum()
        return prior

    def minutes(self, turns: Sequence[tuple[str, str]]) -> float:
        """Minutes of changes made before one run; an inspection needs none."""
        levers = self.mind.book.levers
        driven = [runs(levers[lever], way) for lever, way in turns if not levers[lever].ways[way].look]
        return sum(minutes(levers[lever], way) for lever, way in turns) + assumed.RUN_MINUTES * max(
            driven, default=0
        )

    def asking(self, question: str) -> float:
        """Minutes of a question by itself."""
        return (assumed.READING + self.mind.book.observations[question].seconds) / 60

    def answers(self, question: str) -> dict[str | None, Mass]:
        """P(answer | hypothesis) of each answer, None where none is given."""
        tables = self.mind.tables
        observation = self.mind.book.observations[question]
        given = assumed.ANSWERED[""][observation.effort]
        usual = tables.usual[question]
        rows = [tables.rows.get(question, {}).get(i, usual) for i in range(self.size)]
        found: dict[str | None, Mass] = {
            a: np.array([given * row[a] for row in rows]) for a in observation.answers
        }
        found[None] = np.full(self.size, 1 - given)
        return found

    def acts(self, lever: str) -> Mass:
        """By hypothesis, the chances that a lever cures by the way stated, by the other way, does nothing."""
        found = np.tile([0.0, 0.0, 1.0], (self.size, 1))
        for i, link in self.table.get(lever, {}).items():
            first = next(iter(self.mind.book.levers[lever].ways))
            stated = link.stated * link.cures
            other = (1 - link.stated) * link.cures if link.opposite else 0.0
            found[i] = [stated, other, 0.0] if link.way == first else [other, stated, 0.0]
            found[i, 2] = 1 - found[i].sum()
        return found


def small(source: Random) -> Small:
    """A random book made ready."""
    mind = make_ready(book(source))
    bare = gather(Case(), mind.book, mind.lexicon)
    return Small(mind, links(mind.book, bare.evidence), bare)


# --- the best that can be done ------------------------------------------------------------------------------------

# What was seen of a lever; after "same" the other way is as useless, after "worse" the other way cures.
ONE_WAY, TWO_WAYS = ("open", "vain"), ("open", "vain", "first worse", "second worse")
TWO_LOOKS = ("open", "vain", "first vain", "second vain")


LOOKS_LEFT = {0: ((0, 2), (1, 3)), 1: (), 2: ((1, 1),), 3: ((0, 1),)}  # by state: look, state after it


def optimum(of: Small) -> float:
    """The least expected minutes, by dynamic programming over answers and over what was seen of each lever."""
    replies = [of.answers(q) for q in of.questions]
    kinds = [_kind(of, lever) for lever in of.levers]
    tolds = list(product(*(range(-1, len(r)) for r in replies)))
    index = {told: n for n, told in enumerate(tolds)}
    rows = np.array([_joint(of, replies, told) for told in tolds])
    seen = list(product(*(range(len(k)) for k in kinds)))
    seen.sort(key=lambda s: -sum(map(bool, s)))
    values: dict[tuple[int, ...], Mass] = {s: np.full(len(tolds), np.inf) for s in seen}
    alive = {s: rows @ _likelihood(of, s) for s in seen}
    for asked in range(len(replies), -1, -1):
        level = np.array([n for n, told in enumerate(tolds) if sum(t >= 0 for t in told) == asked])
        after = [_after(tolds, index, level, q, len(r)) for q, r in enumerate(replies)]
        for s in seen:
            best = alive[s][level] * assumed.GIVE_UP
            for q, (places, following) in enumerate(after):
                spent = alive[s][level][places] * of.asking(of.questions[q])
                best[places] = np.minimum(best[places], spent + values[s][following].sum(axis=1))
            for cost, then in _turned(of, kinds, s):
                best = np.minimum(best, alive[s][level] * cost + sum(values[t][level] for t in then))
            values[s][level] = best
    return float(values[(0,) * len(kinds)][index[(-1,) * len(replies)]])


def _kind(of: Small, lever: str) -> tuple[str, ...]:
    ways = list(of.mind.book.levers[lever].ways.values())
    if len(ways) == 1:
        return ONE_WAY
    return TWO_WAYS if ways[0].opposite else TWO_LOOKS


def _joint(of: Small, replies: Sequence[dict[str | None, Mass]], told: Sequence[int]) -> Mass:
    found = of.prior.copy()
    for each, reply in zip(replies, told, strict=True):
        if reply >= 0:
            found = found * list(each.values())[reply]
    return found


def _after(
    tolds: Sequence[tuple[int, ...]], index: dict[tuple[int, ...], int], level: Places, q: int, replies: int
) -> tuple[Places, Places]:
    """Places in the level where a question is open, and for each the states after its answers."""
    places = [n for n, at in enumerate(level) if tolds[at][q] < 0]
    told = [tolds[level[n]] for n in places]
    then = [[index[(*t[:q], r, *t[q + 1 :])] for r in range(replies)] for t in told]
    return np.array(places, dtype=np.intp), np.array(then, dtype=np.intp).reshape(len(places), replies)


def _likelihood(of: Small, seen: Sequence[int]) -> Mass:
    """P(what was seen of the levers, and no cure yet | hypothesis)."""
    found = np.ones(of.size)
    for lever, state in zip(of.levers, seen, strict=True):
        acts = of.acts(lever)
        one, other, nothing = acts.T
        some = (1 - one, 1 - other) if _kind(of, lever) is TWO_LOOKS else (other, one)
        found = found * (np.ones(of.size), nothing, *some)[state]
    return found


def _turned(
    of: Small, kinds: Sequence[tuple[str, ...]], seen: tuple[int, ...]
) -> Iterator[tuple[float, list[tuple[int, ...]]]]:
    """Each single change: its minutes, and the states in which it leaves what it does not cure."""
    for place, (lever, kind) in enumerate(zip(of.levers, kinds, strict=True)):
        ways = list(of.mind.book.levers[lever].ways)

        def put(state: int, at: int = place) -> tuple[int, ...]:
            return (*seen[:at], state, *seen[at + 1 :])

        if kind is TWO_LOOKS:
            yield from (
                (of.minutes([(lever, ways[way])]), [put(then)]) for way, then in LOOKS_LEFT[seen[place]]
            )
        elif seen[place] == 0 and kind is ONE_WAY:
            yield of.minutes([(lever, ways[0])]), [put(1)]
        elif seen[place] == 0:
            yield of.minutes([(lever, ways[0])]), [put(1), put(2)]
            yield of.minutes([(lever, ways[1])]), [put(1), put(3)]
        elif seen[place] >= 2:  # the way that made it worse is known: the other cures
            yield of.minutes([(lever, ways[1 if seen[place] == 2 else 0])]), []
