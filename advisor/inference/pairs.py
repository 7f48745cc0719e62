"""Two causes at once: pairs among the likeliest, and a bound on the weight of the pairs left out.

Under a pair each answer is told of one of its two causes, as likely of either, unless only one of them
bears upon it. What is found serves the order of the changes: a pair counts half for each of its causes,
since mending one is half of the way.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

from advisor.inference.belief import Belief
from advisor.model import assumed

AMONG = 40  # causes whose pairs are looked at

Pair = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Together:
    """`shares`: probability that a hypothesis is the one to mend first; `pairs`: those of the pairs looked at.

    `omitted` is the most that the pairs left out could weigh together, as a probability.
    """

    shares: tuple[float, ...]
    pairs: dict[Pair, float]
    omitted: float

    def likeliest(self) -> tuple[Pair, float]:
        """The pair that weighs most; (0, 0) with nothing where no two causes can be."""
        return max(((pair, p) for pair, p in self.pairs.items()), key=lambda x: x[1], default=((0, 0), 0.0))


def weigh(belief: Belief, among: int = AMONG) -> Together:
    """Let pairs of causes stand beside the single causes of a belief. The last hypothesis stays single.

    The pairs looked at are those of the causes that would fit best if every piece of evidence against
    them were the other's; so what is left out can be bounded without being counted.
    """
    causes = [i for i, p in enumerate(belief.prior[:-1]) if p > 0]
    ledger = list(belief.ledger.values())
    best = {i: belief.prior[i] * math.exp(sum(max(0.0, terms[i]) for terms in ledger)) for i in causes}
    close = sorted(sorted(causes, key=lambda i: (-best[i], i))[:among])
    unknown = (
        belief.probabilities[-1] / belief.prior[-1]
    )  # the weight of a hypothesis of no terms and prior 1
    of_two = _of_two([belief.prior[i] for i in causes])
    scale = unknown * assumed.TWO_AT_ONCE / (1 - assumed.TWO_AT_ONCE) / of_two if of_two else 0.0
    weights = {
        (i, j): scale * belief.prior[i] * belief.prior[j] * math.exp(_told_of_either(ledger, i, j))
        for i, j in combinations(close, 2)
    }
    least = _of_two(list(best.values())) - _of_two([best[i] for i in close])
    total = 1.0 + sum(weights.values())
    omitted = max(0.0, scale * least)
    shares = [p / total for p in belief.probabilities]
    for (i, j), weight in weights.items():
        shares[i] += weight / total / 2
        shares[j] += weight / total / 2
    pairs = {pair: weight / total for pair, weight in weights.items()}
    return Together(tuple(shares), pairs, omitted / (total + omitted))


def _of_two(weights: list[float]) -> float:
    """Sum of the products of all pairs."""
    return (sum(weights) ** 2 - sum(w * w for w in weights)) / 2


def _told_of_either(ledger: list[tuple[float, ...]], i: int, j: int) -> float:
    """Log of P(evidence | both) against `unknown`."""
    found = 0.0
    for terms in ledger:
        one, other = terms[i], terms[j]
        if one and other:
            top = max(one, other)
            found += top + math.log((math.exp(one - top) + math.exp(other - top)) / 2)
        else:
            found += one + other
    return found
