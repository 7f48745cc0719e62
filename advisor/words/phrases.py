"""Phrases of the knowledge base, compiled, and their matches in a row of tokens.

A phrase is a row of words; a word in CAPITALS stands for any word of that class, `word~` for any word
that starts so, `..` for up to four words in between, and `!word` or `!CLASS` for "not followed by
this".
Longer matches win over shorter ones.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
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
    """Phrases by the first word they can start with, and how many phrases use each word.

    A phrase is compiled when a text holds its first word: most never are.
    """

    classes: Classes = field(default_factory=dict)
    ordinary: frozenset[str] = frozenset()
    by_word: dict[str, list[tuple[str, tuple[str, ...]]]] = field(default_factory=dict)
    stems: list[tuple[str, tuple[str, ...]]] = field(default_factory=list)
    vocabulary: dict[str, int] = field(default_factory=dict)
    barriers: frozenset[str] = frozenset()  # words that no gap may pass over: no, not, never
    _compiled: dict[str, tuple[Element, ...]] = field(default_factory=dict)

    def add(self, phrase: str, tag: tuple[str, ...]) -> None:
        """Take in a phrase; `tag` is handed back with its matches."""
        entry = (phrase, tag)
        words = _words(phrase)
        for word in words:
            if word.isupper() and len(word) > 1 and word[0] != "!":
                for known in _class(tuple(self.classes[word])).words:
                    self.vocabulary[known] = self.vocabulary.get(known, 0) + 1
            elif word != ".." and word[0] != "!" and word[-1] != "~":
                self.vocabulary[word] = self.vocabulary.get(word, 0) + 1
        first = words[0] if words else ""
        if first.endswith("~"):
            self.stems.append(entry)
        elif first.isupper() and len(first) > 1:
            for known in _class(tuple(self.classes[first])).words:
                self.by_word.setdefault(known, []).append(entry)
        elif first:
            self.by_word.setdefault(first, []).append(entry)

    def matches(self, row: Sequence[Token]) -> list[Match]:
        """Every match of every phrase, longest first, then in order of the text."""
        found = []
        for i, token in enumerate(row):
            for phrase, tag in (*self.by_word.get(token.word, ()), *self.stems):
                places = _match(self._elements(phrase), row, i, self.barriers)
                if places:
                    found.append(Match(tag, places))
        return sorted(set(found), key=lambda m: (-len(m.places), m.end - m.start, m.start, m.tag))

    def _elements(self, phrase: str) -> tuple[Element, ...]:
        if phrase not in self._compiled:
            self._compiled[phrase] = compile_phrase(phrase, self.classes)
        return self._compiled[phrase]


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
        elif word.isupper() and len(word) > 1:
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


def keep_longest(matches: Iterable[Match], group: int = 1) -> list[Match]:
    """Keep matches, longest first, whose tokens no kept match of the same group has used.

    The group is the first `group` parts of the tag; two meanings of the very same words both stay.
    """
    used: dict[tuple[str, ...], dict[int, tuple[int, ...]]] = {}
    kept = []
    for match in matches:
        taken = used.setdefault(match.tag[:group], {})
        if any(taken.get(p, match.places) != match.places for p in match.places):
            continue
        taken.update(dict.fromkeys(match.places, match.places))
        kept.append(match)
    return kept
