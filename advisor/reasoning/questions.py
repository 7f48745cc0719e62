"""The next question: the one that is expected to save the most minutes on the way to a cure."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from advisor.model import conditions
from advisor.model.advice import Question
from advisor.model.knowledge import BALANCES, PHASES, Observation
from advisor.reasoning.belief import _mass, answer_terms
from advisor.reasoning.cures import Links
from advisor.reasoning.evidence import Answers, Evidence
from advisor.reasoning.ranking import cost
from advisor.reasoning.tables import Tables

# Minutes a day's search costs when nothing on the list has helped: back to baseline, ask a specialist.
GIVE_UP = 90.0
# Minutes charged for driving on with a dangerous fault; low, because danger is met by stopping, not by price.
DANGER = 60.0
# How far ahead the search for a cure is followed, and how many questions are looked at closely.
HORIZON = 6
CLOSE_LOOK = 12
# A minute of talking in the pits is worth this many minutes of work and running.
TALK = 0.5


@dataclass(frozen=True, slots=True)
class Search:
    """What choosing a question needs: cure rates by option (lever and way not barred) and the danger levels."""

    costs: tuple[float, ...]
    rates: tuple[Mapping[int, float], ...]
    dangers: Mapping[int, float]


def search(
    tables: Tables, table: Links, moved: Mapping[str, Mapping[int, float]], barred: frozenset[tuple[str, str]]
) -> Search:
    """Lay out the options and their cure rates once, for all the answers to be looked at."""
    costs, rates = [], []
    for lever, row in table.items():
        ways: dict[str, dict[int, float]] = {}
        for i, link in row.items():
            stated = moved.get(lever, {}).get(i, link.stated)
            for way, right in ((link.way, stated), (link.opposite, 1 - stated)):
                if way is not None and (lever, way) not in barred:
                    ways.setdefault(way, {})[i] = link.cures * right
        for rate in ways.values():
            costs.append(cost(tables.book.levers[lever]))
            rates.append(rate)
    from advisor.model.scale import PROBABILITY

    dangers = {i: PROBABILITY[c.danger.at] for i, c in enumerate(tables.book.causes.values()) if c.danger}
    return Search(tuple(costs), tuple(rates), dangers)


def expected_cost(space: Search, belief: Sequence[float]) -> float:
    """Expected minutes to a cure when the option of the best chance over cost is tried again and again.

    Heckerman, Breese, Rommelse, Decision-theoretic troubleshooting, CACM 38(3), 1995: the greedy
    order, here recomputed after each failure, cut off after HORIZON options.
    """
    left = list(belief)
    minutes, alive = 0.0, 1.0
    for _ in range(HORIZON):
        best, chance = -1, 0.0
        top = 0.0
        for k, rate in enumerate(space.rates):
            value = sum(left[i] * r for i, r in rate.items())
            if value > top * space.costs[k]:
                best, chance, top = k, value, value / space.costs[k]
        if best < 0 or chance < 0.01 * alive:
            break
        minutes += alive * space.costs[best]
        for i, r in space.rates[best].items():
            left[i] *= 1 - r
        alive = sum(left)
    danger = 0.0
    for i, at in space.dangers.items():
        if belief[i] < at:  # not yet likely enough to stop: it may be driven
            danger += belief[i]
    return minutes + alive * GIVE_UP + danger * DANGER


def next_question(
    tables: Tables, space: Search, evidence: Evidence, belief: Sequence[float], skipped: frozenset[str]
) -> Question | None:
    """Return the question whose answer is expected to save most after the time it takes, or None."""
    candidates = []
    for observation in tables.book.observations.values():
        if observation.id in skipped or not askable(observation, evidence):
            continue
        split = _split(tables, observation, evidence, belief)
        candidates.append((_information(split, belief), observation, split))
    candidates.sort(key=lambda c: (-c[0] / (30 + c[1].seconds), c[1].id))
    now = expected_cost(space, belief)
    best: tuple[float, Observation] | None = None
    for _, observation, split in candidates[:CLOSE_LOOK]:
        after = sum(p * expected_cost(space, then) for p, then in split.values())
        gain = now - after - TALK * observation.seconds / 60
        if gain > 0 and (best is None or gain > best[0]):
            best = (gain, observation)
    return as_question(best[1], best[0]) if best else None


def as_question(observation: Observation, gain: float) -> Question:
    texts = tuple(a.text for a in observation.answers.values())
    return Question(observation.id, observation.question, tuple(observation.answers), texts, gain)


def askable(observation: Observation, evidence: Evidence) -> bool:
    """A question is asked when it is open, is meant to be asked, and makes sense here."""
    if not observation.asked or evidence.answered(observation.id):
        return False
    return conditions.holds(observation.asked_if, evidence.facts)


Split = dict[str, tuple[float, list[float]]]  # answer -> its probability, the belief after it


def _split(tables: Tables, observation: Observation, evidence: Evidence, belief: Sequence[float]) -> Split:
    found: Split = {}
    for answer in observation.answers:
        factors = _factors(tables, observation.id, answer, evidence)
        joint = [b * f for b, f in zip(belief, factors, strict=True)]
        p = sum(joint)
        if p > 1e-9:
            found[answer] = (p, [j / p for j in joint])
    total = sum(p for p, _ in found.values())
    return {a: (p / total, then) for a, (p, then) in found.items()}


def _factors(tables: Tables, ident: str, answer: str, evidence: Evidence) -> list[float]:
    """P(answer | hypothesis, what is already said of the same)."""
    one = frozenset((answer,))
    if ident in ("phase", "balance"):
        return _feel_factors(tables, ident, one, evidence)
    usual = tables.usual[ident][answer]
    terms = answer_terms(tables, ident, one)
    return [usual] * len(tables.hypotheses) if terms is None else [usual * math.exp(t) for t in terms]


def _feel_factors(tables: Tables, ident: str, one: Answers, evidence: Evidence) -> list[float]:
    phases = evidence.feel.phases or frozenset(PHASES)
    balances = evidence.feel.balances or frozenset(BALANCES)
    narrowed = (one & phases, balances) if ident == "phase" else (phases, one & balances)

    def share(cells: Mapping[tuple[str, str], float]) -> float:
        return _mass(dict(cells), *narrowed) / _mass(dict(cells), phases, balances)

    mean = share(tables.mean_feel)
    return [share(tables.feel[i]) if i in tables.feel else mean for i in range(len(tables.hypotheses))]


def _information(split: Split, belief: Sequence[float]) -> float:
    """Mutual information of the answer and the cause, in nats: a cheap first sieve."""
    gain = 0.0
    for p, then in split.values():
        for b, t in zip(belief, then, strict=True):
            if t > 0 and b > 0:
                gain += p * t * math.log(t / b)
    return gain
