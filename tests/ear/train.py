"""Fit the ear: `python -m tests.ear.train` reads knowledge/voices and writes knowledge/ear.bin.

`… FILE FOLD` writes another file, for which a fifth of the published complaints was not seen.

One hidden layer hears questions, causes and what to try first on whole complaints and on sayings (tests.ear.net), with
some of the answers known beside the words; danger, and what is about karts, are a logistic regression each (the
library: scikit-learn, Pedregosa and others, 2011). The features and how they are applied are those of
advisor.words.ear. The weights of the hidden layer are kept in four bits, the others in eight: no set heard worse by it.
"""

from __future__ import annotations

import math
import sys
from array import array
from collections import Counter, defaultdict
from collections.abc import Callable, Container, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix, hstack
from sklearn.linear_model import LogisticRegression

from advisor.book import load
from advisor.words.ear import (
    CAUSE,
    HAND,
    KNOWN_SAYS,
    LONG,
    QUESTION,
    TOGETHER,
    WAY,
    Ear,
    Layer,
    Two,
    features,
    known_features,
    weighed,
)
from advisor.words.ear_file import packed
from advisor.words.spelling import swaps
from advisor.words.tokens import tokens
from advisor.words.turns import NOTHING
from advisor.words.understand import lexicon, understand
from tests.ear import net, turning
from tests.ear.examples import (
    NOT,
    Danger,
    Saying,
    Told,
    Turned,
    collected,
    dangers,
    others,
    published,
    sayings,
    texts,
    told,
    tried,
    turned,
)

STRENGTH = 5.0  # of a text against the penalty on the weights of danger; by cross-validation over authors
SEEN = 3  # texts that a feature must stand in
SLIP = 20  # times as often stands a word as one that is a slip of it
SEEN_OF_WORDS = 27  # likewise a feature that the hidden layer hears
KEPT_OF_ABOUT = 12000  # features by which it is heard whether it is about karts, those that weigh most
KEPT_OF_DANGER = 40000
STEPS = 15  # of a weight of the hidden layer, either side of 0
FURTHEST = 0.9995  # share of the weights of a unit that its steps reach; those beyond go to the last step
# Share of the texts of a step beside which answers are known, and of those that are without their words.
ANSWERED, WORDLESS = 0.3, 0.15
SEEN_OF_TURNS = 60  # likewise texts that tell a change, of those by which it is heard
SEEN_OF_ANSWERS = 4
PIECES = 1.0  # share of the sayings that a round hears
ELSEWHERE = 0.08  # how much a saying counts as telling nothing of another question
# Complaints of at most so many words into which one to three pieces of talk are put, how many, and what one counts.
MINGLED_OF, MINGLED, MINGLED_MOST, MINGLED_SAYS = 60, 8000, 3, 0.5
ALWAYS = ("subject", "balance", "phase")  # which are told in most pieces, whatever they are about
JUDGED = (0.5, 0.25, 0.15, 0.1)  # share of the first, second … cause that the judge named
TRIED = (0.4, 0.24, 0.16, 0.12, 0.08)  # share of the first, second … way that the judge would try
NAMED = 1.0  # a way named less often in all, by these shares, is not learnt
WRITTEN = 100.0  # weight of a complaint written to be dangerous or harmless, beside those judged in passing
STOPPED = 20.0  # likewise of one of which a judge said whether he would stop
# Of a piece of talk; of one that tells an answer that is an alarm so many times that.
SAID, TOLD_ALARM = 3.0, 3.3
OTHER = 16.0  # likewise of what is about no kart: there are few of them
MILD_OF_DANGER, MILD_OF_ABOUT = 0.03, 1.0  # inverse of the penalty
TRUE = 1.0  # weight of the true cause beside them

Floats = NDArray[np.float64]
Row = tuple[str, bool, float]  # text, class, weight


@cache
def found(text: str) -> frozenset[str]:
    """The features of a text."""
    book, known = _ready()
    return frozenset(features(text, understand(text, book, known)))  # type: ignore[arg-type]


@cache
def _ready() -> tuple[object, object]:
    """The book and its phrases; the words of the examples are known before anything is fitted."""
    book = load.book()
    return book, lexicon(book, frozenset(spelt()))


@cache
def spelt() -> tuple[str, ...]:
    """Words that stand in enough of the examples to be no slip of the pen, as two letters swapped of another are."""
    every = Counter(w for text in _every_text() for w in {t.word for t in tokens(text)} if w.isalpha())
    slips = {s for w, n in every.items() for s in swaps(w) if every.get(s, n) * SLIP < n}
    return tuple(sorted(w for w, n in every.items() if n >= SEEN and w not in slips))


def _every_text() -> list[str]:
    return [
        *texts(told()),
        *texts(tried()),
        *texts(collected()),
        *texts(published()),
        *texts(sayings()),
        *(t.text for t in turned()),
        *(d.text for d in dangers()),
        *others(),
    ]


@dataclass(frozen=True)
class Words:
    """The features that are learnt from, how rare each is, and the matrix of texts."""

    place: dict[str, int]
    rarity: Floats
    by_hand: Floats = field(init=False)

    def __post_init__(self) -> None:
        hand = np.array([HAND if name[:1] in "=?!%" else 1.0 for name in self.place])
        object.__setattr__(self, "by_hand", hand)

    def matrix(
        self,
        rows: Sequence[str],
        heard: Callable[[str], frozenset[str]] | None = None,
        long: float = math.inf,
    ) -> csr_matrix:
        """Texts by features, as advisor.words.ear weighs them, times STRENGTH."""
        heard = heard or found
        runs, columns, values = [0], list[int](), list[float]()
        for text in rows:
            ids = np.array(sorted(self.place[f] for f in heard(text) if f in self.place), dtype=int)
            weight = self.rarity[ids]
            length = weighed(float(np.sqrt((weight**2).sum())), long)
            columns.extend(ids)
            values.extend(weight / length * self.by_hand[ids] * STRENGTH)
            runs.append(len(columns))
        return csr_matrix((values, columns, runs), shape=(len(rows), len(self.place)))


def words_of(rows: Sequence[str], turning_: Container[str] = ()) -> tuple[Words, int]:
    """The features that stand in enough of the texts, and how many come first that the hidden layer hears.

    First of these come those by which changes are heard.
    """
    counts = Counter(f for text in rows for f in found(text))
    seldom = {f: f[:1] == TOGETHER or n < SEEN_OF_WORDS for f, n in counts.items() if n >= SEEN}
    names = sorted(seldom, key=lambda f: (seldom[f], f not in turning_, f))
    rarity = np.log(len(rows) / np.array([counts[f] for f in names]))
    return Words({f: i for i, f in enumerate(names)}, rarity), len(names) - sum(seldom.values())


def only(words: Words, kept: Callable[[int, str], bool]) -> Words:
    """Some of the words, in their order."""
    names = [name for name, i in words.place.items() if kept(i, name)]
    return Words({f: i for i, f in enumerate(names)}, words.rarity[[words.place[f] for f in names]])


@dataclass(frozen=True)
class Column:
    """The fitted weights of one of two classes."""

    bias: float
    weights: Floats


@dataclass(frozen=True)
class Taught:
    """All that the hidden layer learns from: texts by words, texts by answers known, and what it should say.

    `outputs`: as the ear names them, in the order of `wanted`. The first `stories` of the texts are whole complaints.
    """

    words: Words
    answers: tuple[str, ...]
    rarity: Floats
    texts: csr_matrix
    known: csr_matrix
    wanted: net.Wanted
    outputs: tuple[tuple[str, str, str], ...]
    stories: int


def taught(words: Words, known: Sequence[Told], pieces: Sequence[Saying], causes: Iterable[str]) -> Taught:
    """The tables of complaints and sayings."""
    size = len(known) + len(pieces)
    ways, share = _table(first_tried(known), size)
    named, blamed = _table(_blamed(known, frozenset(causes)), size)
    facts = sorted(
        {f for t in known for f in t.facts.items()}
        | {(p.question, p.answer) for p in pieces if p.answer != NOT}
    )
    told_, asked, first = _told(facts, known, pieces)
    given = [known_features(t.facts) for t in known]
    counts = Counter(name for names in given for name in names)
    answers = tuple(sorted(name for name, n in counts.items() if n >= SEEN_OF_ANSWERS))
    at = {name: i for i, name in enumerate(answers)}
    cells = [(i, at[name]) for i, names in enumerate(given) for name in names if name in at]
    rows, columns = zip(*cells, strict=True)
    beside = csr_matrix((np.full(len(cells), KNOWN_SAYS, np.float32), (rows, columns)), shape=(size, len(at)))
    texts_ = (words.matrix([*texts(known), *texts(pieces)], long=LONG) / STRENGTH).astype(np.float32)
    outputs = [
        *((WAY, way, "") for way in ways),
        *((CAUSE, c, "") for c in named),
        *((QUESTION, *f) for f in facts),
    ]
    rarity = np.log(len(known) / np.array([counts[name] for name in answers]))
    wanted = net.Wanted((share, blamed), told_, asked, first)
    return Taught(words, answers, rarity, texts_, beside, wanted, tuple(outputs), len(known))


def mingled(known: Sequence[Told], pieces: Sequence[Saying], rng: np.random.Generator) -> list[Told]:
    """Complaints with pieces of talk about other questions in between: each counts by itself where much is told."""
    plain = [t for t in known if t.written and len(t.text.split()) <= MINGLED_OF]
    telling = [p for p in pieces if p.answer != NOT]
    made = []
    for t in (plain[k] for k in rng.integers(len(plain), size=MINGLED)):
        told_, parts = dict(t.facts), [t.text]
        for piece in (telling[k] for k in rng.integers(len(telling), size=rng.integers(1, MINGLED_MOST + 1))):
            if piece.question not in told_:
                told_[piece.question] = piece.answer
                parts.insert(rng.integers(len(parts) + 1), piece.text)
        text = ". ".join(part.rstrip(".") for part in parts)
        made.append(replace(t, text=text, stated=told_, implied={}, weight=MINGLED_SAYS * t.weight))
    return made


def _table(shares: Mapping[tuple[int, str], float], size: int) -> tuple[list[str], net.Floats]:
    names = sorted({name for _, name in shares})
    at = {name: i for i, name in enumerate(names)}
    table = np.zeros((size, len(names)), np.float32)
    for (row, name), share in shares.items():
        table[row, at[name]] = share
    return names, table


def _blamed(known: Sequence[Told], causes: Container[str]) -> dict[tuple[int, str], float]:
    """The share of each cause of each complaint: the true one and those that the judge named."""
    share = defaultdict[tuple[int, str], float](float)
    for i, row in enumerate(known):
        for cause, weight in (
            *((c, 1 / len(row.causes)) for c in row.causes),
            *zip(row.judged, JUDGED, strict=False),
        ):
            if cause in causes:
                share[i, cause] += weight * row.weight
    return share


def _told(
    facts: Sequence[tuple[str, str]], known: Sequence[Told], pieces: Sequence[Saying]
) -> tuple[net.Floats, net.Floats, NDArray[np.int_]]:
    """Answers told in each text, how much each question counts there, and the first answer of each question."""
    at = {fact: i for i, fact in enumerate(facts)}
    questions = sorted({question for question, _ in facts})
    place = {question: i for i, question in enumerate(questions)}
    first = np.array([min(i for (q, _), i in at.items() if q == question) for question in questions])
    told_ = np.zeros((len(known) + len(pieces), len(facts)), np.float32)
    asked = np.zeros((len(told_), len(questions)), np.float32)
    for i, row in enumerate(known):
        asked[i] = row.weight if row.written else 0
        told_[i, [at[fact] for fact in row.facts.items()]] = 1
    for i, piece in enumerate(pieces, len(known)):
        asked[i] = ELSEWHERE
        asked[i, [place[q] for q in ALWAYS if q in place]] = 0
        asked[i, place[piece.question]] = 1
        if piece.answer != NOT:
            told_[i, at[piece.question, piece.answer]] = 1
    return told_, asked, first


def learnt(data: Taught, rounds: int = net.ROUNDS, units: int = net.UNITS, seed: int = 0) -> net.Weights:
    """The weights of the hidden layer."""
    rng = np.random.default_rng(seed)
    begun = net.begun(data.texts.shape[1] + data.known.shape[1], data.wanted, rng, units)
    return net.fitted(begun, _batches(data, rounds, rng), rng)


def _batches(
    data: Taught, rounds: int, rng: np.random.Generator
) -> Iterator[tuple[float, csr_matrix, net.Wanted]]:
    """Texts in any order, some words left out, beside half of them some of their answers, which then are not asked."""
    pieces = data.texts.shape[0] - data.stories
    for done in range(rounds):
        heard = data.stories + rng.permutation(pieces)[: int(PIECES * pieces)]
        order = np.concatenate([rng.permutation(data.stories), heard])
        rng.shuffle(order)
        for at in range(0, len(order), net.AT_ONCE):
            rows = np.sort(order[at : at + net.AT_ONCE])
            answered = rng.random(len(rows)) < ANSWERED
            wordless = answered & (rng.random(len(rows)) < WORDLESS)
            kept = np.where(wordless, 0.0, 1 - net.UNHEARD)
            known = net.thinned(data.known[rows], np.where(answered, rng.random(len(rows)), 0.0), rng)
            text = net.thinned(data.texts[rows], kept, rng) / np.float32(1 - net.UNHEARD)
            wanted = data.wanted.of(rows)
            wanted.asked[answered] = 0
            yield (done + at / len(order)) / rounds, hstack([text, known]).tocsr(), wanted


def first_tried(known: Sequence[Told]) -> dict[tuple[int, str], float]:
    """The share of each way of each complaint, for ways that are named often enough."""
    share = {
        (i, way): w * t.weight for i, t in enumerate(known) for way, w in zip(t.levers, TRIED, strict=False)
    }
    total = defaultdict[str, float](float)
    for (_, way), weight in share.items():
        total[way] += weight
    return {(i, way): w for (i, way), w in share.items() if total[way] >= NAMED}


def fit_two(mild: float, rows: csr_matrix, labels: Sequence[bool], weights: Sequence[float]) -> Column:
    """Log odds of one of two classes."""
    model = LogisticRegression(C=mild, max_iter=400).fit(rows, labels, sample_weight=weights)
    return Column(float(model.intercept_[0]), model.coef_[0])


def danger_rows(known: Sequence[Told], pieces: Sequence[Saying], written: Sequence[Danger]) -> list[Row]:
    """Written dangers, what a judge would have stopped, and what people say of answers that are alarms."""
    book = load.book()
    alarms = {(o.id, a) for o in book.observations.values() for a, x in o.answers.items() if x.alarm}
    rows = [(d.text, d.dangerous, WRITTEN) for d in written]
    rows += [(t.text, t.stop, STOPPED * t.weight) for t in known if t.stop is not None]
    rows += [(t.text, bool(alarms & t.facts.items()), t.weight) for t in known if t.stop is None]
    told = ((p.text, (p.question, p.answer) in alarms) for p in pieces if p.answer != NOT)
    return rows + [(text, alarm, SAID * (TOLD_ALARM if alarm else 1.0)) for text, alarm in told]


def about_rows(known: Sequence[Told], pieces: Sequence[Saying], other: Sequence[str]) -> list[Row]:
    """What is about karts, and what is not."""
    rows = [(t.text, not t.written or bool(t.facts) or t.causes != ("none",), t.weight) for t in known]
    rows += [(p.text, True, 0.3) for p in pieces if p.answer != NOT]
    return rows + [(text, False, OTHER) for text in other]


def heaviest(column: Column, words: Words, kept: int, often: Floats | float = 1.0) -> NDArray[np.int_]:
    """The features that move this output most in the texts they stand in; `often`: the root of how many they are."""
    size = np.abs(column.weights * words.rarity * words.by_hand) * often
    return np.argsort(-size, kind="stable")[:kept]


def _spread(weights: Floats, at: NDArray[np.int_], size: int) -> Floats:
    whole = np.zeros(size)
    whole[at] = weights
    return whole


@dataclass(frozen=True)
class Kind:
    """One of two classes: its rows, inverse of its penalty, how many features it keeps, whether it hears pairs."""

    rows: Sequence[Row]
    mild: float
    kept: int
    pairs: bool

    def table(self, words: Words) -> csr_matrix:
        """Its texts; without pairs they are as long as their words."""
        heard = words if self.pairs else only(words, lambda _, name: name[:1] != TOGETHER)
        at = np.array([words.place[name] for name in heard.place])
        table = heard.matrix([text for text, *_ in self.rows])
        return csr_matrix(
            (table.data, at[table.indices], table.indptr), shape=(table.shape[0], len(words.place))
        )

    def fit(self, table: csr_matrix) -> Column:
        return fit_two(
            self.mild, table, [label for _, label, _ in self.rows], [weight for *_, weight in self.rows]
        )


def chosen(kind: Kind, words: Words) -> NDArray[np.int_]:
    """The features that it keeps."""
    table = kind.table(words)
    often = np.sqrt(np.asarray((table != 0).sum(axis=0)).ravel())
    return heaviest(kind.fit(table), words, kind.kept, often)


def again(kind: Kind, kept: Words, own: NDArray[np.int_]) -> Column:
    """Fitted on what it keeps, in texts as long as all that is kept."""
    column = kind.fit(kind.table(kept)[:, own])
    return Column(column.bias, _spread(column.weights, own, len(kept.place)))


def frozen(
    data: Taught, weights: net.Weights, turns: Layer, kept: Words, danger: Column, about: Column
) -> Ear:
    """The weights in a few bits. `kept`: the words of the layer, then those by which danger or karts are heard."""
    words, answers = len(data.words.place), len(data.answers)
    return Ear(
        "\n".join((*data.words.place, *data.answers, *list(kept.place)[words:])),
        array("f", [*kept.rarity[:words], *data.rarity, *kept.rarity[words:]]),
        in_few_bits(weights, data.outputs, _often_blamed(data)), turns,
        _eight_bits(danger, words, answers), _eight_bits(about, words, answers), "\n".join(spelt()),
    )  # fmt: skip


def in_few_bits(
    weights: net.Weights, outputs: Sequence[tuple[str, str, str]], often: net.Floats | float = 0.0
) -> Layer:
    """The weights of a hidden layer in four bits, those of its outputs in eight; `often` is taken from their bias."""
    cells = weights["words"] * net.GAIN
    reach = np.quantile(np.abs(cells), FURTHEST, axis=0) / STEPS
    levels = np.clip(np.rint(cells / np.where(reach > 0, reach, 1.0)), -STEPS, STEPS).astype(np.int8)
    out = weights["out"].T
    scale = np.abs(out).max(axis=1) / 127
    rows = np.rint(out / np.where(scale > 0, scale, 1.0)[:, None]).astype(np.int8)
    return Layer(
        tuple(outputs), array("b", levels.tobytes()), array("f", reach), array("f", weights["rest"]),
        array("b", rows.tobytes()), array("f", scale), array("f", weights["bias"] - often),
    )  # fmt: skip


def bare(text: str) -> frozenset[str]:
    """The features of a text without those of phrases."""
    return frozenset(features(text, NOTHING))


def layer_of_turns(rows: Sequence[Turned], words: Words) -> Layer:
    """What hears the changes. `words`: the features by which they are heard."""
    outputs = turning.outputs_of(rows)
    table = (words.matrix([row.text for row in rows], bare) / STRENGTH).astype(np.float32)
    return in_few_bits(turning.learnt(table, turning.wanted(rows, outputs)), outputs)


def _often_blamed(data: Taught) -> net.Floats:
    """Log share of each cause among the examples, 0 for the other outputs: base rates are the book's."""
    ways, causes = data.wanted.shares
    often = causes.sum(axis=0)
    return np.pad(np.log(often / often.sum()), (ways.shape[1], data.wanted.told.shape[1]))


def _eight_bits(column: Column, words: int, answers: int) -> Two:
    """Answers known tell neither."""
    step = float(np.abs(column.weights).max()) / 127 or 1.0
    levels = np.rint(column.weights / step).astype(np.int8)
    whole = [levels[:words], np.zeros(answers, np.int8), levels[words:]]
    return Two(column.bias, step * STRENGTH, array("b", np.concatenate(whole).tobytes()))


def fit(
    known: Sequence[Told],
    pieces: Sequence[Saying],
    written: Sequence[Danger],
    other: Sequence[str],
    changes: Sequence[Turned],
) -> Ear:
    """The ear that these examples teach."""
    rows = turning.rows_of(changes, known, pieces)
    often = turning.seen_in([bare(row.text) for row in rows if row.done or row.asked], SEEN_OF_TURNS)
    every, heard = words_of([*texts(known), *texts(pieces), *(d.text for d in written), *other], often)
    of_turns = only(every, lambda i, name: i < heard and name in often)
    kinds = (
        Kind(danger_rows(known, pieces, written), MILD_OF_DANGER, KEPT_OF_DANGER, pairs=True),
        Kind(about_rows(known, pieces, other), MILD_OF_ABOUT, KEPT_OF_ABOUT, pairs=False),
    )
    with ProcessPoolExecutor(max_workers=2) as pool:
        picked = [pool.submit(chosen, kind, every) for kind in kinds]
        turns = pool.submit(layer_of_turns, rows, of_turns)
        more = (*known, *mingled(known, pieces, np.random.default_rng(0)))
        data = taught(only(every, lambda i, _: i < heard), more, pieces, load.book().causes)
        weights = learnt(data)
        mine = [set(ids.result().tolist()) for ids in picked]
        kept = only(every, lambda i, _: i < heard or any(i in ids for ids in mine))
        own = [np.array([i for name, i in kept.place.items() if every.place[name] in ids]) for ids in mine]
        danger, about = pool.map(again, kinds, (kept, kept), own)
        return frozen(data, weights, turns.result(), kept, danger, about)


def main(out: Path, left_out: int | None) -> None:
    ear = fit(
        (*told(), *tried(), *collected(), *published(left_out)), sayings(), dangers(), others(), turned()
    )
    data = packed(ear)
    draft = out.with_suffix(".new")
    draft.write_bytes(data)
    draft.replace(out)  # whole or not at all
    print(
        f"{out}: {len(ear.layer.outputs)} outputs, {len(ear.rarity)} features, {len(ear.layer.step)} units, "
        f"{len(ear.turns.outputs)} outputs of changes, {len(data) / 1e6:.2f} MB"
    )


if __name__ == "__main__":
    main(
        Path(sys.argv[1]) if len(sys.argv) > 1 else load.shipped() / "ear.bin",
        int(sys.argv[2]) if len(sys.argv) > 2 else None,
    )
