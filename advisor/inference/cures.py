"""How levers answer causes: through the effects that causes need, or directly.

Each pair of lever and cause has one link: the way that helps, how often it cures if the lever acts as
stated, and the chance that it does. The direction itself is a hypothesis: where it is false, the
opposite way helps.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from advisor.inference.evidence import Evidence
from advisor.model import assumed, conditions
from advisor.model.knowledge import TEAM, Book, Fix, Need, Remedy
from advisor.model.levers import Gives, Lever
from advisor.model.scale import PROBABILITY


@dataclass(frozen=True, slots=True)
class Link:
    """How one lever answers one cause. `stated`: chance that `way` helps; else `opposite` does.

    `cures`: how often the helping way cures. `gives` and `need` are the claims behind it, or `remedy`.
    `look`: done on the stand, and part of a whole inspection of its lever. `fix`: what a team found out
    itself and trusts; `against`: the rest of the book has the opposite way.
    """

    lever: str
    way: str
    opposite: str | None
    stated: float
    cures: float
    gives: Gives | None = None
    need: Need | None = None
    remedy: Remedy | None = None
    look: bool = False
    fix: Fix | None = None
    against: bool = False

    def acts(self, way: str) -> bool:
        """True when turning the lever that way does what this link says: the same way, or a whole inspection."""
        return way == self.way or (self.look and way == WHOLE)


def certainty(gives: Gives) -> float:
    """Chance that a claim acts as stated."""
    return assumed.GEOMETRY if gives.geometry else agreement(len(gives.agree), len(gives.disagree))


WHOLE = "check"  # the way of an inspection that looks at everything its lever has
PUT_BACK = ("put_back", "undo")  # for a change whose way, or what it was, is not told


Links = dict[str, dict[int, Link]]  # lever -> hypothesis -> link


def agreement(agree: int, disagree: int) -> float:
    """Chance that a direction is as stated, from counts of sources: the mean of Beta(A + 1, D + 1)."""
    return (agree + assumed.EACH_WAY) / (agree + disagree + 2 * assumed.EACH_WAY)


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
            way = lever.ways[remedy.direction]
            link = Link(
                lever.id, remedy.direction, way.opposite, 1.0, PROBABILITY[remedy.cures], remedy=remedy, look=way.look
            )  # fmt: skip
            _add(table, i, link)
        for need in cause.needs:
            for link in _supplying(giving.get(need.effect, ()), need):
                _add(table, i, link)
        if cause.undoes_change:
            for link in _undoing(book, evidence):
                _add(table, i, link)
    _overrule(table, book, evidence.facts)
    return table


def alike(book: Book, one: Evidence, other: Evidence) -> bool:
    """True where two have the same links: no claim and no fix asks for a fact in which they differ."""
    asked = {path for lever in book.levers.values() for gives in lever.gives for path in gives.where}
    asked.update(path for fix in book.fixes.values() for path in fix.where)
    return one.changes == other.changes and all(
        one.facts.get(path) == other.facts.get(path) for path in asked
    )


def _overrule(table: Links, book: Book, facts: conditions.Facts) -> None:
    """Put the trusted fixes of a team that hold here before what else is said of their lever and cause."""
    causes = list(book.causes)
    for fix in book.fixes.values():
        if fix.status == "trusted" and fix.cause is not None and conditions.holds(fix.where, facts):
            row = table.setdefault(fix.lever, {})
            i = causes.index(fix.cause)
            row[i] = _fixed(book.levers[fix.lever], fix, row.get(i))


def _fixed(lever: Lever, fix: Fix, old: Link | None) -> Link:
    """The link of a fix; the claims of others stay beside it where they say the same."""
    opposite = lever.ways[fix.direction].opposite
    if old is None or old.way != fix.direction:
        against = old is not None and old.way == opposite
        old = Link(lever.id, fix.direction, opposite, 1.0, 1.0, against=against)
    known = old.remedy
    remedy = Remedy(
        lever=lever.id, direction=fix.direction, cures=fix.cures,
        detail=known.detail if known else None, source=(f"{TEAM}:{fix.id}", *(known.source if known else ())),
    )  # fmt: skip
    stated = assumed.TRUSTED if opposite else 1.0
    return replace(old, stated=stated, cures=PROBABILITY[fix.cures], remedy=remedy, fix=fix)


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
    """The opposite of each change that was told with its way; else simply what was changed, put back."""
    cures = assumed.PUT_BACK
    told = False
    for ident, way in evidence.changes:
        lever = book.levers.get(ident)
        opposite = lever.ways[way].opposite if lever and way in lever.ways else None
        if opposite:
            told = True
            yield Link(ident, opposite, None, 1.0, cures)
    if not told and PUT_BACK[0] in book.levers:
        yield Link(*PUT_BACK, None, 1.0, cures)
