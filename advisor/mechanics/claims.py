"""What the trade says of a lever beside what the kart model says: agree, disagree, depends, cannot tell."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from advisor.mechanics.known import ANSWERS
from advisor.mechanics.measures import MEASURES
from advisor.mechanics.outlook import Base, Change, Outlook, base, outlook
from advisor.mechanics.rows import Row
from advisor.mechanics.turns import SIDED, held, one_step, sign_of
from advisor.model.knowledge import Book
from advisor.model.levers import Gives, Lever
from advisor.physics.elements import DEGREE
from advisor.physics.figures import Figure

Verdict = Literal["agree", "disagree", "depends", "cannot tell", "not in the model"]
ALIKE = 0.9  # of the karts that move must move one way for the model to have a sign
MOVED = 0.5  # of all karts must move at all; see `rows.SIGNED`
# Regimes that are about sides of the kart: they turn the claim, not the figures.
RIGHT = "observed.direction", "right"
ASIDE = ("observed.direction",)
SETUP: dict[tuple[str, str], dict[str, Figure]] = {
    ("setup.caster", "> 20 deg"): {"caster": Figure(22 * DEGREE, 20 * DEGREE, 25 * DEGREE, "the claim")},
    ("setup.tyres.compound", "hard"): {"friction": Figure(1.4, 1.15, 1.6, "hard tyres, assumption")},
    ("setup.rear_hub_length", "< 80 mm"): {"hub_grip": Figure(0.035, 0.02, 0.05, "assumption")},
}


@dataclass(frozen=True, slots=True)
class Judged:
    """A claim of the trade beside the model; `row` is the change of the figure that the model has for the effect."""

    lever: str
    gives: Gives
    verdict: Verdict
    row: Row | None = None
    reason: str = ""  # why it is not in the model


def judge(row: Row, more: bool) -> Verdict:
    """A claim of more or less of an effect, beside how the figure for it moves."""
    claimed, other = (row.up, row.down) if more else (row.down, row.up)
    moved = claimed + other
    if moved >= MOVED and claimed >= ALIKE * moved:
        return "agree"
    if moved >= MOVED and other >= ALIKE * moved:
        return "disagree"
    return "depends" if min(claimed, other) >= 1 - ALIKE else "cannot tell"


def beside(lever: Lever, way: str, seen: Outlook, gives: Sequence[Gives]) -> Iterator[Judged]:
    """Claims about a lever beside an outlook in which it was turned `way`."""
    for claim in gives:
        if claim.effect not in MEASURES:
            yield Judged(lever.id, claim, "not in the model", reason="effect")
            continue
        row = seen.effects[claim.effect]
        turned = claim.way != way
        yield Judged(lever.id, claim, judge(row, (claim.change == "more") != turned), row)


def regime(where: Mapping[str, str]) -> dict[str, Figure] | None:
    """The figures of a regime; None where it is about what the model does not hold, such as heat."""
    figures: dict[str, Figure] = {}
    for path, test in where.items():
        if path in ASIDE:
            continue
        question = path.removeprefix("observed.")
        rows = [ANSWERS.get(f"{question} {answer}") for answer in test.split("|")]
        if (path, test) in SETUP:
            rows = [SETUP[path, test]]
        if path == "observed.track":  # a dry track is the usual one
            rows = [row or {} for row in rows]
        if path == "observed.machine":
            rows = [row if row is not None else {} for row in rows]
        known = [row for row in rows if row is not None]
        if len(known) < len(rows):
            return None
        figures.update(_either(known))
    return figures


def _either(rows: Sequence[Mapping[str, Figure]]) -> dict[str, Figure]:
    """Figures that cover each of several regimes; what one of them leaves as usual is left as usual."""
    names = set(rows[0]).intersection(*rows[1:]) if rows else set()
    found = {}
    for name in names:
        all_ = [row[name] for row in rows]
        middle = sum(f.usual for f in all_) / len(all_)
        found[name] = Figure(middle, min(f.low for f in all_), max(f.high for f in all_), all_[0].source)
    return found


def judged(book: Book, karts: int) -> Iterator[Judged]:
    """Every claim of every lever over the ranges of the figures."""
    known = _Known(karts)
    for lever in book.levers.values():
        for gives in lever.gives:
            yield _judged(lever, gives, known)


class _Known:
    """Karts of each regime and what each change does to them, worked out once."""

    def __init__(self, karts: int) -> None:
        self._karts = karts
        self._bases: dict[str, Base] = {}
        self._seen: dict[tuple[str, Change], Outlook] = {}

    def outlook(self, where: Mapping[str, str], figures: Mapping[str, Figure], change: Change) -> Outlook:
        """The outlook of a change in a regime."""
        key = str(sorted(where.items())) if figures else ""
        if key not in self._bases:
            self._bases[key] = base(figures, karts=self._karts)
        if (key, change) not in self._seen:
            self._seen[key, change] = outlook(self._bases[key], [change])
        return self._seen[key, change]


def _judged(lever: Lever, gives: Gives, known: _Known) -> Judged:
    if not held(lever) or sign_of(lever, gives.way) == 0:
        return Judged(lever.id, gives, "not in the model", reason="lever")
    if gives.effect not in MEASURES:
        return Judged(lever.id, gives, "not in the model", reason="effect")
    figures = regime(gives.where)
    if figures is None:
        return Judged(lever.id, gives, "not in the model", reason="regime")
    mirrored = lever.id in SIDED and gives.where.get(RIGHT[0]) == RIGHT[1]
    sign = sign_of(lever, gives.way) * (-1 if mirrored else 1)
    seen = known.outlook(gives.where, figures, Change(lever.id, gives.way, sign * one_step(lever)))
    row = seen.effects[gives.effect]
    return Judged(lever.id, gives, judge(row, gives.change == "more"), row)
