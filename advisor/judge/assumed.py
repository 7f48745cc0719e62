"""What is assumed about a day at the track before a lap is driven. All figures: common practice, no source.

They are stated in every answer, and `--scatter` and `--drift` replace the two that matter. The scatter is where a
driver of whom nothing is known begins: his own days move it (`effect.learn_scatter`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

WORTH = 0.05  # seconds a lap: a smaller difference counts as "the same"
GAIN = 0.40  # seconds: the standard deviation of what a change does, before a lap is driven
LEVEL = 0.95  # of the interval, and of the rule to accept
DROP = 0.20  # P(better) below which a change is dropped
FEWEST_LAPS, MOST_LAPS = 2, 300  # in a run, without out and in laps
FEWEST_DRIVEN = 3  # laps of a run with them
MOST_RUNS = 40  # in a day


APART = (
    0.595  # seconds: like runs further apart than this settle nothing while the kart was put back only once
)


@dataclass(frozen=True, slots=True)
class Day:
    """Scatter and drift of a day, in seconds a lap.

    `scatter` is the run-to-run standard deviation (set, warm-up, traffic, mood; never zero): the median over
    drivers of a log-normal, whose logarithm has the standard deviation `unsure`; from day to day that of one
    driver has the standard deviation `varies`. `drift` is the standard deviation of a steady drift (rubber, wear,
    heat) per run, `step` that of small steps between runs. On a share `jumps` of days the track jumps once between
    two runs (wind, sun, oil), by `jump`, a standard deviation. `echo` is the correlation of neighbouring laps,
    worth `echo_pairs` pairs of laps.
    """

    scatter: float = 0.12
    unsure: float = 0.6
    varies: float = 0.2
    drift: float = 0.10
    step: float = 0.03
    jump: float = 0.40
    jumps: float = 0.15
    echo: float = 0.3
    echo_pairs: float = 20.0

    @property
    def spread(self) -> float:
        """Standard deviation of the logarithm of a day's scatter, for a driver of whom nothing is known."""
        return math.hypot(self.unsure, self.varies)


def told(scatter: float | None, drift: float | None) -> Day:
    """A day whose scatter or drift is known to whoever asks: a scatter that was measured is a third as unsure."""
    usual = Day()
    unsure = usual.unsure / 3 if scatter else usual.unsure
    return Day(scatter=scatter or usual.scatter, unsure=unsure, drift=drift or usual.drift)
