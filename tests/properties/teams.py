"""Invented teams: what is true of each, beside what the trade has.

A team like the trade: each trial acts as the book has it, drawn anew, so there is nothing to learn. As teams differ:
which way a lever acts is drawn once for a team, by the sources' split, how often it acts varies by a third either way
(log-normal .3), base rates by a Dirichlet distribution worth 80 cases. Unlike the trade: contested levers act the other
way as often as the sources have them right, how often varies by .8, base rates by a distribution worth 15 cases.
Whose trouble returns: as teams differ, and every other trouble has the cause of the one before it, so that what was
tried speaks of it twice: by the lever, and by how common the cause is.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache

import numpy as np
from numpy.typing import NDArray

from advisor.inference import cures
from advisor.inference.cures import Link, Links
from advisor.inference.evidence import gather
from advisor.model.case import Case
from tests.reasoning.minds import shipped

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class World:
    """A kind of team. `cases`: what its base rates are worth beside the trade's; `varies`: log s.d. of how often a
    lever acts; `drawn`: levers have a way of their own; `reversed`: the contested ones mostly the other way; `returns`:
    how often a trouble has the cause of the one before it."""

    name: str
    cases: float | None = None
    varies: float = 0.0
    drawn: bool = False
    reversed: bool = False
    returns: float = 0.0


WORLDS = (
    World("like the trade"),
    World("as teams differ", 80.0, 0.3, True),
    World("unlike it", 15.0, 0.8, True, True),
    World("whose trouble returns", 80.0, 0.3, True, returns=0.5),
)


@dataclass
class Team:
    """What is true of one team: base rates of the causes, and of its levers which way and how often they act."""

    world: World
    rng: np.random.Generator
    rates: Floats = field(init=False)
    signs: dict[tuple[str, str], bool] = field(default_factory=dict)
    factors: dict[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        usual = trade()
        cases = self.world.cases
        self.rates = usual if cases is None else self.rng.dirichlet(cases * usual)

    def effect(self, link: Link, way: str) -> str:
        """What turning a lever does about the cause that a link is of."""
        rate = min(0.98, link.cures * self._factor(link.lever))
        if self.rng.random() >= rate:
            return "nothing"
        if link.acts(way) == self._as_stated(link):
            return "cured" if link.acts(way) or way == link.opposite else "nothing"
        return "hurt" if link.opposite else "nothing"

    def _factor(self, lever: str) -> float:
        return self.factors.setdefault(lever, float(np.exp(self.world.varies * self.rng.standard_normal())))

    def _as_stated(self, link: Link) -> bool:
        firm = link.opposite is None or bool(link.gives and link.gives.geometry)
        stated = 1 - link.stated if self.world.reversed and not firm else link.stated
        if not self.world.drawn:
            return bool(self.rng.random() < stated)
        effect = link.gives.effect if link.gives else ""
        return self.signs.setdefault((link.lever, effect), bool(self.rng.random() < stated))


@cache
def table() -> Links:
    """The links of the book where nothing is told of the kart."""
    mind = shipped()
    return cures.links(mind.book, gather(Case(observed={}), mind.book, mind.lexicon).evidence)


@cache
def able() -> tuple[int, ...]:
    """The causes that a lever answers."""
    tables = shipped().tables
    found = {i for row in table().values() for i in row}
    return tuple(i for i in sorted(found) if tables.prior[i] > 0)


@cache
def trade() -> Floats:
    prior = np.array([shipped().tables.prior[i] for i in able()])
    return np.asarray(prior / prior.sum(), dtype=np.float64)
