"""The next question: the one that is expected to save the most minutes on the way to a cure."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from advisor.model import conditions
from advisor.model.advice import Question
from advisor.model.feel import by_observation
from advisor.model.knowledge import Lever, Observation
from advisor.model.scale import PROBABILITY
from advisor.reasoning import repair
from advisor.reasoning.belief import answer_moves
from advisor.reasoning.cures import Link, Links
from advisor.reasoning.evidence import Evidence
from advisor.reasoning.ranking import RUN_MINUTES, cost, minutes, runs
from advisor.reasoning.repair import Action, Query, Rates, Repair
from advisor.reasoning.tables import Tables
from advisor.reasoning.trials import VERDICT_IF, Moved, rates

# Minutes that a fault costs which stays: about the running of a day, and a specialist's look. Ours, no source.
GIVE_UP = 300.0
# Minutes charged for driving on with a dangerous fault; low, because danger is met by stopping, not by price.
DANGER = 30.0
CLOSE_LOOK = 12  # questions whose value is worked out, the most informative ones
# How often a question gets an answer at all in the pits, by what it takes (ours, no source).
ANSWERED = {"remember": 0.9, "look": 0.6, "measure": 0.4}
# A minute of talking in the pits is worth this many minutes of work and running.
TALK = 0.5


@dataclass(frozen=True, slots=True)
class Search:
    """What choosing a question needs: the options not barred (a lever turned one way) with their cure rates.

    `rates[k]` are pairs of hypothesis and P(option k cures it), `options[i]` the same by hypothesis;
    `dangers` are pairs of hypothesis and the probability from which driving is stopped, `problem` is the
    same as a search for a cure.
    """

    costs: tuple[float, ...]
    rates: tuple[tuple[tuple[int, float], ...], ...]
    options: tuple[tuple[tuple[int, float], ...], ...]
    dangers: tuple[tuple[int, float], ...]
    problem: Repair


def search(
    tables: Tables,
    table: Links,
    moved: Moved,
    barred: frozenset[tuple[str, str]],
) -> Search:
    """Lay out the options and their cure rates once, for all the answers to be looked at."""
    costs: list[float] = []
    cured: list[tuple[tuple[int, float], ...]] = []
    options: list[list[tuple[int, float]]] = [[] for _ in tables.hypotheses]
    actions: list[Action] = []
    for pair, (lever, row) in enumerate(table.items()):
        for way, rate in _rates(row, moved.get(lever, {})).items():
            if (lever, way) in barred:
                continue
            for i, r in rate.items():
                options[i].append((len(costs), r))
            costs.append(cost(tables.book.levers[lever], way))
            cured.append(tuple(rate.items()))
            actions.append(_action(tables.book.levers[lever], way, cured[-1], pair))
    causes = enumerate(tables.book.causes.values())
    dangers = tuple((i, PROBABILITY[c.danger.at]) for i, c in causes if c.danger)
    problem = Repair(tuple(actions), (), GIVE_UP)
    return Search(tuple(costs), tuple(cured), tuple(map(tuple, options)), dangers, problem)


def _action(lever: Lever, way: str, cures: Rates, pair: int) -> Action:
    """A way of a lever as the search for a cure sees it; only what a run judges is judged with errors."""
    action = Action(max(1.0, minutes(lever, way)), runs(lever, way) * RUN_MINUTES, cures, pair=pair)
    if lever.ways[way].look or runs(lever, way) < 1:
        return action
    return repair.judged(action, VERDICT_IF["cured"]["better"], VERDICT_IF["nothing"]["better"])


def _rates(row: Mapping[int, Link], moved: Mapping[int, tuple[float, float]]) -> dict[str, dict[int, float]]:
    ways: dict[str, dict[int, float]] = {}
    for i, link in row.items():
        for way, rate in rates(link, moved.get(i)):
            if way is not None and rate > 0:
                ways.setdefault(way, {})[i] = rate
    return ways


def next_question(
    tables: Tables, space: Search, evidence: Evidence, belief: Sequence[float], skipped: frozenset[str]
) -> Question | None:
    """Return the question whose answer is expected to save most after the time it takes, or None.

    None too when it is better to change something first and to ask after the run.
    """
    foreseen = _foreseen(tables, evidence, belief, skipped)
    first, chances = best_option(space, belief)
    close = [
        (observation, shifts)
        for observation, shifts in foreseen[:CLOSE_LOOK]
        if any(_matters(space, belief, chances, first, shift) for shift in shifts)
    ]
    found = repair.next_query(space.problem, [_query(space, *f, belief) for f in close], belief)
    return as_question(close[found[0]][0], found[1]) if found else None


def telling(
    tables: Tables, evidence: Evidence, belief: Sequence[float], skipped: frozenset[str]
) -> tuple[Question, ...]:
    """Every open question, the one that tells most a second first."""
    return tuple(as_question(o, 0.0) for o, _ in _foreseen(tables, evidence, belief, skipped))


def _foreseen(
    tables: Tables, evidence: Evidence, belief: Sequence[float], skipped: frozenset[str]
) -> list[tuple[Observation, list[Shift]]]:
    able = [o for o in tables.book.observations.values() if o.id not in skipped and askable(o, evidence)]
    foreseen = [(o, outlook(tables, o, evidence, belief)) for o in able]
    return sorted(foreseen, key=lambda f: (-_told(f[0], f[1], belief), f[0].id))


def _told(observation: Observation, shifts: Sequence[Shift], belief: Sequence[float]) -> float:
    """Nats a second: a cheap first sieve."""
    nats = sum(s.p * s.information(belief) for s in shifts)
    return nats * ANSWERED[observation.effort] / (30 + observation.seconds)


def _query(
    space: Search, observation: Observation, shifts: Sequence[Shift], belief: Sequence[float]
) -> Query:
    """A question as the search for a cure sees it. Dangers that it brings to light save minutes of their own."""
    driven = _driven_on(space, belief) - sum(s.p * _driven_on(space, s.belief(belief)) for s in shifts)
    return Query(
        TALK * observation.seconds / 60,
        tuple(tuple((i, w / belief[i]) for i, w in s.weights.items() if belief[i]) for s in shifts),
        tuple(s.p / s.total for s in shifts),
        ANSWERED[observation.effort],
        driven * DANGER,
    )


def _driven_on(space: Search, belief: Sequence[float]) -> float:
    """The chance of a dangerous fault that does not stop the driving."""
    return sum([belief[i] for i, at in space.dangers if belief[i] < at])


def _matters(
    space: Search, belief: Sequence[float], chances: Sequence[float], first: int, shift: Shift
) -> bool:
    """True when an answer changes what comes first, or brings a danger that stops the driving."""
    stops = any(
        shift.weight(i, belief) >= at * shift.total > belief[i] * shift.total for i, at in space.dangers
    )
    return stops or shifted_best(space, belief, chances, shift) != first


def best_option(space: Search, belief: Sequence[float]) -> tuple[int, list[float]]:
    """The option of the best chance over cost, and the chance of each."""
    chances = [sum([belief[i] * r for i, r in rates]) for rates in space.rates]
    return max(range(len(chances)), key=lambda k: chances[k] / space.costs[k], default=-1), chances


def shifted_best(space: Search, belief: Sequence[float], chances: Sequence[float], shift: Shift) -> int:
    """The option of the best chance over cost after an answer; only what the answer touches is added up."""
    then = shifted(space, belief, chances, shift)
    return max(range(len(then)), key=lambda k: then[k] / space.costs[k], default=-1)


def shifted(space: Search, belief: Sequence[float], chances: Sequence[float], shift: Shift) -> list[float]:
    """The chance of each option after an answer, times `shift.total`."""
    then = list(chances)
    for i, weight in shift.weights.items():
        more = weight - belief[i]
        for k, r in space.options[i]:
            then[k] += more * r
    return then


def as_question(observation: Observation, gain: float) -> Question:
    texts = tuple(a.text for a in observation.answers.values())
    answers = tuple(observation.answers)
    return Question(observation.id, observation.question, answers, texts, gain, observation.seconds)


def askable(observation: Observation, evidence: Evidence) -> bool:
    """A question is asked when it is open, is meant to be asked, and makes sense here."""
    if not observation.asked or evidence.answered(observation.id):
        return False
    return conditions.holds(observation.asked_if, evidence.facts)


@dataclass(frozen=True, slots=True)
class Shift:
    """What an answer does to a belief: its probability, and the new weight of each hypothesis it touches.

    The weights of the others stay; `total` is what all weights add up to then.
    """

    answer: str
    p: float
    total: float
    weights: Mapping[int, float]

    def weight(self, i: int, belief: Sequence[float]) -> float:
        return self.weights.get(i, belief[i])

    def belief(self, before: Sequence[float]) -> list[float]:
        """The whole belief after the answer."""
        after = [b / self.total for b in before]
        for i, weight in self.weights.items():
            after[i] = weight / self.total
        return after

    def information(self, before: Sequence[float]) -> float:
        """Divergence of the belief after the answer from that before, in nats: a cheap first sieve."""
        kept, gain = 1.0, 0.0
        for i, weight in self.weights.items():
            kept -= before[i]
            if weight > 0 and before[i] > 0:
                gain += weight * math.log(weight / before[i])
        return gain / self.total - math.log(self.total)


def outlook(
    tables: Tables, observation: Observation, evidence: Evidence, belief: Sequence[float]
) -> list[Shift]:
    """The shift of each answer to a question that can be expected at all."""
    found = []
    for answer in observation.answers:
        usual, factors = _factors(tables, observation.id, answer, evidence)
        weights = {i: belief[i] * f for i, f in factors.items()}
        total = 1.0 + sum([w - belief[i] for i, w in weights.items()])
        if usual * total > 1e-9:
            found.append((answer, usual * total, total, weights))
    every = sum(p for _, p, _, _ in found)
    return [Shift(answer, p / every, total, weights) for answer, p, total, weights in found]


def _factors(tables: Tables, ident: str, answer: str, evidence: Evidence) -> tuple[float, dict[int, float]]:
    """P(answer) as usual and, against it, P(answer | hypothesis), given what is already said of the same.

    The former up to a factor; nothing for what was ruled out.
    """
    observation, left = by_observation(evidence.answers, ident, frozenset((answer,)))
    left &= evidence.answers.get(observation, left)
    usual = sum(p for a, p in tables.usual[observation].items() if a in left)
    moves = answer_moves(tables, evidence, ident, answer) if usual else {}
    return usual, {i: math.exp(t) for i, t in moves.items()}
