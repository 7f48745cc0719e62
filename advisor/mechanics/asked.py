"""A change in words, such as "two degrees more caster" or "narrow the rear track", to a lever, way and amount."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from advisor import units
from advisor.mechanics import lead
from advisor.mechanics.outlook import Change
from advisor.mechanics.turns import held, one_step, sign_of
from advisor.model.case import Value
from advisor.model.knowledge import Book
from advisor.model.levers import Lever
from advisor.problems import printable
from advisor.units import UNITS, Quantity, Unit
from advisor.words.phrases import Lexicon, Match, keep_longest
from advisor.words.spelling import corrected
from advisor.words.tokens import Token, tokens

COUNTS = {word: n for n, word in enumerate(("one", "two", "three", "four", "five", "six"), start=1)}
MOST_STEPS = 10  # of one change; the model is not asked about a kart that nobody drives
_AMOUNT = re.compile(
    r"(?<![\w.,-])([+-]?\d{1,4}(?:[.,]\d{1,3})?|one|two|three|four|five|six|half an?|an?)\s*"
    r"(psi|kpa|bar|mm|cm|inch(?:es)?|\"|deg(?:ree)?s?|°|steps?|grades?|pieces?|clicks?|marks?|points?|kg|kilos?|lbs?|pounds?)(?:\s+(?:a|per|each)\s+(side))?(?!\w)"
)
_TARGET = re.compile(
    r"(?<!\d )\bto\s+([+-]?\d{1,4}(?:[.,]\d{1,3})?)\s*(psi|kpa|bar|mm|cm|inch(?:es)?|deg(?:ree)?s?|°)(?!\w)"
)
_FROM_TO = re.compile(
    r"\bfrom (\d{1,4}(?:[.,]\d{1,3})?)(?: ?[a-z°]+)? to (\d{1,4}(?:[.,]\d{1,3})?) ?(psi|kpa|bar|mm|cm)?\b"
)
# Lead is told by where it goes; "on the seat back" is a place then, and no seat that moves.
_LEAD = re.compile(
    r"\b(?:lead|ballast)\b|\b(?:put|bolt|add|move|mount|fix)\b.*\d ?(?:kg|kilos?|lbs?|pounds)\b"
)
_AIR = re.compile(r"\d ?(?:psi|bar|kpa)\b")  # tyres told with it are no other set of them
_FROM = re.compile(r"\b(?:off|from|out of) (?:the )?(?:seat )?\w+")
_LEAD_GOES = (
    (r"\b(?:back|rear|behind|rearwards?|tail)\b", "lead back"),
    (r"\b(?:front|nose|forwards?|floor|pedals)\b", "lead forward"),
    (r"\bleft\b", "lead left"),
    (r"\bright\b", "lead right"),
    (r"\b(?:high|higher|up|top|raise)\b", "raise lead"),
    (r"\b(?:low|lower|down)\b", "lower lead"),
)
_MORE, _LESS = "add|more|increase|raise|put in|up", "take out|less|reduce|remove|lower|down"
_OTHER_WAY = {
    "lead back": "lead forward", "lead forward": "lead back", "lead left": "lead right", "lead right": "lead left",
    "raise lead": "lower lead", "lower lead": "raise lead",
}  # fmt: skip
_HEAVIER = re.compile(r"\b(?:driver|kid|i)\b.*\b(?:heavier|lighter|weigh(?:s|ed)?)\b")
_STEPS = ("step", "grade", "piece", "click", "mark", "point")


class UnknownChangeError(ValueError):
    """A change that is not understood or that the model does not hold; one sentence for a person."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A change with how it is told: "add caster, 2 deg"."""

    change: Change
    say: str


def read(
    text: str, book: Book, known: Lexicon | None = None, now: Mapping[str, Value] | None = None
) -> tuple[Asked, ...]:
    """Every change of a text, in order; they are parted by commas, semicolons, "and" or "plus".

    `known`: what `lexicon` made of the book, to read many texts; `now`: how the kart stands, by lever, for changes
    told by where they go ("rear track to 1380 mm"). Raises UnknownChangeError for a part that is not
    understood, and for a lever that is not in the model.
    """
    known = known or lexicon(book)
    text = units.in_decimals(text).lower()
    text = re.sub(r"\btake (.{0,20}?)out of the (front|rear) track\b", r"narrow the \2 track \1", text)
    for whole in (way.say for lever in book.levers.values() for way in lever.ways.values() if "," in way.say):
        text = text.replace(whole, _bare(whole))
    parts = [part.strip() for part in re.split(r"[;]|,(?!\d)|\band\b|\bplus\b|\s\+\s", text)]
    found = tuple(_one(part, book, known, now or {}) for part in parts if part)
    if not found:
        raise UnknownChangeError(f"say what to change, such as {EXAMPLE}")
    levers = [(asked.change.lever, asked.change.spot) for asked in found]
    twice, _ = next((lever for lever in levers if levers.count(lever) > 1), ("", None))
    if twice:
        raise UnknownChangeError(
            f"the {book.levers[twice].name} stands there twice; say it once, with its amount"
        )
    return found


# How people call what has a longer name; the way beside it tells which is meant.
SHORT = {
    "seat_fore_aft": ("seat",),
    "seat_height": ("seat",),
    "axle_stiffness": ("axle",),
    "ballast_fore_aft": ("lead", "ballast"),
    "ballast_side": ("lead", "ballast"),
    "ballast_height": ("lead", "ballast"),
    "front_ride_height": ("front", "nose"),
    "rear_ride_height": ("rear", "tail"),
}
EXAMPLE = '"caster more 2 deg" or "narrow the rear track by 10 mm"'


def _bare(say: str) -> str:
    """What a way says, without the comma that would part it."""
    return say.replace(",", "")


def lexicon(book: Book) -> Lexicon:
    """Phrases of the levers alone, and every lever and way by its name."""
    result = Lexicon(book.words.classes)
    for lever in book.levers.values():
        names = (lever.name, lever.id.replace("_", " "), *lever.phrases)
        for name in names:
            result.add(name, ("lever", lever.id))
        for way, entry in lever.ways.items():
            told = (way.replace("_", " "), *book.words.ways.get(way, ()))
            phrases = [*entry.phrases, _bare(entry.say)]
            phrases += [f"{name} {word}" for name in names for word in told]
            phrases += [f"{word} {name}" for name in names for word in told]
            for name in SHORT.get(lever.id, ()):
                for word in told:
                    phrases += [
                        f"{name} {word}",
                        f"{word} {name}",
                        f"{word} the {name}",
                        f"{name} to the {word}",
                    ]
            for phrase in dict.fromkeys(phrases):
                result.add(phrase, ("lever", lever.id, way))
    return result


def _one(part: str, book: Book, known: Lexicon, now: Mapping[str, Value]) -> Asked:
    if _HEAVIER.search(part):
        raise UnknownChangeError(
            "another weight of the driver is another kart: tell it in a case (kart: {driver_mass: 75 kg}) with --case"
        )
    if (bolted := lead.read(part)) is not None:
        return _bolted(*bolted)
    row = corrected(tokens(_plainly(_without_amount(part), part)), known.vocabulary, known.ordinary)
    matches = [m for m in known.matches(row) if m.tag[0] == "lever"]
    best = _best(matches)
    if best is None:
        raise UnknownChangeError(
            f'"{printable(part)[:40]}" names no change that is known; say it like {EXAMPLE}'
        )
    lever = book.levers[best.tag[1]]
    if not held(lever):
        raise UnknownChangeError(
            f"the {lever.name} works by what the kart model does not hold (heat, rubber, damping, the engine or the "
            f'driver); what people say of it: advisor explain "{lever.name}"; in the model are tracks, axle, hubs, '
            "bars, seat, lead, heights, pressures, caster and toe"
        )
    target = _TARGET.search(part)
    if target and not _FROM_TO.search(part):
        return _brought(lever, target, now.get(lever.id))
    way = best.tag[2] if len(best.tag) > 2 else _way_in(row, lever, book, part)
    sign = sign_of(lever, way)
    if sign == 0:
        raise UnknownChangeError(f"{lever.ways[way].say}: the kart model says nothing of that")
    amount = abs(_amount(part, lever))
    if amount > MOST_STEPS * one_step(lever) + 1e-9:
        raise UnknownChangeError(
            f"{told(lever, amount)} is more than {MOST_STEPS} steps of the {lever.name}; ask for less"
        )
    change = Change(lever.id, way, sign * amount)
    return Asked(change, f"{lever.ways[way].say}, {told(lever, amount)}")


def _bolted(kilograms: float, spot: lead.Spot | None) -> Asked:
    """Lead that is bolted on or taken off in a place."""
    if spot is None:
        raise UnknownChangeError(f'where does that lead go? say it like {lead.EXAMPLE} or "... at the nose"')
    if not 0 < abs(kilograms) <= lead.MOST:
        raise UnknownChangeError(
            f"{abs(kilograms):g} kg of lead is more than the {lead.MOST:g} kg that are asked for"
        )
    way = "add" if kilograms > 0 else "remove"
    return Asked(Change(lead.LEVER, way, kilograms, spot), lead.told(kilograms, spot))


def _brought(lever: Lever, target: re.Match[str], now: Value | None) -> Asked:
    """The change that brings a lever from where it stands to the value told."""
    unit = _unit(target[2])
    if not isinstance(now, Quantity) or lever.step is None or unit is None or unit.dimension != now.dimension:
        raise UnknownChangeError(
            f"{target[0].strip()}: from where? tell how the {lever.name} stands in a kart file or a case, or by how "
            f"much, such as {EXAMPLE}"
        )
    by = float(target[1].replace(",", ".")) * unit.factor - now.si
    raises = lever.ways[lever.step.raises]
    way = lever.step.raises if by > 0 else raises.opposite or lever.step.raises
    if abs(by) < 1e-9 or abs(by) > MOST_STEPS * one_step(lever) + 1e-9:
        raise UnknownChangeError(
            f"the {lever.name} stands at {now}; ask for another value, at most {MOST_STEPS} steps away"
        )
    return Asked(
        Change(lever.id, way, by), f"{lever.ways[way].say}, {told(lever, abs(by))}, {target[0].strip()}"
    )


def _without_amount(part: str) -> str:
    return _AMOUNT.sub(" ", part)


def _plainly(words: str, part: str) -> str:
    """The words of a change; of lead and cross weight in the plainest ones, because people name them by many."""
    if re.search(r"\bcross\b", words):
        more, less = (re.search(rf"\b(?:{way})\b", words) for way in (_MORE, _LESS))
        return "less cross weight" if less else "more cross weight" if more else words
    if _AIR.search(part):
        return re.sub(r"\bt[yi]res?\b", "pressure", words)
    if not _LEAD.search(part):
        return words
    taken = _FROM.search(words)
    to, off = (
        next((plain for pattern, plain in _LEAD_GOES if re.search(pattern, where)), "")
        for where in (_FROM.sub(" ", words), taken[0] if taken else "")
    )
    return to or _OTHER_WAY.get(off, words)


def _best(matches: Sequence[Match]) -> Match | None:
    """The longest phrase; of two alike the one that tells a way."""
    kept = sorted(matches, key=lambda m: (-len(m.places), -len(m.tag)))
    if not kept:
        return None
    same = [m for m in keep_longest(kept) if len(m.places) == len(kept[0].places)]
    return next((m for m in (kept[0], *same) if len(m.tag) > 2), kept[0])


def _way_in(row: Sequence[Token], lever: Lever, book: Book, part: str) -> str:
    """The way that the other words or the sign of the amount tell."""
    words = {token.word for token in row}
    for way in lever.ways:
        if words & {*way.split("_"), *book.words.ways.get(way, ())}:
            return way
    amount = _AMOUNT.search(part)
    if amount and amount[1][0] in "+-" and lever.step:
        raises = lever.ways[lever.step.raises]
        return lever.step.raises if amount[1][0] == "+" else raises.opposite or lever.step.raises
    ways = " or ".join(way.replace("_", " ") for way in lever.ways)
    raise UnknownChangeError(f'which way? say "{lever.name} {ways}"')


def _amount(part: str, lever: Lever) -> float:
    """The amount that a text tells in the lever's own terms (SI, grades or pieces); one step where it tells none."""
    if (span := _FROM_TO.search(part)) and lever.dimension and lever.step:
        told_in = units.find_unit(span[3] or lever.step.amount.partition(" ")[2])
        ends = [float(span[i].replace(",", ".")) for i in (1, 2)]
        if told_in is not None and told_in.dimension == lever.dimension.split("|")[0]:
            return abs(ends[1] - ends[0]) * told_in.factor
    found = _AMOUNT.search(part)
    if found is None:
        return one_step(lever)
    number = {"half a": 0.5, "half an": 0.5, "a": 1.0, "an": 1.0}.get(found[1]) or float(
        COUNTS.get(found[1]) or found[1].replace(",", ".")
    )
    if found[2].removesuffix("s") in _STEPS:
        return number * one_step(lever)
    unit = _unit(found[2])
    if unit and unit.dimension == "mass" and lever.id.startswith("ballast"):
        return number * unit.factor * 0.5  # two kilograms are one step
    dimension = (lever.dimension or "").split("|")[0]
    if unit is None or unit.dimension != dimension or lever.grades:
        raise UnknownChangeError(
            f"{found[0].strip()} is no amount of the {lever.name}; one step is {step_told(lever)}"
        )
    sides = lever.step.counts if lever.step and found[3] else 1
    return number * unit.factor * sides


def _unit(name: str) -> Unit | None:
    return units.find_unit(name) or units.find_unit(name.removesuffix("s"))


def step_told(lever: Lever) -> str:
    """One step of a lever in words."""
    if lever.step is None:
        return "2 kg moved"
    each = f" a {lever.step.per}" if lever.step.per else ""
    return f"{lever.step.amount.replace('deg', 'degree')}{each}"


def told(lever: Lever, amount: float) -> str:
    """An amount in the unit of the lever's step: "2 deg", "10 mm in all", "1 grade"."""
    if lever.step is None:
        return f"{2 * amount:.3g} kg" if lever.id.startswith("ballast") else f"{amount:g} point of the weight"
    _, _, unit = lever.step.amount.partition(" ")
    if unit in ("grade", "piece"):
        plural = "" if amount == 1 else "s"
        return f"{amount:g} {unit}{plural}{f' a {lever.step.per}' if lever.step.per else ''}"
    value = amount / UNITS[unit].factor
    return f"{value:.3g} {unit}{' in all' if lever.step.counts > 1 else ''}"
