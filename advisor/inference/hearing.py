"""What the learned ear adds to what the phrases read: sure facts, doubtful ones, what the words say of causes and ways.

Phrases hear what they were written for and mishear the rest; the ear knows how often. So a phrase that the ear
finds unlikely is let go, a fact that it is sure of counts as told, and what lies between is kept with its chance.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from advisor.inference.changed import with_turns
from advisor.model import conditions
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

# A phrase that alarms was misheard where the whole sounds less dangerous than this (ours); a line of fewer words than
# these says danger plainly, likewise one of fewer than LONG where something stands beside it.
DOUBTS, PLAINLY, LONG = 0.5, 14, 20
# The ear has its whole say from so many words on. Up to so few it has half of it where the phrases heard out what they
# tell (so many facts, or one in so many words), or where fields stand beside them; none where both is so (ours).
ENOUGH, FEW, HEARD, OF_ONE = 30.0, 14.0, 2, 5
HEARD_OUT, BESIDE = 0.5, 0.5
# Chance of danger from which the ear alone may tell an answer that alarms, or stop for the likeliest: what is asked
# about costs a key, a stop for nothing a run (in view of authors U, Q, Z and X, where aims are for both).
STOPS, SURELY = 0.8, 0.9  # by FEW words
# How much it counts that some answer that alarms is likely, against the usual chance of that (ours, likewise).
ALARMS_SAY, ALARMS_USUAL, LEAST = 0.3, 0.18, 1e-4
# What the words say of a way of a lever: the share of it in what mechanics would try first on such words, half of it by
# way and half by lever, against that of one that is neither often nor seldom named. (Other weights and powers did as
# well or worse on authors kept apart.)
TYPICAL_SHARE, OF_WAY = 0.02, 0.5
LEAST_SHARE = 1e-4  # of a way that no mechanic named
# From here on it is about karts; likewise where so few words are all.
KARTS, KARTS_OF_FEW, CALL = 0.78, 0.58, 5
# What sounds this dangerous is asked about although it names no kart; a line of at most so many words is heard ("axle
# cracked").
CRY, ALARMS = 8, 0.3
# A line of few words on how it drives, heard out without an alarm, is plain where it sounds less dangerous than this
# ("loose in the rear on the way in"): no danger of two authors kept apart was such a line (`tests.ear.danger`).
PLAIN = 0.1

Chances = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Hearing:
    """`words`: what counts as told; `perhaps`: chances of answers in doubt; `say`: log ratio of causes."""

    words: Understanding
    perhaps: Mapping[str, Chances] = field(default_factory=dict)
    say: Mapping[str, float] = field(default_factory=dict)
    units: tuple[float, ...] = ()  # what the ear heard (`Ear.tries`), where it has a say of what to try
    counts: float = 0.0  # how much the say of the ear counts
    danger: float | None = None
    least: float = 1.0  # what likely dangers must add up to, by the sound of the whole, to stop
    harmless: bool = False  # as a whole it does not sound like danger
    alarms: Chances = field(default_factory=dict)  # of an answer that alarms, by question
    reply: str = ""  # to a text in another language
    about: bool | None = None  # whether it is about karts; None where nobody can tell


def listen(
    text: str, book: Book, known: Lexicon, ear: Ear | None, alone: bool = True, few: bool = False
) -> Hearing:
    """Read a text with the phrases of the book and the ear; `alone`: where no field stands beside it.

    `few`: a line said in between, of whose few words the ear hears only what was changed.
    """
    if tongue := recognised(text, book):
        facts = {q: Reading(frozenset((a,)), False, said) for q, a, said in dangers(text, tongue)}
        return Hearing(Understanding(facts), reply=tongue.reply)
    words = understand(text, book, known)
    if ear is None or not text.strip():
        return Hearing(words)
    if few:
        return Hearing(with_turns(words, text, book, ear))
    found, size = features(text, words), len(text.split())
    if words.feels and size > FEW:  # a story of a fault that ends with the race to come prepares nothing
        words = replace(words, preparing=False)
    heard = ear.hear(found)
    heard = replace(heard, danger=dangerous(heard, book), facts=_faulty(heard.facts, words.fine))
    cry = size <= CRY and heard.danger >= ALARMS
    about = heard.about >= (KARTS if size > CALL else KARTS_OF_FEW)
    if not about and not cry and not _telling(words, book, 0 if size <= FEW else 1):
        return Hearing(Understanding(), danger=heard.danger if heard.danger >= ALARMS else None, about=False)
    hearing, known_words = _together(words, text, heard, book, ear, alone), ear.knows(found)
    return replace(hearing, units=hearing.units if known_words else (), about=about and known_words)


def _together(words: Understanding, text: str, heard: Heard, book: Book, ear: Ear, alone: bool) -> Hearing:
    """What the phrases read and the ear heard, each with the say that it has of so many words."""
    size = len(text.split())
    felt = bool(words.feels) and not _alarming(words, book)
    plain = felt and size <= FEW and heard.danger < PLAIN
    danger = 0.0 if plain else heard.danger
    part = min(1.0, max(0.0, (size - FEW) / (ENOUGH - FEW)))
    whole = part if words.preparing else 1.0 if alone else max(part, BESIDE)
    heard_out = _understood(words, book, size)
    counts = max(part, HEARD_OUT * whole * alone) if heard_out else whole
    told, doubted = _judged(words, heard, book, part if size >= LONG else 0.0)
    if whole:
        told = _with_sure(told, heard, book)
    say = {c: counts * x for c, x in heard.causes.items() if c in book.causes} if counts else {}
    told = with_turns(told, text, book, ear)
    return Hearing(
        told,
        {**_doubtful(told, heard, ear, book, whole), **doubted},
        say,
        heard.units if counts else (),
        counts,
        danger,
        _least(heard.danger, part if heard_out else whole, size, alone),
        danger < DOUBTS and size >= (PLAINLY if alone else LONG),
        _alarms(heard, book),
    )


def dangerous(heard: Heard, book: Book) -> float:
    """Chance of danger: how the whole sounds, moved by how likely some answer that alarms was told."""
    none = math.prod(1 - p for p in _alarms(heard, book).values())
    odds = _log_odds(heard.danger) + ALARMS_SAY * (_log_odds(1 - none) - _log_odds(ALARMS_USUAL))
    return 1 / (1 + math.exp(-odds))


def _alarms(heard: Heard, book: Book) -> dict[str, float]:
    """Chance of an answer that alarms, by question."""
    of = {
        q: sum(
            p for a, p in chances.items() if (entry := book.observations[q].answers.get(a)) and entry.alarm
        )
        for q, chances in heard.facts.items()
        if q in book.observations
    }
    return {q: p for q, p in of.items() if p}


def _faulty(facts: Mapping[str, Chances], fine: frozenset[str]) -> Mapping[str, Chances]:
    """Without the phases that are told as good: the ear hears that they are named."""
    if not fine or "phase" not in facts:
        return facts
    return {**facts, "phase": {a: 0.0 if a in fine else p for a, p in facts["phase"].items()}}


def _log_odds(chance: float) -> float:
    return math.log(max(chance, LEAST) / max(1 - chance, LEAST))


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


def _least(danger: float, whole: float, size: int, alone: bool) -> float:
    """What likely dangers must add up to: nothing where many words sound dangerous, more than is possible where many
    sound harmless, or where few are all there is (those are asked about) but for what the phrases heard out.
    """
    if not whole and (size > FEW or not alone or danger >= PLAIN):
        return 1.0
    if size <= FEW:
        return 1.0 if danger >= SURELY else math.inf
    return 0.0 if danger >= STOPS else math.inf


def _understood(words: Understanding, book: Book, size: int) -> bool:
    """True where the phrases heard all that a short line can tell."""
    axes = sum(part is not None for pair in words.feels[:1] for part in pair)
    many = axes + len(words.facts) + len(words.changes) + words.preparing
    enough = many >= HEARD or many * OF_ONE >= size
    return enough or bool(words.ideas) or _alarming(words, book)


def _alarming(words: Understanding, book: Book) -> bool:
    return any(book.observations[i].answers[a].alarm for i, r in words.facts.items() for a in r.answers)


def _telling(words: Understanding, book: Book, few: int) -> bool:
    """True where the phrases alone hear a fault, danger, or more than a few facts."""
    done = words.feels or words.changes or words.ideas or words.preparing or words.air
    told = [q for q in words.facts if q != "subject" and not book.observations[q].context]
    return bool(done) or len(told) > few or _alarming(words, book)


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


def _with_sure(words: Understanding, heard: Heard, book: Book) -> Understanding:
    facts = dict(words.facts)
    feels = words.feels
    for ident, chances in heard.facts.items():
        answer, chance = max(chances.items(), key=lambda c: c[1])
        if chance < SURE or ident not in book.observations:
            continue
        if ident in AXES:
            feels = _felt(feels, ident, answer)
        elif ident not in facts and (
            heard.danger >= STOPS or not book.observations[ident].answers[answer].alarm
        ):
            facts[ident] = Reading(frozenset((answer,)), False, "")
    return replace(
        words, facts={q: r for q, r in facts.items() if r.said or not _moot(book, q, feels)}, feels=feels
    )


def _moot(book: Book, question: str, feels: tuple[tuple[str | None, str | None], ...]) -> bool:
    """True for a question that what was felt leaves nothing of, such as the subject where the kart understeers."""
    told = dict(zip((f"observed.{axis}" for axis in AXES), feels[0] if feels else (), strict=False))
    asked = book.observations[question].asked_if
    return not all(
        conditions.holds({path: asked[path]}, {path: said})
        for path, said in told.items()
        if said and path in asked
    )


def _felt(
    feels: tuple[tuple[str | None, str | None], ...], axis: str, answer: str
) -> tuple[tuple[str | None, str | None], ...]:
    """The first fault told, with an axis that the phrases left open."""
    phase, balance = feels[0] if feels else (None, None)
    if axis == "phase":
        return ((phase or answer, balance), *feels[1:])
    return ((phase, balance or answer), *feels[1:])


def _doubtful(words: Understanding, heard: Heard, ear: Ear, book: Book, whole: float) -> dict[str, Chances]:
    """What the words make likelier than it is without any; the rest would count the base rates again."""
    found: dict[str, Chances] = {}
    for ident, chances in heard.facts.items():
        if ident not in book.observations or words.answers(ident) or ident in words.facts:
            continue
        if whole * sum(chances.values()) < DOUBTFUL:  # what was likely before takes from it, and adds nothing
            continue
        before = ear.silence(ident)
        kept = {
            a: whole * (p - before[a]) / (1 - before[a])
            for a, p in chances.items()
            if a in book.observations[ident].answers and p > before[a]
        }
        if sum(kept.values()) >= DOUBTFUL:
            found[ident] = kept
    return found
