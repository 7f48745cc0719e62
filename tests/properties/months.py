"""Six months of invented teams: what experience is worth by month; see `python -m tests.properties.seasons`.

A team meets 24 troubles. Each has a cause and is felt in one part of the corner one way, as the book has it; what was
asked leaves the true cause and 40 others, drawn evenly, so that the true one has about what the interview comes to
(log chance -2.8 in the mean; after five answers -3.1, see `calibration`). Up to four changes are tried, better ones
more often, until one is told to have helped, and drivers err as the book has it.

Scored are the verdict on the first change of each trouble, before it is driven, and the true cause, before any change
and after that verdict: mean logarithm of the chance that was given to what came. Four that know the same and the same
past: none (the trade alone), links (`learning/experience`: what levers do), cases (`learning/own_cases`: how common
causes are), and both, as the program has it. All see the same troubles, changes and verdicts, so differences are
paired; what each expected of a change is kept with its own past, as the journal would.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache

import numpy as np

from advisor.inference.cures import Link
from advisor.learning import experience, own_cases
from advisor.model.assumed import VERDICT_IF
from advisor.model.case import VERDICTS, Past
from advisor.model.feel import CELLS, FEEL
from tests.properties.teams import WORLDS, Floats, Team, World, able, table, trade
from tests.reasoning.minds import shipped

TROUBLES, A_MONTH, TRIALS, DAYS = 24, 4, 4, 180.0
OTHERS = 40  # causes that the answers leave beside the true one
KEEN = 3.0  # a change is tried by its chance to the power of this
KART = {"kart": "Red", "class": "junior two-stroke"}
ARMS = ("none", "links", "cases", "both")
SCORES = ("next verdict", "cause before", "cause after")


@cache
def _felt() -> Floats:
    """Row: cause; column: P(felt in this cell | cause)."""
    tables = shipped().tables
    usual = tables.usual.get(FEEL, {})
    rows = [[tables.rows.get(FEEL, {}).get(i, usual).get(c, 0.0) for c in CELLS] for i in able()]
    found = np.array(rows) + 1e-9
    return np.asarray(found / found.sum(axis=1, keepdims=True), dtype=np.float64)


def verdict_chances(row: Mapping[int, Link], way: str, likely: Floats) -> Floats:
    """P(verdict and cause): row by cause as in `able`, column by verdict."""
    each = {effect: np.array([said[v] for v in VERDICTS]) for effect, said in VERDICT_IF.items()}
    found = np.tile(each["nothing"], (len(likely), 1))
    for k, i in enumerate(able()):
        link = row.get(i)
        if link is None or not (link.acts(way) or way == link.opposite):
            continue
        right = link.stated if link.acts(way) else 1 - link.stated
        wrong = each["hurt"] if link.opposite else each["nothing"]
        acts = right * each["cured"] + (1 - right) * wrong
        found[k] = link.cures * acts + (1 - link.cures) * each["nothing"]
    return np.asarray(found * likely[:, None], dtype=np.float64)


def _expected(row: Mapping[int, Link], way: str, likely: Floats) -> tuple[float, float]:
    """The chance that a way cures, and that it acts so and not the other way, as the advice would give them."""
    right = wrong = 0.0
    for k, i in enumerate(able()):
        link = row.get(i)
        if link is not None and (link.acts(way) or way == link.opposite):
            stated = link.stated if link.acts(way) else 1 - link.stated
            right += likely[k] * link.cures * stated
            wrong += likely[k] * link.cures * (1 - stated)
    return right, right / (right + wrong) if right else 0.5


@cache
def _turns() -> tuple[tuple[str, str], ...]:
    """Every way of every lever."""
    rows = [(lever, li) for lever, row in table().items() for li in row.values()]
    return tuple(sorted({(lever, way) for lever, li in rows for way in (li.way, li.opposite) if way}))


@cache
def _cures() -> Floats:
    """Row: cause; column: way; the chance that it cures, by the trade."""
    found = np.zeros((len(able()), len(_turns())))
    for column, (lever, way) in enumerate(_turns()):
        for k, i in enumerate(able()):
            link = table()[lever].get(i)
            if link is not None and (link.acts(way) or way == link.opposite):
                found[k, column] = link.cures * (link.stated if link.acts(way) else 1 - link.stated)
    return found


def _rates(arm: str, past: list[Past], facts: Mapping[str, str]) -> Floats:
    """Base rates of the causes, up to a factor, as one of the four has them."""
    if arm not in ("cases", "both"):
        return trade()
    tables = shipped().tables
    terms = own_cases.terms(own_cases.count(tables, table(), past, facts), tables).get(own_cases.LINE)
    return np.asarray(trade() * np.exp([terms[i] for i in able()]) if terms else trade())


class Season:
    """One team's season, and what each of the four would have said."""

    def __init__(self, team: Team) -> None:
        self.team = team
        self.past: dict[str, list[Past]] = {arm: [] for arm in ARMS}
        self.cause = -1
        self.rates: dict[str, Floats] = {}
        self.scores = np.zeros((TROUBLES, len(ARMS), len(SCORES)))

    def play(self) -> Floats:
        """The scores: trouble, arm, score."""
        for trouble in range(TROUBLES):
            self._trouble(trouble)
        return self.scores

    def _trouble(self, trouble: int) -> None:
        rng = self.team.rng
        again = self.cause >= 0 and bool(rng.random() < self.team.world.returns)
        cause = self.cause if again else int(rng.choice(len(able()), p=self.team.rates))
        self.cause = cause
        cell = int(rng.choice(len(CELLS), p=_felt()[cause]))
        phase, balance = list(CELLS.values())[cell]
        facts = {**KART, "phase": phase, "balance": balance}
        left = DAYS * (1 - trouble / TROUBLES)
        open_ = self._left(cause) * _felt()[:, cell]
        weights = (trade() * open_ @ _cures()) ** KEEN
        order = rng.choice(len(weights), size=TRIALS, replace=False, p=weights / weights.sum())
        seen = {arm: self._aged(arm, left) for arm in ARMS}
        self.rates = {arm: _rates(arm, seen[arm], facts) for arm in ARMS}
        for number, place in enumerate(order):
            lever, way = _turns()[place]
            link = table()[lever].get(able()[cause])
            effect = self.team.effect(link, way) if link else "nothing"
            verdict = int(rng.choice(3, p=[VERDICT_IF[effect][v] for v in VERDICTS]))
            for a, arm in enumerate(ARMS):
                row, likely = self._known(arm, lever, open_, seen[arm], facts)
                if not number:
                    self._score(trouble, a, verdict_chances(row, way, likely), likely, cause, verdict)
                self._remember(arm, lever, way, verdict, _expected(row, way, likely), facts, left)
            if VERDICTS[verdict] == "better":
                return

    def _left(self, cause: int) -> Floats:
        """1 for each cause that the answers leave; P(these are left) is the same for all of them."""
        others = np.delete(np.arange(len(able())), cause)
        left = np.zeros(len(able()))
        left[self.team.rng.choice(others, OTHERS, replace=False)] = left[cause] = 1.0
        return left

    def _aged(self, arm: str, left: float) -> list[Past]:
        return [replace(p, days=p.days - left) for p in self.past[arm]]

    def _known(
        self, arm: str, lever: str, open_: Floats, past: list[Past], facts: Mapping[str, str]
    ) -> tuple[Mapping[int, Link], Floats]:
        """The links of a lever, and the chance of each cause, as one of the four has them."""
        row = table()[lever]
        if arm in ("links", "both"):
            row = experience.weigh({lever: row}, [p for p in past if p.lever == lever], facts)[0][lever]
        likely = self.rates[arm] * open_
        return row, likely / likely.sum()

    def _score(self, trouble: int, arm: int, both: Floats, likely: Floats, cause: int, verdict: int) -> None:
        said = float(both[:, verdict].sum())
        self.scores[trouble, arm] = np.log((said, likely[cause], both[cause, verdict] / said))

    def _remember(
        self,
        arm: str,
        lever: str,
        way: str,
        verdict: int,
        expected: tuple[float, float],
        facts: Mapping[str, str],
        left: float,
    ) -> None:
        chance, sure = expected
        best = max(table()[lever].items(), key=lambda item: trade()[able().index(item[0])] * item[1].cures)[1]
        self.past[arm].append(
            Past(
                lever, way, VERDICTS[verdict], chance, max(sure, 0.05), best.gives.effect if best.gives else None,
                best.acts(way), facts, left, trial=f"{len(self.past[arm])}",
            )
        )  # fmt: skip


def play(world: World, many: int, seed: int) -> Floats:
    """The scores of so many seasons: season, trouble, arm, score."""
    teams = (Team(world, np.random.default_rng([seed, n])) for n in range(many))
    return np.array([Season(team).play() for team in teams])


def gains(scores: Floats, arm: str, score: str) -> Floats:
    """By season and month, what an arm gains over the trade alone."""
    moved = scores[:, :, ARMS.index(arm), SCORES.index(score)] - scores[:, :, 0, SCORES.index(score)]
    return np.asarray(moved.reshape(len(scores), -1, A_MONTH).mean(axis=2), dtype=np.float64)


def interval(by_season: Floats, draws: int = 2000, seed: int = 1) -> tuple[float, float]:
    """95 % of the mean over seasons, by bootstrap (Efron, Bootstrap methods, Annals of Statistics 7(1), 1979)."""
    rng = np.random.default_rng(seed)
    means = [by_season[rng.integers(0, len(by_season), len(by_season))].mean() for _ in range(draws)]
    return float(np.quantile(means, 0.025)), float(np.quantile(means, 0.975))


def report(many: int, seed: int) -> None:
    """Print what each of the four is worth, by month and over the season."""
    for world in WORLDS:
        scores = play(world, many, seed)
        print(
            f"\n{world.name}: {many} seasons; gain over the trade alone, by month, then whole with 95 % by bootstrap"
        )
        for score in SCORES:
            alone = scores[:, :, 0, SCORES.index(score)].mean()
            print(f"  {score}: the trade alone {alone:.3f}")
            for arm in ARMS[1:]:
                found = gains(scores, arm, score)
                low, high = interval(found.mean(axis=1))
                months = " ".join(f"{m:+.3f}" for m in found.mean(axis=0))
                print(f"    {arm:6} {months}   {found.mean():+.3f} ({low:+.3f} to {high:+.3f})", flush=True)
