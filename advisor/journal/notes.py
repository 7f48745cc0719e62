"""Notes of the diary: a run as it was, told in a minute; corrected by a new version, never overwritten.

Every prompt that was answered is a version, so that a crash in mid-note loses nothing. What its versions come to
counts: of each thing what was put right last (`versions`).
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from datetime import datetime
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from advisor.journal.belonging import BelongsRow, as_row, belongs, by_now, place, seconds
from advisor.journal.derived import State, View
from advisor.journal.events import Event, SenseError
from advisor.journal.rows import Finite, escaped
from advisor.journal.store import Journal
from advisor.journal.versions import LISTED, PRESSURE, TYRES, Differing, Versions, changed
from advisor.model.belonging import Belonging, kart_name

LONGEST = 4000  # letters of what was typed that are kept
Line = Annotated[str, Field(max_length=8000)]
Word = Annotated[str, Field(max_length=200)]
Pair = Annotated[dict[str, Word], Field(max_length=4)]


class _Clock(BaseModel):
    model_config = ConfigDict(frozen=True, strict=True, extra="ignore")
    name: Word = ""
    behind: Finite


class NoteRow(BaseModel):
    """A note as the journal holds it."""

    model_config = ConfigDict(frozen=True, strict=True, extra="ignore")
    entry: Annotated[str, Field(min_length=1, max_length=64)]
    belongs: BelongsRow = Field(default_factory=BelongsRow)
    open: bool = False
    answered: int = Field(default=0, ge=0, le=100)
    day_only: bool = False
    words: Line = ""
    good: bool = False
    setup: dict[str, Any] = Field(default_factory=dict, max_length=200)
    changed: Line = ""
    aside: dict[str, Any] = Field(default_factory=dict, max_length=200)
    filed: dict[str, Any] | None = Field(default=None, max_length=200)
    conditions: dict[str, Word] = Field(default_factory=dict, max_length=20)
    track_state: Word = ""
    tyre_laps: int | None = Field(default=None, ge=0, le=5000)
    cold: Pair = Field(default_factory=dict)
    hot: Pair = Field(default_factory=dict)
    laps: list[Finite] = Field(default_factory=list, max_length=500)
    laps_typed: Line = ""
    trial: Word = ""
    service: Word = ""
    fault: Word = ""
    turned: list[Word] = Field(default_factory=list, max_length=200)
    carried: list[Word] = Field(default_factory=list, max_length=20)
    clock: _Clock | None = None
    on: list[Word] = Field(default_factory=list, max_length=100)
    put: list[Word] | None = Field(default=None, max_length=500)


@dataclass(frozen=True, slots=True)
class Note:
    """A run of a kart, or what is known of its day (`day_only`).

    `entry` is shared by all versions; `open`: left in the middle after so many `answered` lines. `words`: the driver's
    own; `good`: it is right as it is. `setup`: as it stood, in the shape of a case file; `changed`: the changes since
    the run before, as they were typed; `aside`: settings that the kart file does not hold; `filed`: what it held
    then, None in notes of an older version. `cold`, `hot`: pressures by end (front, rear) or corner (front_left ...),
    as text with a unit. `laps` in seconds, and as they were typed.
    `trial`: the change whose outcome this run tells. `service`: what was serviced before it.
    `fault`: what its words were heard as, such as "oversteer entry"; `turned`: the levers that were changed before it.
    `carried`: what nobody told of this run, so that the run before it tells it, whichever that is by now: `TYRES`, and
    the levers of cold pressures. `clock`: a logger and the seconds that its clock is behind UTC. `on`: the latest
    versions that it is made of; `differing`: what those who wrote them put right in two ways.
    """

    entry: str
    belongs: Belonging = field(default_factory=Belonging)
    open: bool = False
    answered: int = 0
    day_only: bool = False
    words: str = ""
    good: bool = False
    setup: dict[str, Any] = field(default_factory=dict)
    changed: str = ""
    aside: dict[str, Any] = field(default_factory=dict)
    filed: dict[str, Any] | None = None
    conditions: dict[str, str] = field(default_factory=dict)
    track_state: str = ""
    tyre_laps: int | None = None
    cold: dict[str, str] = field(default_factory=dict)
    hot: dict[str, str] = field(default_factory=dict)
    laps: tuple[float, ...] = ()
    laps_typed: str = ""
    trial: str = ""
    service: str = ""
    fault: str = ""
    turned: tuple[str, ...] = ()
    carried: tuple[str, ...] = ()
    clock: tuple[str, float] | None = None
    id: str = ""
    at: str = ""
    on: tuple[str, ...] = ()
    differing: tuple[Differing, ...] = ()

    @property
    def kart(self) -> str:
        """The kart as it is compared."""
        return kart_name(self.belongs.kart)


APART = ("id", "at", "belongs", "clock", "filed", "on", "differing")  # are written otherwise, or not at all


def note_event(ident: str, at: str, note: Note) -> Event:
    """The event that tells a note."""
    body = {k: v for k, v in asdict(note).items() if v and k not in APART}
    cut: dict[str, Any] = {k: v[:LONGEST] for k, v in body.items() if k in ("words", "changed", "laps_typed")}
    laps: dict[str, Any] = {"laps": list(note.laps)[:500]} if note.laps else {}
    laps |= {name: list(each) for name in LISTED if (each := getattr(note, name))}
    cut |= {"filed": note.filed} if note.filed is not None else {}
    tyres = {"tyre_laps": note.tyre_laps} if note.tyre_laps is not None else {}
    clock = {"clock": {"name": note.clock[0], "behind": note.clock[1]}} if note.clock else {}
    return Event(
        ident, at, "note", {**body, **cut, **laps, **tyres, **clock, "belongs": as_row(note.belongs)}
    )


def append(journal: Journal, ident: str, at: str, note: Note) -> Note:
    """Write a note, or the next version of one that was read here, into the journal; the note as it is then."""
    event = note_event(ident, at, note)
    if before := Versions(_versions(journal, note.entry)).known_to(note.on):
        put = changed(before.whole.body, event.body)
        event = replace(event, body={**event.body, "on": list(note.on), "put": put})
    journal.append(event)
    return replace(note, id=ident, at=at, on=(ident,), differing=())


def _versions(journal: Journal, entry: str) -> list[Event]:
    rows = journal.ask("SELECT id, at, body FROM derived_version WHERE entry = ?", entry)
    return [Event(ident, at, "note", json.loads(body)) for ident, at, body in rows]


def check(event: Event) -> NoteRow:
    """The row of a note. Raises SenseError when it makes no sense."""
    try:
        return NoteRow.model_validate(event.body)
    except ValidationError as error:
        first = error.errors()[0]
        raise SenseError(f"{'.'.join(map(str, first['loc']))}: {first['msg']}") from error


def told(event: Event) -> Note:
    """The note of an event. Raises SenseError."""
    row = check(event)
    data = row.model_dump(exclude={"belongs", "clock", "laps", "on", "put", *LISTED})
    clock = (row.clock.name, row.clock.behind) if row.clock else None
    lists: dict[str, Any] = {name: tuple(getattr(row, name)) for name in ("laps", *LISTED)}
    return Note(**data, **lists, belongs=belongs(event), clock=clock, id=event.id, at=event.at)


def _as_one(versions: Versions) -> Note:
    """What versions come to; the latest where that is more than a note holds."""
    try:
        return told(versions.whole)
    except SenseError:
        return told(versions.events[-1])


# --- looked up ----------------------------------------------------------------------------------------


def _fold(db: sqlite3.Connection, _: State, _number: int, event: Event) -> None:
    if event.kind != "note":
        return
    try:
        entry = check(event).entry
    except SenseError:
        return  # a note that makes no sense is told nowhere, and keeps nobody out
    body = json.dumps(event.body)
    db.execute(
        "INSERT OR REPLACE INTO derived_version VALUES (?, ?, ?, ?)", (entry, event.id, event.at, body)
    )
    rows = db.execute("SELECT id, at, body FROM derived_version WHERE entry = ?", (entry,))
    versions = Versions(Event(i, at, "note", json.loads(told_then)) for i, at, told_then in rows)
    note, first = _as_one(versions), versions.events[0].at
    kind = "clock" if note.clock else "day" if note.day_only else "open" if note.open else "run"
    here = note.belongs
    db.execute(
        f"INSERT OR REPLACE INTO derived_note ({', '.join(COLUMNS)}) VALUES ({', '.join('?' * len(COLUMNS))})",
        (
            *(entry, first, note.at, note.id, kind),
            *(note.kart, here.day, here.track.casefold(), seconds(here.time), note.fault),
            *(note.good, note.service.casefold(), len(note.laps), sum(note.laps), bool(versions.differing)),
        ),
    )
    db.execute("DELETE FROM derived_turned WHERE entry = ?", (entry,))
    turned = dict.fromkeys(note.turned)
    db.executemany("INSERT INTO derived_turned VALUES (?, ?)", [(lever, entry) for lever in turned])
    db.execute("DELETE FROM derived_carried WHERE entry = ?", (entry,))
    db.executemany(
        "INSERT OR IGNORE INTO derived_carried VALUES (?, ?)", [(entry, what) for what in note.carried]
    )
    place(db, entry, note.at, note.id, here)


# `first`: when an entry was begun; `laps`, `seconds`: how many were timed, and all of them together; `differs`: it was
# put right in two ways.
COLUMNS = (
    "entry", "first", "at", "id", "kind", "kart", "day", "track", "time", "fault", "good", "service", "laps", "seconds",
    "differs",
)  # fmt: skip
VIEW = View(
    name="notes 4",
    fold=_fold,
    tables=("derived_version", "derived_note", "derived_turned", "derived_carried"),
    make=(
        """CREATE TABLE {schema}.derived_version (
            entry TEXT, id TEXT, at TEXT, body TEXT, PRIMARY KEY (entry, id)
        ) STRICT""",
        """CREATE TABLE {schema}.derived_note (
            entry TEXT PRIMARY KEY, first TEXT, at TEXT, id TEXT, kind TEXT,
            kart TEXT, day TEXT, track TEXT, time REAL, fault TEXT, good INTEGER, service TEXT, laps INTEGER,
            seconds REAL, differs INTEGER
        ) STRICT""",
        "CREATE INDEX {schema}.derived_note_of ON derived_note "
        "(kind, kart, time, first, entry, good, service, laps, seconds)",
        "CREATE INDEX {schema}.derived_note_in_time ON derived_note (kind, time, first, entry)",
        "CREATE TABLE {schema}.derived_turned (lever TEXT, entry TEXT, PRIMARY KEY (lever, entry)) STRICT",
        "CREATE TABLE {schema}.derived_carried (entry TEXT, what TEXT, PRIMARY KEY (entry, what)) STRICT",
        "CREATE INDEX {schema}.derived_turned_of ON derived_turned (entry)",
    ),
)
BY = ("kart", "day", "track", "fault", "lever")  # what runs are looked up by


def where(**by: str) -> tuple[str, list[str]]:
    """What rows of `derived_note` must meet, and the values: as `BY` names them, a fault by its beginning."""
    tests = {
        "kart": "kart = ?",
        "day": "day = ?",
        "track": "track = ?",
        "fault": "fault GLOB ?",
        "lever": "entry IN (SELECT entry FROM derived_turned WHERE lever = ?)",
    }
    values = [f"{escaped(v)}*" if key == "fault" else v for key, v in by.items()]
    return "".join(f" AND {tests[key]}" for key in by), values


def runs(
    journal: Journal,
    most: int,
    kart: str | None = None,
    by: Mapping[str, str] | None = None,
    *,
    unfinished: bool = False,
) -> list[Note]:
    """The latest runs, of one kart where it is named, and by what else they are looked up (`BY`), oldest first.

    `unfinished`: those instead that were left in the middle.
    """
    named = {**(by or {}), **({} if kart is None else {"kart": kart_name(kart)})}
    tests, values = where(**named)
    rows = journal.ask(
        f"SELECT entry FROM derived_note WHERE kind = ?{tests} ORDER BY time DESC, first DESC, entry DESC LIMIT ?",
        "open" if unfinished else "run",
        *values,
        most,
    )
    return [read(journal, entry) for (entry,) in reversed(rows)]


def last(journal: Journal, kart: str, time: str, now: datetime) -> Note | None:
    """The run of a kart that was driven last before a local time, whenever it was written down or corrected."""
    rows = journal.ask(
        "SELECT entry FROM derived_note WHERE kind = 'run' AND kart = ? AND time <= ? "
        "ORDER BY time DESC, first DESC, entry DESC LIMIT 1",
        kart_name(kart),
        min(seconds(time) or by_now(now), by_now(now)),
    )
    return read(journal, rows[0][0]) if rows else None


def last_turned(journal: Journal, kart: str, lever: str, until: float) -> float:
    """When a lever of a kart was last changed by the diary, in seconds since 1970; 0 where it is not known."""
    rows = journal.ask(
        "SELECT ifnull(max(time), 0) FROM derived_note JOIN derived_turned USING (entry) "
        "WHERE lever = ? AND kind = 'run' AND kart = ? AND time <= ?",
        lever,
        kart_name(kart),
        until,
    )
    return float(rows[0][0])


def last_set(journal: Journal, kart: str, lever: str, until: float) -> Note | None:
    """The latest run of a kart before which a lever was changed, as the diary has it now."""
    rows = journal.ask(
        "SELECT entry FROM derived_note JOIN derived_turned USING (entry) WHERE lever = ? AND kind = 'run' "
        "AND kart = ? AND time <= ? ORDER BY time DESC, first DESC, entry DESC LIMIT 1",
        lever,
        kart_name(kart),
        until,
    )
    return read(journal, rows[0][0]) if rows else None


def begun(journal: Journal, kart: str) -> Note | None:
    """A note of a kart that was left in the middle, if no other was begun since."""
    rows = journal.ask(
        "SELECT entry FROM derived_note AS left WHERE kind = 'open' AND kart = ? AND NOT EXISTS "
        "(SELECT 1 FROM derived_note WHERE kind = 'run' AND kart = left.kart AND first > left.at) "
        "ORDER BY first DESC, entry DESC LIMIT 1",
        kart_name(kart),
    )
    return read(journal, rows[0][0]) if rows else None


def clock(journal: Journal, name: str) -> float | None:
    """The seconds that the clock of a logger is behind UTC, as it was told last."""
    rows = journal.ask("SELECT entry FROM derived_note WHERE kind = 'clock' ORDER BY at DESC, id DESC")
    notes = (read(journal, entry) for (entry,) in rows)
    return next((n.clock[1] for n in notes if n.clock and n.clock[0].casefold() == name.casefold()), None)


def by_entry(journal: Journal, beginning: str) -> list[Note]:
    """The notes whose entry begins so; at most three."""
    if not beginning:
        return []
    rows = journal.ask(
        "SELECT entry FROM derived_note WHERE entry >= ? AND entry < ? AND kind != 'clock' ORDER BY entry LIMIT 3",
        beginning,
        beginning + "\U0010ffff",
    )
    return [read(journal, entry) for (entry,) in rows]


def differing(journal: Journal) -> list[Note]:
    """The notes that were put right in two ways, the oldest first."""
    rows = journal.ask("SELECT entry FROM derived_note WHERE differs ORDER BY time, first, entry")
    return [read(journal, entry) for (entry,) in rows]


def read(journal: Journal, entry: str) -> Note:
    """The note of an entry, with what it took over from the runs before it as these tell it now."""
    note = as_written(journal, entry)
    for what in note.carried:
        teller = _teller(journal, entry, what)
        note = _with_tyres(journal, note, teller) if what == TYRES else _with_pressure(note, teller, what)
    return note


def _teller(journal: Journal, entry: str, what: str) -> Note | None:
    """The latest run before an entry, of the same kart, of which something was told."""
    rows = journal.ask(
        "SELECT before.entry FROM derived_note AS before JOIN derived_note AS this ON this.entry = ? "
        f"WHERE {BEFORE} AND NOT EXISTS (SELECT 1 FROM derived_carried WHERE entry = before.entry AND what = ?) "
        "ORDER BY before.time DESC, before.first DESC, before.entry DESC LIMIT 1",
        entry,
        what,
    )
    return as_written(journal, rows[0][0]) if rows else None


BEFORE = (
    "before.kind = 'run' AND before.kart = this.kart "
    "AND (before.time, before.first, before.entry) < (this.time, this.first, this.entry)"
)


def _with_tyres(journal: Journal, note: Note, teller: Note | None) -> Note:
    """A note with the tyres of an earlier run, and the laps driven on them since."""
    if teller is None:
        return replace(note, belongs=replace(note.belongs, tyres=""), tyre_laps=None)
    laps = teller.tyre_laps
    if laps is not None:
        ((driven,),) = journal.ask(
            "SELECT total(before.laps) FROM derived_note AS before JOIN derived_note AS this ON this.entry = ? "
            "JOIN derived_note AS told ON told.entry = ? "
            f"WHERE {BEFORE} AND (before.time, before.first, before.entry) >= (told.time, told.first, told.entry)",
            note.entry,
            teller.entry,
        )
        laps += int(driven)
    return replace(note, belongs=replace(note.belongs, tyres=teller.belongs.tyres), tyre_laps=laps)


def _with_pressure(note: Note, teller: Note | None, lever: str) -> Note:
    """A note with the cold pressures of one end as an earlier run had them."""
    end = lever.removeprefix(f"{PRESSURE}_")
    there = {k: v for k, v in teller.cold.items() if k.startswith(end)} if teller else {}
    kept = {k: v for k, v in note.cold.items() if not k.startswith(end)}
    setup = {k: v for k, v in note.setup.items() if k != lever}
    value = teller.setup.get(lever) if teller else note.filed.get(lever) if note.filed else None
    return replace(
        note,
        cold=dict(sorted({**there, **kept}.items())),
        setup={**setup, **({} if value is None else {lever: value})},
    )


def as_written(journal: Journal, entry: str) -> Note:
    """The note of an entry, as its versions come to."""
    versions = Versions(_versions(journal, entry))
    return replace(_as_one(versions), on=versions.heads, differing=tuple(versions.differing))
