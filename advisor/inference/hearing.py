"""What the learned ear adds to what the phrases read: sure facts, doubtful ones, what the words say of causes and ways.

Phrases hear what they were written for and mishear the rest; the ear knows how often. So a phrase that the ear
finds unlikely is let go, a fact that it is sure of counts as told, and what lies between is kept with its chance.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from advisor.model.feel import AXES
from advisor.model.knowledge import Book
from advisor.words.ear import Ear, Heard, features
from advisor.words.phrases import Lexicon
from advisor.words.tongues import dangers, recognised
from advisor.words.understand import Reading, Understanding, understand

# Chances by what the ear says of authors it did not learn from (tests.ear.measure).
SURE = 0.8  # from here on a fact counts as told
TOLD, UNLIKELY = 0.2, 0.02  # a phrase of which the ear makes more counts as told; of less, it was misread
PHRASE = 0.4  # chance of a phrase in between: it was right in about half of them
MISTAKEN = 0.5  # a denial of what the ear finds likelier than this was misread
DOUBTFUL = 0.05  # less than this is not kept in mind

# A phrase that alarms was misheard where a text of so many words sounds less dangerous than this (ours).
DOUBTS, LONG = 0.25, 20
# From so many words on what the ear says of facts counts whole. Up to so few it says nothing where the phrases heard so
# much, or danger, or where fields stand beside them: the line then only repeats what is known (ours).
ENOUGH, FEW, HEARD = 30, 14, 2
STOPS = (
    0.6  # chance of danger from which the ear alone may tell an answer that alarms, or stop for the likeliest
)
LEAST = 0.25  # of it counts always, where the ear is sure
# What the words say of a way of a lever: the share of it in what mechanics would try first on such words, half of it by
# way and half by lever, against that of one that is neither often nor seldom named. (Other weights and powers did as
# well or worse on authors kept apart.)
TYPICAL_SHARE, OF_WAY = 0.02, 0.5
LEAST_SHARE = 1e-4  # of a way that no mechanic named
KARTS = 0.7  # from here on it is about karts
# What sounds this dangerous is asked about although it names no kart; a line of at most so many words is heard ("axle
# cracked").
CRY, ALARMS = 8, 0.3
# A line of few words on how it drives, heard out without an alarm, is plain where it sounds less dangerous than this
# ("loose in the rear on the way in"): no danger of two authors kept apart was such a line (`tests.ear.danger`).
PLAIN = 0.3
# Where the ear is so sure of a fact that the phrases passed over, it has its say of causes and ways in a short line too
# (ours).
CERTAIN = 0.985

Chances = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Hearing:
    """`words`: what counts as told; `perhaps`: chances of answers in doubt; `say`: log ratio of causes."""

    words: Understanding
    perhaps: Mapping[str, Chances] = field(default_factory=dict)
    say: Mapping[str, float] = field(default_factory=dict)
    ways: Mapping[str, float] = field(default_factory=dict)  # log factor of each "lever:way"
    danger: float | None = None
    least: float = 1.0  # what likely dangers must add up to, by the sound of the whole, to stop
    harmless: bool = False  # as a whole it does not sound like danger
    alarms: Chances = field(default_factory=dict)  # of an answer that alarms, by question
    reply: str = ""  # to a text in another language
    about: bool | None = None  # whether it is about karts; None where nobody can tell


def listen(text: str, book: Book, known: Lexicon, ear: Ear | None, alone: bool = True) -> Hearing:
    """Read a text with the phrases of the book and the ear; `alone`: where no field stands beside it."""
    if tongue := recognised(text, book):
        facts = {q: Reading(frozenset((a,)), False, said) for q, a, said in dangers(text, tongue)}
        return Hearing(Understanding(facts), reply=tongue.reply)
    words = understand(text, book, known)
    if ear is None or not text.strip():
        return Hearing(words)
    found, size = features(text, words), len(text.split())
    heard = ear.hear(found)
    cry = size <= CRY and heard.danger >= ALARMS
    if heard.about < KARTS and not cry and not _telling(words, book, 0 if size <= FEW else 1):
        return Hearing(Understanding(), danger=heard.danger if heard.danger >= ALARMS else None, about=False)
    heard_out = _understood(words, book)
    felt = bool(words.feels) and heard_out and not _alarming(words, book)
    plain = felt and size <= FEW and heard.danger < PLAIN
    danger = 0.0 if plain else heard.danger
    few = 0 if alone and not heard_out else FEW
    whole = min(1.0, max(0.0, (size - few) / (ENOUGH - few)))
    told, doubted = _judged(words, heard, book, whole if size >= LONG else 0.0)
    more = alone and heard_out and not _alarming(words, book) and _hears_more(words, heard, book)
    if whole:
        told = _with_sure(told, heard, book, 1 - (1 - SURE) * max(whole, LEAST))
    says = min(1.0, size / ENOUGH) if more else whole
    known_words = ear.knows(found)
    say = {c: says * x for c, x in heard.causes.items() if c in book.causes}
    counts = 0.0 if not known_words else 1.0 if alone and (more or not (heard_out and size <= FEW)) else whole
    alarms = {
        q: sum(
            p for a, p in chances.items() if (entry := book.observations[q].answers.get(a)) and entry.alarm
        )
        for q, chances in heard.facts.items()
        if q in book.observations
    }
    return Hearing(
        told,
        {**_doubtful(told, heard, ear.silence, book, whole), **doubted},
        say,
        {way: counts * x for way, x in of_shares(heard.ways, OF_WAY).items()},
        danger,
        _least(danger, whole, size),
        danger < DOUBTS and size >= LONG,
        {q: p for q, p in alarms.items() if p},
        about=heard.about >= KARTS and known_words,
    )


def of_shares(said: Mapping[str, float], of_way: float) -> dict[str, float]:
    """Log factor of each way; `said`: its share of what a mechanic would try first, `of_way` of it counts by way, the
    rest by lever.
    """
    levers: dict[str, float] = {}
    for way, share in said.items():
        lever = way.partition(":")[0]
        levers[lever] = levers.get(lever, 0.0) + share
    mixed = {way: of_way * x + (1 - of_way) * levers[way.partition(":")[0]] for way, x in said.items()}
    return {way: math.log(max(x, LEAST_SHARE) / TYPICAL_SHARE) for way, x in mixed.items()}


def _least(danger: float, whole: float, size: int) -> float:
    """What likely dangers must add up to: nothing where many words sound dangerous, more than is possible where few do
    not, or many sound harmless.
    """
    if not whole:
        return 1.0
    if size <= FEW:
        return 1.0 if danger >= STOPS else math.inf
    return 0.0 if danger >= STOPS else 1.0 if danger >= DOUBTS else math.inf


def _understood(words: Understanding, book: Book) -> bool:
    """True where the phrases heard all that a short line can tell."""
    axes = sum(part is not None for pair in words.feels[:1] for part in pair)
    many = axes + len(words.facts) + len(words.changes) + words.preparing
    return many >= HEARD or bool(words.ideas) or _alarming(words, book)


def _hears_more(words: Understanding, heard: Heard, book: Book) -> bool:
    """True where the ear is all but certain of a fact that the phrases passed over ("..., plug looks white")."""
    axes = {axis for pair in words.feels[:1] for axis, said in zip(AXES, pair, strict=True) if said}
    for ident in heard.facts.keys() & book.observations.keys() - words.facts.keys() - axes:
        answer, chance = max(heard.facts[ident].items(), key=lambda c: c[1])
        asked = book.observations[ident]
        if chance >= CERTAIN and not asked.context and not asked.answers[answer].idle:
            return True
    return False


def _alarming(words: Understanding, book: Book) -> bool:
    return any(book.observations[i].answers[a].alarm for i, r in words.facts.items() for a in r.answers)


def _telling(words: Understanding, book: Book, few: int) -> bool:
    """True where the phrases alone hear a fault, danger, or more than a few facts."""
    done = words.feels or words.changes or words.ideas or words.preparing or words.air
    return bool(done) or len(words.facts) > few or _alarming(words, book)


def _judged(
    words: Understanding, heard: Heard, book: Book, whole: float
) -> tuple[Understanding, dict[str, Chances]]:
    """The readings of phrases that stand, and those in doubt with a chance of their own. Danger is never let go."""
    facts, doubted = dict(words.facts), dict[str, Chances]()
    for ident, reading in words.facts.items():
        chances = heard.facts.get(ident)
        if chances is None or any(book.observations[ident].answers[a].alarm for a in reading.answers):
            continue
        chance = sum(chances.get(a, 0.0) for a in reading.answers)
        if reading.denied:
            if sum(chances.values()) - chance > MISTAKEN:
                del facts[ident]
        elif chance < TOLD * whole:
            del facts[ident]
            if chance >= UNLIKELY * whole and len(reading.answers) == 1:
                doubted[ident] = {next(iter(reading.answers)): max(chance, PHRASE)}
    return replace(words, facts=facts), doubted


def _with_sure(words: Understanding, heard: Heard, book: Book, sure: float) -> Understanding:
    facts = dict(words.facts)
    feels = words.feels
    for ident, chances in heard.facts.items():
        answer, chance = max(chances.items(), key=lambda c: c[1])
        if chance < sure or ident not in book.observations:
            continue
        if ident in AXES:
            feels = _felt(feels, ident, answer)
        elif ident not in facts and (
            heard.danger >= STOPS or not book.observations[ident].answers[answer].alarm
        ):
            facts[ident] = Reading(frozenset((answer,)), False, "")
    return replace(words, facts=facts, feels=feels)


def _felt(
    feels: tuple[tuple[str | None, str | None], ...], axis: str, answer: str
) -> tuple[tuple[str | None, str | None], ...]:
    """The first fault told, with an axis that the phrases left open."""
    phase, balance = feels[0] if feels else (None, None)
    if axis == "phase":
        return ((phase or answer, balance), *feels[1:])
    return ((phase, balance or answer), *feels[1:])


def _doubtful(
    words: Understanding, heard: Heard, silence: Heard, book: Book, whole: float
) -> dict[str, Chances]:
    """What the words make likelier than it is without any; the rest would count the base rates again."""
    found: dict[str, Chances] = {}
    for ident, chances in heard.facts.items():
        if ident in book.observations and not words.answers(ident) and ident not in words.facts:
            before = silence.facts[ident]
            kept = {
                a: whole * (p - before[a]) / (1 - before[a])
                for a, p in chances.items()
                if a in book.observations[ident].answers and p > before[a]
            }
            if sum(kept.values()) >= DOUBTFUL:
                found[ident] = kept
    return found
