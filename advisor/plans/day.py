"""What a team writes down of a test day before it leaves home."""

from __future__ import annotations

from dataclasses import dataclass

BASELINE = "A"  # the letter of a kart as it was; B, C and D are the other values of an aim


@dataclass(frozen=True, slots=True)
class Aim:
    """What the day is to find out: which of several values is quickest, or which change cures a fault.

    `values`: the first is how the kart stands, and the baseline. `minutes`: of the work for each.
    `one_lever`: they are values of one lever, so that changing from one to another is one piece of work; else
    a change is put back before the next one is made. `cures`: they are changes against a fault. `parts`: to
    be in the trailer; `cautions`: of the work. `pairs`: drive randomised pairs. `first`: what to look at or
    ask before any of it.
    """

    name: str
    values: tuple[str, ...]
    minutes: tuple[float, ...]
    one_lever: bool = True
    cures: bool = False
    parts: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    pairs: bool = False
    first: tuple[str, ...] = ()

    def work(self, before: str, after: str) -> float:
        """Minutes from one value to another, each by its letter."""
        one, two = (self.minutes[ord(letter) - ord(BASELINE)] for letter in (before, after))
        if before == after:
            return 0.0
        return max(one, two) if self.one_lever else one + two

    def value(self, letter: str) -> str:
        """The value that a letter stands for."""
        return self.values[ord(letter) - ord(BASELINE)]

    @property
    def last(self) -> float:
        """Minutes that it takes at most to put on whichever value was best."""
        return max(self.minutes) if self.one_lever else sum(sorted(self.minutes)[-2:])


@dataclass(frozen=True, slots=True)
class Session:
    """Minutes on the track, and minutes from its end to the next one's start."""

    minutes: float
    gap: float


@dataclass(frozen=True, slots=True)
class TyreSet:
    """A set of tyres, and the laps that it is still good for, out and in laps too."""

    name: str
    laps: int


@dataclass(frozen=True, slots=True)
class Day:
    """A day: `lap` in seconds; `laps` that are timed in a run, an out and an in lap come to them.

    `open_pit`: one may come in, work and go out again within a session; else a session is one run. `lost`: sessions
    that were lost, counted from 1. Without `tyres` their laps are not counted. `seed`: of randomised pairs.
    """

    aims: tuple[Aim, ...]
    sessions: tuple[Session, ...]
    lap: float
    laps: int
    tyres: tuple[TyreSet, ...] = ()
    open_pit: bool = False
    lost: tuple[int, ...] = ()
    seed: int = 1

    @property
    def run_laps(self) -> int:
        """Laps of a run with the out and the in lap."""
        return self.laps + 2

    @property
    def run_minutes(self) -> float:
        return self.run_laps * self.lap / 60
