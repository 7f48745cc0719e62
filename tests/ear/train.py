"""Fit the ear: `python -m tests.ear.train` reads knowledge/voices and writes knowledge/ear.bin.

`… FILE FOLD` writes another file, for which a fifth of the published complaints was not seen.

One logistic regression a question (not told, and its answers) on whole complaints and on sayings, one over the
causes; the features and how they are applied are those of advisor.words.ear. A first fit tells which features weigh
most for each answer; a second one, of those alone, gives the weights, which are kept in eight bits. (Dropping the
small weights without the second fit loses half of what is heard.) The library: scikit-learn (Pedregosa and others,
2011).
"""

from __future__ import annotations

import sys
from array import array
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from sklearn.linear_model import LogisticRegression

from advisor.book import load
from advisor.words.ear import (
    ABOUT,
    CAUSE,
    DANGER,
    HAND,
    OFTEN,
    QUESTION,
    TOGETHER,
    TRY,
    WAY,
    Ear,
    features,
    known_features,
    ordinary,
    packed,
)
from advisor.words.tokens import tokens
from advisor.words.understand import lexicon, understand
from tests.ear.examples import (
    NOT,
    Danger,
    Saying,
    Told,
    collected,
    dangers,
    others,
    published,
    sayings,
    texts,
    told,
)

STRENGTH = 5.0  # of a text against the penalty on the weights; by cross-validation over authors
SEEN = 3  # texts that a feature must stand in
KEPT = 300  # features of an answer, those that weigh most
KEPT_OF_CAUSE = 2000
KEPT_OF_WAY = 3000
KEPT_OF_TWO = 6000
KEPT_OF_DANGER = 40000
OTHERS = 400  # sayings of other questions that each question also sees, as "not told"
UNTOLD = "~"
JUDGED = (0.5, 0.25, 0.15, 0.1)  # share of the first, second … cause that the judge named
TRIED = (0.4, 0.24, 0.16, 0.12, 0.08)  # share of the first, second … way that the judge would try
NAMED = 1.0  # a way named less often in all, by these shares, is not learnt
SEEN_OF_MANY = 6  # complaints that a feature must stand in where there are hundreds of classes
WRITTEN = 100.0  # weight of a complaint written to be dangerous or harmless, beside those judged in passing
STOPPED = 8.0  # likewise of one of which a judge said whether he would stop
SAID, TOLD_ALARM = (
    3.0,
    3.3,
)  # of a piece of talk; of one that tells an answer that is an alarm so many times that
OTHER = 16.0  # likewise of what is about no kart: there are few of them
MILD = {DANGER: 0.03, ABOUT: 1.0}  # inverse of the penalty where two classes are told apart
TRUE = 1.0  # weight of the true cause beside them

Floats = NDArray[np.float64]
Examples = tuple[Sequence[Told], Sequence[Saying]]
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
    every = Counter(w for text in _every_text() for w in {t.word for t in tokens(text)})
    return book, lexicon(book, ordinary(w for w, n in every.items() if n >= SEEN * OFTEN))


def _every_text() -> list[str]:
    return [
        *texts(told()),
        *texts(collected()),
        *texts(published()),
        *texts(sayings()),
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

    def matrix(self, rows: Sequence[str]) -> csr_matrix:
        """Texts by features, as advisor.words.ear weighs them, times STRENGTH."""
        runs, columns, values = [0], list[int](), list[float]()
        for text in rows:
            ids = np.array(sorted(self.place[f] for f in found(text) if f in self.place), dtype=int)
            weight = self.rarity[ids]
            length = float(np.sqrt((weight**2).sum())) or 1.0
            columns.extend(ids)
            values.extend(weight / length * self.by_hand[ids] * STRENGTH)
            runs.append(len(columns))
        return csr_matrix((values, columns, runs), shape=(len(rows), len(self.place)))


def words_of(rows: Sequence[str]) -> Words:
    """The features that stand in enough of the texts; what stands together comes last."""
    counts = Counter(f for text in rows for f in found(text))
    names = sorted((f for f, n in counts.items() if n >= SEEN), key=lambda f: (f[:1] == TOGETHER, f))
    return Words(
        {f: i for i, f in enumerate(names)}, np.log(len(rows) / np.array([counts[f] for f in names]))
    )


def without_pairs(words: Words) -> Words:
    """The words alone, by which all but danger is heard."""
    names = [name for name in words.place if name[:1] != TOGETHER]
    return Words({f: i for i, f in enumerate(names)}, words.rarity[: len(names)])


@dataclass(frozen=True)
class Column:
    """The fitted weights of one output."""

    name: tuple[str, str, str]
    bias: float
    weights: Floats


def fit_question(
    question: str, rows: csr_matrix, known: Sequence[Told], pieces: Sequence[Saying]
) -> list[Column]:
    """Log odds of each answer of a question against "not told"."""
    own = [len(known) + i for i, p in enumerate(pieces) if p.question == question]
    other = [len(known) + i for i, p in enumerate(pieces) if p.question != question]
    if question not in (
        "subject",
        "balance",
        "phase",
    ):  # those are told in most pieces, whatever they are about
        picked = np.random.default_rng(0).choice(other, min(OTHERS, len(other)), replace=False)
        own += sorted(picked.tolist())
    labels = [t.facts.get(question, UNTOLD) for t in known]
    weights = [*(t.weight for t in known), *([1.0] * len(own))]
    for i in own:
        piece = pieces[i - len(known)]
        labels.append(piece.answer if piece.question == question and piece.answer != NOT else UNTOLD)
    use = [*range(len(known)), *own]
    classes = sorted(set(labels))
    if len(classes) < 2:
        return []
    model = LogisticRegression(C=1.0, max_iter=300).fit(rows[use], labels, sample_weight=weights)
    biases, slopes = _full(model)
    base = classes.index(UNTOLD)
    return [
        Column((QUESTION, question, name), biases[k] - biases[base], slopes[k] - slopes[base])
        for k, name in enumerate(classes)
        if k != base
    ]


def _full(model: LogisticRegression) -> tuple[Floats, Floats]:
    """Bias and weights of every class; scikit-learn gives one row where there are two."""
    if len(model.classes_) == 2:
        return (
            np.array([0.0, model.intercept_[0]]),
            np.vstack([np.zeros_like(model.coef_[0]), model.coef_[0]]),
        )
    return model.intercept_, model.coef_


def fit_causes(rows: csr_matrix, known: Sequence[Told], causes: Iterable[str]) -> list[Column]:
    """log P(words | cause), up to what is alike for all causes."""
    wanted = sorted(causes)
    share = defaultdict[tuple[int, str], float](float)
    for i, row in enumerate(known):
        told_by = [(c, TRUE / len(row.causes)) for c in row.causes]
        told_by += list(zip(row.judged, JUDGED, strict=False))
        for cause, weight in told_by:
            if cause in wanted:
                share[i, cause] += weight * row.weight
    use = [i for i, _ in share]
    labels = [c for _, c in share]
    often = _often(rows, use)
    model = LogisticRegression(C=1.0, max_iter=150).fit(
        rows[use][:, often], labels, sample_weight=list(share.values())
    )
    total = defaultdict[str, float](float)
    for (_, cause), weight in share.items():
        total[cause] += weight
    whole = sum(total.values())
    return [
        Column((CAUSE, c, ""), float(b - np.log(total[c] / whole)), _spread(w, often, rows.shape[1]))
        for c, b, w in zip(model.classes_, model.intercept_, model.coef_, strict=True)
    ]


def _often(rows: csr_matrix, use: Iterable[int]) -> NDArray[np.int_]:
    """The features that stand in enough of these texts."""
    return np.flatnonzero(np.asarray((rows[sorted(set(use))] != 0).sum(axis=0)).ravel() >= SEEN_OF_MANY)


def fit_ways(rows: csr_matrix, known: Sequence[Told]) -> list[Column]:
    """What a mechanic would try first, by the words: log of its share, up to what is alike for all ways."""
    share = first_tried(known)
    use = [i for i, _ in share]
    often = _often(rows, use)
    model = LogisticRegression(C=1.0, max_iter=100).fit(
        rows[use][:, often], [way for _, way in share], sample_weight=list(share.values())
    )
    return [
        Column((WAY, way, ""), float(bias), _spread(weights, often, rows.shape[1]))
        for way, bias, weights in zip(model.classes_, model.intercept_, model.coef_, strict=True)
    ]


def first_tried(known: Sequence[Told]) -> dict[tuple[int, str], float]:
    """The share of each way of each complaint, for ways that are named often enough."""
    share = {
        (i, way): w * t.weight for i, t in enumerate(known) for way, w in zip(t.levers, TRIED, strict=False)
    }
    total = defaultdict[str, float](float)
    for (_, way), weight in share.items():
        total[way] += weight
    return {(i, way): w for (i, way), w in share.items() if total[way] >= NAMED}


def fit_tries(known: Sequence[Told]) -> tuple[dict[str, float], list[Column]]:
    """Likewise by the facts of each complaint, whatever its words; the features, and how rare each is, come with it."""
    facts = [known_features(t.facts) for t in known]
    counts = Counter(name for found_ in facts for name in found_)
    rarity = {name: float(np.log(len(facts) / n)) for name, n in sorted(counts.items()) if n > SEEN}
    place = {name: i for i, name in enumerate(rarity)}
    share = first_tried(known)
    pairs = [(row, place[name]) for row, (i, _) in enumerate(share) for name in facts[i] if name in place]
    rows = csr_matrix((np.ones(len(pairs)), tuple(zip(*pairs, strict=True))), shape=(len(share), len(rarity)))
    model = LogisticRegression(C=1.0, max_iter=100).fit(
        rows, [way for _, way in share], sample_weight=list(share.values())
    )
    each = zip(model.classes_, model.intercept_, model.coef_, strict=True)
    return rarity, [Column((TRY, way, ""), float(bias), weights) for way, bias, weights in each]


def fit_two(kind: str, rows: csr_matrix, labels: Sequence[bool], weights: Sequence[float]) -> Column:
    """Log odds of one of two classes."""
    model = LogisticRegression(C=MILD[kind], max_iter=400).fit(rows, labels, sample_weight=weights)
    return Column((kind, "", ""), float(model.intercept_[0]), model.coef_[0])


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
    rows = [(t.text, bool(t.facts) or t.causes != ("none",), t.weight) for t in known]
    rows += [(p.text, True, 0.3) for p in pieces if p.answer != NOT]
    return rows + [(text, False, OTHER) for text in other]


def heaviest(column: Column, words: Words, kept: int, often: Floats | float = 1.0) -> NDArray[np.int_]:
    """The features that move this output most in the texts they stand in; `often`: the root of how many they are."""
    size = np.abs(column.weights * words.rarity * words.by_hand) * often
    return np.argsort(-size, kind="stable")[:kept]


def refitted(
    question: str, first: Sequence[Column], words: Words, rows: csr_matrix,
    known: Sequence[Told], pieces: Sequence[Saying],
) -> list[Column]:  # fmt: skip
    """The columns of a question, fitted anew on the features that weigh most for any of its answers."""
    if not first:
        return []
    chosen = np.unique(np.concatenate([heaviest(c, words, KEPT) for c in first]))
    columns = fit_question(question, rows[:, chosen], known, pieces)
    return [Column(c.name, c.bias, _spread(c.weights, chosen, len(words.place))) for c in columns]


def _spread(weights: Floats, at: NDArray[np.int_], size: int) -> Floats:
    whole = np.zeros(size)
    whole[at] = weights
    return whole


def thinned(columns: Sequence[Column], words: Words, rows: csr_matrix, kept: int) -> list[Column]:
    """The columns of causes or of ways, against their mean, with the weights that count most over all texts."""
    often = np.sqrt(np.asarray((rows != 0).sum(axis=0)).ravel())
    mean = np.mean([c.weights for c in columns], axis=0)
    found_ = []
    for column in columns:
        against = Column(column.name, column.bias, column.weights - mean)
        chosen = heaviest(against, words, kept, often)
        found_.append(Column(column.name, column.bias, _spread(against.weights[chosen], chosen, len(mean))))
    return found_


def frozen(columns: Sequence[Column], words: Words, known: tuple[dict[str, float], list[Column]]) -> Ear:
    """The weights in eight bits; features that no output uses are dropped. `known`: what the answers known tell."""
    more, tries = known
    names, rarity = [*words.place, *more], [*words.rarity.tolist(), *more.values()]
    every = [*((c, 0, STRENGTH) for c in columns), *((c, len(words.place), 1.0) for c in tries)]
    cells: list[tuple[int, int, int]] = []
    scale = array("f")
    for k, (column, first, strength) in enumerate(every):
        step = float(np.abs(column.weights).max()) / 127 or 1.0
        scale.append(step * strength)
        levels = np.rint(column.weights / step).astype(int)
        cells += [(first + int(f), k, int(levels[f])) for f in np.flatnonzero(levels)]
    cells.sort()
    used = sorted({f for f, _, _ in cells})
    counts = Counter(f for f, _, _ in cells)
    run = array("I", [0])
    for f in used:
        run.append(run[-1] + counts[f])
    return Ear(
        tuple(c.name for c, *_ in every), array("f", [c.bias for c, *_ in every]), scale,
        array("f", [rarity[f] for f in used]), run,
        array("H", [k for _, k, _ in cells]), array("b", [level for *_, level in cells]),
        "\n".join(names[f] for f in used),
    )  # fmt: skip


def _one(question: str, words: Words, rows: csr_matrix, data: Examples) -> list[Column]:
    first = fit_question(question, rows, *data)
    return refitted(question, first, words, rows, *data)


def _two(kind: str, words: Words, rows: Sequence[Row]) -> Column:
    labels, weights = [r[1] for r in rows], [r[2] for r in rows]
    table = words.matrix([r[0] for r in rows])
    chosen = heaviest(fit_two(kind, table, labels, weights), words, KEPT_OF_TWO)
    again = fit_two(kind, table[:, chosen], labels, weights)
    return Column(again.name, again.bias, _spread(again.weights, chosen, len(words.place)))


def _danger(words: Words, rows: Sequence[Row]) -> tuple[Words, Column]:
    """Danger, and the words with the pairs that it keeps: a text is as long as what is known of it."""
    labels, weights = [r[1] for r in rows], [r[2] for r in rows]
    table = words.matrix([r[0] for r in rows])
    often = np.sqrt(np.asarray((table != 0).sum(axis=0)).ravel())
    chosen = set(heaviest(fit_two(DANGER, table, labels, weights), words, KEPT_OF_DANGER, often).tolist())
    names = [name for name, i in words.place.items() if name[:1] != TOGETHER or i in chosen]
    kept = Words({f: i for i, f in enumerate(names)}, words.rarity[[words.place[f] for f in names]])
    own = np.array([i for i, f in enumerate(names) if words.place[f] in chosen])
    again = fit_two(DANGER, kept.matrix([r[0] for r in rows])[:, own], labels, weights)
    return kept, Column(again.name, again.bias, _spread(again.weights, own, len(names)))


def fit(
    known: Sequence[Told], pieces: Sequence[Saying], written: Sequence[Danger], other: Sequence[str]
) -> Ear:
    """The ear that these examples teach."""
    book = load.book()
    everything = [*texts(known), *texts(pieces), *(d.text for d in written), *other]
    every = words_of(everything)
    words = without_pairs(every)
    rows = words.matrix(everything)
    with ProcessPoolExecutor(max_workers=2) as pool:
        causes = pool.submit(fit_causes, rows, known, tuple(book.causes))
        ways = pool.submit(fit_ways, rows, known)
        tries = pool.submit(fit_tries, known)
        jobs = [pool.submit(_one, q, words, rows, (known, pieces)) for q in sorted(book.observations)]
        danger = pool.submit(_danger, every, danger_rows(known, pieces, written))
        about = pool.submit(_two, ABOUT, words, about_rows(known, pieces, other))
        columns = [c for job in jobs for c in job.result()]
        columns += thinned(causes.result(), words, rows, KEPT_OF_CAUSE)
        columns += thinned(ways.result(), words, rows, KEPT_OF_WAY)
        kept, dangerous = danger.result()
        return frozen([*columns, dangerous, about.result()], kept, tries.result())


def main(out: Path, left_out: int | None) -> None:
    ear = fit((*told(), *collected(), *published(left_out)), sayings(), dangers(), others())
    data = packed(ear)
    draft = out.with_suffix(".new")
    draft.write_bytes(data)
    draft.replace(out)  # whole or not at all
    print(
        f"{out}: {len(ear.outputs)} outputs, {len(ear.rarity)} features, {len(ear.weight)} weights, "
        f"{len(data) / 1e6:.2f} MB"
    )


if __name__ == "__main__":
    main(
        Path(sys.argv[1]) if len(sys.argv) > 1 else load.shipped() / "ear.bin",
        int(sys.argv[2]) if len(sys.argv) > 2 else None,
    )
