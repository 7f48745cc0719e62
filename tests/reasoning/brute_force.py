"""A posterior worked out another way: products of probabilities over all hypotheses, no logarithms kept."""

from __future__ import annotations

import math

from advisor.inference.evidence import Evidence
from advisor.inference.tables import Tables
from advisor.model import conditions
from advisor.model.assumed import CHANGED, FEEL_MISTAKEN, MISSED, OWN_CAUSE, UNLISTED_CELL
from advisor.model.knowledge import BALANCES, PHASES, Cause
from advisor.model.scale import PROBABILITY


def posterior(tables: Tables, evidence: Evidence) -> list[float]:
    """Multiply the numbers of the tables for each hypothesis, then divide by the total."""
    weights = []
    for i, ident in enumerate(tables.hypotheses):
        weight = tables.prior[i]
        cause = tables.book.causes.get(ident)
        if cause and cause.undoes_change and evidence.changes:
            weight *= CHANGED
        if cause and _sound(tables, cause, evidence):
            weight *= MISSED
        weight *= _felt(tables, i, evidence.answers.get("feel", frozenset()), FEEL_MISTAKEN)
        weight *= _felt(tables, i, evidence.second, OWN_CAUSE)
        for ident_of, kept in _weights(tables, evidence).items():
            weight *= _ratio(tables, i, ident_of, evidence) ** kept
        for odds in cause.odds if cause else ():
            weight *= odds.times if conditions.holds(odds.where, evidence.facts) else 1.0
        weights.append(weight)
    return [w / sum(weights) for w in weights]


def _sound(tables: Tables, cause: Cause, evidence: Evidence) -> bool:
    """Whether all that a stop for this cause would inspect was found sound, for it or for other reasons."""
    looked: set[str] = set()
    for reason in evidence.cleared:
        if reason in tables.book.causes:
            danger = tables.book.causes[reason].danger
            looked |= set(danger.inspect) if danger else set()
        else:
            ident, answer = reason.split(": ")
            looked |= set(tables.book.observations[ident].answers[answer].inspect)
    if not evidence.cleared or cause.danger is None:
        return False
    return cause.id in evidence.cleared or looked >= set(cause.danger.inspect)


def _felt(tables: Tables, i: int, told: frozenset[str], mistaken: float) -> float:
    """P(what is told of phase and balance), summed over every cell that it allows; none told are all."""
    cause = tables.book.causes.get(tables.hypotheses[i])
    cells = _cells(cause) if cause and cause.feel else None
    total = 0.0
    for phase in PHASES:
        for balance in BALANCES:
            if not told or f"{phase} {balance}" in told:
                mean = tables.usual["feel"][f"{phase} {balance}"]
                cell = cells[phase, balance] if cells else mean
                total += (1 - mistaken) * cell + mistaken * mean
    return total


def _cells(cause: Cause) -> dict[tuple[str, str], float]:
    """How often the file of a cause says that each phase and balance is felt."""
    words = {(p, b): getattr(cause.feel, b).get(p) for p in PHASES for b in BALANCES}
    cells = {cell: PROBABILITY[word] if word else UNLISTED_CELL for cell, word in words.items()}
    return {cell: p / sum(cells.values()) for cell, p in cells.items()}


def _ratio(tables: Tables, i: int, observation: str, evidence: Evidence) -> float:
    """P(answers | hypothesis) over P(answers) as usual."""
    usual = tables.usual[observation]
    row = tables.rows.get(observation, {}).get(i, usual)
    answers = evidence.answers[observation]
    return sum(row[a] for a in answers) / sum(usual[a] for a in answers)


def _weights(tables: Tables, evidence: Evidence) -> dict[str, float]:
    """How much of its weight each answer keeps: in an overlapping group only the strongest keeps it all.

    The strength of an answer is how far it moves the odds of the causes, by their prior.
    """
    weights = {o: 1.0 for o in evidence.answers if o != "feel"}
    for group in tables.book.overlaps.values():
        members = [o for o in weights if tables.book.observations[o].overlaps == group.id]
        strength = {
            o: sum(p * abs(math.log(_ratio(tables, i, o, evidence))) for i, p in enumerate(tables.prior))
            for o in members
        }
        for o in members:
            if o != max(members, key=lambda m: (strength[m], m)):
                weights[o] = group.kept
    return weights
