"""How well the questions of the book tell its causes apart, if every answer is true of the cause.

`python -m tests.properties.apart` prints the belief that the true cause has once everything that may be asked
is answered, with the complaint and the answers drawn from its own rows (the share of mistaken answers included),
and then the pairs of causes that are most alike. `--pairs N` and `--draws N` say how many.
"""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from random import Random
from statistics import fmean
from typing import TypeVar

from advisor.book.likeness import distance, same_fix
from advisor.inference.belief import believe
from advisor.inference.evidence import Evidence
from advisor.inference.tables import Tables
from advisor.model import conditions
from advisor.model.feel import CELLS, FEEL
from advisor.model.scale import BASE_RATE
from tests.properties.random_cases import shipped

K = TypeVar("K")
FELT = ("phase", "balance")
DRAWS = 30
SHOWN = 25


@dataclass(frozen=True, slots=True)
class Told:
    """What came of one cause: the mean belief in it, and how often it is the most probable one."""

    cause: str
    belief: float
    first: float


def told(tables: Tables, cause: str, draws: int) -> Told:
    """Answer everything `draws` times as a kart with this cause would, and look at the belief."""
    place = tables.index(cause)
    found: list[tuple[float, bool]] = []
    for n in range(draws):
        belief = believe(tables, answered(tables, place, Random(f"{cause}/{n}"))).probabilities
        found.append((belief[place], belief[place] == max(belief)))
    return Told(cause, fmean(b for b, _ in found), fmean(f for _, f in found))


def answered(tables: Tables, place: int, source: Random) -> Evidence:
    """The complaint, then an answer to every question that may be asked because of those before it."""
    phase, balance = CELLS[_drawn(tables.rows[FEEL].get(place, tables.usual[FEEL]), source)]
    evidence = Evidence({}, {}).answering("phase", phase).answering("balance", balance)
    waiting = [o for o in tables.book.observations.values() if o.id not in FELT and (o.asked or o.context)]
    while ready := [o for o in waiting if conditions.holds(o.asked_if, evidence.facts)]:
        waiting = [o for o in waiting if o not in ready]
        for observation in ready:
            row = tables.rows.get(observation.id, {}).get(place, tables.usual[observation.id])
            evidence = evidence.answering(observation.id, _drawn(row, source))
    return evidence


def _drawn(row: Mapping[K, float], source: Random) -> K:
    return source.choices(list(row), list(row.values()))[0]


# --- pairs that are alike ------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Alike:
    """Two causes, how far apart their answers are in all, and whether the same change answers both."""

    one: str
    other: str
    distance: float
    same_fix: bool


def alike(tables: Tables) -> list[Alike]:
    """All pairs, the most alike first: total variation summed over the complaint and the observations."""
    causes = list(tables.book.causes)
    pairs = [Alike(a, b, distance(tables, a, b), same_fix(tables, a, b)) for a, b in combinations(causes, 2)]
    return sorted(pairs, key=lambda p: p.distance)


# --- what is printed -----------------------------------------------------------------------------------


def main(arguments: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.properties.apart")
    parser.add_argument("--draws", type=int, default=DRAWS)
    parser.add_argument("--pairs", type=int, default=SHOWN)
    options = parser.parse_args(arguments)
    tables = shipped().tables
    causes = {c.id: c for c in tables.book.causes.values() if not c.undoes_change}
    found = sorted((told(tables, c, options.draws) for c in causes), key=lambda t: t.belief)
    for row in found:
        print(f"{row.belief:4.0%} {row.first:5.0%}  {row.cause}")
    weights = [BASE_RATE[causes[t.cause].base] for t in found]
    weighed = sum(w * t.belief for w, t in zip(weights, found, strict=True)) / sum(weights)
    print(
        f"{len(found)} causes, {options.draws} draws each: belief of the true cause with everything answered "
        f"{fmean(t.belief for t in found):.0%}, by base rate {weighed:.0%}; it is first in "
        f"{fmean(t.first for t in found):.0%}"
    )
    print("most alike:")
    for pair in alike(tables)[: options.pairs]:
        print(f"{pair.distance:5.2f}  {pair.one} / {pair.other}{'' if pair.same_fix else '  (other fixes)'}")


if __name__ == "__main__":
    main()
