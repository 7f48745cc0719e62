"""Simulated days at a track, with an effect that is known: does the judge say what is true as often as it claims?

Run as `python -m tests.judge.days [DAYS [SEED]]`. It prints, for every kind of day and every design, how often the
95 % interval covers the effect, how often a change that does nothing is accepted, and how often a real gain is.

A day is not drawn from the judge's own model: laps are skewed and correlated, some are lost in traffic, tyres
wear within a run, runs have different numbers of laps, and a drift is steady, a single step, or both.
"""

from __future__ import annotations

import math
import random
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from advisor.judge.assumed import told
from advisor.judge.verdict import Judged, Laps, judge

EFFECTS = (0.0, 0.0, 0.0, 0.0, 0.0, -0.1, -0.2, -0.3, -0.5, 0.2)  # half of the days the change does nothing
DESIGNS = ("AB", "ABA", "ABBA", "ABABA")
BURN = 20  # laps before the first, so that correlated laps have no beginning


@dataclass(frozen=True, slots=True)
class World:
    """A kind of day, in seconds. `scatter`: run to run, None for the one assumed, drawn anew every day.

    `steady`: s.d. of a steady drift a run; `rise`: a drift over the whole session that is always there;
    `step`: size of one step, up or down, between two runs; `echo`: correlation of neighbouring laps;
    `traffic`: share of laps that lose half a second to three. `told`: the scatter that the judge is told;
    `baselines`: days of three runs without a change that the judge is given.
    """

    name: str
    scatter: float | None = None
    steady: float = 0.05
    rise: float = 0.0
    step: float = 0.10
    echo: float = 0.3
    traffic: float = 0.05
    told: float | None = None
    baselines: int = 0


WORLDS = (
    World("as assumed"),
    World("calm", scatter=0.05),
    World("typical, no drift", scatter=0.10, steady=0.0, step=0.0),
    World("drift of 0.3 s", scatter=0.10, steady=0.0, rise=0.3, step=0.0),
    World("step of 0.2 s", steady=0.0, step=0.2),
    World("much traffic", traffic=0.15),
    World("laps echo", echo=0.6),
    World("restless", scatter=0.20),
)
TOLD = (
    World("restless, told so", scatter=0.20, told=0.20),
    World("restless, 3 days kept", scatter=0.20, baselines=3),
)


def day(world: World, arms: Sequence[str], effect: float, chance: random.Random) -> list[Laps]:
    """One day's runs: `effect` is added to every lap of a run with the change."""
    scatter = world.scatter if world.scatter is not None else 0.10 * math.exp(0.5 * chance.gauss(0, 1))
    lap_sd = chance.uniform(0.10, 0.30)
    a_run = chance.gauss(0, world.steady) + world.rise / (len(arms) - 1)
    after, jump = chance.randrange(1, len(arms)), chance.choice((-1, 1)) * world.step
    wear = chance.uniform(-0.01, 0.03)
    runs = []
    for i, arm in enumerate(arms):
        pace = 45 + effect * (arm == "B") + a_run * i + jump * (i >= after) + chance.gauss(0, scatter)
        noise = _errors(chance.randint(6, 10), world, chance)
        laps = [(n, pace + wear * n + lap_sd * e) for n, e in enumerate(noise, start=1)]
        lost = [chance.uniform(0.5, 3.0) * (chance.random() < world.traffic) for _ in laps]
        runs.append(Laps(arm, tuple((n, s + more) for (n, s), more in zip(laps, lost, strict=True))))
    return runs


def _errors(count: int, world: World, chance: random.Random) -> list[float]:
    """Correlated errors of mean 0 and s.d. 1, skewed towards slow laps: drivers lose time, they do not find it."""
    found, last = [], 0.0
    for _ in range(BURN + count):
        fresh = 0.8 * chance.gauss(0, 1) + 0.6 * (chance.expovariate(1) - 1)
        last = world.echo * last + math.sqrt(1 - world.echo**2) * fresh
        found.append(last)
    return found[BURN:]


@dataclass(slots=True)
class Tally:
    """How often the judge was right, over days of one kind."""

    days: int = 0
    covered: int = 0
    null: int = 0
    false_help: int = 0
    seen: dict[float, list[bool]] = field(default_factory=dict)

    def add(self, effect: float, found: Judged) -> None:
        """Count one day."""
        self.days += 1
        self.covered += found.low <= effect <= found.high
        helped = found.decision == "accept"
        if effect == 0:
            self.null += 1
            self.false_help += helped
        self.seen.setdefault(effect, []).append(helped)

    def take(self, other: Tally) -> None:
        """Add the days of another tally."""
        self.days += other.days
        self.covered += other.covered
        self.null += other.null
        self.false_help += other.false_help
        for effect, rows in other.seen.items():
            self.seen.setdefault(effect, []).extend(rows)

    @property
    def coverage(self) -> float:
        return self.covered / self.days

    @property
    def false_rate(self) -> float:
        return self.false_help / self.null

    def power(self, effect: float) -> float:
        """Share of the days with that effect on which the change was accepted."""
        rows = self.seen.get(effect, [])
        return sum(rows) / len(rows) if rows else math.nan


def tally(world: World, arms: str, days: int, seed: int) -> Tally:
    """Judge that many days; the same seed meets every design with the same kind of luck."""
    chance = random.Random(f"{seed} {world.name} {arms}")
    found = Tally()
    for number in range(days):
        effect = EFFECTS[number % len(EFFECTS)]
        runs = day(world, arms, effect, chance)
        kept = [day(world, "AAA", 0.0, chance) for _ in range(world.baselines)]
        found.add(effect, judge(runs, told(world.told, None), baselines=kept))
    return found


def main(days: int = 2000, seed: int = 1) -> None:
    """Print the table: `days` of each kind for every design."""
    gains = [e for e in sorted(set(EFFECTS), reverse=True) if e < 0]
    head = "  ".join(f"{-gain:.1f} s" for gain in gains)
    print(
        f"{days} days of each kind; coverage of the 95 % interval, false help at no effect, power at a gain of"
    )
    print(f"{'kind of day':22} {'design':6} {'cover':>6} {'false':>6}   {head}")
    every = {arms: Tally() for arms in DESIGNS}
    for world in WORLDS:
        for arms in DESIGNS:
            found = tally(world, arms, days, seed)
            _print(world.name, arms, found, gains)
            every[arms].take(found)
    for arms in DESIGNS:
        _print("all of these", arms, every[arms], gains)
    for world in TOLD:
        for arms in DESIGNS:
            _print(world.name, arms, tally(world, arms, days, seed), gains)


def _print(name: str, arms: str, found: Tally, gains: Iterable[float]) -> None:
    powers = "  ".join(f"{found.power(gain):5.0%}" for gain in gains)
    print(f"{name:22} {arms:6} {found.coverage:6.1%} {found.false_rate:6.1%}   {powers}", flush=True)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))
