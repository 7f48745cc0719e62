"""What a sentence tells of changes, learnt by a small layer of its own: which lever and way, done or asked about, and
what came of it.

Each lever is a question whose answers are its ways; that it was done or asked about, and what came of it, are two more.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from advisor.words.ear import ASKED, CAME, DONE, MEANT, TURN
from advisor.words.turns import sentences
from tests.ear import net
from tests.ear.examples import MIXED, NOT, Saying, Told, Turned

UNITS, ROUNDS, AT_ONCE, QUIET, PENALTY = 64, 20, 64, 0.2, 1e-5
STORY = 0.3  # what a sentence of a complaint counts in which no change is told
WHOLE = 0.5  # what a text of several sentences counts: which of them tells the change is not written down
ELSEWHERE = 0.1  # likewise a saying, which seldom tells a change
Output = tuple[str, str, str]


def rows_of(written: Sequence[Turned], known: Sequence[Told], pieces: Sequence[Saying]) -> list[Turned]:
    """One row a sentence that tells no change, or a text that does."""
    rows: list[Turned] = []
    stories = [t.turned for t in known if t.turned]
    for k, t in enumerate((*written, *stories)):
        parts = sentences(t.text)
        if not t.done and not t.asked:
            rows += (Turned(part, weight=1.0 if k < len(written) else STORY) for part in parts)
        else:
            rows.append(t if len(parts) == 1 else Turned(t.text, t.done, t.asked, t.came, WHOLE))
    return rows + [Turned(p.text, weight=ELSEWHERE) for p in pieces if p.answer != NOT]


def outputs_of(rows: Sequence[Turned]) -> tuple[Output, ...]:
    """Every lever with the ways that are told, and the two questions beside them."""
    turns = {(TURN, lever, way) for row in rows for lever, way in (*row.done, *row.asked)}
    meant = {(MEANT, "", DONE), (MEANT, "", ASKED)}
    came = {(CAME, "", row.came) for row in rows if row.came and row.came != MIXED}
    return tuple(sorted(turns | meant | came))


def wanted(rows: Sequence[Turned], outputs: Sequence[Output]) -> net.Wanted:
    """What is told in each row. What came of it is asked where one thing is known to have been done."""
    questions = sorted({output[:2] for output in outputs})
    place = {question: i for i, question in enumerate(questions)}
    at = {output: i for i, output in enumerate(outputs)}
    first = np.array([min(i for output, i in at.items() if output[:2] == question) for question in questions])
    told = np.zeros((len(rows), len(outputs)), np.float32)
    asked = np.zeros((len(rows), len(questions)), np.float32)
    for i, row in enumerate(rows):
        asked[i] = row.weight
        told[i, [at[TURN, lever, way] for lever, way in (*row.done, *row.asked)]] = 1
        if row.done and row.asked:
            asked[i, place[MEANT, ""]] = 0
        elif row.done or row.asked:
            told[i, at[MEANT, "", DONE if row.done else ASKED]] = 1
        if not row.done or row.came == MIXED:
            asked[i, place[CAME, ""]] = 0
        elif row.came:
            told[i, at[CAME, "", row.came]] = 1
    none = np.zeros((len(rows), 0), np.float32)
    return net.Wanted((none, none), told, asked, first)


def learnt(texts: csr_matrix, said: net.Wanted, rounds: int = ROUNDS, units: int = UNITS) -> net.Weights:
    """The weights of the layer."""
    rng = np.random.default_rng(0)
    begun = net.begun(texts.shape[1], said, rng, units)
    return net.fitted(begun, _batches(texts, said, rounds, rng), rng, PENALTY, QUIET)


def _batches(
    texts: csr_matrix, said: net.Wanted, rounds: int, rng: np.random.Generator
) -> Iterator[tuple[float, csr_matrix, net.Wanted]]:
    size = texts.shape[0]
    for done in range(rounds):
        order = rng.permutation(size)
        for at in range(0, size, AT_ONCE):
            rows: NDArray[np.int_] = np.sort(order[at : at + AT_ONCE])
            kept = np.full(len(rows), 1 - net.UNHEARD)
            heard = net.thinned(texts[rows], kept, rng) / np.float32(1 - net.UNHEARD)
            yield (done + at / size) / rounds, heard, said.of(rows)


def seen_in(found: Sequence[frozenset[str]], least: int) -> Mapping[str, int]:
    """Words, pairs and pieces that stand in enough of the rows."""
    counts: dict[str, int] = {}
    for names in found:
        for name in names:
            if name[:1] not in "=?!%+#@":
                counts[name] = counts.get(name, 0) + 1
    return {name: n for name, n in counts.items() if n >= least}
