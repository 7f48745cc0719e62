"""The verdict: runs of laps, and what is known of the day, to an answer under a rule that was stated before.

`judge` is the way in; `likelihoods` hands the answer to the belief.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import median
from typing import Literal

import numpy as np
from scipy import special

from advisor.judge.assumed import DROP, FEWEST_LAPS, GAIN, LEVEL, MOST_LAPS, MOST_RUNS, WORTH, Day
from advisor.judge.classic import TTest, run_scatter, summary, welch
from advisor.judge.designs import doubtful, leak, right_way, weak
from advisor.judge.effect import Effect, Floats, believed, effect, lap_noise, learn_scatter, noise, predicted
from advisor.judge.robust import Paces, mean_variance, paces

Word = Literal["better", "same", "worse"]
Decision = Literal["accept", "drop", "open"]
WORDS: tuple[Word, ...] = ("better", "same", "worse")
AGREE, DIFFER = 0.5, 0.15  # shares of the likelihood; a third is no news
_OUTCOMES = 15
_FAR, _FAR_SHARE = 8.0, 0.15  # seconds, and share of the lap, by which runs may differ (assumed)
LITTLE = 0.25  # a lap with less weight is told as one that counts little


@dataclass(frozen=True, slots=True)
class Laps:
    """A run: its arm, "A" as it was or "B" with the change, and its (lap number, seconds)."""

    arm: str
    laps: tuple[tuple[int, float], ...]


@dataclass(frozen=True, slots=True)
class Next:
    """One more run: which, the seconds either side that it leaves, the chance that it settles the matter."""

    arm: str
    half: float
    chance: float


@dataclass(frozen=True, slots=True)
class Judged:
    """The answer. Seconds a lap, B minus A: negative is quicker."""

    design: str
    paces: Paces
    effect: Effect
    low: float
    high: float
    p_better: float
    chances: Mapping[Word, float]  # better by more than `worth`, within it, worse by more than it
    worth: float
    right_way: float
    drift_taken: float  # share of a steady drift that is taken for the change
    weak: bool
    unlike: bool  # better, but like runs lie too far apart for a kart that was put back only once
    learnt_days: int  # other days that the scatter was learnt from
    before: float  # the scatter believed in before these runs: the median, in seconds
    confounders: tuple[str, ...]
    decision: Decision
    naive: TTest
    own_scatter: float | None  # run to run, by analysis of variance of the baselines

    @property
    def change(self) -> float:
        """The effect's best estimate."""
        return self.effect.size.mean


class UnjudgeableError(ValueError):
    """Raised with a sentence when the runs cannot be judged at all."""


def judge(
    runs: Sequence[Laps],
    day: Day | None = None,
    worth: float = WORTH,
    confounders: Sequence[str] = (),
    baselines: Sequence[Sequence[Laps]] = (),
    earlier: Sequence[Sequence[Laps]] = (),
) -> Judged:
    """Judge runs in the order driven. `baselines`: days of two runs or more without any change.

    `earlier`: this driver's other days, with or without a change (any two arms). Both teach how far his runs scatter.
    Raises UnjudgeableError when a run or an arm is missing, there are too many, or they lie a minute apart.
    """
    day = day or Day()
    _enough(runs)
    arms = [run.arm for run in runs]
    found = _paces(runs, day)
    laps = [len(run.laps) for run in runs]
    _minutes(runs)
    days = [(["A"] * len(b), b) for b in baselines] + [([r.arm for r in d], d) for d in earlier]
    learnt = (
        learn_scatter([(arms, _paces(d, day), [len(r.laps) for r in d]) for arms, d in days], day)
        if days
        else None
    )
    effected = effect(arms, found, laps, day, learnt)
    size = effected.size
    expected = size.tempered(GAIN)
    below = expected.below(-worth), expected.below(worth)
    p_better = expected.below(0.0)
    unlike = p_better > LEVEL and doubtful(arms, found.locations, -size.mean)
    variance = _run_variance(found)
    one_run = [right_way(size.mean, math.sqrt(r * r + variance)) for r in effected.scatters]
    covariance = noise(len(arms), day, np.array([effected.scatter]))[0] + lap_noise(found, laps)
    return Judged(
        design="-".join(arms),
        paces=found,
        effect=effected,
        low=size.quantile((1 - LEVEL) / 2),
        high=size.quantile((1 + LEVEL) / 2),
        p_better=p_better,
        chances={"better": below[0], "same": below[1] - below[0], "worse": 1 - below[1]},
        worth=worth,
        right_way=float(np.dot(effected.chances, one_run)),
        drift_taken=leak(arms, covariance),
        weak=weak(arms),
        confounders=tuple(confounders),
        unlike=unlike,
        learnt_days=len(days),
        before=believed(day, learnt),
        decision="open" if confounders else _decide(p_better, weak(arms) or unlike),
        naive=_naive(runs),
        own_scatter=_own_scatter(baselines),
    )


def _paces(runs: Sequence[Laps], day: Day) -> Paces:
    return paces([run.laps for run in runs], day.echo, day.echo_pairs)


def _enough(runs: Sequence[Laps]) -> None:
    for arm, meaning in (("A", "as it was"), ("B", "with the change")):
        if not any(run.arm == arm for run in runs):
            raise UnjudgeableError(
                f"there is no run {arm} ({meaning}); one of each is needed, A-B-A is better"
            )
    _few_enough(runs)
    for place, run in enumerate(runs, start=1):
        if len(run.laps) < FEWEST_LAPS:
            raise UnjudgeableError(
                f"run {place} ({run.arm}) has {len(run.laps)} laps that count; {FEWEST_LAPS} are needed,"
                " six or more are better"
            )


def _few_enough(runs: Sequence[Laps]) -> None:
    if len(runs) > MOST_RUNS or any(len(run.laps) > MOST_LAPS for run in runs):
        raise UnjudgeableError(
            f"{len(runs)} runs of up to {max(len(run.laps) for run in runs)} laps are more than a day holds"
            f" ({MOST_RUNS} runs of {MOST_LAPS} laps); give the runs of one change"
        )


def _decide(p_better: float, short: bool) -> Decision:
    """The rule: accept above LEVEL unless the design falls short, drop below DROP, open between."""
    if p_better > LEVEL:
        return "open" if short else "accept"
    return "drop" if p_better < DROP else "open"


def _minutes(runs: Sequence[Laps]) -> None:
    """Raise UnjudgeableError when a run lies so far from the others that a minute is likelier mistyped."""
    middle = [median(s for _, s in run.laps) for run in runs]
    low, high = min(middle), max(middle)
    if high - low <= max(_FAR, _FAR_SHARE * low):
        return
    names = [
        f"run {i} ({run.arm}, {m:.1f} s)" for i, (run, m) in enumerate(zip(runs, middle, strict=True), 1)
    ]
    pair = f"{names[middle.index(low)]} and {names[middle.index(high)]}"
    if 50 <= high - low <= 70:
        raise UnjudgeableError(
            f"{pair} lie a minute apart: is a minute mistyped? Correct it, then judge again"
        )
    raise UnjudgeableError(
        f"{pair} lie {high - low:.0f} s apart, which no change does: is a lap time mistyped, or were they driven on"
        " another track or in the wet? Correct the time, or leave the run out"
    )


def _own_scatter(baselines: Sequence[Sequence[Laps]]) -> float | None:
    if not baselines:
        return None
    days = [run_scatter([[s for _, s in run.laps] for run in day]) for day in baselines]
    return math.sqrt(sum(s * s for s in days) / len(days))


def _naive(runs: Sequence[Laps]) -> TTest:
    """What a plain test of the laps says, as if every lap of the day had been drawn by itself."""
    samples = [summary([s for run in runs if run.arm == arm for _, s in run.laps]) for arm in ("B", "A")]
    return welch(*[(n, mean, max(sd, 1e-6)) for n, mean, sd in samples])


def _run_variance(found: Paces) -> float:
    """Variance of the pace of a run of middling length by the scatter of its laps, s^2."""
    laps = round(sum(map(len, found.weights)) / len(found.weights))
    return found.scale**2 * mean_variance(laps, found.echo)


def one_more(found: Judged, day: Day | None = None) -> Next:
    """The run that is likelier to settle the matter; of two alike, the one that narrows the interval more.

    What each may bring is predicted from the runs so far, at `_OUTCOMES` equally likely paces, and judged as if it
    had come.
    """
    day = day or Day()
    return max((_after(found, arm, day) for arm in "AB"), key=lambda n: (round(n.chance, 1), -n.half))


def _after(found: Judged, arm: str, day: Day) -> Next:
    arms = [*found.design.split("-"), arm]
    laps = [len(weights) for weights in found.paces.weights]
    laps.append(round(sum(laps) / len(laps)))
    variance = _run_variance(found.paces)
    brings = predicted(arms, found.paces, laps[:-1], variance, day, found.effect)
    settled, half = 0, 0.0
    for i in range(_OUTCOMES):
        pace = brings.quantile((i + 0.5) / _OUTCOMES)
        paces = replace(
            found.paces, locations=(*found.paces.locations, pace), leads=(*found.paces.leads, 0.0)
        )
        size = effect(arms, paces, laps, day, found.effect.learnt).size
        short = weak(arms) or doubtful(arms, paces.locations, -size.mean)
        settled += _decide(size.tempered(GAIN).below(0.0), short) != "open"
        half += (size.quantile((1 + LEVEL) / 2) - size.quantile((1 - LEVEL) / 2)) / 2
    return Next(arm, half / _OUTCOMES, settled / _OUTCOMES)


def likelihoods(found: Judged, gain: float = GAIN) -> dict[Word, float]:
    """P(these laps | the change is better, the same, worse) up to a common factor, scaled to sum to one.

    "Better" is quicker by `worth` and a half-normal of s.d. `gain` beyond it, "same" is level within `worth`.
    Laps that a confounder spoils say nothing: all three are alike.
    """
    if found.confounders:
        return dict.fromkeys(WORDS, 1 / 3)
    middle = (np.arange(400) + 0.5) / 400
    beyond = gain * special.ndtri(0.5 + middle / 2)  # equally likely sizes
    sizes: dict[Word, Floats] = {
        "better": -found.worth - beyond,
        "same": found.worth * (2 * middle - 1),
        "worse": found.worth + beyond,
    }
    weight = {word: float(np.mean(found.effect.size.density(x))) for word, x in sizes.items()}
    total = sum(weight.values())
    return {word: w / total for word, w in weight.items()} if total > 0 else dict.fromkeys(WORDS, 1 / 3)


def agrees(found: Judged, said: Word) -> Literal["agree", "differ", "cannot tell"]:
    """Whether the laps agree with what the driver said: weighed by `likelihoods`, without what is expected."""
    share = likelihoods(found)[said]
    return "agree" if share > AGREE else "differ" if share < DIFFER else "cannot tell"
