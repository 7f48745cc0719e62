"""How often any rule at all can see a gain by A-B-A, if a track that jumps is to deceive it on one day in twenty.

Run as `python -m tests.judge.bound`. Three paces leave two figures that do not depend on the day's level: B less the
mean of both A, and the second A less the first. A rule is a share of acceptance for every pair of them. The best of all
rules is a linear programme (J. Neyman, E. S. Pearson, On the problem of the most efficient tests of statistical
hypotheses, Phil. Trans. R. Soc. A 231, 1933, with several hypotheses at once): most acceptances of a gain, with no more
than LEVEL of every day without one. It is told what the judge is not: the scatter of runs and laps, the size of the
steady drift and that of the jump. So what it cannot do no judge of these days can do.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from scipy.optimize import linprog
from scipy.special import ndtr

from advisor.judge.effect import Floats
from advisor.judge.robust import mean_variance
from tests.judge.learnt import DRIFT, LAP_SD, PLAIN, ROWS

LEVEL = 0.05
RUN, JUMP, LAPS = ROWS[0].scatter, abs(ROWS[3].jump), ROWS[0].laps
DRIFTS = (-2 * DRIFT, 2 * DRIFT)  # of the second A from the first
STILL = (0.0, 0.0)
AT_B, AT_A2 = (
    (-JUMP / 2, -JUMP),
    (-JUMP / 2, JUMP),
)  # quicker from B on; slower from the second A on: both look like help


def chances(means: Sequence[tuple[float, float]], cell: float = 0.03) -> Floats:
    """P(both figures lie in a cell), over days that are equally likely to have each of these means."""
    variance = RUN**2 + LAP_SD**2 * mean_variance(LAPS, PLAIN.echo)
    edges = np.arange(-2.0, 1.2, cell), np.arange(-2.2, 2.2, 2 * cell)
    scales = math.sqrt(1.5 * variance), math.sqrt(2 * variance)
    found = np.zeros((len(edges[0]) - 1) * (len(edges[1]) - 1))
    for mean in means:
        rows = [np.diff(ndtr((e - m) / s)) for e, m, s in zip(edges, mean, scales, strict=True)]
        found += np.outer(*rows).ravel() / len(means)
    return found


def day(jump: tuple[float, float] = STILL, gain: float = 0.0, cell: float = 0.03) -> Floats:
    """Days of one kind: a steady drift either way, perhaps a jump, and a gain in seconds."""
    return chances([(jump[0] - gain, jump[1] + drift) for drift in DRIFTS], cell)


def best(gain: float, jumps: Sequence[tuple[float, float]], cell: float = 0.03) -> float:
    """The share of still days with this gain that the best rule accepts; on none without a gain more than LEVEL."""
    without = np.array([day(jump, cell=cell) for jump in (STILL, *jumps)])
    found = linprog(-day(gain=gain, cell=cell), A_ub=without, b_ub=[LEVEL] * len(without), bounds=(0, 1))
    return float(-found.fun)


def main() -> None:
    """Print what the best rules see."""
    print(
        "A-B-A, 8 laps of s.d. 0.2 s, runs 0.1 s, drift 0.1 s a run: the most that any rule sees at 0.3 and 0.5 s"
    )
    for name, jumps in (("no jumps", ()), ("quicker at B", (AT_B,)), ("either way", (AT_B, AT_A2))):
        print(
            f"  held to 5 % also on days that jump 0.4 s, {name:12}: {best(0.3, jumps):.1%}, {best(0.5, jumps):.1%}"
        )


if __name__ == "__main__":
    main()
