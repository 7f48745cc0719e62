"""When is it best to give up? `python -m tests.paddock.stops [CASES [FIRST]]`.

Ours plays each day to its end; then the day is priced as if it had been given up where the screen first says that
nothing left is worth its run, at several values of `assumed.PATIENCE`. A kart that is not cured, given up or not, costs
`assumed.GIVE_UP` minutes more, which is what the price of giving up means.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from advisor.model import assumed
from advisor.planning import stopping
from advisor.reasoning.weighing import Reasoning
from tests.paddock.play import MOST_STEPS, Day, Step, _take
from tests.paddock.policies import Ours, Paddock
from tests.paddock.quick import quickly
from tests.paddock.report import difference
from tests.paddock.worlds import FOREIGN, OURS, Kart, kart, shipped

PATIENCE = (1.0, 1.5, 2.0, 3.0, 4.0, math.inf)


@dataclass
class Watched(Ours):
    """Ours, which also notes the greatest patience at which it would give up now."""

    gives_up: float = 0.0

    def _change(self, done: Reasoning) -> Step | None:
        self.gives_up = max([self.gives_up, *(p for p in PATIENCE[:-1] if _stops(done, p))])
        return super()._change(done)


def _stops(done: Reasoning, patience: float) -> bool:
    plan = replace(done.plan, patience=patience)
    return stopping.enough(done.book, done.belief, done.together.shares, plan) is not None


def prices(paddock: Paddock, hidden: Kart) -> list[float]:
    """Minutes of one day by patience."""
    policy = Watched(paddock.whole, {}, paddock.shared)
    day = Day(hidden, list(hidden.faults))
    policy.start(hidden.complaint(day.left))
    ended: dict[float, float] = {}
    for _ in range(MOST_STEPS):
        step = policy.next()
        for patience in PATIENCE[:-1]:
            if policy.gives_up >= patience:
                ended.setdefault(patience, day.minutes + assumed.GIVE_UP)
        if step is None:
            break
        _take(step, policy, day)
        if day.over:
            break
    whole = day.minutes + (assumed.GIVE_UP if day.left else 0.0)
    return [ended.get(patience, whole) for patience in PATIENCE]


def table(found: Sequence[Sequence[float]]) -> list[str]:
    """Mean minutes by patience, and the difference from never giving up."""
    columns = np.array(found).T
    return [
        f"{patience:9g}{column.mean():9.1f}   {middle:+.1f} ({low:+.1f} to {high:+.1f})"
        for patience, column in zip(PATIENCE, columns, strict=True)
        for middle, low, high in (difference(column, columns[-1]),)
    ]


def main(cases: int = 60, first: int = 0) -> None:
    paddock = Paddock(shipped())
    for world in (OURS, FOREIGN):
        with quickly(paddock.quick):
            found = [prices(paddock, kart(shipped(), case, world)) for case in range(first, first + cases)]
        print(f"\n{world.name}, {cases} cases: patience, minutes, more than without giving up")
        print("\n".join(table(found)), flush=True)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
