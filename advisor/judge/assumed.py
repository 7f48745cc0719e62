"""What is assumed about a day at the track before a lap is driven. All figures: common practice, no source.

They are stated in every answer, and `--scatter` and `--drift` replace the two that matter.
"""

from __future__ import annotations

from dataclasses import dataclass

WORTH = 0.05  # seconds a lap: a smaller difference counts as "the same"
GAIN = 0.30  # seconds: the standard deviation of what a change does, before a lap is driven
LEVEL = 0.95  # of the interval, and of the rule to accept
DROP = 0.20  # P(better) below which a change is dropped
FEWEST_LAPS, MOST_LAPS = 3, 300  # in a run
MOST_RUNS = 40  # in a day


@dataclass(frozen=True, slots=True)
class Day:
    """Scatter and drift of a day, in seconds a lap.

    `scatter` is the run-to-run standard deviation (set, warm-up, traffic, mood; never zero): the median of a
    log-normal, whose logarithm has the standard deviation `unsure`. `drift` is the standard deviation of a steady
    drift (rubber, wear, heat) per run, `step` that of a sudden one between two runs (wind, sun). `echo` is the
    correlation of neighbouring laps, worth `echo_pairs` pairs of laps.
    """

    scatter: float = 0.10
    unsure: float = 0.5
    drift: float = 0.10
    step: float = 0.06
    echo: float = 0.3
    echo_pairs: float = 20.0


def told(scatter: float | None, drift: float | None) -> Day:
    """A day whose scatter or drift is known to whoever asks: a scatter that was measured is half as unsure."""
    usual = Day()
    unsure = usual.unsure / 2 if scatter else usual.unsure
    return Day(scatter=scatter or usual.scatter, unsure=unsure, drift=drift or usual.drift)
