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


def certainty(gives: Gives) -> float:
    """Chance that a claim acts as stated."""
    return GEOMETRY if gives.geometry else agreement(len(gives.agree), len(gives.disagree))


GEOMETRY = 0.99  # statics do not change sign; what is left is a part turned the wrong way by mistake

Links = dict[str, dict[int, Link]]  # lever -> hypothesis -> link
Acting = tuple[float, float, float]  # cures by its way, by the opposite, does nothing
Moved = Mapping[str, Mapping[int, tuple[float, float]]]  # lever -> hypothesis -> chances that each way cures


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


def acting(link: Link, trials: Iterable[Tried] = ()) -> Acting:
    """Weights of what the lever does to this cause, with the verdicts of its trials: not normalised.

    What it does is drawn once: it cures by the way stated, by the opposite, or it does nothing. So a
    change that was tried in vain is less likely to cure when it is tried again.
    """
    stated, opposite, nothing = link.stated * link.cures, (1 - link.stated) * link.cures, 1 - link.cures
    for trial in trials:
        verdict = trial.verdict
        if link.opposite is None or trial.direction not in (link.way, link.opposite):
            touched = "cured" if trial.direction == link.way else "nothing"
            other = "nothing"
        else:
            touched, other = ("cured", "hurt") if trial.direction == link.way else ("hurt", "cured")
        stated *= VERDICT_IF[touched][verdict]
        opposite *= VERDICT_IF[other][verdict]
        nothing *= VERDICT_IF["nothing"][verdict]
    return stated, opposite, nothing


def trial_terms(table: Links, tried: Iterable[Tried], size: int) -> dict[str, list[float]]:
    """Ledger lines of the trials: log P(verdicts | cause) / P(verdicts | a cause it does not touch), by lever.

    Trials of one lever share what it does, so they are weighed together.
    """
    by_lever: dict[str, list[Tried]] = {}
    for trial in tried:
        by_lever.setdefault(trial.lever, []).append(trial)
    lines = {}
    for lever, trials in by_lever.items():
        row = table.get(lever, {})
        untouched = math.prod(VERDICT_IF["nothing"][t.verdict] for t in trials)
        terms = [0.0] * size
        for i, link in row.items():
            terms[i] = math.log(sum(acting(link, trials)) / untouched)
        lines[f"tried {lever}"] = terms
    return lines


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


def after_trials(table: Links, tried: Iterable[Tried]) -> Moved:
    """For each link of a lever that was tried, the chances that its way and the opposite cure, given the cause."""
    trials = list(tried)
    moved: dict[str, dict[int, tuple[float, float]]] = {}
    for lever in {t.lever for t in trials}:
        mine = [t for t in trials if t.lever == lever]
        for i, link in table.get(lever, {}).items():
            stated, opposite, nothing = acting(link, mine)
            total = stated + opposite + nothing
            moved.setdefault(lever, {})[i] = stated / total, opposite / total
    return moved


def rates(link: Link, moved: tuple[float, float] | None) -> tuple[tuple[str | None, float], ...]:
    """The ways of a link with the chance that each cures, given its cause."""
    stated, opposite = moved or acting(link)[:2]
    return (link.way, stated), (link.opposite, opposite)


def prospects(table: Links, belief: Belief, moved: Moved) -> list[Prospect]:
    """Every way of every lever that may cure something."""
    found = []
    p = belief.probabilities
    for lever, row in table.items():
        sums: dict[str, list[float]] = {}
        carriers: dict[str, tuple[bool, float, int]] = {}
        for i, link in row.items():
            each = rates(link, moved.get(lever, {}).get(i))
            either = sum(rate for _, rate in each)
            for way, rate in each:
                if way is None:
                    continue
                row_sums = sums.setdefault(way, [0.0, 0.0])
                row_sums[0] += p[i] * rate
                row_sums[1] += p[i] * either
                # a way is explained by a cause that it helps as the sources have it, if there is one
                carriers[way] = max(carriers.get(way, (False, -1.0, -1)), (way == link.way, p[i] * rate, i))
        for way, (chance, total) in sums.items():
            if total > 0:
                found.append(Prospect(lever, way, chance, chance / total, carriers[way][2]))
    return found
