"""How good the advice has been: what was expected of each change before its run, against what came of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from advisor.model import assumed
from advisor.model.case import Past

EDGES = (0.0, 0.15, 0.25, 0.4, 1.0)  # of the expected chances, for the reliability
ENOUGH = 10  # trials from which a tendency is told
ONE_SIDED = 1.645  # standard deviations that chance alone exceeds in one case of twenty


@dataclass(frozen=True, slots=True)
class Bin:
    """Trials of like expectation: how many, the mean chance expected, the share that came out better."""

    count: int
    expected: float
    seen: float


@dataclass(frozen=True, slots=True)
class Score:
    """`brier`: mean square of expectation minus outcome; `base`: the same for one who always says the mean outcome.

    `z`: by how many standard deviations fewer (below 0) or more came out better than expected.
    """

    count: int
    expected: float
    seen: float
    brier: float
    base: float
    z: float
    bins: tuple[Bin, ...]
    given: float = 0.0  # the mean chance of a cure, as the advice gave it

    @property
    def too_sure(self) -> bool:
        return self.count >= ENOUGH and self.z < -ONE_SIDED

    @property
    def too_modest(self) -> bool:
        return self.count >= ENOUGH and self.z > ONE_SIDED


def expected(trials: Sequence[Past]) -> float:
    """The chance, before the run, that the verdict on these changes, made together, would be "better"."""
    return sum(chance * assumed.VERDICT_IF[effect]["better"] for effect, chance in effects(trials).items())


def effects(trials: Sequence[Past]) -> dict[str, float]:
    """The chances, before the run, of what these changes would really do together."""
    nothing_helps = math.prod(1 - t.chance for t in trials)
    hurts = max(min(1 - t.chance, t.chance * (1 / max(t.confidence, 0.05) - 1)) for t in trials)
    hurt = min(hurts, nothing_helps)
    return {"cured": 1 - nothing_helps, "nothing": nothing_helps - hurt, "hurt": hurt}


def cured(trials: Sequence[Past]) -> float:
    """The chance of a cure by these changes, made together, as the advice gave it for each."""
    return 1 - math.prod(1 - t.chance for t in trials)


def score(pairs: Sequence[tuple[float, bool]], given: float = 0.0) -> Score | None:
    """Score pairs of expected chance and outcome; None without any. `given`: the mean chance of a cure that was told.

    Brier, Verification of forecasts expressed in terms of probability, Monthly Weather Review 78(1), 1950, here
    for one class; calibration in the large as the sum of outcomes against its mean and variance when every
    chance is right.
    """
    if not pairs:
        return None
    count = len(pairs)
    mean_expected, seen = (sum(x) / count for x in zip(*pairs, strict=True))
    brier = sum((p - y) ** 2 for p, y in pairs) / count
    spread = math.sqrt(sum(p * (1 - p) for p, _ in pairs))
    z = count * (seen - mean_expected) / spread if spread else 0.0
    return Score(count, mean_expected, seen, brier, seen * (1 - seen), z, _bins(pairs), given)


def _bins(pairs: Sequence[tuple[float, bool]]) -> tuple[Bin, ...]:
    found = []
    for low, high in pairwise(EDGES):
        inside = [(p, y) for p, y in pairs if low <= p < high or p == high == 1.0]
        if inside:
            found.append(Bin(len(inside), *(sum(x) / len(inside) for x in zip(*inside, strict=True))))
    return tuple(found)


def tendency(found: Score | None) -> str | None:
    """A word of warning when the chances given so far were too high or too low."""
    if found is None or not (found.too_sure or found.too_modest):
        return None
    better, hoped = round(found.seen * found.count), found.expected * found.count
    which = "too high: take them with care" if found.too_sure else "too low"
    return (
        f"of your {found.count} trials {better} came out better where {hoped:.0f} were expected; "
        f"the chances given here have been {which}"
    )
