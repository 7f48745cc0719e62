"""Exact Bayes over single causes, with a ledger: log prior plus one log term for each piece of evidence.

Terms are ratios to `unknown`, whose rows are the usual ones; so each term stands by itself, the order
of the answers does not matter, and leaving one out changes the log ratio by exactly that term.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from advisor.model import conditions
from advisor.model.knowledge import BALANCES, PHASES
from advisor.reasoning.evidence import Answers, Evidence, Feels
from advisor.reasoning.tables import Cells, Tables

# A second fault has a cause of its own this often; then it tells nothing about the first (our assumption).
OWN_CAUSE = 0.4
# Weight of "the change you made is the cause" against all other causes together (common practice).
CHANGE_ODDS = 0.6
FEEL_MISTAKEN = 0.05

Terms = list[float]


@dataclass(frozen=True, slots=True)
class Belief:
    """Probabilities of the hypotheses, and what they are made of.

    `ledger[name][i]` is log P(evidence | i) / P(evidence | unknown).
    """

    probabilities: tuple[float, ...]
    prior: tuple[float, ...]
    ledger: Mapping[str, tuple[float, ...]]

    def account(self, i: int) -> dict[str, float]:
        """Log-odds of hypothesis i against all others, split: `prior`, each piece of evidence, `rivals`.

        The values add up to log(p / (1 - p)). Prior and evidence are measured against `unknown`;
        `rivals` is what the other causes take away.
        """
        p, unknown = self.probabilities[i], self.probabilities[-1]
        lines = {"prior": _log(self.prior[i]) - _log(self.prior[-1])}
        lines.update({name: terms[i] for name, terms in self.ledger.items() if terms[i]})
        lines["rivals"] = _log(unknown) - _log(max(1 - p, 0.0))
        return lines


def _log(p: float) -> float:
    return math.log(p) if p > 0 else -745.0  # about the log of the least positive float


def believe(tables: Tables, evidence: Evidence, trials: Mapping[str, Terms] | None = None) -> Belief:
    """Posterior over the hypotheses. `trials` are log terms of changes tried, from advisor.reasoning.cures."""
    prior = _prior(tables, evidence)
    ledger: dict[str, tuple[float, ...]] = {}
    for name, terms in _terms(tables, evidence):
        ledger[name] = tuple(terms)
    for name, terms in (trials or {}).items():
        ledger[name] = tuple(terms)
    logs = [_log(p) + sum(terms[i] for terms in ledger.values()) for i, p in enumerate(prior)]
    top = max(logs)
    weights = [math.exp(x - top) if p > 0 else 0.0 for x, p in zip(logs, prior, strict=True)]
    total = sum(weights)
    return Belief(tuple(w / total for w in weights), prior, ledger)


def _prior(tables: Tables, evidence: Evidence) -> tuple[float, ...]:
    """The change that was made is a suspect beside all others, if the complaint names which way it went."""
    if not any(way for _, way in evidence.changes):
        return tables.prior
    causes = tables.book.causes
    undoing = [i for i, h in enumerate(tables.hypotheses) if h in causes and causes[h].undoes_change]
    raised = list(tables.prior)
    for i in undoing:
        raised[i] = CHANGE_ODDS / len(undoing)
    total = sum(raised)
    return tuple(p / total for p in raised)


def _terms(tables: Tables, evidence: Evidence) -> Iterable[tuple[str, Terms]]:
    if not evidence.feel.empty:
        yield "feel", _feel_terms(tables, evidence.feel, 0.0)
    if not evidence.second.empty:
        yield "second", _feel_terms(tables, evidence.second, OWN_CAUSE)
    grouped: dict[str, list[tuple[str, Terms]]] = {}
    for ident, answers in sorted(evidence.answers.items()):
        terms = answer_terms(tables, ident, answers)
        if terms is not None:
            group = tables.book.observations[ident].overlaps or f"={ident}"
            grouped.setdefault(group, []).append((ident, terms))
    for group, members in grouped.items():
        yield from _without_overlap(tables, group, members)
    yield from _odds_terms(tables, evidence)


def answer_terms(tables: Tables, ident: str, answers: Answers) -> Terms | None:
    """log P(answers | cause) / P(answers | unknown) for each hypothesis; None where no cause cares."""
    rows = tables.rows.get(ident)
    if not rows:
        return None
    usual = sum(tables.usual[ident][a] for a in answers)
    terms = [0.0] * len(tables.hypotheses)
    for i, row in rows.items():
        terms[i] = _log(sum(row[a] for a in answers) / usual)
    return terms


def answer_moves(tables: Tables, evidence: Evidence, ident: str, answer: str) -> Terms:
    """By how much one more answer moves the log ratio of each hypothesis to `unknown`.

    Exactly what `believe` would find, but only what the answer touches is worked out: its overlap group
    and the odds that it sets off.
    """
    then = evidence.answering(ident, answer)
    group = tables.book.observations[ident].overlaps
    idents = [
        i for i in then.answers if i == ident or (group and tables.book.observations[i].overlaps == group)
    ]
    moves = [0.0] * len(tables.hypotheses)
    for sign, known in ((1.0, then), (-1.0, evidence)):
        members = [
            (i, t)
            for i in sorted(idents)
            if i in known.answers and (t := answer_terms(tables, i, known.answers[i]))
        ]
        for _, terms in _without_overlap(tables, group or "", members):
            moves = [m + sign * t for m, t in zip(moves, terms, strict=True)]
    for i, odds in tables.stirred.get(ident, ()):
        now, before = (conditions.holds(odds.where, e.facts) for e in (then, evidence))
        moves[i] += math.log(odds.times) * (now - before)
    return moves


def _without_overlap(
    tables: Tables, group: str, members: list[tuple[str, Terms]]
) -> Iterable[tuple[str, Terms]]:
    """The strongest observation of a group counts whole, the others keep a share of their weight."""
    overlap = tables.book.overlaps.get(group)
    if overlap is None or len(members) < 2:
        yield from members
        return
    strength = {
        ident: sum(p * abs(t) for p, t in zip(tables.prior, terms, strict=True)) for ident, terms in members
    }
    strongest = max(strength, key=lambda ident: (strength[ident], ident))
    for ident, terms in members:
        yield ident, terms if ident == strongest else [overlap.kept * t for t in terms]


def _feel_terms(tables: Tables, feel: Feels, own: float) -> Terms:
    """Phase and balance are weighed together, and summed over whichever is not told."""
    phases, balances = feel.phases or frozenset(PHASES), feel.balances or frozenset(BALANCES)
    usual = feel_mass(tables.mean_feel, phases, balances)
    terms = [0.0] * len(tables.hypotheses)
    for i, cells in tables.feel.items():
        share = max(own, FEEL_MISTAKEN)
        terms[i] = _log(((1 - share) * feel_mass(cells, phases, balances) + share * usual) / usual)
    return terms


def feel_mass(cells: Cells, phases: Answers, balances: Answers) -> float:
    """Probability of the cells that some phases and balances allow."""
    # in a fixed order: sets are walked differently in every process, and the last bit would follow
    return sum(cells[p, b] for p in PHASES if p in phases for b in BALANCES if b in balances)


def _odds_terms(tables: Tables, evidence: Evidence) -> Iterable[tuple[str, Terms]]:
    """Setup values and conditions that multiply the odds of a cause, one ledger line for each circumstance."""
    lines: dict[str, Terms] = {}
    for i, ident in enumerate(tables.hypotheses[:-1]):
        for odds in tables.book.causes[ident].odds:
            if conditions.holds(odds.where, evidence.facts):
                line = lines.setdefault(" & ".join(sorted(odds.where)), [0.0] * len(tables.hypotheses))
                line[i] += math.log(odds.times)
    yield from lines.items()
