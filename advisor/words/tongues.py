"""Which language a text is in, by its small words, and the words of danger that are known in it all the same."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.model.knowledge import Book, Tongue
from advisor.words.tokens import plain, tokens

ENGLISH = "english"
SHORT = 6  # words of a text in which one small word is enough


def recognised(text: str, book: Book) -> Tongue | None:
    """The language of a text, where it is one of the book and not English."""
    row = {t.word for t in tokens(text)}
    counts = {ident: len(row & set(map(plain, t.common))) for ident, t in book.tongues.items()}
    english = counts.pop(ENGLISH, 0)
    best = max(counts, key=lambda ident: counts[ident], default=None)
    if best is None or counts[best] <= english or (counts[best] < 2 and len(row) > SHORT):
        return None
    return book.tongues[best]


def dangers(text: str, tongue: Tongue) -> Iterable[tuple[str, str, str]]:
    """Question, answer and the word that tells it, for every word of danger."""
    row = [t.word for t in tokens(text)]
    for fact, beginnings in tongue.danger.items():
        question, _, answer = fact.partition(" ")
        starts = tuple(map(plain, beginnings))
        said = next((word for word in row if word.startswith(starts)), None)
        if said:
            yield question, answer, said
