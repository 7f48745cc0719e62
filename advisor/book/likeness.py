"""How alike two causes are: how far the book's answers for them lie apart, and whether one change answers both."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TypeVar

from advisor.inference.tables import Tables

K = TypeVar("K")


def distance(tables: Tables, one: str, other: str) -> float:
    """Total variation distance of each observation's answers, summed; what is felt is one of them.

    Total variation is half the sum of the absolute differences: 0 for equal rows, 1 for rows that never agree.
    """
    return sum(_distances(tables, one, other))


def alike(tables: Tables, one: str, other: str, limit: float) -> bool:
    """Whether two causes are less far apart than `limit`; looks no further than it takes to know."""
    total = 0.0
    for part in _distances(tables, one, other):
        total += part
        if total >= limit:
            return False
    return True


def _distances(tables: Tables, one: str, other: str) -> Iterator[float]:
    i, j = tables.index(one), tables.index(other)
    for ident, rows in tables.rows.items():
        if i in rows or j in rows:
            yield apart(tables, ident, i, j)


def apart(tables: Tables, observation: str, i: int, j: int) -> float:
    """Total variation distance of the answers to one observation under two hypotheses."""
    usual, rows = tables.usual[observation], tables.rows[observation]
    return _variation(rows.get(i, usual), rows.get(j, usual))


def _variation(one: Mapping[K, float], other: Mapping[K, float]) -> float:
    return sum(abs(p - other[a]) for a, p in one.items()) / 2


def same_fix(tables: Tables, one: str, other: str) -> bool:
    """Whether the causes need one effect, or one remedy answers both."""
    return bool(set(_fixes(tables, one)) & set(_fixes(tables, other)))


def _fixes(tables: Tables, cause: str) -> Iterator[tuple[str, str]]:
    entry = tables.book.causes[cause]
    yield from ((n.effect, n.change) for n in entry.needs)
    yield from ((r.lever, r.direction) for r in entry.remedies)
