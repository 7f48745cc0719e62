"""What was changed, by the phrases and by the ear: suspects, trials with what came of them, and ideas."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from advisor.model.case import Case, Verdict
from advisor.model.knowledge import Book
from advisor.words.ear import Ear
from advisor.words.phrases import Lexicon
from advisor.words.turns import said_of_tried, turns_told, unlikely
from advisor.words.understand import Reading, Turn, Understanding, understand

# What is asked about in more words, of which nothing else was understood, may be misheard.
STORY = 30


def with_turns(words: Understanding, text: str, book: Book, ear: Ear) -> Understanding:
    """The changes that the ear hears, and those of phrases that it does not find unlikely.

    Which way it went the phrases know better. What came of a change makes it a trial; where it made things worse, or
    that is not told, it is one to suspect.
    """
    heard = turns_told(text, ear)
    pressures = {lever: way for lever, way in words.named if lever.startswith("tyre_pressure")}
    named = {**pressures, **dict(words.changes)}
    done = {
        _as_named(turn, named, book): came for turn, came in heard.done.items() if _counts(turn, came, book)
    }
    levers = {lever for lever, _ in (*done, *heard.asked)}
    more = [
        turn
        for turn in words.changes
        if turn[0] not in levers and (turn[0] in words.tried or not unlikely(turn[0], text, ear))
    ]
    came = said_of_tried(text)
    by_words = [(lever, way, came) for lever, way in more if came and way and lever in words.tried]
    more = [turn for turn in more if turn[0] not in {lever for lever, *_ in by_words}]
    plain = words.feels or words.facts or done or len(text.split()) <= STORY
    asked = heard.asked if plain and not words.preparing and not words.ideas else ()
    ideas = dict((*(turn for turn in asked if _counts(turn, None, book)), *words.ideas))
    return replace(
        words,
        facts={q: r for q, r in words.facts.items() if words.preparing or not _asked(q, r, ideas, book)},
        changes=(*(turn for turn, came in done.items() if came in (None, "worse")), *more),
        ideas=tuple(ideas.items()),
        trials=(*((lever, way, came) for (lever, way), came in done.items() if way and came), *by_words),
    )


def _asked(question: str, reading: Reading, ideas: Mapping[str, str | None], book: Book) -> bool:
    """True where a fact is what is asked about: "should we go to slicks" tells of no slicks on the kart."""
    wanted = [book.levers[lever].ways[way].done_if for lever, way in ideas.items() if way]
    return any(
        reading.answers == {so[path]} for so in wanted for path in so if path == f"observed.{question}"
    )


def _as_named(turn: Turn, named: Mapping[str, str | None], book: Book) -> Turn:
    """The turn, the other way round where a phrase says so."""
    lever, way = turn
    other = book.levers[lever].ways[way].opposite if way else None
    return (lever, other) if other and other == named.get(lever) else turn


def _counts(turn: Turn, came: Verdict | None, book: Book) -> bool:
    """True for a change that the book has (a team's may lack it), and for a look that found nothing."""
    lever, way = turn
    if lever not in book.levers or way is None:
        return lever in book.levers
    ways = book.levers[lever].ways
    return way in ways and (came == "same" or not ways[way].look)


def history_turns(case: Case, book: Book, known: Lexicon) -> tuple[Turn, ...]:
    """In the history every lever named is a change, whatever verb goes with it; ids are taken as they are."""
    turns: list[Turn] = []
    for line in case.history:
        turns += turns_of((line,), book) or understand(f"changed {line}", book, known).changes
    return tuple(turns)


def turns_of(lines: Iterable[str], book: Book) -> list[Turn]:
    """Turns written as ids, "lever way" or "lever"; anything else is left out."""
    turns: list[Turn] = []
    for line in lines:
        ident, _, way = line.partition(" ")
        lever = book.levers.get(ident)
        if lever is not None and (not way or way in lever.ways):
            turns.append((ident, way or None))
    return turns
