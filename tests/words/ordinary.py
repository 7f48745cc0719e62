"""Ordinary English words that the spelling mender would turn into words of the trade.

Run as `python -m tests.words.ordinary`: prints the line `ordinary:` for knowledge/words.yaml, made
with the dictionary of pyspellchecker, which only the tests need.
"""

from __future__ import annotations

from dataclasses import replace

from spellchecker import SpellChecker

from advisor.book import load
from advisor.words.spelling import corrected
from advisor.words.tokens import Token
from advisor.words.understand import lexicon

SEEN = 300  # how often a word must occur in the dictionary's corpus to count as ordinary


def changed(ordinary: frozenset[str]) -> list[str]:
    """Ordinary words that would be changed if these were the words left alone."""
    vocabulary = lexicon(load.book()).vocabulary
    seen = SpellChecker(language="en").word_frequency.dictionary
    words = (w for w, n in seen.items() if n >= SEEN and w.isascii() and w.isalpha())
    blank = Token("", "", 0, 0)
    row = [replace(blank, word=w, typed=w) for w in words]
    return sorted(t.typed for t in corrected(row, vocabulary, ordinary) if t.word != t.typed)


if __name__ == "__main__":
    print("ordinary: >-\n  " + " ".join(changed(frozenset(load.book().words.common))))
