"""Ordinary English words that the spelling mender would turn into words of the trade.

Run as `python -m tests.words.ordinary`: prints the line `ordinary:` for knowledge/words.yaml, made
with the dictionary of pyspellchecker, which only the tests need.
"""

from __future__ import annotations

import re
from dataclasses import replace

from spellchecker import SpellChecker

from advisor.book import load
from advisor.words.spelling import corrected
from advisor.words.tokens import Token
from advisor.words.understand import lexicon

# Not fit to print, and words that drivers do misspell: left out, so they may be "corrected".
UNFIT = re.compile(
    r"fuck|shit|cunt|bitch|whor|slut|piss|cock|tits|nigg|fag|rape|porn|dick|boob|turd|bast|scrot|wank"
)
MEANT = frozenset(("breaking", "breaks", "carts", "clatter", "clatters"))
SEEN = 300  # how often a word must occur in the dictionary's corpus to count as ordinary


def changed(ordinary: frozenset[str]) -> list[str]:
    """Ordinary words that would be changed if these were the words left alone."""
    vocabulary = lexicon(load.book()).vocabulary
    seen = SpellChecker(language="en").word_frequency.dictionary
    words = (w for w, n in seen.items() if n >= SEEN and w.isascii() and w.isalpha() and fit(w))
    blank = Token("", "", 0, 0)
    row = [replace(blank, word=w, typed=w) for w in words]
    return sorted(t.typed for t in corrected(row, vocabulary, ordinary) if t.word != t.typed)


def fit(word: str) -> bool:
    """True for a word to be left alone."""
    return word not in MEANT and not UNFIT.search(word)


if __name__ == "__main__":
    print("ordinary: >-\n  " + " ".join(changed(frozenset(load.book().words.common))))
