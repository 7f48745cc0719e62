"""Orders of runs for the values of an aim: the baseline first and again later, one change at a time.

What an order tells of a value is what the judge makes of the runs of that value and of the baseline about them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import inf

import numpy as np

from advisor.judge.designs import OFFERED
from advisor.plans.day import BASELINE, Aim

# up the values and down again, so that each one's runs have the same middle as those of the baseline and a steady
# drift cancels; or back to the baseline after each. The shortest leave values out, or compare them less evenly
_THREE = ("ABA", "ABCA", "ABCBA", "ABACA", "ABCCBA", "ABCBABCBA", "ABCCBAABCCBA")
LADDERS = {3: _THREE, 4: (*_THREE[:5], "ABCDCBA", "ABACADA", "ABCDDCBA")}
MOST_VALUES, MOST_PAIRS = 4, 6

# an order of A and B, and the places of its runs from 0, to the difference that it sees, in seconds a lap
See = Callable[[str, tuple[int, ...]], float]


def orders(aim: Aim, seed: int) -> tuple[str, ...]:
    """The orders that may serve an aim, the short ones first."""
    if len(aim.values) > 2:
        return LADDERS[len(aim.values)]
    if not aim.pairs:
        return tuple(order for order in OFFERED if len(order) > 2)
    return tuple(random_pairs(seed, count) for count in range(2, MOST_PAIRS + 1))


def random_pairs(seed: int, pairs: int) -> str:
    """So many pairs of A and B, each in an order drawn by the seed but the first, which begins with the baseline."""
    drawn = np.random.default_rng(seed).integers(0, 2, MOST_PAIRS)
    return "AB" + "".join("AB" if heads else "BA" for heads in drawn[1:pairs])


def compared(order: str, letter: str) -> list[int]:
    """Places of the runs that compare a value with the baseline: from the baseline before it to that after it."""
    places = [i for i, arm in enumerate(order) if arm == letter]
    first = max(order.rfind(BASELINE, 0, places[0]), 0)
    last = order.find(BASELINE, places[-1])
    return [i for i in range(first, last + 1 if last >= 0 else len(order)) if order[i] in (letter, BASELINE)]


def comparison(order: str, letter: str) -> str:
    """The runs that compare a value with the baseline, as A and B: what the judge is given."""
    return "".join("B" if order[i] == letter else "A" for i in compared(order, letter))


def comparisons(order: str) -> Iterator[tuple[str, str, tuple[int, ...]]]:
    """Each value but the baseline, the runs that compare it, and their places from the first of them."""
    for letter in sorted(set(order) - {BASELINE}):
        places = compared(order, letter)
        yield letter, comparison(order, letter), tuple(place - places[0] for place in places)


def sees(order: str, values: int, see: See) -> list[float]:
    """The difference, in seconds a lap, that an order sees of each value but the baseline; infinite where of none."""
    seen = {letter: see(runs, places) for letter, runs, places in comparisons(order)}
    return [seen.get(chr(ord(BASELINE) + i), inf) for i in range(1, values)]
