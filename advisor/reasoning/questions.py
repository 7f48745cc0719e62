"""The next question: the one that is expected to save the most minutes on the way to a cure."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from advisor.model import conditions
from advisor.model.advice import Question
from advisor.model.knowledge import BALANCES, PHASES, Observation
from advisor.model.scale import PROBABILITY
from advisor.reasoning.belief import answer_moves, feel_mass
from advisor.reasoning.cures import Link, Links
from advisor.reasoning.evidence import Answers, Evidence
from advisor.reasoning.ranking import cost
from advisor.reasoning.tables import Cells, Tables

# Minutes a day's search costs when nothing on the list has helped: back to baseline, ask a specialist.
GIVE_UP = 90.0
# Minutes charged for driving on with a dangerous fault; low, because danger is met by stopping, not by price.
DANGER = 30.0
# How far ahead the search for a cure is followed, and how many questions are looked at closely.
HORIZON = 6
CLOSE_LOOK = 12
# How often a question gets an answer at all in the pits, by what it takes (ours, no source).
ANSWERED = {"remember": 0.9, "look": 0.6, "measure": 0.4}
# A minute of talking in the pits is worth this many minutes of work and running.
TALK = 0.5


@dataclass(frozen=True, slots=True)
class Search:
    """What choosing a question needs: the options not barred (a lever turned one way) with their cure rates.

    `rates[k]` are pairs of hypothesis and P(option k cures it), `options[i]` the same by hypothesis;
    `dangers` are pairs of hypothesis and the probability from which driving is stopped.
    """

    costs: tuple[float, ...]
    rates: tuple[tuple[tuple[int, float], ...], ...]
    options: tuple[tuple[tuple[int, float], ...], ...]
    dangers: tuple[tuple[int, float], ...]


def search(
    tables: Tables,
    table: Links,
    moved: Mapping[str, Mapping[int, float]],
    barred: frozenset[tuple[str, str]],
) -> Search:
    """Lay out the options and their cure rates once, for all the answers to be looked at."""
    costs: list[float] = []
    rates: list[tuple[tuple[int, float], ...]] = []
    options: list[list[tuple[int, float]]] = [[] for _ in tables.hypotheses]
    for lever, row in table.items():
        for way, rate in _rates(row, moved.get(lever, {})).items():
            if (lever, way) in barred:
                continue
            for i, r in rate.items():
                options[i].append((len(costs), r))
            costs.append(cost(tables.book.levers[lever]))
            rates.append(tuple(rate.items()))
    causes = enumerate(tables.book.causes.values())
    dangers = tuple((i, PROBABILITY[c.danger.at]) for i, c in causes if c.danger)
    return Search(tuple(costs), tuple(rates), tuple(map(tuple, options)), dangers)


def _rates(row: Mapping[int, Link], moved: Mapping[int, float]) -> dict[str, dict[int, float]]:
    ways: dict[str, dict[int, float]] = {}
    for i, link in row.items():
        stated = moved.get(i, link.stated)
        for way, right in ((link.way, stated), (link.opposite, 1 - stated)):
            if way is not None and right > 0:
                ways.setdefault(way, {})[i] = link.cures * right
    return ways


def expected_cost(space: Search, belief: Sequence[float]) -> float:
    """Expected minutes to a cure when the option of the best chance over cost is tried again and again.

    Heckerman, Breese, Rommelse, Decision-theoretic troubleshooting, CACM 38(3), 1995: the greedy
    order, here recomputed after each failure, cut off after HORIZON options.
    """
    left = list(belief)
    chances = [0.0] * len(space.costs)
    for i, p in enumerate(left):
        for k, r in space.options[i]:
            chances[k] += p * r
    minutes, alive = 0.0, 1.0
    for _ in range(HORIZON if chances else 0):
        best = max(range(len(chances)), key=lambda k: chances[k] / space.costs[k])
        if chances[best] < 0.01 * alive:
            break
        minutes += alive * space.costs[best]
        for i, r in space.rates[best]:
            cured = left[i] * r
            left[i] -= cured
            alive -= cured
            for k, other in space.options[i]:
                chances[k] -= cured * other
    driven_on = sum(belief[i] for i, at in space.dangers if belief[i] < at)
    return minutes + alive * GIVE_UP + driven_on * DANGER


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
    candidates.sort(key=lambda c: (-c[0] * ANSWERED[c[1].effort] / (30 + c[1].seconds), c[1].id))
    now = expected_cost(space, belief)
    best: tuple[float, Observation] | None = None
    for _, observation, split in candidates[:CLOSE_LOOK]:
        if not _matters(space, belief, split):
            continue
        after = sum(p * expected_cost(space, then) for p, then in split.values())
        gain = ANSWERED[observation.effort] * (now - after) - TALK * observation.seconds / 60
        if gain > 0 and (best is None or gain > best[0]):
            best = (gain, observation)
    return as_question(best[1], best[0]) if best else None


def _matters(space: Search, belief: Sequence[float], split: Split) -> bool:
    """True when some answer changes what comes first, or brings a danger that stops the driving."""
    first = _best(space, belief)
    stops = any(then[i] >= at > belief[i] for _, then in split.values() for i, at in space.dangers)
    return stops or any(_best(space, then) != first for _, then in split.values())


def _best(space: Search, belief: Sequence[float]) -> int:
    """The option of the best chance over cost."""
    chances = [0.0] * len(space.costs)
    for i, p in enumerate(belief):
        for k, r in space.options[i]:
            chances[k] += p * r
    return max(range(len(chances)), key=lambda k: chances[k] / space.costs[k], default=-1)


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
    if ident in ("phase", "balance"):
        return _feel_factors(tables, ident, frozenset((answer,)), evidence)
    usual = tables.usual[ident][answer]
    return [usual * math.exp(t) for t in answer_moves(tables, evidence, ident, answer)]


def _feel_factors(tables: Tables, ident: str, one: Answers, evidence: Evidence) -> list[float]:
    phases = evidence.feel.phases or frozenset(PHASES)
    balances = evidence.feel.balances or frozenset(BALANCES)
    narrowed = (one & phases, balances) if ident == "phase" else (phases, one & balances)

    def share(cells: Cells) -> float:
        return feel_mass(cells, *narrowed) / feel_mass(cells, phases, balances)

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
