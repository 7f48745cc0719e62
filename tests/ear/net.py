"""One hidden layer for all that the ear hears of questions, causes and ways: its loss, its gradient, and the fit.

Rectified units with dropout (Srivastava and others, Dropout, Journal of Machine Learning Research 15, 2014) of units
and of words, a penalty on the squares of the words' weights, Adam (Kingma and Ba, Adam, 2015, algorithm 1) with a rate
that falls by a cosine. numpy and scipy's sparse products do it in a minute; a library that knows such layers with
several softmaxes at once would be two hundred times as large as what is written here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

Floats = NDArray[np.float32]
Weights = dict[
    str, Floats
]  # "words": features by units; "rest": of the units; "out": units by outputs; "bias"

UNITS = 192
ROUNDS = 12  # times that every text is seen
AT_ONCE = 128  # texts of a step
RATE = 3e-3
GAIN = 3.0  # of the words' weights, so that they move as fast as those of the outputs
QUIET, UNHEARD = 0.3, 0.25  # share of units and of features that a step leaves out
PENALTY = 7e-5
KEEP_1, KEEP_2, LEAST = 0.9, 0.999, 1e-8  # Adam's
HIGHEST = 30.0  # log odds


@dataclass(frozen=True)
class Wanted:
    """What the outputs should say of each text: shares of ways and of causes, and answers told.

    `shares`: texts by ways and texts by causes. `told`: texts by answers; `asked`: texts by questions, how much each
    question counts there. `first`: the first answer of each question.
    """

    shares: tuple[Floats, Floats]
    told: Floats
    asked: Floats
    first: NDArray[np.int_]

    @property
    def question(self) -> NDArray[np.int_]:
        """The question of each answer."""
        return np.searchsorted(self.first, np.arange(self.told.shape[1]), side="right") - 1

    def of(self, rows: NDArray[np.int_]) -> Wanted:
        ways, causes = self.shares
        return Wanted((ways[rows], causes[rows]), self.told[rows], self.asked[rows], self.first)


def begun(features: int, wanted: Wanted, rng: np.random.Generator, units: int = UNITS) -> Weights:
    """Small weights by chance; each answer begins as seldom as it is told."""
    outputs = sum(table.shape[1] for table in (*wanted.shares, wanted.told))
    seldom = np.log(np.maximum(wanted.told.mean(axis=0), 1e-4))
    return {
        "words": rng.normal(0, 0.1, (features, units)).astype(np.float32),
        "rest": np.zeros(units, np.float32),
        "out": rng.normal(0, units**-0.5, (units, outputs)).astype(np.float32),
        "bias": np.concatenate([np.zeros(outputs - len(seldom)), seldom]).astype(np.float32),
    }


def loss(
    weights: Weights,
    texts: csr_matrix,
    wanted: Wanted,
    spared: Floats | None = None,
    penalty: float = PENALTY,
) -> tuple[float, Weights]:
    """Mean of the log losses with the penalty, and its gradient. `spared`: factor of each unit of each text."""
    size = texts.shape[0]
    before = texts @ weights["words"] * np.float32(GAIN) + weights["rest"]
    factor = (before > 0) * (np.float32(1) if spared is None else spared)
    units = before * factor
    scores = units @ weights["out"] + weights["bias"]
    slopes = np.empty_like(scores)
    total, at = 0.0, 0
    for table in wanted.shares:
        if not table.shape[1]:
            continue
        part = slice(at, at + table.shape[1])
        whole = table.sum(axis=1, keepdims=True)
        logs = scores[:, part] - scores[:, part].max(axis=1, keepdims=True)
        logs -= np.log(np.exp(logs).sum(axis=1, keepdims=True))
        total -= float((table * logs).sum())
        slopes[:, part] = np.exp(logs) * whole - table
        at = part.stop
    chances = of_questions(scores[:, at:], wanted)
    untold = np.maximum(1 - np.add.reduceat(chances, wanted.first, axis=1), 1e-12)
    said = np.add.reduceat(wanted.told, wanted.first, axis=1)
    logs = np.log(np.maximum(chances, 1e-12)) * wanted.told
    total -= float(
        (wanted.asked * (np.add.reduceat(logs, wanted.first, axis=1) + (1 - said) * np.log(untold))).sum()
    )
    slopes[:, at:] = (chances - wanted.told) * wanted.asked[:, wanted.question]
    slopes /= size
    back = slopes @ weights["out"].T * factor
    squares = float((weights["words"] ** 2).sum())
    return total / size + penalty * squares, {
        "words": texts.T @ back * np.float32(GAIN) + np.float32(2 * penalty) * weights["words"],
        "rest": back.sum(axis=0),
        "out": units.T @ slopes,
        "bias": slopes.sum(axis=0),
    }


def of_questions(scores: Floats, wanted: Wanted) -> Floats:
    """Chances of the answers of each question beside "not told", whose score is 0."""
    odds = np.exp(np.clip(scores, -HIGHEST, HIGHEST))
    whole = 1 + np.add.reduceat(odds, wanted.first, axis=1)
    chances: Floats = odds / whole[:, wanted.question]
    return chances


def fitted(
    weights: Weights,
    batches: Iterator[tuple[float, csr_matrix, Wanted]],
    rng: np.random.Generator,
    penalty: float = PENALTY,
    quiet: float = QUIET,
) -> Weights:
    """Adam over batches, each with the share of the way that lies behind it."""
    first: Mapping[str, Floats] = {name: np.zeros_like(w) for name, w in weights.items()}
    second: Mapping[str, Floats] = {name: np.zeros_like(w) for name, w in weights.items()}
    for step, (done, texts, wanted) in enumerate(batches, 1):
        heard = rng.random((texts.shape[0], len(weights["rest"])), dtype=np.float32) >= quiet
        spared = (heard / np.float32(1 - quiet)).astype(np.float32)
        _, slopes = loss(weights, texts, wanted, spared, penalty)
        rate = RATE * (1 + np.cos(np.pi * done)) / 2 * np.sqrt(1 - KEEP_2**step) / (1 - KEEP_1**step)
        for name, slope in slopes.items():
            first[name][:] = KEEP_1 * first[name] + (1 - KEEP_1) * slope
            second[name][:] = KEEP_2 * second[name] + (1 - KEEP_2) * slope**2
            weights[name] -= np.float32(rate) * first[name] / (np.sqrt(second[name]) + np.float32(LEAST))
    return weights


def thinned(table: csr_matrix, kept: NDArray[np.float64], rng: np.random.Generator) -> csr_matrix:
    """The table with this share of the entries of each row."""
    share = np.repeat(kept, np.diff(table.indptr))
    data = table.data * (rng.random(len(table.data)) < share)
    return csr_matrix((data.astype(np.float32), table.indices, table.indptr), shape=table.shape)
