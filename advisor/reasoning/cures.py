"""How levers answer causes: through the effects that causes need, or directly; and what trials say of it.

Each pair of lever and cause has one link: the way that helps, how often it cures if the lever acts as
stated, and the chance that it does. The direction itself is a hypothesis: where it is false, the
opposite way helps. Trials move the cause and the direction together.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from advisor.model import conditions
from advisor.model.case import Tried, Verdict
from advisor.model.knowledge import Book, Gives, Lever, Need, Remedy
from advisor.model.scale import PROBABILITY
from advisor.reasoning.belief import Belief
from advisor.reasoning.evidence import Evidence

# P(verdict | what the change really did): drivers and stopwatches err. Elicited, no source.
VERDICT_IF: dict[str, dict[Verdict, float]] = {
    "cured": {"better": 0.85, "same": 0.12, "worse": 0.03},
    "nothing": {"better": 0.15, "same": 0.70, "worse": 0.15},
    "hurt": {"better": 0.05, "same": 0.30, "worse": 0.65},
}


@dataclass(frozen=True, slots=True)
class Link:
    """How one lever answers one cause. `stated`: chance that `way` helps; else `opposite` does.

    `cures`: how often the helping way cures. `gives` and `need` are the claims behind it, or `remedy`.
    """

    lever: str
    way: str
    opposite: str | None
    stated: float
    cures: float
    gives: Gives | None = None
    need: Need | None = None
    remedy: Remedy | None = None

    def helps(self, way: str, as_stated: bool) -> bool:
        return way == (self.way if as_stated else self.opposite)

    def hurts(self, way: str, as_stated: bool) -> bool:
        return self.opposite is not None and way == (self.opposite if as_stated else self.way)


def certainty(gives: Gives) -> float:
    """Chance that a claim acts as stated."""
    return GEOMETRY if gives.geometry else agreement(len(gives.agree), len(gives.disagree))


GEOMETRY = 0.99  # statics do not change sign; what is left is a part turned the wrong way by mistake

Links = dict[str, dict[int, Link]]  # lever -> hypothesis -> link


def agreement(agree: int, disagree: int) -> float:
    """Chance that a direction is as stated, from counts of sources: the mean of Beta(A + 1, D + 1)."""
    return (agree + 1) / (agree + disagree + 2)


def links(book: Book, evidence: Evidence) -> Links:
    """Every link that holds in the regime of this evidence; of several for one pair, the most useful."""
    table: Links = {}
    giving: dict[str, list[tuple[Lever, Gives]]] = {}
    for lever in book.levers.values():
        for gives in claims(lever, evidence.facts):
            giving.setdefault(gives.effect, []).append((lever, gives))
    for i, cause in enumerate(book.causes.values()):
        for remedy in cause.remedies:
            lever = book.levers[remedy.lever]
            opposite = lever.ways[remedy.direction].opposite
            _add(
                table,
                i,
                Link(lever.id, remedy.direction, opposite, 1.0, PROBABILITY[remedy.cures], remedy=remedy),
            )
        for need in cause.needs:
            for link in _supplying(giving.get(need.effect, ()), need):
                _add(table, i, link)
        if cause.undoes_change:
            for link in _undoing(book, evidence):
                _add(table, i, link)
    return table


def _add(table: Links, i: int, link: Link) -> None:
    row = table.setdefault(link.lever, {})
    old = row.get(i)
    if old is not None and old.remedy and link.gives and old.way == link.way:
        # the same advice twice: how often it cures is said of the cause, which way it acts by the sources
        row[i] = replace(link, cures=max(link.cures, old.cures), remedy=old.remedy)
    elif old is None or link.stated * link.cures > old.stated * old.cures:
        row[i] = link


def claims(lever: Lever, facts: conditions.Facts) -> Iterable[Gives]:
    """The claims of a lever in this regime: for each effect of a way and its opposite, the first that holds."""
    seen = set()
    for gives in lever.gives:
        axis = frozenset((gives.way, lever.ways[gives.way].opposite, gives.effect))
        if axis not in seen and conditions.holds(gives.where, facts):
            seen.add(axis)
            yield gives


def _supplying(giving: Iterable[tuple[Lever, Gives]], need: Need) -> Iterable[Link]:
    for lever, gives in giving:
        opposite = lever.ways[gives.way].opposite
        way, other = (gives.way, opposite) if gives.change == need.change else (opposite, gives.way)
        if way is not None:
            stated = certainty(gives)
            cures = PROBABILITY[gives.supplies] * PROBABILITY[need.cures]
            yield Link(lever.id, way, other, stated, cures, gives, need)


def _undoing(book: Book, evidence: Evidence) -> Iterable[Link]:
    for ident, way in evidence.changes:
        lever = book.levers.get(ident)
        opposite = lever.ways[way].opposite if lever and way in lever.ways else None
        if opposite:
            yield Link(ident, opposite, None, 1.0, PROBABILITY["very likely"])


def outcome(link: Link | None, way: str, verdict: Verdict, as_stated: bool = True) -> float:
    """P(verdict | cause, direction as stated or not) of turning a lever one way."""
    nothing = VERDICT_IF["nothing"][verdict]
    if link is None:
        return nothing
    if link.helps(way, as_stated):
        return link.cures * VERDICT_IF["cured"][verdict] + (1 - link.cures) * nothing
    if link.hurts(way, as_stated):
        return link.cures * VERDICT_IF["hurt"][verdict] + (1 - link.cures) * nothing
    return nothing


def trial_terms(table: Links, tried: Iterable[Tried], size: int) -> dict[str, list[float]]:
    """Ledger lines of the trials: log P(verdicts | cause) / P(verdicts | a cause it does not touch), by lever.

    Trials of one lever share its direction, so they are weighed together.
    """
    by_lever: dict[str, list[Tried]] = {}
    for trial in tried:
        by_lever.setdefault(trial.lever, []).append(trial)
    lines = {}
    for lever, trials in by_lever.items():
        row = table.get(lever, {})
        untouched = math.prod(outcome(None, t.direction, t.verdict) for t in trials)
        terms = [0.0] * size
        for i, link in row.items():
            terms[i] = math.log(sum(_direction_weights(link, trials)) / untouched)
        lines[f"tried {lever}"] = terms
    return lines


def _direction_weights(link: Link, trials: Iterable[Tried]) -> tuple[float, float]:
    """Joint weight of the direction being as stated and being the opposite, with the verdicts of the trials."""
    stated, opposite = link.stated, 1 - link.stated
    for trial in trials:
        stated *= outcome(link, trial.direction, trial.verdict, True)
        opposite *= outcome(link, trial.direction, trial.verdict, False)
    return stated, opposite


@dataclass(frozen=True, slots=True)
class Prospect:
    """What one way of one lever is worth now: `chance` that it cures, `confidence` that it acts as stated.

    `best` is the hypothesis that carries most of it.
    """

    lever: str
    way: str
    chance: float
    confidence: float
    best: int


def after_trials(table: Links, tried: Iterable[Tried]) -> dict[str, dict[int, float]]:
    """Chance that each link of a lever that was tried acts as stated, given its cause and the verdicts."""
    trials = list(tried)
    moved: dict[str, dict[int, float]] = {}
    for lever in {t.lever for t in trials}:
        mine = [t for t in trials if t.lever == lever]
        for i, link in table.get(lever, {}).items():
            stated, opposite = _direction_weights(link, mine)
            moved.setdefault(lever, {})[i] = stated / (stated + opposite)
    return moved


def prospects(table: Links, belief: Belief, moved: Mapping[str, Mapping[int, float]]) -> list[Prospect]:
    """Every way of every lever that may cure something."""
    found = []
    p = belief.probabilities
    for lever, row in table.items():
        sums: dict[str, list[float]] = {}
        carriers: dict[str, tuple[bool, float, int]] = {}
        for i, link in row.items():
            stated = moved.get(lever, {}).get(i, link.stated)
            for way, right in ((link.way, stated), (link.opposite, 1 - stated)):
                if way is None:
                    continue
                share = p[i] * link.cures
                row_sums = sums.setdefault(way, [0.0, 0.0])
                row_sums[0] += share * right
                row_sums[1] += share
                # a way is explained by a cause that it helps as the sources have it, if there is one
                carriers[way] = max(carriers.get(way, (False, -1.0, -1)), (way == link.way, share * right, i))
        for way, (chance, total) in sums.items():
            if total > 0:
                found.append(Prospect(lever, way, chance, chance / total, carriers[way][2]))
    return found
