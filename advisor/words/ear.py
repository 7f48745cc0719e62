"""What was learnt of how people talk: words -> facts with their chances, and what the words say of the causes.

A linear model: the features of a text, weighted by how rare they are, times one column of weights for each answer
of each question and each cause; a softmax over "not told" and the answers (Hastie, Tibshirani, Friedman, The
Elements of Statistical Learning, 2009, ch. 4.4). The weights are fitted by tests.ear.train from the examples of
knowledge/voices and frozen in one file; here they are only applied.
"""

from __future__ import annotations

import json
import math
import re
import zlib
from array import array
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from operator import le

from advisor.words.understand import Understanding

ORDER = "little" if array("H", [1]).tobytes()[0] else "big"
LARGEST = 50_000_000  # bytes of a file, unpacked
HIGHEST = 1 << 16  # more than any index of two bytes
FORM = 1  # raise when the layout of the file changes
STEM = 4  # words of more letters are also heard by their pieces: "oversteering", "understeery"
OFTEN = 2.5  # times as often as the rarest word: what stands in fewer texts may be a slip of the pen
HAND = 2.5  # what a phrase of the book tells counts so much more than a word

# kinds of outputs; a way by the words, and the same by the answers known
CAUSE, QUESTION, DANGER, ABOUT, WAY, TRY = "cause", "question", "danger", "about", "way", "try"
KNOWN = "@"  # marks a feature that is an answer known, not a word
# Marks two words that stand near each other in a sentence: only danger is heard by them, which lies in what is said of
# what ("lead … loose"). Words count by their first letters; the little ones only where they touch ("is off").
TOGETHER, NEAR, BEGINS = "+", 8, 5
# Marks a text of so few words and stops: a few words are called about other things than are told at length.
BRIEF, BRIEFER = "#few ", (4, 8, 16)
LITTLE = frozenset((
    "the", "a", "an", "and", "of", "to", "in", "on", "it", "is", "was", "were", "i", "we", "he", "she", "they", "my",
    "our", "his", "her", "that", "this", "at", "for", "with", "so", "but",
))  # fmt: skip
# Share of the examples: an answer told so often has half a say in what is tried first (ours, by scenarios and authors).
SELDOM = 0.01
RAREST = 50.0
MARKS = frozenset(".;!?")
_TOKEN = re.compile(r"[a-z]+(?:'[a-z]+)?|\d+[.,:]?\d*|[.;!?]")


def features(text: str, words: Understanding) -> set[str]:
    """Words, pairs within a sentence, pieces of long words, and what the phrases of the book find."""
    row = ["#" if t[0].isdigit() else t for t in _TOKEN.findall(text[:8000].lower().replace("’", "'"))]
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


def ordinary(names: Iterable[str]) -> frozenset[str]:
    """The single words among names of features, without apostrophes."""
    return frozenset(bare for name in names if (bare := name.replace("'", "")).isalpha())


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
    `ways`: share of each "lever:way" of what a mechanic would try first, by the words alone.
    """

    facts: Mapping[str, Mapping[str, float]]
    causes: Mapping[str, float]
    danger: float = 0.0
    about: float = 1.0
    ways: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Ear:
    """`outputs`: kind, question or cause, answer; the weights of a feature are a run of `index` and `weight`."""

    outputs: tuple[tuple[str, str, str], ...]
    bias: array[float]
    scale: array[float]
    rarity: array[float]
    run: array[int]
    index: array[int]
    weight: array[int]
    names: str

    @cached_property
    def place(self) -> dict[str, int]:
        return {name: i for i, name in enumerate(self.names.split("\n"))}

    def scores(self, found: Iterable[str]) -> list[float]:
        """One log odds for each output; features that no example had are passed over."""
        place, rarity, run, index, weight = self.place, self.rarity, self.run, self.index, self.weight
        known = [name for name in found if name in place and name[:1] != KNOWN]
        rows = sorted(place[name] for name in known if name[:1] != TOGETHER)
        length = math.sqrt(sum(rarity[r] ** 2 for r in rows)) or 1.0
        sums = [0.0] * HIGHEST  # a place for any index that a file may hold, so that none need be checked
        for r in rows:
            strength = rarity[r] / length
            if self.names_by_hand[r]:
                strength *= HAND
            for k in range(run[r], run[r + 1]):
                sums[index[k]] += strength * weight[k]
        near = sorted(place[name] for name in known if name[:1] == TOGETHER)
        if near:
            self._nearby(sums, near, length)
        return [b + s * x for b, s, x in zip(self.bias, self.scale, sums, strict=False)]

    def _nearby(self, sums: list[float], rows: list[int], length: float) -> None:
        """Danger with the pairs near each other: they lengthen the text for it alone."""
        rarity, run, index, weight = self.rarity, self.run, self.index, self.weight
        whole = math.sqrt(length**2 + sum(rarity[r] ** 2 for r in rows))
        for k, (kind, _, _) in enumerate(self.outputs):
            if kind == DANGER:
                more = sum(
                    rarity[r] * weight[j] for r in rows for j in range(run[r], run[r + 1]) if index[j] == k
                )
                sums[k] = (sums[k] * length + more) / whole if math.isfinite(whole) else 0.0

    def tries(self, answers: Mapping[str, str]) -> tuple[dict[str, float], float]:
        """Share of each "lever:way" of what a mechanic would try first, by answers known and not by words.

        Beside it how much that says, from 0 to 1: as much as the answer says that the examples seldom told.
        """
        found = [self.place.get(name) for name in known_features(answers)]
        rows = sorted(row for row in found if row is not None)
        sums = [0.0] * HIGHEST
        for row in rows:
            for k in range(self.run[row], self.run[row + 1]):
                sums[self.index[k]] += self.weight[k]
        scored = zip(self.outputs, self.bias, self.scale, sums, strict=False)
        shares = _shares({ident: b + s * x for (kind, ident, _), b, s, x in scored if kind == TRY})
        if len(rows) < len(found) or not rows:
            return shares, 0.0
        rarest = min(max(self.rarity[row] for row in rows), RAREST)  # a file may hold any number
        return shares, 1 / (1 + SELDOM * math.exp(rarest))

    @cached_property
    def words(self) -> frozenset[str]:
        """Words that the examples use often, without apostrophes: nobody who uses one has misspelt another."""
        rare = max(self.rarity, default=0.0) - math.log(OFTEN)
        return ordinary(name for name, row in self.place.items() if self.rarity[row] <= rare)

    @cached_property
    def names_by_hand(self) -> list[bool]:
        return [name[:1] in "=?!%" for name in self.place]

    def knows(self, found: Iterable[str]) -> bool:
        """True where more than one word was in the examples."""
        return sum(name.isalpha() and name in self.place for name in found) > 1

    @cached_property
    def silence(self) -> Heard:
        """What is heard where nothing is said."""
        return self.hear(())

    def hear(self, found: Iterable[str]) -> Heard:
        """Chances of the answers, and the say of the words about each cause."""
        scores = self.scores(found)
        facts: dict[str, dict[str, float]] = {}
        causes: dict[str, float] = {}
        ways: dict[str, float] = {}
        two: dict[str, float] = {}
        for (kind, ident, answer), score in zip(self.outputs, scores, strict=True):
            if kind == QUESTION:
                facts.setdefault(ident, {})[answer] = score
            elif kind == CAUSE:
                causes[ident] = score
            elif kind == WAY:
                ways[ident] = score
            elif kind != TRY:
                two[kind] = 1 / (1 + math.exp(-score))
        chances = {q: _softmax(z) for q, z in facts.items()}
        return Heard(chances, _against_mean(causes), two.get(DANGER, 0.0), two.get(ABOUT, 1.0), _shares(ways))


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


def packed(ear: Ear) -> bytes:
    """One file of the weights: a line of JSON, then the numbers."""
    head = {
        "form": FORM,
        "outputs": ear.outputs,
        "sizes": [len(part) for part in _numbers(ear)],
        "order": ORDER,
    }
    body = b"".join(part.tobytes() for part in _numbers(ear))
    text = json.dumps(head).encode() + b"\n" + ear.names.encode() + b"\0" + body
    return zlib.compress(text, 9)


def _numbers(ear: Ear) -> tuple[array[float] | array[int], ...]:
    return ear.bias, ear.scale, ear.rarity, ear.run, ear.index, ear.weight


def unpacked(data: bytes) -> Ear:
    """The ear of a file, every number of it in its bounds. Raises ValueError for a file that is no sound ear."""
    unpacker = zlib.decompressobj()
    try:
        text = unpacker.decompress(data, LARGEST)
        if not unpacker.eof:
            raise ValueError("it is cut short or too large")
        head_text, _, rest = text.partition(b"\n")
        head = json.loads(head_text)
        if head["form"] != FORM:
            raise ValueError("it is of another version")
        names, _, body = rest.partition(b"\0")
        bias, scale, rarity, run, index, weight = _arrays(body, head["sizes"], head["order"] != ORDER)
        outputs = tuple((str(kind), str(ident), str(answer)) for kind, ident, answer in head["outputs"])
        ear = Ear(outputs, bias, scale, rarity, run, index, weight, names.decode())  # type: ignore[arg-type]
    except (
        zlib.error,
        json.JSONDecodeError,
        UnicodeDecodeError,
        KeyError,
        TypeError,
        OverflowError,
    ) as problem:
        raise ValueError(f"it holds no weights ({type(problem).__name__})") from None
    _sound(ear)
    return ear


def _arrays(body: bytes, sizes: list[int], swapped: bool) -> list[array[float] | array[int]]:
    parts: list[array[float] | array[int]] = []
    at = 0
    for code, size in zip("fffIHb", sizes, strict=True):
        part = array(code)
        end = at + size * part.itemsize
        part.frombytes(body[at:end])
        if len(part) != size:
            raise ValueError("it is cut short")
        if swapped:
            part.byteswap()
        parts.append(part)
        at = end
    return parts


def _sound(ear: Ear) -> None:
    """Raise ValueError where the numbers do not fit together: the file may come from anybody."""
    features_, outputs = len(ear.rarity), len(ear.outputs)
    fits = (
        len(ear.bias) == len(ear.scale) == outputs
        and len(ear.index) == len(ear.weight)
        and len(ear.run) == features_ + 1
        and ear.run[0] == 0
        and ear.run[-1] == len(ear.index)
        and all(map(le, ear.run, ear.run[1:]))
        and len(ear.place) == features_
        and all(map(math.isfinite, (*ear.bias, *ear.scale, *ear.rarity)))
    )
    if not fits:
        raise ValueError("its numbers do not fit together")
