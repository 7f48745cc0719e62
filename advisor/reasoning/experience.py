"""What a team has found out itself: trials of other days move what the trade says, by how much like today they were.

Two chances are learnt for each lever: that it acts as stated, for each effect; and that it acts at all upon
such a fault. Each starts from the trade, worth so many trials, and the trade is not taken as certain to be
speaking of this kart: where the team's trials contradict it, it gives way (a robust mixture prior).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from advisor.model.case import VERDICTS, Case, Past, Tried, Verdict
from advisor.reasoning.cures import Link, Links
from advisor.reasoning.trials import verdict_if

# What the word of the trade is worth, in trials, and the chance that it is about karts like this one; ours, no source.
PRIOR_TRIALS, PRIOR_HOLDS = 4.0, 0.8
# What a trial of another kind counts: where the two days differ in this, and where it is not known. Ours, no source.
ALIKE: Mapping[str, tuple[float, float]] = {
    "kart": (0.5, 0.8),
    "class": (0.5, 0.9),
    "tyres.kind": (0.1, 0.8),
    "tyres.compound": (0.6, 0.9),
    "track": (0.3, 0.8),
}
FAULT: Mapping[str, tuple[float, float]] = {"balance": (0.0, 0.5), "phase": (0.5, 0.7)}
SAME_DAY = 0.5  # days within which a trial may be one of the present search
HALF_LIFE = 365.0  # days after which a trial counts half
MOST_FACTOR = 3.0  # trials alone never make a lever act more than so many times as often as the trade has it


@dataclass(frozen=True, slots=True)
class Own:
    """What a team's trials of one lever say: how often each verdict, and what they are worth like today.

    `stated`: by hypothesis, the chance that it acts as the trade states, without and with them, where that moves.
    """

    verdicts: Mapping[Verdict, int]
    worth: float
    stated: Mapping[int, tuple[float, float]] = field(default_factory=dict)


def robust_mean(mean: float, ups: float, downs: float, holds: float = PRIOR_HOLDS) -> float:
    """Mean of a chance after so many (weighted) successes and failures, its prior a robust mixture.

    `holds` x Beta(mean n, (1 - mean) n) + (1 - holds) x Beta(1, 1), n = PRIOR_TRIALS. Conjugate priors alone
    are blind to a conflict with the data: Fuquene, Cook, Pericchi, A case for robust
    Bayesian priors, 2008 (title from memory).
    """
    a, b = mean * PRIOR_TRIALS, (1 - mean) * PRIOR_TRIALS
    return mixture_mean(((holds, a, b), (1 - holds, 1.0, 1.0)), ups, downs)


def mixture_mean(parts: Iterable[tuple[float, float, float]], ups: float, downs: float) -> float:
    """Posterior mean under a mixture of Beta(a, b), each part given as (weight, a, b)."""
    weighed = [
        (math.log(w) + _log_beta(a + ups, b + downs) - _log_beta(a, b), (a + ups) / (a + b + ups + downs))
        for w, a, b in parts
        if w > 0 and a > 0 and b > 0
    ]
    top = max(log for log, _ in weighed)
    total = sum(math.exp(log - top) for log, _ in weighed)
    return sum(math.exp(log - top) * mean for log, mean in weighed) / total


def _log_beta(a: float, b: float) -> float:
    return math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)


def facts_of(case: Case, observed: Mapping[str, str]) -> dict[str, str]:
    """What is compared between two days, as far as it is known."""
    facts = {
        "kart": case.kart_file,
        "class": case.kart_class,
        **{f"tyres.{k}": str(case.tyres.get(k, "")) for k in ("kind", "compound")},
        **{k: observed.get(k, "") for k in ("track", "balance", "phase")},
    }
    return {k: v for k, v in facts.items() if v}


def likeness(past: Past, now: Mapping[str, str], factors: Mapping[str, tuple[float, float]] = ALIKE) -> float:
    """How much a trial counts today, from 0 to 1, by what differs and what is not known."""
    found = 1.0
    for key, (differs, unknown) in factors.items():
        one, other = past.facts.get(key), now.get(key)
        found *= unknown if not one or not other else 1.0 if one == other else differs
    return found


def weight(past: Past, now: Mapping[str, str]) -> float:
    """How much a trial tells of what a lever does today: likeness, age, and its share of a bundle."""
    return past.share * likeness(past, now) * math.exp2(-max(0.0, past.days) / HALF_LIFE)


def weigh(
    table: Links, past: Sequence[Past], tried: Sequence[Tried], now: Mapping[str, str]
) -> tuple[Links, dict[str, Own]]:
    """The links with what the team's trials say of them, and what they say, by lever.

    Trials that are in `tried` count there already.
    """
    by_lever: dict[str, list[Past]] = {}
    for trial in _not_counted_yet(past, tried):
        by_lever.setdefault(trial.lever, []).append(trial)
    if not by_lever:
        return table, {}
    moved = dict(table)
    own = {}
    for lever, trials in by_lever.items():
        if lever in table:
            moved[lever], own[lever] = _weighed(table[lever], trials, now)
    return moved, own


def _not_counted_yet(past: Sequence[Past], tried: Sequence[Tried]) -> list[Past]:
    """The latest first, without those of the present search."""
    counted = Counter((t.lever, t.direction, t.verdict) for t in tried)
    found = []
    for trial in sorted(past, key=lambda p: p.days):
        if trial.days < SAME_DAY and counted[trial.lever, trial.direction, trial.verdict] > 0:
            counted[trial.lever, trial.direction, trial.verdict] -= 1
        else:
            found.append(trial)
    return found


def _weighed(
    row: Mapping[int, Link], trials: Sequence[Past], now: Mapping[str, str]
) -> tuple[dict[int, Link], Own]:
    factor = _acting(trials, now)
    after = {}
    shifts: dict[int, tuple[float, float]] = {}
    for i, link in row.items():
        if link.fix is not None:  # the same trials earned it its trust
            after[i] = link
            continue
        stated = link.stated
        if link.gives and not link.gives.geometry:
            stated = robust_mean(link.stated, *_directions(link, trials, now))
            if stated != link.stated:
                shifts[i] = link.stated, stated
        after[i] = replace(link, stated=stated, cures=min(0.98, link.cures * factor))
    counts = Counter(t.verdict for t in trials)
    worth = sum(weight(t, now) for t in trials)
    return after, Own({v: counts[v] for v in VERDICTS}, worth, shifts)


def _directions(link: Link, trials: Sequence[Past], now: Mapping[str, str]) -> tuple[float, float]:
    """What trials of the same effect say for its stated direction and against it, in trials' worth."""
    ups = downs = 0.0
    for trial in trials:
        if link.gives is None or trial.effect != link.gives.effect:
            continue
        cured, hurt, _ = did(trial)
        counts = weight(trial, now)
        ups += counts * (cured if trial.as_stated else hurt)
        downs += counts * (hurt if trial.as_stated else cured)
    return ups, downs


def _acting(trials: Sequence[Past], now: Mapping[str, str]) -> float:
    """How many times as often as the trade has it the lever acts upon such a fault."""
    alike = [(weight(t, now) * likeness(t, now, FAULT), t) for t in trials]
    if not (total := sum(w for w, _ in alike)):
        return 1.0
    expected = sum(w * _either(t) for w, t in alike) / total
    acted = sum(w * (1 - did(t)[2]) for w, t in alike)
    if not 0 < expected < 1:
        return 1.0
    return min(MOST_FACTOR, robust_mean(expected, acted, total - acted) / expected)


def _either(trial: Past) -> float:
    """The chance, before the run, that it would act either way."""
    return min(0.98, trial.chance / max(trial.confidence, 0.05))


def did(trial: Past) -> tuple[float, float, float]:
    """The chances that a past trial cured, hurt or did nothing, given its verdict and what was expected of it."""
    cured = min(trial.chance, 0.98)
    hurt = _either(trial) - cured
    each = {"cured": cured, "hurt": max(0.0, hurt), "nothing": 1 - cured - max(0.0, hurt)}
    joint = {state: p * verdict_if(state, trial.verdict, trial.laps) for state, p in each.items()}
    total = sum(joint.values())
    return joint["cured"] / total, joint["hurt"] / total, joint["nothing"] / total
