"""What the kart model says of a change on a kart, in a sentence: for beside an advice or an explanation."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from advisor.mechanics.chain import WORDS, Words, brief, span
from advisor.mechanics.known import Known, Pieces, known
from advisor.mechanics.outlook import Base, Change, Outlook, Row, base, outlook
from advisor.mechanics.turns import SIDED, held, one_step, sign_of
from advisor.model.advice import Advice, Amount
from advisor.model.case import Case
from advisor.model.knowledge import Book, Gives, Lever
from advisor.physics.contacts import G
from advisor.units import UNITS

QUOTED = 200  # karts: a sentence needs no finer ends
# What the model has for an effect (`measures.MEASURES`) in words, and how its figure is told; the inside rear's lift
# stands before them all.
SAID: dict[str, tuple[str, Words]] = {
    "front_bite_entry": ("braking in, the front has {} side force in hand", Words("", "kg", G)),
    "front_bite_mid": ("the front has {} side force in hand", Words("", "kg", G)),
    "front_bite_exit": ("driving out, the front has {} side force in hand", Words("", "kg", G)),
    "rear_side_bite": ("the rear has {} side force in hand", Words("", "kg", G)),
    "braking_stability": ("braking in, the rear has {} side force in hand", Words("", "kg", G)),
    "rear_release": (
        "driving out, the locked axle resists the turn by {}",
        Words("", "N m", more="less", less="more"),
    ),
    "rear_traction": ("driving out, the rear tyres have {} drive in hand", Words("", "kg", G)),
    "two_wheel_calm": ("it tips on to two wheels {}", Words("", "g", more="later", less="earlier")),
    "steering_ease": (
        "holding the lock takes {} about the king-pins",
        Words("", "N m", more="less", less="more"),
    ),
}


@dataclass(frozen=True)
class Quoter:
    """A kart in its corner, worked out once for any number of changes. Loads numpy with its first quotation.

    settings: those of several values too, such as corner weights.
    """

    book: Book
    case: Case
    settings: Mapping[str, Pieces] | None = None

    @cached_property
    def kart(self) -> Known:
        """What is known of the kart."""
        return known(self.case, self.settings)

    @cached_property
    def _base(self) -> Base:
        return base(self.kart.figures, karts=QUOTED)

    def seen(self, lever: Lever, way: str, amount: float) -> Outlook | None:
        """What a change does, its amount as a magnitude; None where the model holds nothing of it."""
        if not held(lever) or way not in lever.ways or (sign := sign_of(lever, way)) == 0:
            return None
        mirrored = lever.id in SIDED and self.kart.turn == "right"
        return outlook(self._base, [Change(lever.id, way, sign * amount * (-1 if mirrored else 1))])

    def beside(self, advice: Advice) -> str:
        """What an advised change does to this kart, in a sentence: the lift of the inside rear, and what it is for.

        Empty where the model holds nothing of it, or cannot tell.
        """
        lever = self.book.levers[advice.lever]
        if not held(lever):
            return ""
        seen = self.seen(lever, advice.direction, _size(lever, advice.amount))
        if seen is None:
            return ""
        told = [_lift(seen.rows["lifts_at"]), self._wanted(lever, advice, seen)]
        told = [text for text in told if text]
        whose = "this kart" if self.kart.told else "a usual kart"
        return f"On {whose}, by the wheel loads: {'; '.join(told)}." if told else ""

    def _wanted(self, lever: Lever, advice: Advice, seen: Outlook) -> str:
        """What becomes of the effect that the change is for; where the sources have it the other way, what is left out."""
        if advice.effect not in SAID:
            return ""
        template, words = SAID[advice.effect]
        row = seen.effects[advice.effect]
        if row.sign not in ("more", "less"):
            return ""
        text = template.format(span(words, row))
        claim = _claim(lever, advice)
        if claim is None or (claim.change == row.sign) == (claim.way == advice.direction):
            return text
        if claim.statics is None:
            return ""
        return f"{text}, against what the sources say: the loads leave out {claim.statics.left_out}"


def _claim(lever: Lever, advice: Advice) -> Gives | None:
    """The claim without a regime about the effect of an advice, as it is stated."""
    return next((g for g in lever.gives if g.effect == advice.effect and not g.where), None)


def _lift(row: Row) -> str:
    """From which to which acceleration the lift moves; empty where that cannot be told, or hardly be felt."""
    if row.sign not in ("more", "less") or abs(row.middle) < row.tiny:
        return ""
    by = span(WORDS["lifts_at"], row)
    before, after = f"{row.before:.2f}", f"{row.after:.2f}"
    if before == after:
        return f"the inside rear lifts {by}, of {before} g"
    return f"the inside rear lifts at {after} instead of {before} g ({by})"


def _size(lever: Lever, amount: Amount | None) -> float:
    """An advised amount as the model counts it: SI in all, grades or pieces."""
    if amount is None or lever.step is None:
        return one_step(lever)
    if amount.unit in ("grade", "piece"):
        return amount.value
    return amount.value * UNITS[amount.unit].factor * lever.step.counts


def quote(
    book: Book, lever: str, way: str, case: Case | None = None, settings: Mapping[str, Pieces] | None = None
) -> str:
    """What one step of a lever does to this kart, with its spread; empty where the model holds nothing of it.

    Loads numpy and takes about a tenth of a second, so call it for what is looked at, not for every rank.
    """
    entry = book.levers[lever]
    if not held(entry):
        return ""
    quoter = Quoter(book, case or Case(), settings)
    seen = quoter.seen(entry, way, one_step(entry))
    if seen is None:
        return ""
    if all(row.sign == "nothing" for row in (*seen.effects.values(), *seen.rows.values())):
        return "one step changes too little for the wheel loads to tell."
    corner = f"in a {quoter.kart.turn or 'left'}-hander, " if lever in SIDED else ""
    return f"{corner}{brief(seen)}"
