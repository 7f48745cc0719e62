"""From a word as somebody says it to the entries of the book that explain it.

The names of an entry are its id, its name, the phrases of a glossary term and those of a lever.
What a complaint may say ("the back end lets go") leads to the feel or the question it answers.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from advisor.model.knowledge import BALANCES, Book
from advisor.words.phrases import Lexicon, keep_longest
from advisor.words.spelling import SHORTEST
from advisor.words.tokens import Token, tokens
from advisor.words.understand import HINT, SPENT

LONGEST = 160  # letters of a question that are read; no name of an entry is longer
MOST = 8  # candidates listed; more would not be read
LONG_WORD = 8  # from here on two letters may be wrong, as in advisor.words.spelling
ALIKE = 78.0  # a score of rapidfuzz from which a name is worth offering; set by trying

# In this order entries of one name are shown; the words before a name that choose between them.
KINDS: dict[str, tuple[str, ...]] = {
    "term": ("term", "word"),
    "lever": ("change", "lever"),
    "effect": ("effect",),
    "question": ("question", "observation"),
    "cause": ("cause",),
}
_FILLERS = frozenset(("the", "a", "an", "of", "is", "it", "what", "whats", "does", "mean", "my", "kart"))
_SPELT = {
    "tire": "tyre", "center": "centre", "carburetor": "carburettor", "castor": "caster", "ackerman": "ackermann",
    "aluminum": "aluminium", "color": "colour", "stabilizer": "stabiliser", "carb": "carburettor",
}  # fmt: skip


class Key(NamedTuple):
    """One entry: its kind (a key of KINDS) and the id of its record."""

    kind: str
    id: str


@dataclass(frozen=True, slots=True)
class Found:
    """What a question leads to: the entry to show, and others to name; nothing to show when unclear."""

    shown: Key | None = None
    others: tuple[Key, ...] = ()


@dataclass(frozen=True, slots=True)
class Index:
    """A book with the names of its entries, in the form that questions are brought into."""

    book: Book
    known: Lexicon
    names: Mapping[str, tuple[Key, ...]]


def index(book: Book, known: Lexicon) -> Index:
    """Collect the names of all entries of a book; `known` are its phrases, compiled."""
    names: dict[str, list[Key]] = {}
    for text, key in _names(book):
        keys = names.setdefault(_form(text), [])
        if key not in keys:
            keys.append(key)
    names.pop("", None)
    return Index(book, known, {name: _ranked(keys) for name, keys in names.items()})


def _ranked(keys: Iterable[Key]) -> tuple[Key, ...]:
    order = list(KINDS)
    return tuple(sorted(keys, key=lambda key: order.index(key.kind)))


def records(book: Book) -> dict[Key, str]:
    """Every entry with its name, in the order in which kinds are shown."""
    return {
        **{Key("term", t.id): t.name for t in book.glossary.values()},
        **{Key("lever", v.id): v.name for v in book.levers.values()},
        **{Key("effect", e.id): e.name for e in book.effects.values()},
        **{Key("question", o.id): o.question for o in book.observations.values()},
        **{Key("cause", c.id): c.name for c in book.causes.values()},
    }


def named(book: Book, ident: str) -> Key | None:
    """The entry that an id in a `see` list means: of several kinds the first."""
    return next((key for key in records(book) if key.id == ident), None)


def find(where: Index, text: str) -> Found:
    """Look a word or a few words up: as they stand, as a complaint would say them, misspelt, in part."""
    names = where.names
    asked = _form(text[:LONGEST])
    if not asked:
        return Found()
    if asked in names:
        return _several(names[asked])
    kind, _, rest = asked.partition(" ")
    for own, words in KINDS.items():
        if kind in words and rest in names:
            return _several([k for k in names[rest] if k.kind == own] or names[rest])
    row = tokens(text[:LONGEST])
    if keys := _said(where, row, whole=True):
        return _several(keys)
    if keys := _misspelt(names, asked) or _partly(names, asked):
        return _several(keys) if len(keys) == 1 else Found(None, keys[:MOST])
    if keys := _said(where, row, whole=False):
        return _several(keys)
    return Found(None, _alike(names, asked))


def _several(keys: Sequence[Key]) -> Found:
    return Found(keys[0], tuple(keys[1 : MOST + 1]))


def _names(book: Book) -> Iterable[tuple[str, Key]]:
    for key, name in records(book).items():
        yield key.id, key
        yield name, key
    for term in book.glossary.values():
        for phrase in term.phrases:
            yield phrase, Key("term", term.id)
    for lever in book.levers.values():
        for phrase in (*lever.phrases, *(p for way in lever.ways.values() for p in (way.say, *way.phrases))):
            if not any(sign in phrase for sign in ("..", "!", "~")):
                yield _spelt_out(phrase, book.words.classes), Key("lever", lever.id)


def _spelt_out(phrase: str, classes: Mapping[str, Sequence[str]]) -> str:
    """A phrase with the first word of a class in its place: REAR as rear."""
    return " ".join(classes[word][0] if word in classes else word for word in phrase.split())


def _form(text: str) -> str:
    """The form in which names are compared: plain words, one spelling, no plural, no words that tell nothing."""
    words = [_SPELT.get(one := _single(token.word), one) for token in tokens(text.replace("_", " "))]
    telling = [word for word in words if word not in _FILLERS]
    return " ".join(telling or words)


def _single(word: str) -> str:
    return word[:-1] if len(word) > 3 and word[-1] == "s" and word[-2] not in "su" else word


def _said(where: Index, row: Sequence[Token], whole: bool) -> tuple[Key, ...]:
    """The entries that the phrases of complaints in these words lead to; `whole`: that take every word."""
    kept = keep_longest(m for m in where.known.matches(row) if m.tag[0] != "marker")
    told = {place for match in kept for place in match.places}
    if whole and not all(i in told for i, t in enumerate(row) if t.word not in _FILLERS):
        return ()
    return _ranked(dict.fromkeys(_meant(where.book, match.tag) for match in kept))


def _meant(book: Book, tag: tuple[str, ...]) -> Key:
    if tag[0] in ("lever", SPENT):
        return Key("lever", tag[1])
    if tag[0] == HINT:
        return Key("question", tag[1])
    if tag[0] == "balance" and tag[1] in BALANCES and tag[1] in book.glossary:
        return Key("term", tag[1])
    return Key("question", tag[0])


def _misspelt(names: Mapping[str, tuple[Key, ...]], asked: str) -> tuple[Key, ...]:
    """The entries of the names that are nearest by letters: one wrong, two in a long name."""
    from rapidfuzz.distance import OSA  # only for strange words: the import costs as much as the search

    if len(asked) < SHORTEST:
        return ()
    limit = 2 if len(asked) >= LONG_WORD else 1
    near: dict[int, list[str]] = {}
    for name in names:
        if abs(len(name) - len(asked)) <= limit:
            distance = OSA.distance(asked, name, score_cutoff=limit)
            if distance <= limit:
                near.setdefault(distance, []).append(name)
    best = near[min(near)] if near else []
    return tuple(dict.fromkeys(key for name in best for key in names[name]))


def _partly(names: Mapping[str, tuple[Key, ...]], asked: str) -> tuple[Key, ...]:
    """The entries whose names hold every word that was asked, the shortest names first."""
    words = set(asked.split())
    holding = sorted((name for name in names if words <= set(name.split())), key=lambda n: (len(n), n))
    return tuple(dict.fromkeys(key for name in holding for key in names[name]))


def _alike(names: Mapping[str, tuple[Key, ...]], asked: str) -> tuple[Key, ...]:
    """Entries to offer when nothing fits: names that look alike, the likest first."""
    from rapidfuzz import fuzz, process

    near = process.extract(asked, list(names), scorer=fuzz.token_sort_ratio, limit=MOST, score_cutoff=ALIKE)
    return tuple(dict.fromkeys(key for name, *_ in near for key in names[name]))[:MOST]
