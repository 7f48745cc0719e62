"""The book with noise on every number that its authors chose, to see what depends on their exact values.

Likelihoods (of answers, signs, feels, cures, supplies) and what an overlap keeps move in log-odds; base rates and
the factors of circumstances, which have no upper end, move in logs. What is not a number of the knowledge stays:
counts of sources and of complaints, minutes, the point where a danger stops the driving, and the constants of the
reasoning.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from random import Random

from advisor.model.knowledge import BALANCES, Book, Cause, Feel, Group, Observation
from advisor.model.levers import Lever
from advisor.model.scale import BASE_RATE, PROBABILITY


@contextmanager
def shaken(book: Book, sigma: float, source: Random) -> Iterator[Book]:
    """The book, each number of it moved by a normal draw of standard deviation `sigma`.

    Every use of a word of the scales becomes a word of its own, on the scales until the context is left.
    """
    made = _Words(sigma, source)
    try:
        yield replace(
            book,
            groups={i: _group(g, made) for i, g in book.groups.items()},
            overlaps={i: replace(o, kept=made.moved(o.kept)) for i, o in book.overlaps.items()},
            observations={i: _observation(o, made) for i, o in book.observations.items()},
            causes={i: _cause(c, made) for i, c in book.causes.items()},
            levers={i: _lever(e, made) for i, e in book.levers.items()},
        )
    finally:
        for scale in (PROBABILITY, BASE_RATE):
            for word in [w for w in scale if w.startswith(MARK)]:
                del scale[word]


MARK = "~"


@dataclass
class _Words:
    """Makes a new word for each use of an old one."""

    sigma: float
    source: Random
    count: int = 0

    def likelihood(self, word: str) -> str:
        return self._on(PROBABILITY, word, self.moved(PROBABILITY[word]))

    def rate(self, word: str) -> str:
        return self._on(BASE_RATE, word, BASE_RATE[word] * self.factor())

    def moved(self, p: float) -> float:
        """A probability, moved in log-odds; 0 and 1 stay."""
        factor = self.factor()
        return p * factor / (1 - p + p * factor)

    def factor(self) -> float:
        return math.exp(self.source.gauss(0.0, self.sigma))

    def row(self, row: Mapping[str, str]) -> dict[str, str]:
        return {answer: self.likelihood(word) for answer, word in row.items()}

    def _on(self, scale: dict[str, float], word: str, value: float) -> str:
        self.count += 1
        scale[new := f"{MARK}{self.count} {word}"] = value
        return new


def _group(group: Group, made: _Words) -> Group:
    signs = tuple(replace(s, answers=made.row(s.answers)) for s in group.signs)
    return replace(group, trade=group.trade * made.factor(), signs=signs)


def _observation(observation: Observation, made: _Words) -> Observation:
    answers = {a: replace(x, usual=made.likelihood(x.usual)) for a, x in observation.answers.items()}
    return replace(observation, answers=answers)


def _cause(cause: Cause, made: _Words) -> Cause:
    return replace(
        cause,
        base=made.rate(cause.base),
        feel=cause.feel and _feel(cause.feel, made),
        signs=tuple(replace(s, answers=made.row(s.answers)) for s in cause.signs),
        odds=tuple(replace(o, times=o.times * made.factor()) for o in cause.odds),
        needs=tuple(replace(n, cures=made.likelihood(n.cures)) for n in cause.needs),
        remedies=tuple(replace(r, cures=made.likelihood(r.cures)) for r in cause.remedies),
    )


def _feel(feel: Feel, made: _Words) -> Feel:
    return Feel(**{b: made.row(getattr(feel, b)) for b in BALANCES}, source=feel.source)


def _lever(lever: Lever, made: _Words) -> Lever:
    return replace(lever, gives=tuple(replace(g, supplies=made.likelihood(g.supplies)) for g in lever.gives))
