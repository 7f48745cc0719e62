"""What a team has found on its own karts: how often each cause was behind its troubles, beside what the trade has.

A cure names its cause, an inspection sharply, a change of the setup by what it answers. So each trial that helped is
shared out over the causes that it may have cured, and they are counted beside the trade's base rates, which are worth
so many cases (the mean of a Dirichlet distribution; Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, 3.4).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from advisor.inference.cures import Link, Links
from advisor.inference.tables import Tables
from advisor.inference.trials import Erring, as_the_trade, verdict_if
from advisor.learning.experience import likeness
from advisor.model import assumed
from advisor.model.case import Past
from advisor.model.feel import CELLS, FEEL

LINE = "own cases"  # its name in the ledger

Counts = dict[int, float]  # cases by hypothesis


def terms(counts: Mapping[int, float], tables: Tables) -> dict[str, list[float]]:
    """The ledger line: log of the base rate with the team's cases over that without, against `unknown`."""
    if not counts:
        return {}
    line = [0.0] * len(tables.hypotheses)
    for i, cases in counts.items():
        line[i] = math.log(1 + cases / (assumed.TRADE_WORTH * tables.prior[i]))
    return {LINE: line}


def count(
    tables: Tables,
    table: Links,
    past: Iterable[Past],
    now: Mapping[str, str],
    erring: Erring = as_the_trade,
) -> Counts:
    """How often each cause was behind the team's own troubles, in cases' worth on a day like this."""
    found: Counts = {}
    for search in _searches(past):
        cured = [(p, _cured(tables, p, erring(p.driver))) for p in search]
        most = max(1.0, sum(chance for _, chance in cured))
        for trial, chance in cured:
            worth = (
                chance
                / most
                * likeness(trial, now, assumed.CASE_ALIKE)
                * math.exp2(-max(0.0, trial.days) / assumed.HALF_LIFE)
            )
            for i, share in _causes(tables, table.get(trial.lever, {}), trial).items():
                found[i] = found.get(i, 0.0) + worth * share
    return found


def _searches(past: Iterable[Past]) -> list[list[Past]]:
    """The trials that helped, those of one search together."""
    groups: dict[tuple[object, ...], list[Past]] = {}
    for trial in sorted((p for p in past if p.verdict == "better"), key=lambda p: (p.days, str(p))):
        told = tuple(trial.facts.get(k, "") for k in ("kart", "balance", "phase"))
        last = next((g for k, g in groups.items() if k[1:] == told and _near(g[-1], trial)), None)
        if last is None:
            groups[trial.days, *told] = [trial]
        else:
            last.append(trial)
    return list(groups.values())


def _near(one: Past, other: Past) -> bool:
    return abs(one.days - other.days) < assumed.ONE_SEARCH


def _cured(tables: Tables, trial: Past, odds: float) -> float:
    """The chance that a trial that was told to have helped has mended the cause."""
    if tables.book.is_look(trial.lever, trial.direction):
        return assumed.FOUND * trial.share
    cured = trial.chance * verdict_if("cured", trial.verdict, trial.laps, odds)
    other = (1 - trial.chance) * verdict_if("nothing", trial.verdict, trial.laps, odds)
    return trial.share * cured / (cured + other) if cured else 0.0


def _causes(tables: Tables, row: Mapping[int, Link], trial: Past) -> Counts:
    """The share of each cause in a cure: how common it is, how often it is felt so, how often this mends it."""
    cells = _cells(trial)
    weights = {
        i: tables.prior[i] * _felt(tables, i, cells) * _rate(link, trial.direction) for i, link in row.items()
    }
    total = sum(weights.values())
    return {i: w / total for i, w in weights.items() if w} if total else {}


def _rate(link: Link, way: str) -> float:
    if link.acts(way):
        return link.stated * link.cures
    return (1 - link.stated) * link.cures if way == link.opposite else 0.0


def _cells(trial: Past) -> tuple[str, ...]:
    """Where it may have been felt, by what the trial tells."""
    told = [trial.facts.get("phase"), trial.facts.get("balance")]
    return tuple(c for c, at in CELLS.items() if all(t in (None, a) for t, a in zip(told, at, strict=True)))


def _felt(tables: Tables, i: int, cells: tuple[str, ...]) -> float:
    """P(felt so | cause), up to a factor; 1 where the feel says nothing of it."""
    row = tables.rows.get(FEEL, {}).get(i, tables.usual.get(FEEL, {}))
    return sum(row.get(c, 0.0) for c in cells) if cells and row else 1.0


def base_rates(counts: Mapping[int, float], i: int, tables: Tables) -> tuple[float, float]:
    """The base rate of a cause as the trade has it, and with the team's own cases."""
    trade, every = tables.prior[i], sum(counts.values())
    return trade, (assumed.TRADE_WORTH * trade + counts.get(i, 0.0)) / (assumed.TRADE_WORTH + every)
