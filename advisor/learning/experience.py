"""What a team has found out itself: trials of other days move what the trade says, by how much like today they were.

Two chances are learnt together for each lever and cause: that it acts as stated, and that it acts at all upon
such a fault. Each starts from the trade, worth so many trials, and the trade is not taken as certain to be
speaking of this kart: where the team's trials contradict it, it gives way (a robust mixture prior). They are
learnt together because a verdict speaks of both: one "worse" may be chance, a row of them is a lever that acts the
other way.

Which trials those are is one rule (`apart`), whoever asks: those of this kart, fault and day belong to the present
search, all others count by how much their day was like today.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from advisor.inference.cures import Link, Links
from advisor.inference.trials import Erring, as_the_trade, verdict_if
from advisor.model import assumed
from advisor.model.belonging import kart_name
from advisor.model.case import VERDICTS, Case, Laps, Past, Tried, Verdict

CELLS = 16  # of each of the two chances, for the integral over both; twice as many move nothing shown
MIDDLES = tuple((k + 0.5) / CELLS for k in range(CELLS))


@dataclass(frozen=True, slots=True)
class Own:
    """What a team's trials of one lever say: by way, how often each verdict; and what they are worth like today.

    `stated`: by hypothesis, the chance that it acts as the trade states, without and with them, where that moves.
    """

    verdicts: Mapping[str, Mapping[Verdict, int]]
    worth: float
    stated: Mapping[int, tuple[float, float]] = field(default_factory=dict)


def robust_density(mean: float, holds: float | None = None) -> list[float]:
    """Prior weights of a chance at the middles of `CELLS` cells: a robust mixture about what the trade says.

    `holds` x Beta(mean n, (1 - mean) n) + (1 - holds) x Beta(1, 1), n = PRIOR_TRIALS. Conjugate priors alone
    are blind to a conflict with the data: Fuquene, Cook, Pericchi, A case for robust
    Bayesian priors, 2008 (title from memory).
    """
    holds = assumed.PRIOR_HOLDS if holds is None else holds
    mean = min(0.99, max(0.01, mean))
    a, b = mean * assumed.PRIOR_TRIALS, (1 - mean) * assumed.PRIOR_TRIALS
    trade = [x ** (a - 1) * (1 - x) ** (b - 1) for x in MIDDLES]
    total = sum(trade)
    return [holds * w / total + (1 - holds) / CELLS for w in trade]


def facts_of(case: Case, observed: Mapping[str, str]) -> dict[str, str]:
    """What is compared between two days, as far as it is known."""
    facts = {
        "kart": kart_name(case.kart_file),
        "class": case.kart_class,
        **{f"tyres.{k}": str(case.tyres.get(k, "")) for k in ("kind", "compound")},
        **{k: observed.get(k, "") for k in ("track", "balance", "phase")},
    }
    return {k: v for k, v in facts.items() if v}


def likeness(
    past: Past, now: Mapping[str, str], factors: Mapping[str, tuple[float, float]] | None = None
) -> float:
    """How much a trial counts today, from 0 to 1, by what differs and what is not known (`factors`, else `ALIKE`)."""
    found = 1.0
    for key, (differs, unknown) in (factors or assumed.ALIKE).items():
        one, other = past.facts.get(key), now.get(key)
        found *= unknown if not one or not other else 1.0 if one == other else differs
    return found


def weight(past: Past, now: Mapping[str, str]) -> float:
    """How much a trial tells of what a lever does today: likeness, age, and its share of a bundle."""
    return past.share * likeness(past, now) * math.exp2(-max(0.0, past.days) / assumed.HALF_LIFE)


# --- which trials belong to the present search --------------------------------------------------------


def apart(
    past: Sequence[Past], tried: Sequence[Tried], now: Mapping[str, str]
) -> tuple[tuple[Tried, ...], tuple[Past, ...]]:
    """The trials of the present search, and those of other days, karts and faults; each trial in one of the two.

    `tried` is what the case itself tells. A trial of today on this kart is the same as one of these where it turned
    the same; what the journal says of it counts then, for it may have been corrected.
    """
    told, found, rest = list(tried), [], []
    for trial in _whole(past):
        first = trial[0]
        same = next((t for t in told if _turns(t) == _turned(trial)), None) if _today(first, now) else None
        if same is not None:
            told.remove(same)
            found.append(replace(same, verdict=first.verdict, laps=first.laps, driver=first.driver))
        elif _same_search(first, now):
            whole = Tried(first.lever, first.direction, first.verdict, _turned(trial)[1:], laps=first.laps)
            found.append(replace(whole, driver=first.driver))
        else:
            rest.extend(trial)
    return (*found, *told), tuple(rest)


def _whole(past: Sequence[Past]) -> list[list[Past]]:
    """The changes of each trial together, the oldest first; a trial without an id has one change."""
    groups: dict[str, list[Past]] = {}
    for i, change in enumerate(past):
        groups.setdefault(change.trial or f"no id {i}", []).append(change)
    return sorted(groups.values(), key=lambda g: (-g[0].days, g[0].trial))


def _turns(trial: Tried) -> tuple[tuple[str, str], ...]:
    return ((trial.lever, trial.direction), *trial.beside)


def _turned(trial: Sequence[Past]) -> tuple[tuple[str, str], ...]:
    return tuple((change.lever, change.direction) for change in trial)


def _today(trial: Past, now: Mapping[str, str]) -> bool:
    """True for a trial of today on this kart."""
    return trial.days < assumed.SAME_DAY and trial.facts.get("kart", "") == now.get("kart", "")


def _same_search(trial: Past, now: Mapping[str, str]) -> bool:
    """True for a trial of today on this kart against this fault, with nothing known to differ."""
    fault = [(trial.facts.get(k, ""), now.get(k, "")) for k in assumed.FAULT_ALIKE]
    if (
        not _today(trial, now)
        or not any(one for one, _ in fault)
        or any(one != other for one, other in fault)
    ):
        return False
    return all(
        not one or not other or one == other
        for one, other in ((trial.facts.get(k), now.get(k)) for k in assumed.ALIKE)
    )


# --- what the others say ------------------------------------------------------------------------------


def weigh(
    table: Links, past: Sequence[Past], now: Mapping[str, str], erring: Erring = as_the_trade
) -> tuple[Links, dict[str, Own]]:
    """The links with what the team's trials say of them, and what they say, by lever.

    `erring`: how far the word of each driver is to be believed.
    """
    by_lever: dict[str, list[Past]] = {}
    for trial in past:
        by_lever.setdefault(trial.lever, []).append(trial)
    if not by_lever:
        return table, {}
    moved = dict(table)
    own = {}
    for lever, trials in by_lever.items():
        if lever in table:
            moved[lever], own[lever] = _weighed(table[lever], trials, now, erring)
    return moved, own


def _weighed(
    row: Mapping[int, Link], trials: Sequence[Past], now: Mapping[str, str], erring: Erring
) -> tuple[dict[int, Link], Own]:
    after = {}
    shifts: dict[int, tuple[float, float]] = {}
    expected = _expected(trials, now)
    for i, link in row.items():
        if link.fix is not None:  # the same trials earned it its trust
            after[i] = link
            continue
        firm = link.opposite is None or bool(link.gives and link.gives.geometry)
        stated, factor = learnt(link.stated, firm, expected, _rows(link, trials, now, erring))
        if not firm and abs(stated - link.stated) > 1e-9:
            shifts[i] = link.stated, stated
        after[i] = replace(link, stated=stated, cures=min(0.98, link.cures * factor))
    counts = Counter((t.direction, t.verdict) for t in trials)
    ways = dict.fromkeys(sorted(t.direction for t in trials))
    worth = sum(weight(t, now) for t in trials)
    return after, Own({w: {v: counts[w, v] for v in VERDICTS} for w in ways}, worth, shifts)


@dataclass(frozen=True, slots=True)
class Row:
    """Trials of one kind: turned as stated or against it, what was said, and what they count in trials' worth.

    `alike`: how many speak of such a fault, so of how often it acts; `other`: those of another one, which acted with
    the chance `acting`. `odds`: of a wrong word by whoever said it, times those of the trade.
    """

    as_stated: bool
    verdict: Verdict
    laps: Laps | None
    acting: float
    alike: float
    other: float
    odds: float = 1.0


def _rows(link: Link, trials: Sequence[Past], now: Mapping[str, str], erring: Erring) -> tuple[Row, ...]:
    """What the trials say of one link. On another fault a trial speaks of its own effect only."""
    sums: dict[tuple[bool, Verdict, Laps | None, float], list[float]] = {}
    for trial in trials:
        stated = link.acts(trial.direction)
        if not stated and trial.direction != link.opposite:
            continue
        counts, fault = weight(trial, now), likeness(trial, now, assumed.FAULT_ALIKE)
        other = (1 - fault) if link.gives and trial.effect == link.gives.effect else 0.0
        row = sums.setdefault((stated, trial.verdict, trial.laps, erring(trial.driver)), [0.0, 0.0, 0.0])
        row[0] += counts * fault
        row[1] += counts * other
        row[2] += counts * other * _either(trial)
    return tuple(
        Row(
            stated,
            verdict,
            laps,
            round(acting / other, 6) if other else 0.0,
            round(alike, 9),
            round(other, 9),
            odds,
        )
        for (stated, verdict, laps, odds), (alike, other, acting) in sorted(sums.items(), key=str)
    )


def _expected(trials: Sequence[Past], now: Mapping[str, str]) -> float:
    """How often it was expected to act upon such a fault, either way."""
    alike = [(weight(t, now) * likeness(t, now, assumed.FAULT_ALIKE), t) for t in trials]
    total = sum(w for w, _ in alike)
    mean = sum(w * _either(t) for w, t in alike) / total if total else 0.2
    return round(min(0.9, max(0.02, mean)), 6)


def learnt(stated: float, firm: bool, expected: float, rows: tuple[Row, ...]) -> tuple[float, float]:
    """The chance that a lever acts as stated, and how many times as often as expected it acts, after trials.

    `firm`: the direction is not up for trial. A way that made it worse is never held for a better one than if it had
    done nothing, although "worse" shows that the lever does something.
    """
    if not any(row.alike or row.other for row in rows):
        return stated, 1.0
    each = _ways(stated, firm, expected, rows)
    mild = [_ways(stated, firm, expected, _as_if_same(rows, turned)) for turned in (True, False)]
    this, opposite = min(each[0], mild[0][0]), min(each[1], mild[1][1])
    acts = this + opposite
    return stated if firm else this / acts, min(assumed.MOST_FACTOR, acts)


def _as_if_same(rows: tuple[Row, ...], turned: bool) -> tuple[Row, ...]:
    """The trials, those that made it worse when turned as stated (or against it) taken as if nothing had come of it."""
    return tuple(
        replace(r, verdict="same", laps=None) if r.verdict == "worse" and r.as_stated == turned else r
        for r in rows
    )


@lru_cache(maxsize=4096)
def _ways(stated: float, firm: bool, expected: float, rows: tuple[Row, ...]) -> tuple[float, float]:
    """How many times as often as it was expected to act at all a lever acts as stated, and the other way.

    Exact but for the cells: P(verdict | stated, acts) = acts (stated x P(verdict | cured) + (1 - stated) x
    P(verdict | hurt)) + (1 - acts) P(verdict | nothing), each to the power of what the trial counts (a power prior:
    Ibrahim and Chen, Power prior distributions for regression models, Statistical Science 15(1), 2000).
    """
    directions = ((stated, 1.0),) if firm else tuple(zip(MIDDLES, robust_density(stated), strict=True))
    acting = tuple(zip(MIDDLES, robust_density(expected), strict=True))
    said = [_says(row) for row in rows]
    cells = [(s, a, math.log(ws * wa) + _log(said, s, a)) for s, ws in directions for a, wa in acting]
    top = max(log for _, _, log in cells)
    weighed = [(s, a, math.exp(log - top)) for s, a, log in cells]
    total = sum(w for _, _, w in weighed)
    acts = sum(w * a for _, a, w in weighed) / total
    this = sum(w * a * s for s, a, w in weighed) / total / acts
    # the robust part draws the means to the middle before any trial: what counts is by how much trials move them
    told = this if firm else _moved(stated, sum(s * w for s, w in directions), this)
    factor = acts / sum(a * w for a, w in acting)
    return factor * told, factor * (1 - told)


def _moved(told: float, prior: float, after: float) -> float:
    """A chance moved in log-odds by as much as its prior mean was."""
    told = min(0.999, max(0.001, told))
    shift = math.log(after / (1 - after)) - math.log(prior / (1 - prior))
    return 1 / (1 + (1 - told) / told * math.exp(-shift))


Says = tuple[float, float, float, float, float, float]  # P(said | cured, hurt, nothing), alike, other, acting


def _says(row: Row) -> Says:
    """What one row says; turned against the trade, a cure and a harm change places."""
    cured, hurt, nothing = (
        verdict_if(state, row.verdict, row.laps, row.odds) for state in ("cured", "hurt", "nothing")
    )
    if not row.as_stated:
        cured, hurt = hurt, cured
    return cured, hurt, nothing, row.alike, row.other, row.acting


def _log(rows: Sequence[Says], stated: float, acts: float) -> float:
    found = 0.0
    for cured, hurt, nothing, alike, other, acting in rows:
        acted = stated * cured + (1 - stated) * hurt
        if alike:
            found += alike * math.log(acts * acted + (1 - acts) * nothing)
        if other:
            found += other * math.log(acting * acted + (1 - acting) * nothing)
    return found


def _either(trial: Past) -> float:
    """The chance, before the run, that it would act either way."""
    return min(0.98, trial.chance / max(trial.confidence, 0.05))
