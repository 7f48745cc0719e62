"""What the kart model says beside an advised change, in a sentence, by its response surface: no arrays are loaded."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from advisor.mechanics import surface
from advisor.mechanics.known import Known
from advisor.mechanics.rows import Row
from advisor.mechanics.spans import WORDS, Words, span
from advisor.mechanics.turns import held, one_step, sign_of
from advisor.model.advice import Advice, Amount, Moved
from advisor.model.knowledge import Book
from advisor.model.levers import Gives, Lever
from advisor.physics.elements import G
from advisor.units import UNITS

# What the model has for an effect (`measures.MEASURES`) in words, how its figure is told, and what nobody would feel.
SAID: dict[str, tuple[str, Words, float]] = {
    "front_bite_entry": ("braking in, the front has {} side force in hand", Words("", "kg", G), 2.5),
    "front_bite_mid": ("the front has {} side force in hand", Words("", "kg", G), 2.5),
    "front_bite_exit": ("driving out, the front has {} side force in hand", Words("", "kg", G), 2.5),
    "rear_side_bite": ("the rear has {} side force in hand", Words("", "kg", G), 2.5),
    "braking_stability": ("braking in, the rear has {} side force in hand", Words("", "kg", G), 2.5),
    "rear_release": (
        "driving out, the locked axle resists the turn by {}",
        Words("", "N m", more="less", less="more"),
        1.0,
    ),
    "rear_traction": ("driving out, the rear tyres have {} drive in hand", Words("", "kg", G), 2.5),
    "two_wheel_calm": ("it tips on to two wheels {}", Words("", "g", more="later", less="earlier"), 0.004),
    "steering_ease": (
        "holding the lock takes {} about the king-pins",
        Words("", "N m", more="less", less="more"),
        0.15,
    ),
}


TINY = 0.004  # [g] of the lift that nobody would feel
SI = {"kg": "N"}  # the unit that the figures have, by the one that people read


def beside(book: Book, kart: Known, advice: Advice, wishes: Mapping[str, str] | None = None) -> str:
    """What an advised change does to this kart, in a sentence; see `moved`."""
    return sentence(kart, moved(book, kart, advice, wishes))


def sentence(kart: Known, loads: Sequence[Moved]) -> str:
    """What the model says of a change, as one sentence; empty where it says nothing."""
    whose = "this kart" if kart.told else "a usual kart"
    return f"On {whose}, by the wheel loads: {'; '.join(one.text for one in loads)}." if loads else ""


def moved(
    book: Book, kart: Known, advice: Advice, wishes: Mapping[str, str] | None = None
) -> tuple[Moved, ...]:
    """What an advised change does to this kart: the lift of the inside rear, and what the change is for.

    Empty where the model holds nothing of it, cannot tell the direction, or nobody would feel it. wishes: the units
    that are liked in the texts, by dimension.
    """
    lever = book.levers[advice.lever]
    if not held(lever) or advice.direction not in lever.ways:
        return ()
    steps = sign_of(lever, advice.direction) * _size(lever, advice.amount) / one_step(lever)
    if steps == 0:
        return ()
    both = (_lift(kart, lever, steps), _wanted(kart, lever, advice, steps, wishes or {}))
    return tuple(one for one in both if one is not None)


def _felt(row: Row | None, tiny: float) -> Row | None:
    """A figure that moves one way, by what could be felt."""
    sure = row is not None and abs(row.middle) >= tiny and row.sign in ("more", "less")
    return row if sure else None


def _lift(kart: Known, lever: Lever, steps: float) -> Moved | None:
    """From which to which acceleration the lift moves."""
    row, before = _felt(surface.moved(kart, lever.id, surface.LIFT, steps), TINY), surface.lift(kart)
    if row is None or before is None:
        return None
    by = span(WORDS[surface.LIFT], row)
    first, then = f"{before:.2f}", f"{before + row.middle:.2f}"
    if first == then:
        text = f"the inside rear lifts {by}, of {first} g"
    else:
        text = f"the inside rear lifts at {then} instead of {first} g ({by})"
    return Moved(surface.LIFT, "g", before, row.low, row.middle, row.high, text)


def _wanted(
    kart: Known, lever: Lever, advice: Advice, steps: float, wishes: Mapping[str, str]
) -> Moved | None:
    """What becomes of the effect that a change is for; where the sources have it the other way, what is left out."""
    if advice.effect is None or advice.effect not in SAID:
        return None
    template, words, tiny = SAID[advice.effect]
    row = _felt(surface.moved(kart, lever.id, advice.effect, steps), tiny)
    if row is None:
        return None
    text = template.format(span(_liked(words, wishes), row))
    claim = _claim(lever, advice)
    if claim is not None and (claim.change == row.sign) != (claim.way == advice.direction):
        if claim.statics is None:
            return None
        text += f", against what the sources say: the loads leave out {claim.statics.left_out}"
    unit = SI.get(words.unit, words.unit)
    return Moved(advice.effect, unit, None, row.low, row.middle, row.high, text)


def _liked(words: Words, wishes: Mapping[str, str]) -> Words:
    """Words that tell forces in the unit of mass that is liked."""
    unit = UNITS.get(wishes.get("mass", ""))
    return (
        replace(words, unit=unit.name, part=words.part * unit.factor)
        if unit and words.unit == "kg"
        else words
    )


def _claim(lever: Lever, advice: Advice) -> Gives | None:
    """The claim about the effect of an advice that holds everywhere."""
    return next((g for g in lever.gives if g.effect == advice.effect and not g.where), None)


def _size(lever: Lever, amount: Amount | None) -> float:
    """An advised amount as the model counts it: SI in all, grades or pieces."""
    if amount is None or lever.step is None:
        return one_step(lever)
    if amount.unit in ("grade", "piece"):
        return amount.value
    return amount.value * UNITS[amount.unit].factor * lever.step.counts
