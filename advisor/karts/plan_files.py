"""The plan file of a test day: aims, sessions, tyres and laps as a team writes them, with every problem at once."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

from advisor.book.marked import Marked, read
from advisor.karts.values import ValueReader, told
from advisor.laps.times import seconds
from advisor.model.knowledge import Book
from advisor.plans.day import Session, TyreSet
from advisor.plans.orders import MOST_VALUES
from advisor.problems import Problem, printable, shown
from advisor.units import Quantity

KEYS = ("aims", "sessions", "lap", "laps", "tyres", "open_pit", "lost", "scatter", "lap_scatter", "seed")
AIM_KEYS = ("lever", "values", "levers", "cure", "case", "try", "minutes", "pairs")
ELSEWHERE = {  # keys that are looked for in the wrong place
    "pairs": "belongs into an aim: {lever: caster, values: [12 deg, 10 deg], pairs: true}",
    "seed": "is of the whole day; it stands beside aims and sessions, seed: 7",
}
PAIRS_OF_TWO = "randomised pairs are of two values, how the kart stands and one other"
MOST_AIMS, MOST_SESSIONS, MOST_SETS = 2, 40, 20
LAPS, FEWEST_LAPS, MOST_LAPS = 8, 3, 40  # timed in a run: usual, least, most
LAP_SCATTER = 0.2  # seconds, before any day of the driver is known (common practice, no source)

EXAMPLE = """\
# A test day, written down before leaving home. All of it is an example: put in your own.
aims:                                  # one or two; the first value is how the kart stands
  - lever: axle_stiffness
    values: [medium, soft, stiff]
  - lever: tyre_pressure_rear          # tried on the best axle of these
    values: [11.5 psi, 10.5 psi]
  # - levers: {tyre_pressure: [11 psi, 10.5 psi], camber: [0 deg, -0.5 deg]}   # or several, one at a time
  # - cure: loose on exit              # or a fault: the advisor's first changes are tried
  #   try: 2
  # - {lever: caster, values: [12 deg, 10 deg], pairs: true}   # two values in randomised pairs
# seed: 7                              # another draw of the pairs than that of 1; it stands here, beside aims
sessions: {number: 10, minutes: 10, gap: 40}   # minutes on the track, and from its end to the next one's start
# or one by one:
# sessions:
#   - {minutes: 10, gap: 40}
#   - {minutes: 15, gap: 90}
open_pit: false                        # true: come in, work and go out again within a session
lap: 45.3                              # seconds, or 1:02.3
laps: 7                                # timed laps of a run; an out and an in lap come to them
tyres:                                 # laps that each set is still good for; leave it out if tyres do not matter
  - {name: set 1, laps: 60}
  - {name: set 2, laps: 45}
lost: []                               # sessions that were lost, by number: the rest is planned anew
"""


@dataclass(frozen=True, slots=True)
class Asked:
    """An aim as it is written: values of levers, or a fault (`cure`, or a `case` file) and how many changes to try."""

    levers: tuple[tuple[str, tuple[str, ...]], ...] = ()  # of each how the kart stands first
    cure: str = ""
    case: str = ""
    tries: int = 2
    minutes: float | None = None
    pairs: bool = False
    line: int = 1
    column: int = 1


@dataclass(slots=True)
class Written:
    """A plan file. `scatter`, `lap_scatter` in seconds, if they are told; nothing counts while there are problems."""

    aims: list[Asked] = field(default_factory=list)
    sessions: list[Session] = field(default_factory=list)
    lap: float = 0.0
    laps: int | None = None
    tyres: list[TyreSet] = field(default_factory=list)
    open_pit: bool = False
    lost: list[int] = field(default_factory=list)
    scatter: float | None = None
    lap_scatter: float | None = None
    seed: int = 1
    problems: list[Problem] = field(default_factory=list)


def read_plan(path: Path, book: Book) -> Written:
    """Read a plan file. Never raises for what is in it."""
    document = read(path)
    if not document.readable:
        return Written(problems=document.problems)
    reader = _Reader(document, book)
    found = reader.plan()
    found.problems = [*document.problems, *reader.problems]
    return found


class _Reader(ValueReader):
    """One method for each key; problems are collected, and a value that fails is left out."""

    def __init__(self, document: Marked, book: Book) -> None:
        super().__init__(document, book)

    def plan(self) -> Written:
        data = self.document.data
        found = Written()
        if not isinstance(data, dict):
            self.fail((), "must hold aims, sessions and lap; advisor plan --example shows one")
            return found
        self._only(data, KEYS, ())
        for key in ("aims", "sessions", "lap"):
            if key not in data:
                self.fail((), f'"{key}" is missing; advisor plan --example shows a whole plan')
        found.aims = self._aims(data.get("aims", []))
        found.sessions = self._sessions(data.get("sessions", []))
        found.lap = self._lap(data)
        found.laps = self._whole(data, "laps", (), FEWEST_LAPS, MOST_LAPS)
        found.tyres = [
            t for i, row in enumerate(self._list(data, "tyres", MOST_SETS)) for t in self._set(i, row)
        ]
        found.open_pit = self._yes(data, "open_pit", ())
        found.lost = self._lost(data, len(found.sessions))
        found.scatter = self._figure(data, "scatter", (), 0.005, 5, None)
        found.lap_scatter = self._figure(data, "lap_scatter", (), 0.005, 10, None)
        seed = self._whole(data, "seed", (), 0, 10**6)
        found.seed = found.seed if seed is None else seed
        return found

    def _aims(self, rows: Any) -> list[Asked]:
        if not isinstance(rows, list) or not 1 <= len(rows) <= MOST_AIMS:
            self.fail(
                ("aims",), f"a day has one aim or {MOST_AIMS}, as a list; more would each be seen worse"
            )
            return []
        return [aim for i, row in enumerate(rows) for aim in self._aim(row, ("aims", i))]

    def _aim(self, row: Any, path: tuple[Any, ...]) -> list[Asked]:
        if not isinstance(row, dict):
            self.fail(path, 'an aim is "lever" with "values", or "cure" with a fault')
            return []
        if not self._only(row, AIM_KEYS, path):
            return []
        line, column = self.document.at(path)
        minutes = self._figure(row, "minutes", path, 0, 240, None)
        pairs = self._yes(row, "pairs", path)
        kinds = [key for key in ("lever", "levers", "cure", "case") if row.get(key)]
        if len(kinds) != 1:
            self.fail(path, 'an aim needs one of "lever", "levers", "cure" and "case"')
            return []
        asked = partial(Asked, minutes=minutes, pairs=pairs, line=line, column=column)
        if kinds == ["lever"]:
            values = self._values(row["lever"], row.get("values"), (*path, "lever"), (*path, "values"))
            if pairs and len(values) > 2:
                self.fail((*path, "pairs"), PAIRS_OF_TWO)
            return [asked(((str(row["lever"]), values),))] if values else []
        if kinds == ["levers"]:
            levers = self._levers(row["levers"], (*path, "levers"))
            if pairs:
                self.fail((*path, "pairs"), PAIRS_OF_TWO)
            return [asked(levers)] if levers else []
        tries = self._whole(row, "try", path, 1, MOST_VALUES - 1) or 2
        if pairs and tries > 1:
            self.fail((*path, "pairs"), f"{PAIRS_OF_TWO}; with one change against a fault, try: 1")
        cure, case = (printable(str(row.get(key) or ""))[:500] for key in ("cure", "case"))
        return [asked(cure=cure, case=case, tries=tries)]

    def _levers(self, rows: Any, path: tuple[Any, ...]) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """Several levers with their values, each tried by itself against the kart as it stands."""
        if not isinstance(rows, dict) or len(rows) < 2:
            self.fail(
                path,
                "levers are two or more with their values: {camber: [0 deg, -0.5 deg], toe: [0 mm, 2 mm]}",
            )
            return ()
        found = tuple((str(k), self._values(k, v, (*path, k), (*path, k))) for k, v in rows.items())
        if sum(len(values) - 1 for _, values in found) >= MOST_VALUES:
            self.fail(path, f"that is more than {MOST_VALUES - 1} changes; take the rest on another day")
            return ()
        return found if all(values for _, values in found) else ()

    def _values(self, ident: Any, rows: Any, path: tuple[Any, ...], at: tuple[Any, ...]) -> tuple[str, ...]:
        """The values of a lever as text, each judged as the lever's own; `path`: its name, `at`: its values."""
        lever = self.lever(str(ident), path, key=path == at)
        if not isinstance(rows, list) or not 2 <= len(rows) <= MOST_VALUES:
            self.fail(at, f"two to {MOST_VALUES} values are needed, how the kart stands first")
            return ()
        texts: list[str] = []
        for i, value in enumerate(rows):
            here = (*at, i)
            if lever is None or isinstance(value, list | dict):
                continue
            before = len(self.problems)
            found = self._value(lever.id, value, here)
            if len(self.problems) > before:
                continue
            if found in texts:
                self.fail(here, f"{found} stands here twice")
            texts.append(found)
        return tuple(texts) if len(texts) == len(rows) else ()

    def _value(self, ident: str, value: Any, path: tuple[Any, ...]) -> str:
        lever = self.book.levers[ident]
        plain = isinstance(value, str) and not lever.dimension and not lever.grades
        found = value if plain else self.value(lever, value, path)
        if isinstance(found, Quantity):
            for end, beyond in ((lever.least, -1), (lever.most, 1)):
                self._within(found, end, beyond, path)
        return printable(told(found, {}))[:60] if isinstance(found, str | float | Quantity) else shown(value)

    def _within(self, found: Quantity, end: str | None, beyond: int, path: tuple[Any, ...]) -> None:
        if end is None:
            return
        from advisor import units

        limit = units.parse(end)
        if limit.dimension == found.dimension and (found.si - limit.si) * beyond > 1e-12:
            self.fail(path, f"{found} is beyond the limit of {end}")

    def _sessions(self, rows: Any) -> list[Session]:
        if isinstance(rows, dict):
            self._only(rows, ("number", "minutes", "gap"), ("sessions",))
            count = self._whole(rows, "number", ("sessions",), 1, MOST_SESSIONS) or 0
            one = self._session(rows, ("sessions",))
            return [one] * count if one else []
        if not isinstance(rows, list) or not 1 <= len(rows) <= MOST_SESSIONS:
            self.fail(
                ("sessions",), f"one to {MOST_SESSIONS} sessions, such as {{number: 6, minutes: 10, gap: 40}}"
            )
            return []
        found = [self._listed(row, ("sessions", i)) for i, row in enumerate(rows)]
        return [session for session in found if session]

    def _listed(self, row: Any, path: tuple[Any, ...]) -> Session | None:
        if not isinstance(row, dict) or not self._only(row, ("minutes", "gap"), path):
            self.fail(path, "a session is {minutes: 10, gap: 40}")
            return None
        return self._session(row, path)

    def _session(self, row: Mapping[str, Any], path: tuple[Any, ...]) -> Session | None:
        minutes = self._figure(row, "minutes", path, 1, 480, None)
        if minutes is None and "minutes" not in row:
            self.fail(path, "a session needs its minutes on the track")
        gap = self._figure(row, "gap", path, 0, 1440, 0.0)
        return None if minutes is None or gap is None else Session(minutes, gap)

    def _lap(self, data: Mapping[str, Any]) -> float:
        try:
            return seconds(str(data["lap"])) if "lap" in data else 0.0
        except ValueError as error:
            self.fail(("lap",), str(error))
            return 0.0

    def _set(self, place: int, row: Any) -> list[TyreSet]:
        path = ("tyres", place)
        if not isinstance(row, dict) or not self._only(row, ("name", "laps"), path):
            self.fail(path, "a set of tyres is {name: set 1, laps: 60}")
            return []
        laps = self._whole(row, "laps", path, 0, 2000)
        if laps is None:
            self.fail(path, "a set needs the laps that it is still good for")
            return []
        return [TyreSet(printable(str(row.get("name") or f"set {place + 1}"))[:30], laps)]

    def _lost(self, data: Mapping[str, Any], count: int) -> list[int]:
        rows = self._list(data, "lost", MOST_SESSIONS)
        for i, row in enumerate(rows):
            if not isinstance(row, int) or isinstance(row, bool) or not 1 <= row <= max(1, count):
                self.fail(("lost", i), f"{shown(row)} is no session; they count from 1 to {count}")
        return [row for row in rows if isinstance(row, int)]

    def _list(self, data: Mapping[str, Any], key: str, most: int) -> list[Any]:
        rows = data.get(key)
        if rows is None:
            return []
        if not isinstance(rows, list) or len(rows) > most:
            self.fail(
                (key,), f"{key} is a list of at most {most}, such as {'[3]' if key == 'lost' else '[{...}]'}"
            )
            return []
        return rows

    def _yes(self, data: Mapping[str, Any], key: str, path: tuple[Any, ...]) -> bool:
        value = data.get(key, False)
        if value in (None, "no", "yes") or isinstance(value, bool):
            return value in (True, "yes")
        self.fail((*path, key), f"{key} is true or false, not {shown(value)}")
        return False

    def _whole(
        self, data: Mapping[str, Any], key: str, path: tuple[Any, ...], low: int, high: int
    ) -> int | None:
        found = self._figure(data, key, path, low, high, None)
        if found is not None and found != int(found):
            self.fail((*path, key), f"{key} is a whole number, not {shown(data[key])}")
            return None
        return None if found is None else int(found)

    def _figure(
        self,
        data: Mapping[str, Any],
        key: str,
        path: tuple[Any, ...],
        low: float,
        high: float,
        usual: float | None,
    ) -> float | None:
        value = data.get(key)
        if value is None:
            return usual
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            self.fail((*path, key), f"{key} is a plain number from {low:g} to {high:g}, not {shown(value)}")
            return None
        return float(value)

    def _only(self, row: dict[str, Any], keys: Collection[str], path: tuple[Any, ...]) -> bool:
        for key in row:
            if key not in keys and key in ELSEWHERE:
                self.fail((*path, key), f"{key} {ELSEWHERE[key]}", key=True)
            elif key not in keys:
                self.unknown((*path, key), keys)
        return all(key in keys for key in row)
