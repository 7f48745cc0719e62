"""Misspelt words of the trade, put right when a known word is clearly the nearest."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from advisor.words.tokens import Token

SHORTEST = (
    5  # shorter words have too many neighbours (grid, grip); there only a swap of two letters is mended
)


def corrected(row: Sequence[Token], vocabulary: Mapping[str, int], ordinary: Collection[str]) -> list[Token]:
    """Return the tokens with words that are neither known nor ordinary replaced by their nearest known word.

    Nearest: optimal string alignment distance (a swap of neighbours counts one) of at most 1, or 2
    from eight letters on, with the same first letter; among equals the word that more phrases use.
    """
    return [_corrected(token, vocabulary, ordinary) for token in row]


def _corrected(token: Token, vocabulary: Mapping[str, int], ordinary: Collection[str]) -> Token:
    word = token.word
    if word in vocabulary or word in ordinary or not word.isalpha():
        return token
    if len(word) < SHORTEST:
        swapped = [s for s in swaps(word) if s in vocabulary] if len(word) == SHORTEST - 1 else []
        return replace(token, word=swapped[0]) if len(swapped) == 1 else token
    # loaded only when a word is strange: the import costs as much as the matching
    from rapidfuzz.distance import OSA

    limit = 2 if len(word) >= 8 else 1
    ranked = []
    for known, uses in vocabulary.items():
        if len(known) >= SHORTEST - 1 and known[0] == word[0] and abs(len(known) - len(word)) <= limit:
            distance = OSA.distance(word, known, score_cutoff=limit)
            if distance <= limit:
                ranked.append((distance, -uses, known))
    return replace(token, word=min(ranked)[2]) if ranked else token


def swaps(word: str) -> list[str]:
    """The word with two neighbouring inner or last letters swapped."""
    return [word[:i] + word[i + 1] + word[i] + word[i + 2 :] for i in range(1, len(word) - 1)]
