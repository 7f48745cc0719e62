"""How often the people of a team can answer a question here, beside what the trade has of questions of its kind.

A question that has to be measured gets its answer more rarely than one that is remembered, and every team has its own
tools, hands and habits. So the trade's word on a kind of question (who answers, and what it takes) is worth so many
answers, the team's own are counted beside it, and what is then held of the kind is worth so many answers to each
question of it (credibility: Bühlmann and Straub, Glaubwürdigkeit für Schadensätze, 1970; a beta-binomial with two
levels, Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, ch. 5).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from advisor.model import assumed
from advisor.model.case import Asked
from advisor.model.knowledge import Book


@dataclass(frozen=True, slots=True)
class Answering:
    """How often a question gets an answer: `trade`, by what it takes; `here`, with what this team answered.

    `kind`: how often questions of its kind were put and answered, `own`: how often this one.
    """

    trade: float
    here: float
    kind: tuple[int, int]
    own: tuple[int, int]


def learn(book: Book, asked: Iterable[Asked], who: str) -> dict[str, Answering]:
    """What the team answered while the same people were there, by question; nothing for a kind never asked."""
    counts: dict[str, tuple[int, int]] = {}
    for row in asked:
        if row.who == who and row.question in book.observations and 0 <= row.answered <= row.times:
            times, answered = counts.get(row.question, (0, 0))
            counts[row.question] = times + row.times, answered + row.answered
    found: dict[str, Answering] = {}
    for effort, trade in assumed.ANSWERED[who].items():
        kind = [o.id for o in book.observations.values() if o.effort == effort]
        each = [counts[q] for q in sorted(kind) if q in counts]
        if each:
            rate = kind_rate(trade, each)
            whole = sum(n for n, _ in each), sum(a for _, a in each)
            found |= {q: _of_one(trade, rate, whole, counts.get(q, (0, 0))) for q in kind}
    return found


def kind_rate(trade: float, each: Iterable[tuple[int, int]]) -> float:
    """How often questions of a kind are answered, by (times, answered) of each.

    Answers to one question tell of each other, so n of them count as n (Q + 1) / (Q + n) of different ones, Q being
    what the kind is worth beside a question's own.
    """
    worth = assumed.ANSWERS_QUESTION
    hoped, counted = assumed.ANSWERS_TRADE * trade, assumed.ANSWERS_TRADE
    for times, answered in each:
        counts = (worth + 1) / (worth + times)
        hoped += answered * counts
        counted += times * counts
    return hoped / counted


def _of_one(trade: float, rate: float, kind: tuple[int, int], own: tuple[int, int]) -> Answering:
    times, answered = own
    here = (assumed.ANSWERS_QUESTION * rate + answered) / (assumed.ANSWERS_QUESTION + times)
    return Answering(trade, here, kind, own)
