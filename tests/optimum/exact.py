"""Optimal troubleshooting by exhaustive search, written for plainness and kept apart from the engine.

A set of actions made in vain is a bit mask. Values are minutes times the chance of getting there, so
that they add up over what may be the case and over answers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from math import prod

import numpy as np
from numpy.typing import NDArray

from advisor.planning.repair import Query, Repair

Table = NDArray[np.float64]


def members(mask: int) -> list[int]:
    """The actions of a mask."""
    return [k for k in range(mask.bit_length()) if mask >> k & 1]


def survival(repair: Repair, hypotheses: int) -> Table:
    """P(every action of the mask is in vain | hypothesis), by mask and hypothesis."""
    count = len(repair.actions)
    table = np.ones((1 << count, hypotheses))
    for mask in range(1 << count):
        tried: dict[tuple[int, int], float] = {}
        for k in members(mask):
            action = repair.actions[k]
            lever = action.pair if action.pair >= 0 else -1 - k
            for i, rate in action.rates:
                tried[lever, i] = tried.get((lever, i), 0.0) + rate
        for (_, i), rate in tried.items():
            table[mask, i] *= max(0.0, 1 - rate)
    return table


@dataclass(frozen=True, slots=True)
class Optimum:
    """The least expected minutes from each mask on, and what is alive there; both not normalised."""

    values: list[float]
    alive: list[float]


def optimum(repair: Repair, belief: Sequence[float]) -> Optimum:
    """Dynamic programming over sets of failed actions."""
    alive = [float(a) for a in survival(repair, len(belief)) @ np.array(belief)]
    values = [0.0] * len(alive)
    for mask in range(len(alive) - 1, -1, -1):
        best = alive[mask] * repair.give_up
        for k in members(len(alive) - 1 - mask):
            best = min(best, alive[mask] * repair.actions[k].minutes + values[mask | 1 << k])
        values[mask] = best
    return Optimum(values, alive)


Told = tuple[int, ...]  # by question: -1 not asked, an answer, or the number of answers for "no answer"


def likelihood(query: Query, answer: int, hypotheses: int) -> Table:
    """P(this happens when the question is asked | hypothesis)."""
    if answer < 0:
        return np.ones(hypotheses)
    if answer == len(query.rows):
        return np.full(hypotheses, 1 - query.answered)
    row = np.full(hypotheses, query.usual[answer])
    for i, ratio in query.rows[answer]:
        row[i] *= ratio
    return row * query.answered


def replies(query: Query) -> range:
    """All that can come of a question; the last is that it gets no answer."""
    return range(len(query.rows) + (query.answered < 1))


def optimum_with_questions(repair: Repair, queries: Sequence[Query], belief: Sequence[float]) -> float:
    """Exhaustive search over every order of questions and single actions."""
    tolds = list(product(*(range(-1, len(replies(q))) for q in queries)))
    index = {told: n for n, told in enumerate(tolds)}
    rows = np.array([_joint(queries, told, belief) for told in tolds])
    alive = rows @ survival(repair, len(belief)).T
    values = np.full_like(alive, np.inf)
    for asked in range(len(queries), -1, -1):
        level = [n for n, told in enumerate(tolds) if sum(t >= 0 for t in told) == asked]
        best = alive[level] * repair.give_up
        for q, query in enumerate(queries):
            _ask(best, values, alive, tolds, index, level, q, query)
        _act(repair, best, alive[level])
        values[level] = best
    return float(values[index[(-1,) * len(queries)], 0])


def _joint(queries: Sequence[Query], told: Told, belief: Sequence[float]) -> Table:
    return np.array(belief) * prod(likelihood(q, t, len(belief)) for q, t in zip(queries, told, strict=True))


def _ask(
    best: Table,
    values: Table,
    alive: Table,
    tolds: Sequence[Told],
    index: dict[Told, int],
    level: list[int],
    q: int,
    query: Query,
) -> None:
    for row, n in enumerate(level):
        told = tolds[n]
        if told[q] < 0:
            after = [index[(*told[:q], reply, *told[q + 1 :])] for reply in replies(query)]
            best[row] = np.minimum(best[row], alive[n] * query.minutes + values[after].sum(axis=0))


def _act(repair: Repair, best: Table, alive: Table) -> None:
    """Let single actions compete; `best` holds stopping and asking, and gets the least of all."""
    count = len(repair.actions)
    for mask in range((1 << count) - 1, -1, -1):
        for k in members((1 << count) - 1 - mask):
            price = repair.actions[k].minutes
            best[:, mask] = np.minimum(best[:, mask], alive[:, mask] * price + best[:, mask | 1 << k])
