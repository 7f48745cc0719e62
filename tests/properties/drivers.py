"""Seasons of invented teams whose drivers err as much as the trade has it, more, or less.

Each team has two drivers and meets 24 troubles in six months, as in `months`: the answers leave the true cause and 40
others, up to four changes are tried, better ones more often, until one is told to have helped. Beside half of the words
stand laps, which show what a change did four times in five; one change in six is put back and tried again.

Two know the same: a stranger, who takes every word as the trade does, and the one who learns (`verdict_errors`).
Scored after each word are what the change really did and the true cause: mean logarithm of the chance given to it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cache

import numpy as np
from numpy.typing import NDArray

from advisor.inference.trials import SEEN, said_if, verdict_if
from advisor.learning import verdict_errors
from advisor.learning.verdict_errors import Errors
from advisor.model import assumed
from advisor.model.case import VERDICTS, Laps, Past
from advisor.model.feel import CELLS
from tests.properties import months
from tests.properties.months import _cures, _felt, _turns
from tests.properties.teams import Floats, able, table, trade
from tests.reasoning.minds import shipped

TROUBLES, TRIALS, DAYS = 24, 4, 180.0
WITH_LAPS, AGAIN = 0.5, 1 / 6
GAIN, SCATTER = 0.3, 0.15  # seconds: what a change brings, and how far the laps of two runs scatter
NAMES = ("Kim", "Lee")
EFFECTS = tuple(SEEN)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of team: log odds of a wrong word beside the trade's, of each driver; s.d. of the team's and of each
    driver's own; `better`: how often one who hopes says so of a change that did nothing; `acts`: how often changes act
    at all, times what the trade has."""

    name: str
    log_odds: tuple[float, float] = (0.0, 0.0)
    team: float = 0.0
    each: float = 0.0
    better: float | None = None
    acts: float = 1.0

    def drawn(self, rng: np.random.Generator) -> tuple[float, ...]:
        """The odds of a wrong word of each driver."""
        own = self.team * rng.standard_normal()
        return tuple(float(np.exp(x + own + self.each * rng.standard_normal())) for x in self.log_odds)


KINDS = (
    Kind("like the trade"),
    Kind("as teams differ", team=0.5, each=0.5),
    Kind("who err more", (1.2, 1.2)),
    Kind("who err less", (-1.2, -1.2)),
    Kind("one errs more", (1.2, 0.0)),
    Kind("like the trade, but changes act half as often", acts=0.5),
    Kind("who hope: nothing is often told better", better=0.45),
)


@dataclass(frozen=True, slots=True)
class Said:
    """One word: of what (the chances of what the change did under each cause), what it did, what was known before."""

    driver: str
    verdict: int
    laps: Laps | None
    effects: Floats  # row: cause; column: cured, nothing, hurt
    did: int
    known: int  # trials before it
    trouble: int
    likely: Floats  # of the causes, before any change of this trouble
    cause: int
    first: bool  # the first word on this change


@dataclass
class Season:
    """A team's season: all that was said, and the trials as the journal has them."""

    kind: Kind
    rng: np.random.Generator
    said: list[Said] = field(default_factory=list)
    past: list[Past] = field(default_factory=list)
    held: dict[int, Errors] = field(default_factory=dict)  # what the one who learns held, by trials known

    def play(self) -> Season:
        odds = dict(zip(NAMES, self.kind.drawn(self.rng), strict=True))
        for trouble in range(TROUBLES):
            self._trouble(trouble, odds)
        return self

    def _trouble(self, trouble: int, odds: dict[str, float]) -> None:
        rng = self.rng
        driver = NAMES[rng.integers(2)]
        cause = int(rng.choice(len(able()), p=trade()))
        cell = int(rng.choice(len(CELLS), p=_felt()[cause]))
        phase, balance = list(CELLS.values())[cell]
        facts = {**months.KART, "phase": phase, "balance": balance}
        likely = trade() * self._left(cause) * _felt()[:, cell]
        likely = likely / likely.sum()
        weights = (likely @ _cures()) ** months.KEEN
        order = rng.choice(len(weights), size=TRIALS, replace=False, p=weights / weights.sum())
        start = len(self.past)
        for number, place in enumerate(order):
            lever, way = _turns()[place]
            chances = acting(lever, way)
            cured, _, hurt = self.kind.acts * chances[cause]
            did = int(rng.choice(3, p=[cured, 1 - cured - hurt, hurt]))
            expected = likely @ chances
            days = DAYS * (1 - trouble / TROUBLES) - 0.02 * number
            for turn in range(1 + int(rng.random() < AGAIN)):
                verdict, laps = self._word(did, odds[driver]), self._laps(did)
                self.said.append(
                    Said(driver, verdict, laps, chances, did, start, trouble, likely, cause, turn == 0)
                )
                right = expected[0] / (expected[0] + expected[2]) if expected[0] else 0.5
                self.past.append(
                    Past(
                        lever, way, VERDICTS[verdict], float(expected[0]), float(right), facts=facts,
                        days=days - 0.005 * turn, laps=laps, trial=f"{trouble} {number} {turn}", driver=driver,
                        to=f"{number}",
                    )
                )  # fmt: skip
            if VERDICTS[verdict] == "better":
                return

    def _left(self, cause: int) -> Floats:
        others = np.delete(np.arange(len(able())), cause)
        left = np.zeros(len(able()))
        left[self.rng.choice(others, months.OTHERS, replace=False)] = left[cause] = 1.0
        return left

    def _word(self, did: int, odds: float) -> int:
        row = [said_if(EFFECTS[did], v, odds) for v in VERDICTS]
        if self.kind.better is not None and EFFECTS[did] == "nothing":
            row = [self.kind.better, 0.9 - self.kind.better, 0.1]
        return int(self.rng.choice(3, p=row))

    def _laps(self, did: int) -> Laps | None:
        """P(the laps | a cure, nothing, a harm), for laps that show it or do not."""
        if self.rng.random() >= WITH_LAPS:
            return None
        shown = did if self.rng.random() < assumed.LAPS_TELL else int(self.rng.integers(3))
        gain = GAIN * (1 - shown) + SCATTER * self.rng.standard_normal()
        fits = np.exp(-0.5 * ((gain - GAIN * (1 - np.arange(3))) / SCATTER) ** 2)
        a, b, c = (float(x) for x in fits / fits.sum())
        return a, b, c


@cache
def acting(lever: str, way: str) -> Floats:
    """Row: cause; column: how often it cures it, does nothing, hurts, by the trade."""
    found = np.tile([0.0, 1.0, 0.0], (len(able()), 1))
    for k, i in enumerate(able()):
        link = table()[lever].get(i)
        if link is None or not (link.acts(way) or way == link.opposite):
            continue
        right = link.cures * (link.stated if link.acts(way) else 1 - link.stated)
        hurt = link.cures - right if link.opposite else 0.0
        found[k] = right, 1 - right - hurt, hurt
    return np.asarray(found, dtype=np.float64)


def seasons(kind: Kind, many: int, seed: int) -> list[Season]:
    """So many seasons of a kind of team."""
    return [Season(kind, np.random.default_rng([seed, n])).play() for n in range(many)]


def learnt(season: Season, known: int) -> Errors:
    """What is held of the drivers after so many trials."""
    if known not in season.held:
        season.held[known] = verdict_errors.learn(shipped().book, season.past[:known])
    return season.held[known]


def stranger(_: Season, __: int) -> Errors:
    """What is held of them by one who knows nothing."""
    return Errors()


SCORES = ("what it did", "true cause")


def scored(season: Season, by: Callable[[Season, int], Errors]) -> Floats:
    """A row for each first word: trouble, trials known before, log chance of what the change did and of the cause."""
    rows: list[list[float]] = []
    likely, trouble = np.array([]), -1
    for said in season.said:
        if said.trouble != trouble:
            likely, trouble, errors = said.likely, said.trouble, by(season, said.known)
        if not said.first:
            continue
        odds = errors.odds(said.driver)
        fits = np.array([verdict_if(e, VERDICTS[said.verdict], said.laps, odds) for e in EFFECTS])
        did = likely @ said.effects * fits
        likely = likely * (said.effects @ fits)
        likely = likely / likely.sum()
        rows.append([trouble, said.known, np.log(did[said.did] / did.sum()), np.log(likely[said.cause])])
    return np.array(rows)


def gained(found: Sequence[Season], score: int, after: int = 0, until: int = 10**9) -> Floats:
    """By season, what the one who learns gains over the stranger, of the words with so many trials known before."""
    gains = []
    for season in found:
        one, other = scored(season, learnt), scored(season, stranger)
        chosen = (one[:, 1] >= after) & (one[:, 1] < until)
        if chosen.any():
            gains.append((one[:, 2 + score] - other[:, 2 + score])[chosen].mean())
    return np.array(gains)


def _near(known: Floats) -> NDArray[np.bool_]:
    """Words of which about fifteen trials were known."""
    return np.asarray((known >= 10) & (known <= 20))


def stated(found: Sequence[Season], by: Callable[[Season, int], Errors], after: int) -> tuple[float, float]:
    """Of the changes told "better" with no laps beside: the mean chance that it cured, and how often it did."""
    chances, came = [], []
    for season in found:
        for said in season.said:
            if (
                said.first
                and said.known >= after
                and said.laps is None
                and VERDICTS[said.verdict] == "better"
            ):
                odds = by(season, said.known).odds(said.driver)
                did = said.likely @ said.effects * [said_if(e, "better", odds) for e in EFFECTS]
                chances.append(did[0] / did.sum())
                came.append(said.did == 0)
    return float(np.mean(chances)), float(np.mean(came))


def report(kind: Kind, many: int, seed: int) -> list[str]:
    """What learning how often drivers err is worth, by month and from the sixteenth word on."""
    found = seasons(kind, many, seed)
    tables = [(scored(s, learnt), scored(s, stranger)) for s in found]
    words = np.mean([len(s.past) for s in found])
    lines = [f"{kind.name}: {many} seasons of {TROUBLES} troubles, {words:.0f} words"]
    for k, name in enumerate(SCORES):
        moved = [(one[:, 2 + k] - other[:, 2 + k], one[:, 0] // 4, _near(one[:, 1])) for one, other in tables]
        alone = float(np.mean([other[:, 2 + k].mean() for _, other in tables]))
        by_month = [
            np.mean([g[m == n].mean() for g, m, _ in moved if (m == n).any()]) for n in range(TROUBLES // 4)
        ]
        late = np.array([g[near].mean() for g, _, near in moved if near.any()])
        low, high = months.interval(late)
        lines.append(
            f"  {name}: stranger {alone:.3f}; gained by month {' '.join(f'{m:+.3f}' for m in by_month)}; "
            f"about the 15th word {late.mean():+.4f} ({low:+.4f} to {high:+.4f})"
        )
    for name, by in (("stranger", stranger), ("learns", learnt)):
        chance, came = stated(found, by, 15)
        lines.append(f'  {name}, after 15 words: told "better", cured stated {chance:.3f}, true {came:.3f}')
    return lines


STRENGTHS = (5.0, 10.0, 20.0, 40.0, 80.0)


def fit(many: int, seed: int) -> None:
    """Print the log chance of what changes did by both strengths, and the best of each half scored on the other."""
    found = seasons(KINDS[1], many, seed)
    grid = [(t, d) for t in STRENGTHS for d in STRENGTHS]
    old = assumed.TEAM_VERDICTS, assumed.DRIVER_VERDICTS
    by_season = np.zeros((len(grid), many))
    try:
        for g, (assumed.TEAM_VERDICTS, assumed.DRIVER_VERDICTS) in enumerate(grid):
            for season in found:
                season.held.clear()
            by_season[g] = [scored(s, learnt)[:, 2].mean() for s in found]
    finally:
        assumed.TEAM_VERDICTS, assumed.DRIVER_VERDICTS = old
    alone = np.array([scored(s, stranger)[:, 2].mean() for s in found])
    print(
        f"words of drivers, {many} seasons of a team {KINDS[1].name}; gained over nothing learnt ({alone.mean():.4f}):"
    )
    print(f"{'team / driver':>14}" + "".join(f"{d:>9g}" for d in STRENGTHS))
    for k, t in enumerate(STRENGTHS):
        row = by_season[k * len(STRENGTHS) : (k + 1) * len(STRENGTHS)].mean(axis=1) - alone.mean()
        print(f"{t:>14g}" + "".join(f"{x:>+9.4f}" for x in row))
    _halves(grid, by_season - alone)


def _halves(grid: Sequence[object], gains: Floats) -> None:
    for here, there in ((slice(0, None, 2), slice(1, None, 2)), (slice(1, None, 2), slice(0, None, 2))):
        best = int(gains[:, here].mean(axis=1).argmax())
        print(f"  best of one half {grid[best]}, on the other {gains[best, there].mean():+.4f}", flush=True)
