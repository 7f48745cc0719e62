"""Seasons of invented teams: `python -m tests.properties.seasons [SEASONS [SEED]]`.

A team's base rates are drawn about the trade's (a Dirichlet distribution worth so many cases), or are the trade's
own. Each trouble has a cause drawn from them; changes for other causes are tried before the one that answers it,
and drivers err in what they say of each. Printed: the mean log chance that the base rates give to the true cause,
with the team's cases and without, by how many troubles it has had; then the table of `months`: the next verdict and
the true cause by month, with and without experience, and with either half of it alone.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from functools import cache

import numpy as np

from advisor.inference import cures
from advisor.inference.evidence import gather
from advisor.learning import own_cases
from advisor.learning.own_cases import base_rates
from advisor.model.assumed import VERDICT_IF
from advisor.model.case import VERDICTS, Case, Past
from tests.properties import months
from tests.reasoning.minds import shipped

TROUBLES, IN_VAIN, CHANCE = (
    24,
    1.0,
    0.25,
)  # a season; changes tried in vain a trouble; what was expected of a change
KART = {"kart": "Red", "class": "junior two-stroke"}
TEAMS = {"like the trade": None, "as teams differ": 80.0, "unlike it": 15.0}


@dataclass(frozen=True, slots=True)
class Scored:
    """Mean log chance of the true cause by number of troubles before: with the trade alone, and with the team's."""

    trade: np.ndarray
    own: np.ndarray


@cache
def _table() -> cures.Links:
    mind = shipped()
    return cures.links(mind.book, gather(Case(observed={}), mind.book, mind.lexicon).evidence)


@cache
def _answers() -> dict[int, list[tuple[str, str, float]]]:
    """By cause, what answers it: lever, way, how often."""
    found: dict[int, list[tuple[str, str, float]]] = {}
    for lever, row in _table().items():
        for i, link in row.items():
            found.setdefault(i, []).append((lever, link.way, link.stated * link.cures))
    return found


def season(rng: np.random.Generator, differs: float | None) -> list[tuple[float, float]]:
    """Log chance of each trouble's cause: by the trade, and with the team's cases before it."""
    tables, answers = shipped().tables, _answers()
    able = [i for i in answers if tables.prior[i] > 0]
    trade = np.array([tables.prior[i] for i in able])
    trade /= trade.sum()
    rates = trade if differs is None else rng.dirichlet(differs * trade)
    past: list[Past] = []
    scored = []
    for trouble in range(TROUBLES):
        days = 200.0 * (1 - trouble / TROUBLES)
        counts = own_cases.count(tables, _table(), past, KART)
        cause = able[rng.choice(len(able), p=rates)]
        before, after = base_rates(counts, cause, tables)
        scored.append((float(np.log(before)), float(np.log(after))))
        for _ in range(rng.poisson(IN_VAIN)):
            past.append(_trial(rng, able[rng.choice(len(able), p=trade)], "nothing", days + 1))
        past.append(_trial(rng, cause, "cured", days))
    return scored


def _trial(rng: np.random.Generator, cause: int, effect: str, days: float) -> Past:
    ways = _answers()[cause]
    weights = np.array([w for _, _, w in ways])
    lever, way, _ = ways[rng.choice(len(ways), p=weights / weights.sum())]
    verdict = VERDICTS[rng.choice(3, p=[VERDICT_IF[effect][v] for v in VERDICTS])]
    return Past(lever, way, verdict, CHANCE, 0.8, facts=KART, days=days)


def seasons(many: int, seed: int, differs: float | None) -> Scored:
    """The mean over so many seasons."""
    rng = np.random.default_rng(seed)
    logs = np.array([season(rng, differs) for _ in range(many)])
    return Scored(logs[:, :, 0].mean(axis=0), logs[:, :, 1].mean(axis=0))


def main() -> None:
    many, seed = (int(a) for a in (*sys.argv[1:], "300", "1")[:2])
    for name, differs in TEAMS.items():
        found = seasons(many, seed, differs)
        print(f"{name}: mean log chance of the true cause, trade alone -> with the team's own")
        for k in range(0, TROUBLES, 4):
            span = slice(k, k + 4)
            trade, own = found.trade[span].mean(), found.own[span].mean()
            print(f"  after {k:2d} to {k + 3:2d} troubles: {trade:.3f} -> {own:.3f} ({own - trade:+.3f})")
    months.report(many, seed)


if __name__ == "__main__":
    main()
