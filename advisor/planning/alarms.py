"""What forbids driving: answers that alone mean danger, dangers that are likely enough, and words that sound of it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from advisor.inference.belief import inspected, is_cleared
from advisor.inference.cures import Links
from advisor.inference.evidence import Evidence
from advisor.model import assumed
from advisor.model.advice import Stop
from advisor.model.knowledge import Answer, Book, Cause, Observation
from advisor.model.scale import PROBABILITY

# A danger that is less likely than this is not named: words that surely tell of one do not tell which.
NAMED = 0.2
FAINT = 0.01  # chance of a cause below which what it is looked at for is told of dangers of the kart only


def find_stop(book: Book, evidence: Evidence, probabilities: Sequence[float], links: Links) -> Stop | None:
    """An answer that alone means danger, or a dangerous cause that has become likely enough.

    What was inspected and found sound, or mended, stops nobody again.
    """
    mended = {t.lever for t in evidence.tried if t.verdict == "better" and book.is_look(t.lever, t.direction)}
    told = [
        (len(entry.inspect), f"{ident}: {answer}", entry)
        for ident, answer, entry in alarming(book, evidence)
        if not _misheard(book, evidence, ident) and not mended & set(entry.inspect)
    ]
    told = [a for a in sorted(told, key=lambda a: a[:2]) if a[1] not in evidence.cleared]
    weights = _weights(book, evidence, probabilities, mended)
    if told:  # that which knows best where to look comes first, and none hides another
        ordered = (sorted(entry.inspect, key=lambda i: -round(_sum(weights, i), 6)) for _, _, entry in told)
        inspect = tuple(dict.fromkeys(lever for levers in ordered for lever in levers))
        texts = " ".join(in_words(entry) for _, _, entry in told)
        reason, *also = (name for _, name, _ in told)
        asked = tuple(name.partition(": ")[0] for _, name, _ in told)
        return Stop(
            reason, texts, inspect, _looks_of(book, probabilities, links, inspect), tuple(also), asked
        )
    cause = _likely(evidence, weights)
    if cause is None or cause.danger is None:
        return None
    if probabilities[list(book.causes).index(cause.id)] < NAMED and (whole := _of_the_whole(book)):
        reason, entry = whole
        inspect = tuple(dict.fromkeys((*cause.danger.inspect, *entry.inspect)))
        return Stop(reason, in_words(entry), inspect, _looks_of(book, probabilities, links, inspect))
    steps = _looks_of(book, probabilities, links, cause.danger.inspect)
    return Stop(cause.id, cause.danger.text, cause.danger.inspect, steps)


def _of_the_whole(book: Book) -> tuple[str, Answer] | None:
    """What is said where nobody can tell which part it is: the alarm of the plain question."""
    return next(
        (
            (f"{o.id}: {ident}", entry)
            for o in book.observations.values()
            if o.doubt
            for ident, entry in o.answers.items()
            if entry.alarm
        ),
        None,
    )


def doubted(book: Book, evidence: Evidence, skipped: frozenset[str]) -> Observation | None:
    """The one plain question to ask first where the words may tell of danger and it is not sure."""
    asked = {o.id: o for o in book.observations.values() if any(a.alarm for a in o.answers.values())}
    if not evidence.by_words or evidence.cleared or not skipped.isdisjoint(asked):
        return None
    told = {ident: 1.0 for ident, _, _ in alarming(book, evidence)}
    if not told and (evidence.danger or 0.0) < assumed.ASKS:
        return None
    chances = {**evidence.alarms, **told}
    best = max(chances, key=lambda ident: (chances[ident], ident), default=None)
    general = next((o for o in asked.values() if o.doubt), None)
    if best is None or chances[best] < assumed.PART_STANDS_OUT:
        return general or (asked[best] if best else None)
    return asked[best]


def alarming(book: Book, evidence: Evidence) -> Iterable[tuple[str, str, Answer]]:
    """Question, answer and its record for every alarm that is told and nothing else; of several left the first."""
    for ident, answers in evidence.told.items():
        entries = [(a, entry) for a, entry in book.observations[ident].answers.items() if a in answers]
        if entries and all(entry.alarm for _, entry in entries):
            yield ident, *entries[0]


def _misheard(book: Book, evidence: Evidence, question: str) -> bool:
    """True for an alarm that a phrase heard in words that sound harmless as a whole: it is asked about first.

    But for what is refused however harmless it sounds, such as a liquid for the tyres.
    """
    by_phrase = evidence.by_words and question in evidence.heard
    refused = any(answer.refused for answer in book.observations[question].answers.values())
    return evidence.harmless and by_phrase and not refused


def in_words(answer: Answer) -> str:
    """What an answer that alarms says."""
    assert answer.alarm is not None
    whole = answer.alarm.endswith(".")
    return answer.alarm if whole else f"Do not drive it: {answer.alarm}. Have it inspected and put right."


Weights = Mapping[str, Sequence[tuple[float, Cause]]]


def _weights(book: Book, evidence: Evidence, probabilities: Sequence[float], mended: set[str]) -> Weights:
    """The dangers that each inspection would find, by how nearly each is worth a stop.

    `at` of a danger is where driving on costs as much as stopping, so p / at of all that one inspection would
    find adds up: from 1 on it is worth the stop.
    """
    levers = inspected(book, evidence.cleared)
    weights: dict[str, list[tuple[float, Cause]]] = {}
    for i, cause in enumerate(book.causes.values()):
        danger = cause.danger
        if danger is None or is_cleared(cause, evidence.cleared, levers) or mended & set(danger.inspect):
            continue
        for lever in danger.inspect[:1]:
            weights.setdefault(lever, []).append((probabilities[i] / PROBABILITY[danger.at], cause))
    return weights


def _sum(weights: Weights, lever: str) -> float:
    return sum(w for w, _ in weights.get(lever, ()))


def _likely(evidence: Evidence, weights: Weights) -> Cause | None:
    """The likeliest danger of the inspection that is worth a stop, if one is."""
    worst = max(weights, key=lambda lever: _sum(weights, lever), default=None)
    least = (assumed.SEEN_TO if evidence.cleared else evidence.least) if evidence.by_words else 1.0
    if worst is None or _sum(weights, worst) < least:
        return None
    likeliest = max(weights[worst], key=lambda row: (row[0], row[1].id))[1]
    if evidence.by_words and evidence.say.get(likeliest.id, 0.0) < 0:  # they sound like another danger
        found = [cause for rows in weights.values() for _, cause in rows]
        return max(found, key=lambda cause: (evidence.say.get(cause.id, -math.inf), cause.id))
    return likeliest


def _looks_of(
    book: Book, probabilities: Sequence[float], links: Links, levers: Sequence[str]
) -> tuple[str, ...]:
    """For each inspection of a stop what to look at: of the cause that it answers most probably, else in general."""
    causes, texts = list(book.causes.values()), []
    for lever in levers:
        known = [(i, link.remedy) for i, link in links.get(lever, {}).items() if link.look and link.remedy]
        likely = [
            (i, remedy)
            for i, remedy in known
            if probabilities[i] >= FAINT or (causes[i].danger and causes[i].kind != "driver")
        ]
        best = max(
            likely, key=lambda row: (probabilities[row[0]] >= FAINT, probabilities[row[0]]), default=None
        )
        texts.append((best and best[1].detail) or book.levers[lever].plain)
    return tuple(texts)
