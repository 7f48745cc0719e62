"""The next question: the one whose answer is worth most a minute on the way to a cure."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from advisor.inference.belief import answer_moves
from advisor.inference.evidence import Evidence
from advisor.inference.tables import Tables
from advisor.model import assumed, conditions
from advisor.model.advice import Question
from advisor.model.feel import AXES, by_observation
from advisor.model.knowledge import Observation
from advisor.model.scale import PROBABILITY
from advisor.planning import repair
from advisor.planning.repair import Query, Repair

LEAST = 1e-9  # an answer less likely than this is not foreseen


def next_question(
    tables: Tables,
    plan: Repair,
    evidence: Evidence,
    belief: Sequence[float],
    skipped: Collection[str],
    only: Callable[[Observation], bool] = lambda _: True,
    reading: float | None = None,
) -> Question | None:
    """Return the question that is worth most a minute, or None where none is worth its own time.

    `only` those questions are looked at. `reading`: seconds to read one and to answer, `READING` unless said.
    """
    able, queries = _foreseen(tables, evidence, belief, skipped, only, reading)
    found = repair.next_query(plan, queries, belief)
    return as_question(able[found[0]], found[1]) if found else None


def telling(
    tables: Tables, plan: Repair, evidence: Evidence, belief: Sequence[float], skipped: Collection[str]
) -> tuple[Question, ...]:
    """Every open question, the one that is worth most a minute first."""
    able, queries = _foreseen(tables, evidence, belief, skipped)
    return tuple(as_question(able[k], 0.0) for k in repair.ranked_queries(plan, queries, belief))


def _foreseen(
    tables: Tables,
    evidence: Evidence,
    belief: Sequence[float],
    skipped: Collection[str],
    only: Callable[[Observation], bool] = lambda _: True,
    reading: float | None = None,
) -> tuple[list[Observation], list[Query]]:
    able = [
        o
        for o in tables.book.observations.values()
        if o.id not in skipped and only(o) and askable(o, evidence)
    ]
    able.sort(key=lambda o: o.id)
    answered = answer_rates(tables, evidence, skipped)
    dangers = {
        i: PROBABILITY[cause.danger.at]
        for i, cause in enumerate(tables.book.causes.values())
        if cause.danger and belief[i] < PROBABILITY[cause.danger.at]
    }
    return able, [outlook(tables, o, evidence, belief, answered[o.id], dangers, reading) for o in able]


def answer_rates(tables: Tables, evidence: Evidence, asked: Collection[str]) -> dict[str, float]:
    """How often these people can answer each question: the usual rates here, as far as they held so far.

    Usual is what a question takes (`ANSWERED`), and what the team answered before (`evidence.able`).
    """
    by_effort = assumed.ANSWERED[evidence.who]
    usual = {o.id: evidence.able.get(o.id, by_effort[o.effort]) for o in tables.book.observations.values()}
    answered, hoped = assumed.ANSWERED_WORTH, assumed.ANSWERED_WORTH
    told = evidence.told
    for question in sorted(q for q in asked if q in usual):
        answered += question in told
        hoped += usual[question] * (1.0 if question in told else assumed.UNANSWERED)
    return {question: min(1.0, rate * answered / hoped) for question, rate in usual.items()}


def outlook(
    tables: Tables,
    observation: Observation,
    evidence: Evidence,
    belief: Sequence[float],
    answered: float = 1.0,
    dangers: Mapping[int, float] = MappingProxyType({}),
    reading: float | None = None,
) -> Query:
    """A question as the search for a cure sees it: each answer that can be expected, with what it says of each cause.

    An answer that brings a danger to light, `dangers` with the probability from which driving is stopped, saves
    minutes of its own.
    """
    reading = assumed.READING if reading is None else reading
    answers = list(expected(tables, observation, evidence, belief))
    every = sum(a.usual * a.mean for a in answers) or 1.0
    found = sum(
        a.usual / every * belief[i] * ratio
        for a in answers
        for i, ratio in a.ratios.items()
        if i in dangers and belief[i] * ratio >= dangers[i] * a.mean
    )
    rows = tuple(tuple(a.ratios.items()) for a in answers)
    usual = tuple(a.usual / every for a in answers)
    return Query((reading + observation.seconds) / 60, rows, usual, answered, found * assumed.DANGER_MINUTES)


@dataclass(frozen=True, slots=True)
class Expected:
    """An answer that may come: P(answer) as usual up to a factor, and P(answer | hypothesis) / that, with its mean."""

    answer: str
    usual: float
    ratios: Mapping[int, float]
    mean: float


def expected(
    tables: Tables, observation: Observation, evidence: Evidence, belief: Sequence[float]
) -> Iterator[Expected]:
    """The answers to a question that can be expected at all."""
    for answer in observation.answers:
        usual, ratios = _factors(tables, observation.id, answer, evidence)
        mean = 1.0 + sum([belief[i] * (r - 1) for i, r in ratios.items()])
        if usual * mean > LEAST:
            yield Expected(answer, usual, ratios, mean)


def _factors(tables: Tables, ident: str, answer: str, evidence: Evidence) -> tuple[float, dict[int, float]]:
    """P(answer) as usual and, against it, P(answer | hypothesis), given what is already said of the same.

    The former up to a factor; nothing for what was ruled out.
    """
    observation, left = by_observation(evidence.answers, ident, frozenset((answer,)))
    left &= evidence.answers.get(observation, left)
    usual = sum(p for a, p in tables.usual[observation].items() if a in left)
    moves = answer_moves(tables, evidence, ident, answer) if usual else {}
    return usual, {i: math.exp(t) for i, t in moves.items()}


def nearest(
    tables: Tables, plan: Repair, evidence: Evidence, belief: Sequence[float], lever: str
) -> list[tuple[str, str]]:
    """Open questions with an answer that alarms nobody, that first which brings the ways of one lever nearest the top.

    What is foreseen is the worth over the minutes; nothing is reasoned again.
    """
    options: dict[int, list[tuple[int, float]]] = {}
    for k, action in enumerate(plan.actions):
        for i, gain in action.worth:
            options.setdefault(i, []).append((k, gain))
    worths = [sum([belief[i] * g for i, g in a.worth]) for a in plan.actions]
    own = [k for k, action in enumerate(plan.actions) if action.name[0] == lever]
    found = []
    for observation in tables.book.observations.values():
        if observation.id in AXES or not askable(observation, evidence):
            continue
        for one in expected(tables, observation, evidence, belief):
            then = list(worths)
            for i, ratio in one.ratios.items():
                for k, gain in options.get(i, ()):
                    then[k] += belief[i] * (ratio - 1) * gain
            worth = [w / a.minutes for w, a in zip(then, plan.actions, strict=True)]
            if not observation.answers[one.answer].alarm:
                found.append(
                    (max((worth[k] for k in own), default=0.0) / max(worth), observation.id, one.answer)
                )
    return [(question, answer) for _, question, answer in sorted(found, key=lambda f: (-f[0], f[1:]))]


def as_question(observation: Observation, gain: float) -> Question:
    texts = tuple(a.text for a in observation.answers.values())
    answers = tuple(observation.answers)
    return Question(observation.id, observation.question, answers, texts, gain, observation.seconds)


def askable(observation: Observation, evidence: Evidence) -> bool:
    """A question is asked when it is open, is meant to be asked, and makes sense here."""
    if not observation.asked or evidence.answered(observation.id):
        return False
    return conditions.holds(observation.asked_if, evidence.facts)
