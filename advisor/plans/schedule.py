"""Runs put into the sessions of a day: the work fits before each run, and no tyre set is driven beyond its laps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from advisor.plans.day import Aim, Day


@dataclass(frozen=True, slots=True)
class Run:
    """A run of an aim, both counted from 0: session, value by its letter, the work before it and the minutes for it.

    `tyres`: the set, counted from 0; `from_lap`: of that set, counted from 1.
    """

    session: int
    aim: int
    letter: str
    work: float
    room: float
    tyres: int | None = None
    from_lap: int = 1


@dataclass(slots=True)
class _Clock:
    """Where the day stands: the session, and the minutes that are left of it."""

    day: Day
    session: int = -1
    left: float = 0.0

    def run(self, work: float) -> tuple[int, float] | None:
        """Drive the next run with so much work before it: its session, and the minutes there were for the work."""
        need = self.day.run_minutes
        if self.day.open_pit and self.session >= 0 and self.left >= work + need:
            room = self.left - need
            self.left -= work + need
            return self.session, room
        room, place = (0.0 if self.session < 0 else self.left), self.session
        while place + 1 < len(self.day.sessions):
            room += self.day.sessions[place].gap if place >= 0 else 0.0
            place += 1
            session = self.day.sessions[place]
            enough = work <= 0 or room >= work
            if enough and place + 1 not in self.day.lost and session.minutes >= need:
                self.session, self.left = place, (session.minutes - need if self.day.open_pit else 0.0)
                return place, room
            room += session.minutes
        return None


def schedule(day: Day, orders: Sequence[str], sets: Sequence[int | None] = ()) -> tuple[Run, ...] | None:
    """The runs of each aim's order, one aim after the other; None when the day has no room or tyres for them.

    `sets`: the tyre set of aims that have begun. An aim is driven on one set, for a change of tyres would hide it.
    """
    clock, laps, runs = _Clock(day), [tyre.laps for tyre in day.tyres], list[Run]()
    put_on = 0.0  # work that leaves the best of the aim before on the kart
    for number, (aim, order) in enumerate(zip(day.aims, orders, strict=True)):
        chosen = sets[number] if number < len(sets) else None
        tyre = _set(laps, len(order) * day.run_laps, chosen) if day.tyres and order else None
        if day.tyres and order and tyre is None:
            return None
        for place, letter in enumerate(order):
            work = _work(aim, order, place, put_on)
            found = clock.run(work)
            if found is None:
                return None
            used = 1 if tyre is None else day.tyres[tyre].laps - laps[tyre] + 1
            runs.append(Run(found[0], number, letter, work, found[1], tyre, used))
            if tyre is not None:
                laps[tyre] -= day.run_laps
        put_on = aim.last if order else put_on
    return tuple(runs)


def _work(aim: Aim, order: str, place: int, put_on: float) -> float:
    return aim.work(order[place - 1], order[place]) if place else put_on


def _set(laps: Sequence[int], need: int, chosen: int | None) -> int | None:
    """The set that has so many laps left: the one that was begun, else the one that they leave least of."""
    if chosen is not None:
        return chosen if laps[chosen] >= need else None
    fitting = [place for place, left in enumerate(laps) if left >= need]
    return min(fitting, key=lambda place: laps[place], default=None)
