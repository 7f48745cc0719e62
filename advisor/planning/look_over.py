"""The look-over: the quick looks that pay now, as one list to go through while the kart stands there."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from advisor.inference.evidence import Evidence
from advisor.inference.tables import Tables
from advisor.model import assumed
from advisor.model.advice import Look, Question
from advisor.model.knowledge import Observation
from advisor.model.scale import PROBABILITY
from advisor.planning import questions
from advisor.planning.repair import Repair

MOST = 10  # lines of a list, so that it fits one screen

Weigh = Callable[[Evidence], Sequence[float]]  # the belief after evidence


def sound(observation: Observation) -> str | None:
    """The answer that a sound kart gives; None where there is none such, or where the kart need not stand there."""
    if not observation.stand:
        return None
    usual = [(PROBABILITY[a.usual], ident) for ident, a in observation.answers.items() if not a.alarm]
    chance, ident = max(usual, default=(0.0, ""))
    return ident if chance >= assumed.SOUND else None


def look_over(
    tables: Tables, plan: Repair, evidence: Evidence, weigh: Weigh, skipped: Collection[str], first: Question
) -> tuple[Look, ...]:
    """The list that begins with `first`; empty where that is no look at the standing kart, or nothing goes with it.

    Each further look is the one that is worth most a minute if those before it are found sound, as most are.
    """
    looks: list[Look] = []
    passed = set(skipped)
    asked: Question | None = first
    spent = 0.0
    while asked is not None and len(looks) < MOST:
        observation = tables.book.observations[asked.id]
        fine = sound(observation)
        spent += assumed.TICK + observation.seconds
        if fine is None or (looks and spent > assumed.LIST_SECONDS):
            break
        looks.append(Look(asked, fine, observation.answers[fine].text))
        passed.add(asked.id)
        evidence = evidence.answering(asked.id, fine)
        asked = _next(tables, plan, evidence, weigh(evidence), passed)
    return tuple(looks) if len(looks) > 1 else ()


def _next(
    tables: Tables, plan: Repair, evidence: Evidence, belief: Sequence[float], passed: Collection[str]
) -> Question | None:
    """The look that is worth most a minute, of those that find something now and then."""

    def in_doubt(observation: Observation) -> bool:
        found = list(questions.expected(tables, observation, evidence, belief))
        off = sum(
            e.usual * e.mean for e in found if PROBABILITY[observation.answers[e.answer].usual] <= assumed.OFF
        )
        return sound(observation) is not None and off >= assumed.OFTEN * sum(e.usual * e.mean for e in found)

    return questions.next_question(
        tables, plan, evidence, belief, passed, only=in_doubt, reading=assumed.TICK
    )
