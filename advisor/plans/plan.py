"""The plan of a day: of the orders that fit its sessions and tyres, those that see the smallest differences."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import isfinite

from advisor.plans.day import Day
from advisor.plans.orders import See, orders, sees
from advisor.plans.schedule import Run, schedule

BLIND = 3.0  # seconds a lap: what an order counts for that sees nothing
BETTER = 0.97  # an order with more runs must see so much smaller differences


@dataclass(frozen=True, slots=True)
class Plan:
    """An order for each aim ("" where the day has no room for it), and its runs."""

    day: Day
    orders: tuple[str, ...]
    runs: tuple[Run, ...]

    def of(self, aim: int) -> tuple[Run, ...]:
        """The runs of an aim."""
        return tuple(run for run in self.runs if run.aim == aim)

    @property
    def spare(self) -> tuple[int, ...]:
        """Sessions without a run that were not lost, counted from 0."""
        used = {run.session for run in self.runs}
        return tuple(i for i in range(len(self.day.sessions)) if i not in used and i + 1 not in self.day.lost)


def plan(day: Day, see: See) -> Plan:
    """The best plan. Each lost session plans the rest of the day anew: what was driven before it stays as it was."""
    lost = sorted(set(day.lost))
    found = _best(replace(day, lost=()), see)
    for place, session in enumerate(lost):
        driven = tuple(run for run in found.runs if run.session + 1 < session)
        found = _best(replace(day, lost=tuple(lost[: place + 1])), see, driven)
    return found


def _best(day: Day, see: See, driven: Sequence[Run] = ()) -> Plan:
    """The plan with the most aims, then the smallest differences seen, then the fewest runs."""
    begun = ["".join(run.letter for run in driven if run.aim == i) for i in range(len(day.aims))]
    sets = [next((run.tyres for run in driven if run.aim == i), None) for i in range(len(day.aims))]
    best: tuple[tuple[int, float], Plan] | None = None
    offered = [_offered(day, i, start) for i, start in enumerate(begun)]
    for chosen in sorted(product(*offered), key=lambda each: sum(map(len, each))):
        value = _value(day, chosen, see)
        if best and not _beats(value, best[0]):
            continue
        runs = schedule(day, chosen, sets)
        if runs is not None and runs[: len(driven)] == tuple(driven):
            best = value, Plan(day, chosen, runs)
    assert best is not None  # what was driven fits, and so does a day without a run
    return best[1]


def _offered(day: Day, aim: int, begun: str) -> list[str]:
    """The orders that go on from what was driven; that itself, if nothing more fits."""
    going_on = [order for order in orders(day.aims[aim], day.seed) if order.startswith(begun)]
    return [begun, *(order for order in going_on if order != begun)]


def _value(day: Day, chosen: Sequence[str], see: See) -> tuple[int, float]:
    """How many values are compared at all, and the differences seen, added up; an aim of few values counts as much."""
    compared, total = 0, 0.0
    for aim, order in zip(day.aims, chosen, strict=True):
        seen = sees(order, len(aim.values), see)
        compared += sum(map(isfinite, seen))
        total += sum(min(s, BLIND) for s in seen) / len(seen)
    return compared, total


def _beats(one: tuple[int, float], other: tuple[int, float]) -> bool:
    return one[0] > other[0] or (one[0] == other[0] and one[1] < BETTER * other[1])
