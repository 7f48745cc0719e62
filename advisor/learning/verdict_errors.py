"""How often the word of a driver is wrong, beside what the trade has: learnt where something else speaks too.

The laps do, and the same change put back and tried again: then what it did is no matter of the word alone. What it
really did stays hidden and is summed over (the error rates of observers without a known truth: Dawid and Skene, Maximum
likelihood estimation of observer error-rates using the EM algorithm, Applied Statistics 28(1), 1979; here one rate a
driver and a prior, summed over a grid instead). The rates are pooled: the trade's word is worth so many verdicts of a
team, and the team's so many of a driver (Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, ch. 5).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import NamedTuple

from advisor.inference.trials import RIGHT, laps_if, said_if
from advisor.learning.reckoning import effects
from advisor.model import assumed
from advisor.model.case import Past, Verdict
from advisor.model.knowledge import Book

CELLS = 20  # of a chance, for the sums over it; twice as many move nothing shown
MOST = 0.75  # whoever is wrong more often would tell the opposite; nobody is held for that
MIDDLES = tuple(MOST * (k + 0.5) / CELLS for k in range(CELLS))
Weights = tuple[float, ...]
Said = Mapping[tuple[str, Verdict], float]  # P(what was said | what the change did)


class Change(NamedTuple):
    """A change that was felt once or several times: the chances of a cure, nothing and a harm (`may`), the same times
    what the laps say (`fits`), and the words."""

    may: Weights
    fits: Weights
    words: tuple[Verdict, ...]


@dataclass(frozen=True, slots=True)
class Driver:
    """`checked`: verdicts beside which something else spoke; of them `wrong`, as expected by all that is known."""

    checked: int
    wrong: float
    odds: float  # of a wrong word, times those of the trade


@dataclass(frozen=True, slots=True)
class Errors:
    """`team`: the odds of a wrong word, times those of the trade, for a driver of whom nothing is known."""

    team: float = 1.0
    drivers: Mapping[str, Driver] = field(default_factory=dict)

    def odds(self, driver: str) -> float:
        """How many times the trade's odds of a wrong word; see `inference.trials.said_if`."""
        known = self.of(driver)
        return known.odds if known else self.team

    def of(self, driver: str) -> Driver | None:
        """What is known of a driver, however the name is written."""
        return self.drivers.get(name(driver))


def name(driver: str) -> str:
    """A driver as names are compared."""
    return " ".join(driver.casefold().split())


def usual() -> float:
    """How often a word is wrong as the trade has it, a cure, a harm and nothing alike."""
    return sum(1 - said_if(effect, verdict) for effect, verdict in RIGHT.items()) / len(RIGHT)


def share(odds: float) -> float:
    """The same where the odds are so many times those of the trade."""
    trade = usual()
    return trade * odds / (1 - trade + trade * odds)


def learn(book: Book, past: Iterable[Past]) -> Errors:
    """How often each driver is wrong, by the trials of the journal in whatever order."""
    checked = _checked(book, past)
    trade = tuple(v for row in assumed.VERDICT_IF.values() for v in row.values())
    return _learnt(checked, (*trade, assumed.TEAM_VERDICTS, assumed.DRIVER_VERDICTS)) if checked else Errors()


# --- which words something else speaks beside -------------------------------------------------------------


def _checked(book: Book, past: Iterable[Past]) -> tuple[tuple[str, tuple[Change, ...]], ...]:
    """By driver, the changes of which something beside one word speaks, in an order that depends on them alone."""
    drivers: dict[str, list[Change]] = {}
    for tries in _tries(book, past):
        firsts = sorted((t[0].verdict, t[0].laps or ()) for t in tries)
        if len(firsts) > 1 or firsts[0][1]:
            may = tuple(round(min(0.98, max(0.02, p)), 6) for p in effects(tries[0]).values())
            laps = [laps for _, laps in firsts if laps]
            fits = tuple(p * math.prod(laps_if(e, w) for w in laps) for e, p in zip(RIGHT, may, strict=True))
            drivers.setdefault(name(tries[0][0].driver), []).append(
                Change(may, _normed(fits), tuple(verdict for verdict, _ in firsts))
            )
    return tuple((driver, tuple(sorted(drivers[driver]))) for driver in sorted(drivers))


def _tries(book: Book, past: Iterable[Past]) -> list[list[list[Past]]]:
    """The trials that a driver felt, those of the same change together: one driver, kart, fault, day and value set.

    A step further has another value. Where none is told, nobody knows which it was, and each stands alone.
    """
    found: list[list[list[Past]]] = []
    alike: dict[tuple[object, ...], list[list[Past]]] = {}
    for trial in _whole(book, past):
        first = trial[0]
        if not all(change.to for change in trial):
            found.append([trial])
            continue
        same = [first.facts.get(k, "") for k in ("kart", "balance", "phase")]
        turns = [(change.lever, change.direction, change.to) for change in trial]
        alike.setdefault((name(first.driver), *same, *turns), []).append(trial)
    for trials in alike.values():
        trials.sort(key=lambda t: [_place(change) for change in t])
        for k, trial in enumerate(trials):
            if k and trial[0].days - trials[k - 1][0].days < assumed.SAME_DAY:
                found[-1].append(trial)
            else:
                found.append([trial])
    return found


def _place(change: Past) -> tuple[object, ...]:
    """An order of changes that depends on nothing but what they tell."""
    said = (change.verdict, change.laps or (), change.driver, change.to)
    return change.days, change.trial, change.lever, change.direction, change.chance, change.confidence, *said


def _whole(book: Book, past: Iterable[Past]) -> Iterable[list[Past]]:
    """The changes of each trial together; inspections are found, not felt."""
    groups: dict[object, list[Past]] = {}
    for number, change in enumerate(past):
        if not book.is_look(change.lever, change.direction):
            groups.setdefault(change.trial or number, []).append(change)
    return (sorted(changes, key=_place) for changes in groups.values())


# --- how often they are wrong -------------------------------------------------------------------------------


@lru_cache(maxsize=64)
def _learnt(checked: tuple[tuple[str, tuple[Change, ...]], ...], _assumed: Weights) -> Errors:
    """The posterior of each driver, exact but for the cells; `_assumed`: for the cache alone."""
    about = [
        density(x, assumed.DRIVER_VERDICTS) for x in MIDDLES
    ]  # row: the team's rate; column: the driver's
    seen = {driver: _likelihood(changes) for driver, changes in checked}
    fits = {
        d: [_dot(row, weights) for row in about] for d, weights in seen.items()
    }  # P(words | the team's rate)
    trade = density(usual(), assumed.TEAM_VERDICTS)
    before = _mean(_mixed(trade, about))
    whole = _product([trade, *fits.values()])
    team = _odds(_mean(_mixed(whole, about)), before)
    drivers = {}
    for driver, changes in checked:
        others = _product([trade, *(fits[d] for d in fits if d != driver)])
        odds = _odds(_mean(_product([_mixed(others, about), seen[driver]])), before)
        count = sum(len(change.words) for change in changes)
        drivers[driver] = Driver(count, sum(_wrong(change, odds) for change in changes), odds)
    return Errors(team, drivers)


def density(mean: float, worth: float) -> Weights:
    """Prior weights of the cells: a Beta distribution about a word that is worth so many verdicts."""
    a, b = mean * worth, (1 - mean) * worth
    logs = [(a - 1) * math.log(x) + (b - 1) * math.log(1 - x) for x in MIDDLES]
    return _normed([math.exp(log - max(logs)) for log in logs])


def _likelihood(changes: Sequence[Change]) -> Weights:
    """P(what was said | the driver is wrong so often), up to a factor, by cell."""
    logs = []
    for x in MIDDLES:
        odds = _odds(x, usual())
        said = {(e, v): said_if(e, v, odds) for e in RIGHT for v in RIGHT.values()}
        logs.append(sum(_log(change, said) for change in changes))
    return _normed([math.exp(log - max(logs)) for log in logs])


def _log(change: Change, said: Said) -> float:
    """What the words on one change tell of their driver, beside what a word alone would.

    How often changes cure is another matter, so the chance of one word by itself is taken out: of a change of which
    nothing but one word speaks nothing is left.
    """
    alone = 1.0
    for verdict in change.words:
        alone *= sum([p * said[e, verdict] for e, p in zip(RIGHT, change.may, strict=True)])
    return math.log(sum(_joint(change, said))) - math.log(alone) / len(change.words)


def _joint(change: Change, said: Said) -> list[float]:
    """P(it did this, and all that was said of it), for a cure, nothing and a harm, up to a factor."""
    found = []
    for effect, p in zip(RIGHT, change.fits, strict=True):
        for verdict in change.words:
            p *= said[effect, verdict]
        found.append(p)
    return found


def _wrong(change: Change, odds: float) -> float:
    """How many of the words on a change were wrong, as expected by all that is known of it."""
    did = _normed(_joint(change, {(e, v): said_if(e, v, odds) for e in RIGHT for v in RIGHT.values()}))
    right = dict(zip(RIGHT.values(), did, strict=True))
    return sum(1 - right[verdict] for verdict in change.words)


def _odds(rate: float, other: float) -> float:
    """How many times the odds of the other rate, to six digits, so that like evidence gives like figures."""
    return round(rate / (1 - rate) * (1 - other) / other, 6)


def _normed(weights: Iterable[float]) -> Weights:
    known = tuple(weights)
    total = sum(known)
    return tuple(w / total for w in known)


def _dot(one: Weights, other: Weights) -> float:
    return sum(a * b for a, b in zip(one, other, strict=True))


def _mixed(weights: Weights, rows: Sequence[Weights]) -> Weights:
    return _normed(sum(w * row[k] for w, row in zip(weights, rows, strict=True)) for k in range(CELLS))


def _product(factors: Sequence[Sequence[float]]) -> Weights:
    return _normed(math.prod(f[k] for f in factors) for k in range(CELLS))


def _mean(weights: Weights) -> float:
    return _dot(weights, MIDDLES)
