"""From free text to tokens: small letters, no accents or apostrophes, hyphens as blanks, clauses numbered."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

_TOKEN = re.compile(r"[^\W_]+|[.,;:!?()\n]")
_HARD = frozenset(".;!?\n")
_SOFT = frozenset(",:()")
_SOFT_WORDS = frozenset(("but", "although", "though", "while", "whereas", "however", "otherwise", "then"))
_MARKS = str.maketrans({"'": "", "’": "", "`": "", "´": "", "-": " ", "‑": " ", "‐": " "})
LONGEST = 8000  # letters of a text that are read
MAX_TOKENS = 400  # a complaint is a few sentences; the rest of a longer text is not read


@dataclass(frozen=True, slots=True)
class Token:
    """A word with the sentence and the clause it stands in. `typed` is the word before any correction."""

    word: str
    typed: str
    sentence: int
    clause: int


def plain(text: str) -> str:
    """Return the text in small letters without accents, apostrophes and hyphens."""
    text = text.lower()
    if not text.isascii():
        spread = unicodedata.normalize("NFKD", text.replace("ß", "ss"))
        text = "".join(c for c in spread if not unicodedata.combining(c))
    return text.translate(_MARKS)


def tokens(text: str) -> list[Token]:
    """Split a text into tokens; punctuation ends sentences and clauses and is dropped."""
    found: list[Token] = []
    sentence = clause = 0
    for piece in _TOKEN.findall(plain(text[:LONGEST])):
        if piece in _HARD:
            sentence, clause = sentence + 1, clause + 1
        elif piece in _SOFT:
            clause += 1
        else:
            if piece in _SOFT_WORDS:
                clause += 1
            found.append(Token(piece, piece, sentence, clause))
            if len(found) == MAX_TOKENS:
                break
    return found
