"""What was learnt of how people talk: words -> facts with their chances, and what the words say of causes and changes.

One hidden layer that all outputs share (Caruana, Multitask learning, Machine Learning 28, 1997; rectified units): the
features of a text, weighted by how rare they are, make some units speak, and these tell the answers of each question,
the causes, and what a mechanic would try first. Answers known are features too, so what is tried first is heard from
words and answers together. Danger, and whether it is about karts, are one logistic regression each (Hastie,
Tibshirani, Friedman, The Elements of Statistical Learning, 2009, ch. 4.4 and 11). The weights are fitted by
tests.ear.train from the examples of knowledge/voices and frozen in one file (`ear_file`); here they are only applied.
"""

from __future__ import annotations

import math
import re
from array import array
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from operator import mul

from advisor.words.tokens import LONGEST
from advisor.words.understand import Understanding

STEM = 4  # words of more letters are also heard by their pieces: "oversteering", "understeery"
HAND = 2.5  # what a phrase of the book tells counts so much more than a word

# Length of a text, as weighed (some twenty words), from which on more words take less away from each other.
LONG = 50.0

CAUSE, QUESTION, WAY = "cause", "question", "way"  # kinds of outputs
# Kinds of outputs of a sentence: a lever with its way, whether that was done or asked about, and what came of it.
TURN, MEANT, CAME = "turn", "meant", "came"
DONE, ASKED = "done", "asked"
# Marks a feature that is an answer known, not a word; how much one says, beside a text of 1.
KNOWN, KNOWN_SAYS = "@", 0.35
# Marks two words that stand near each other in a sentence: only danger is heard by them, which lies in what is said of
# what ("lead … loose"). Words count by their first letters; the little ones only where they touch ("is off").
TOGETHER, NEAR, BEGINS = "+", 8, 5
BY_HAND = ("=", "?", "!", "%")  # mark what a phrase of the book tells
# Marks a text of so few words and stops: a few words are called about other things than are told at length.
BRIEF, BRIEFER = "#few ", (4, 8, 16)
LITTLE = frozenset((
    "the", "a", "an", "and", "of", "to", "in", "on", "it", "is", "was", "were", "i", "we", "he", "she", "they", "my",
    "our", "his", "her", "that", "this", "at", "for", "with", "so", "but",
))  # fmt: skip
# Share of the examples: an answer told so often has half a say in what is tried first (ours, by scenarios and authors).
SELDOM = 0.01
RAREST = 50.0
SUREST = 500.0  # log odds; beyond it a chance is 0 or 1
MARKS = frozenset(".;!?")
_TOKEN = re.compile(r"[a-z]+(?:'[a-z]+)?|\d+[.,:]?\d*|[.;!?]")


def features(text: str, words: Understanding) -> set[str]:
    """Words, pairs within a sentence, pieces of long words, and what the phrases of the book find."""
    row = ["#" if t[0].isdigit() else t for t in _TOKEN.findall(text[:LONGEST].lower().replace("’", "'"))]
    found: set[str] = set()
    for i, word in enumerate(row):
        if word in MARKS:
            continue
        found.add(word)
        after = row[i + 1] if i + 1 < len(row) else "."
        found.add(f"{word} {after}")
        if i + 2 < len(row) and row[i + 2] not in MARKS:
            found.add(f"{word} * {row[i + 2]}")
        if len(word) > STEM:
            framed = f"<{word}>"
            found.update(
                f"~{framed[k : k + n]}" for n in (STEM, STEM + 1) for k in range(len(framed) - n + 1)
            )
    long = len(row)
    return found | {f"{BRIEF}{n}" for n in BRIEFER if long <= n} | set(_by_hand(words)) | set(_together(row))


def _together(row: Iterable[str]) -> Iterable[str]:
    near: list[str] = []
    for word in row:
        if word in MARKS:
            near = []
            continue
        for before in near[:-1]:
            if before not in LITTLE and word not in LITTLE:
                yield f"{TOGETHER}{before[:BEGINS]}~{word[:BEGINS]}"
        if near:
            yield f"{TOGETHER}{near[-1][:BEGINS]}~{word[:BEGINS]}"
        near = [*near[-NEAR + 2 :], word]


def _by_hand(words: Understanding) -> Iterable[str]:
    for ident, reading in words.facts.items():
        sign = "=" if len(reading.answers) == 1 else "?"
        yield from (f"{sign}{ident}:{answer}" for answer in reading.answers)
    for pair in words.feels:
        yield from (f"={axis}:{said}" for axis, said in zip(("phase", "balance"), pair, strict=True) if said)
    for lever, way in words.changes:
        yield from (f"!{lever}", f"!{lever}:{way}")
    yield from (f"%{lever}" for lever, _ in words.ideas)


def known_features(answers: Mapping[str, str]) -> set[str]:
    """Each answer known, by question, and phase with balance as one."""
    found = {f"{KNOWN}{question}:{answer}" for question, answer in answers.items()}
    if {"phase", "balance"} <= answers.keys():
        found.add(f"{KNOWN}{answers['phase']} {answers['balance']}")
    return found


@dataclass(frozen=True, slots=True)
class Heard:
    """`facts`: chance of each answer of each question; `causes`: log P(cause | words) / P(cause) of the examples.

    `danger`: chance that it should not be driven before something is inspected; `about`: that it is about karts.
    `units`: what the words bring to each hidden unit.
    """

    facts: Mapping[str, Mapping[str, float]]
    causes: Mapping[str, float]
    danger: float = 0.0
    about: float = 1.0
    units: tuple[float, ...] = ()


@dataclass(frozen=True)
class Two:
    """One of two classes by all features: log odds `bias` + `scale` times the sum of the weights."""

    bias: float
    scale: float
    weight: array[int]

    def chance(self, rows: Iterable[tuple[int, float]]) -> float:
        """`rows`: features with their strength."""
        score = self.bias + self.scale * sum(x * self.weight[row] for row, x in rows)
        return 1 / (1 + math.exp(-min(max(score, -SUREST), SUREST)))


@dataclass(frozen=True)
class Layer:
    """A hidden layer: `cells` holds a row of one weight a unit for each feature that it hears, in steps of `step` of
    the unit, which begins at `rest`; `weight` such a row for each output.

    `outputs`: kind, question or cause or "lever:way", answer.
    """

    outputs: tuple[tuple[str, str, str], ...]
    cells: array[int]
    step: array[float]
    rest: array[float]
    weight: array[int]
    scale: array[float]
    bias: array[float]

    @property
    def hears(self) -> int:
        """How many features, from the first."""
        return len(self.cells) // max(1, len(self.step))

    def units(self, rows: Iterable[tuple[int, float]], before: Sequence[float]) -> tuple[float, ...]:
        """What these features add to what each hidden unit has `before`."""
        size, cells = len(self.step), self.cells
        sums = [0.0] * size
        for row, strength in rows:
            sums = [x + strength * w for x, w in zip(sums, cells[row * size : (row + 1) * size], strict=True)]
        return tuple(x + step * more for x, step, more in zip(before, self.step, sums, strict=True))

    def scores(
        self, units: Sequence[float], kinds: Container[str], ident: str = ""
    ) -> list[tuple[tuple[str, str, str], float]]:
        """The outputs of these kinds, or of one question alone, each with its score."""
        size, weight = len(units), self.weight
        spoken = [max(0.0, x) for x in units]
        return [
            (output, self.bias[k] + self.scale[k] * sum(map(mul, spoken, weight[k * size : (k + 1) * size])))
            for k, output in enumerate(self.outputs)
            if output[0] in kinds and (not ident or output[1] == ident)
        ]

    def numbers(self) -> tuple[array[float] | array[int], ...]:
        return self.step, self.rest, self.scale, self.bias, self.cells, self.weight


@dataclass(frozen=True, slots=True)
class Doing:
    """What a sentence tells of changes: chances of each way of each lever; that they were done or asked about; and
    what came of them.
    """

    turns: Mapping[str, Mapping[str, float]]
    meant: Mapping[str, float]
    came: Mapping[str, float]


@dataclass(frozen=True)
class Ear:
    """`names`: the features, a line each.

    First those that `turns` hears in a sentence; then what else the hidden layer of the whole hears, words and then
    answers known. Rare words and those near each other come last, for danger and karts alone. `spelt`: the words of
    more than a few examples, a line each.
    """

    names: str
    rarity: array[float]
    layer: Layer
    turns: Layer
    danger: Two
    about: Two
    spelt: str = ""

    @cached_property
    def place(self) -> dict[str, int]:
        names = self.names.split("\n")
        return dict(zip(names, range(len(names)), strict=True))

    def _rows(self, found: Iterable[str]) -> tuple[list[tuple[int, float]], ...]:
        """What the layer hears with its strength; all words; and the pairs with them. They lengthen the text."""
        place, layer = self.place, self.layer.hears
        rows = sorted((place[name], name[:1]) for name in found if name in place and name[:1] != KNOWN)
        words = [row for row in rows if row[1] != TOGETHER]
        return (
            self._strengths([row for row in words if row[0] < layer], LONG),
            self._strengths(words),
            self._strengths(rows),
        )

    def _strengths(self, rows: Sequence[tuple[int, str]], long: float = math.inf) -> list[tuple[int, float]]:
        """Features by place and the first sign of their names, each with its strength."""
        rarity = self.rarity
        length = weighed(math.sqrt(sum(rarity[r] ** 2 for r, _ in rows)), long)
        return [(r, rarity[r] / length * (HAND if sign in BY_HAND else 1.0)) for r, sign in rows]

    def doing(self, found: Iterable[str]) -> Doing:
        """What a sentence tells of changes, by its features without those of phrases."""
        place, hears = self.place, self.turns.hears
        rows = sorted((row, name[:1]) for name in found if (row := place.get(name, hears)) < hears)
        units = self.turns.units(self._strengths(rows), self.turns.rest)
        by: dict[tuple[str, str], dict[str, float]] = {}
        for (kind, ident, answer), score in self.turns.scores(units, (TURN, MEANT, CAME)):
            by.setdefault((kind, ident), {})[answer] = score
        chances = {of: _softmax(scores) for of, scores in by.items()}
        turns = {ident: ways for (kind, ident), ways in chances.items() if kind == TURN}
        return Doing(turns, chances.get((MEANT, ""), {}), chances.get((CAME, ""), {}))

    def tries(self, units: Sequence[float], answers: Mapping[str, str]) -> tuple[dict[str, float], float]:
        """Share of each "lever:way" of what a mechanic would try first, by words and by answers known.

        `units`: what was heard (`Heard.units`); nothing: no words. Beside it how much that says, from 0 to 1: as much
        as the answer says that the examples seldom told.
        """
        found = [self.place.get(name) for name in known_features(answers)]
        rows = sorted(row for row in found if row is not None)
        layer = self.layer
        known = layer.units(((row, KNOWN_SAYS) for row in rows), units or layer.rest)
        shares = _shares({ident: score for (_, ident, _), score in layer.scores(known, (WAY,))})
        if len(rows) < len(found):
            return shares, 0.0
        # a file may hold any number
        rarest = min(max((self.rarity[row] for row in rows), default=0.0), RAREST)
        return shares, 1 / (1 + SELDOM * math.exp(rarest))

    @cached_property
    def words(self) -> frozenset[str]:
        """Words that the examples use, without apostrophes: nobody who uses one has misspelt another."""
        return frozenset(self.spelt.split("\n"))

    def knows(self, found: Iterable[str]) -> bool:
        """True where more than one word was in the examples; a letter is none."""
        return sum(len(name) > 1 and name.isalpha() and name in self.place for name in found) > 1

    def silence(self, question: str) -> dict[str, float]:
        """Chances of the answers to a question where nothing is said."""
        return _softmax(
            {
                answer: score
                for (_, _, answer), score in self.layer.scores(self.layer.rest, (QUESTION,), question)
            }
        )

    def hear(self, found: Iterable[str]) -> Heard:
        """Chances of the answers, and the say of the words about each cause."""
        rows, words, near = self._rows(found)
        units = self.layer.units(rows, self.layer.rest)
        facts: dict[str, dict[str, float]] = {}
        causes: dict[str, float] = {}
        for (kind, ident, answer), score in self.layer.scores(units, (QUESTION, CAUSE)):
            if kind == QUESTION:
                facts.setdefault(ident, {})[answer] = score
            else:
                causes[ident] = score
        chances = {q: _softmax(z) for q, z in facts.items()}
        return Heard(
            chances, _against_mean(causes), self.danger.chance(near), self.about.chance(words), units
        )


def weighed(length: float, long: float) -> float:
    """What the strengths of a text's features are divided by: its length, beyond `long` its root only."""
    return min(length, math.sqrt(length * long)) or 1.0


def _softmax(scores: Mapping[str, float]) -> dict[str, float]:
    """Chances beside "not told", whose score is 0."""
    top = max(0.0, *scores.values())
    parts = {answer: math.exp(z - top) for answer, z in scores.items()}
    whole = math.exp(-top) + sum(parts.values())
    return {answer: part / whole for answer, part in parts.items()}


def _shares(scores: Mapping[str, float]) -> dict[str, float]:
    """A softmax over all that have a score."""
    if not scores:
        return {}
    top = max(scores.values())
    parts = {way: math.exp(z - top) for way, z in scores.items()}
    whole = sum(parts.values())
    return {way: part / whole for way, part in parts.items()}


def _against_mean(scores: Mapping[str, float]) -> dict[str, float]:
    """log of the share of each cause times their number: 0 for one that the words neither raise nor lower."""
    if not scores:
        return {}
    top = max(scores.values())
    whole = math.log(sum(math.exp(z - top) for z in scores.values())) + top
    return {cause: z - whole + math.log(len(scores)) for cause, z in scores.items()}
