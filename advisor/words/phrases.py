"""Phrases of the knowledge base, compiled, and their matches in a row of tokens.

A phrase is a row of words; a word in CAPITALS stands for any word of that class, `word~` for any word
that starts so, `..` for up to four words in between, and `!word` or `!CLASS` for "not followed by
this".
Longer matches win over shorter ones.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import NamedTuple

from advisor.words.tokens import Token, plain

MAX_GAP = 4


class Element(NamedTuple):
    """One place of a phrase: a set of words, a stem, or (both empty) a gap."""

    words: frozenset[str]
    stem: str = ""
    barred: bool = False

    def takes(self, word: str) -> bool:
        return word in self.words or bool(self.stem and word.startswith(self.stem))


GAP = Element(frozenset())


class Match(NamedTuple):
    """A phrase found: what it means (`tag`), and the positions of its tokens."""

    tag: tuple[str, ...]
    places: tuple[int, ...]

    @property
    def start(self) -> int:
        return self.places[0]

    @property
    def end(self) -> int:
        return self.places[-1]


Classes = Mapping[str, Sequence[str]]


@dataclass
class Lexicon:
    """Phrases by what they begin with: a word, a class or the beginning of a word.

    All are added before the first text is read. One is compiled when a text holds its first word: most never are.
    """

    classes: Classes = field(default_factory=dict)
    ordinary: frozenset[str] = frozenset()
    barriers: frozenset[str] = frozenset()  # words that no gap may pass over: no, not, never
    _by_first: dict[str, list[tuple[str, tuple[str, ...]]]] = field(default_factory=dict)
    _words: list[str] = field(default_factory=list)
    _compiled: dict[str, tuple[Element, ...]] = field(default_factory=dict)

    def add(self, phrase: str, tag: tuple[str, ...]) -> None:
        """Take in a phrase; `tag` is handed back with its matches."""
        words = _words(phrase)
        self._words += words
        if words:
            self._by_first.setdefault(words[0], []).append((phrase, tag))

    @cached_property
    def vocabulary(self) -> dict[str, int]:
        """How many phrases use each word."""
        uses: dict[str, int] = {}
        for word, times in Counter(self._words).items():
            if word[0] == "!" or word == ".." or word[-1] == "~":
                continue
            for known in self._class(word) if _is_class(word) else (word,):
                uses[known] = uses.get(known, 0) + times
        return uses

    @cached_property
    def _beginnings(self) -> dict[str, list[str]]:
        """The classes that each word is of."""
        found: dict[str, list[str]] = {}
        for name in filter(_is_class, self._by_first):
            for word in self._class(name):
                found.setdefault(word, []).append(name)
        return found

    @cached_property
    def _stems(self) -> list[str]:
        return [first for first in self._by_first if first[-1] == "~"]

    def _class(self, name: str) -> frozenset[str]:
        return _class(tuple(self.classes[name])).words

    def matches(self, row: Sequence[Token]) -> list[Match]:
        """Every match of every phrase, longest first, then in order of the text."""
        found = []
        for i, token in enumerate(row):
            for first in (token.word, *self._beginnings.get(token.word, ()), *self._stems):
                for phrase, tag in self._by_first.get(first, ()):
                    places = _match(self._elements(phrase), row, i, self.barriers)
                    if places:
                        found.append(Match(tag, places))
        return sorted(set(found), key=lambda m: (-len(m.places), m.end - m.start, m.start, m.tag))

    def _elements(self, phrase: str) -> tuple[Element, ...]:
        if phrase not in self._compiled:
            self._compiled[phrase] = compile_phrase(phrase, self.classes)
        return self._compiled[phrase]


def _is_class(word: str) -> bool:
    return word.isupper() and len(word) > 1


def _words(phrase: str) -> list[str]:
    """The words of a phrase; accents, apostrophes and hyphens are taken out as they are in a text."""
    if phrase.isascii() and "-" not in phrase and "'" not in phrase:
        return phrase.split()
    words = []
    for word in phrase.split():
        words += [word] if word.isupper() else plain(word).split()
    return words


def compile_phrase(phrase: str, classes: Classes) -> tuple[Element, ...]:
    """Turn the text of a phrase into elements. Raises ValueError for an unknown class."""
    elements: list[Element] = []
    for word in _words(phrase):
        if word == "..":
            elements.append(GAP)
        elif word.startswith("!") and not word.isupper():
            elements.append(Element(frozenset((plain(word[1:]),)), barred=True))
        elif _is_class(word):
            name = word.removeprefix("!")
            if name not in classes:
                raise ValueError(f'"{name}" in the phrase "{phrase}" is no class of words.yaml')
            elements.append(_class(tuple(classes[name]))._replace(barred=word != name))
        elif word.endswith("~"):
            elements.append(Element(frozenset(), plain(word[:-1])))
        else:
            elements += [Element(frozenset((part,))) for part in plain(word).split()]
    return tuple(elements)


@lru_cache(maxsize=256)
def _class(words: tuple[str, ...]) -> Element:
    return Element(frozenset(w for c in words if " " not in (w := plain(c))))


def _match(
    elements: Sequence[Element], row: Sequence[Token], start: int, barriers: frozenset[str]
) -> tuple[int, ...]:
    """Places of the elements from `start` on, within one sentence, or nothing."""
    places: list[int] = []
    place, gap = start, 0
    for element in elements:
        if element is GAP:
            gap = MAX_GAP
            continue
        if element.barred:
            if place < len(row) and element.takes(row[place].word):
                return ()
            continue
        last = min(place + gap, len(row) - 1)
        while place <= last and not element.takes(row[place].word):
            if row[place].word in barriers:
                return ()
            place += 1
        if place > last or row[place].sentence != row[start].sentence:
            return ()
        places.append(place)
        place, gap = place + 1, 0
    return tuple(places)


def keep_longest(matches: Iterable[Match]) -> list[Match]:
    """Keep matches, longest first, whose tokens no kept match of the same kind has used.

    The kind is the first part of the tag; two meanings of the very same words both stay.
    """
    used: dict[str, dict[int, tuple[int, ...]]] = {}
    kept = []
    for match in matches:
        taken = used.setdefault(match.tag[0], {})
        if any(taken.get(p, match.places) != match.places for p in match.places):
            continue
        taken.update(dict.fromkeys(match.places, match.places))
        kept.append(match)
    return kept
