"""Trials as the journal tells them: a change with its prediction, and the verdict that came after it.

Rows are hostile until validated: they may have been written by another version, or by hand.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ValidationError

from advisor.journal.belonging import as_row, belongs, is_to_come, moment, seconds
from advisor.journal.derived import State, View
from advisor.journal.events import Event, SenseError
from advisor.journal.files import makes_no_sense
from advisor.journal.rows import Change, TrialRow, VerdictRow, escaped
from advisor.journal.store import Journal
from advisor.model.advice import Advice
from advisor.model.belonging import Belonging, kart_name
from advisor.model.case import Laps, Past, Tried, Verdict

LONGEST = 4000  # letters of a complaint or note that are kept


@dataclass(frozen=True, slots=True)
class Trial:
    """One trial; `verdict` is None while it is pending. `case` is data in the shape of a case file."""

    id: str
    at: str
    complaint: str
    case: dict[str, Any]
    change: Change
    verdict: Verdict | None = None
    note: str = ""
    dropped: bool = False
    beside: tuple[Change, ...] = ()
    laps: Laps | None = None
    belongs: Belonging = field(default_factory=Belonging)
    by: str = ""  # who drove the run, as far as the verdict tells
    stays: tuple[str, ...] = ()  # levers that were left as they were tried, although it did not help

    @property
    def kart(self) -> str:
        """The kart as it is compared; empty where none is on file."""
        return kart_name(self.belongs.kart)

    @property
    def changes(self) -> tuple[Change, ...]:
        """All that was changed before the run."""
        return (self.change, *self.beside)

    def leaves(self, change: Change) -> bool:
        """True for a change that is on the kart after the trial: it helped, is still to be judged, or was left on."""
        return not self.dropped and (self.verdict in (None, "better") or change.lever in self.stays)

    @property
    def say(self) -> str:
        return " and ".join(change.say for change in self.changes)

    def past(self, now: datetime) -> tuple[Past, ...]:
        """The trial as experience, one for each change; none while there is no verdict, or dated in the future."""
        if self.verdict is None or self.is_to_come(now):
            return ()
        facts, days, share = self.facts, _days(self.belongs.time, now), 1 / len(self.changes)
        return tuple(
            Past(
                c.lever, c.direction, self.verdict, c.chance, c.confidence, c.effect, c.as_stated,
                facts, days, share, self.laps, self.id, self.by or self.belongs.driver,
                f"{c.to.value} {c.to.unit}" if c.to else "",
            )
            for c in self.changes
        )  # fmt: skip

    @property
    def facts(self) -> dict[str, str]:
        """What its day is compared by."""
        found = _facts(self.case)
        return {**found, "kart": self.kart} if self.kart else found

    def is_to_come(self, now: datetime) -> bool:
        """True where its own clock says that it is still to be made."""
        return is_to_come(self.belongs, now)

    def tried(self, verdict: Verdict) -> Tried:
        """The trial as a fact of a case."""
        beside = tuple((change.lever, change.direction) for change in self.beside)
        return Tried(
            self.change.lever, self.change.direction, verdict, beside, laps=self.laps, driver=self.by
        )


def _days(time: str, now: datetime) -> float:
    """Days since a local time; none since one that cannot be read, or that is just to come."""
    then = moment(time)
    return max(0.0, (now - then).total_seconds() / 86_400) if then else 0.0


def _facts(case: dict[str, Any]) -> dict[str, str]:
    """What days are compared by, out of a case as the journal keeps it; what makes no sense is left out."""

    def under(data: Any, *path: str) -> Any:
        for key in path:
            data = data.get(key) if isinstance(data, dict) else None
        return data

    found = {
        "class": under(case, "kart", "class"),
        **{f"tyres.{k}": under(case, "setup", "tyres", k) for k in ("kind", "compound")},
        **{k: under(case, "observed", k) for k in ("track", "balance", "phase")},
    }
    return {k: v for k, v in found.items() if isinstance(v, str) and v}


def trial_event(
    ident: str,
    at: str,
    complaint: str,
    case: dict[str, Any],
    advice: Advice,
    *beside: Advice,
    where: Belonging | None = None,
) -> Event:
    """The event that says: this is going to be changed before one run, and this is what we expect."""
    return _event(ident, at, complaint, case, [_as_row(a) for a in (advice, *beside)], where)


def anew(trial: Trial, ident: str, at: str, where: Belonging) -> Event:
    """The event that writes a trial anew, under another id; nothing is said of it yet."""
    return _event(ident, at, trial.complaint, trial.case, [c.model_dump() for c in trial.changes], where)


def _event(
    ident: str,
    at: str,
    complaint: str,
    case: dict[str, Any],
    changes: Sequence[dict[str, Any]],
    where: Belonging | None,
) -> Event:
    change, *beside = changes
    body: dict[str, Any] = {"complaint": complaint[:LONGEST], "case": case, "change": change}
    body |= {"belongs": as_row(where)} if where else {}
    return Event(ident, at, "trial", {**body, "beside": beside} if beside else body)


def _as_row(advice: Advice) -> dict[str, Any]:
    row = {k: v for k, v in asdict(advice).items() if k in Change.model_fields}
    if advice.to is not None:
        row["to"] = {"value": advice.to.value, "unit": advice.to.unit}
    return row


def verdict_event(
    ident: str,
    at: str,
    trial: str,
    verdict: Verdict | Literal["dropped"],
    note: str,
    laps: Laps | None = None,
    *,
    replaces: Sequence[str] = (),
    stays: Sequence[str] = (),
    where: Belonging | None = None,
) -> Event:
    """The event that says what came of a trial. A second one for the same trial corrects those that it replaces.

    "dropped" crosses out a trial that was never driven.
    """
    body: dict[str, Any] = {"trial": trial, "verdict": verdict, "note": note[:LONGEST]}
    body |= {"replaces": list(replaces)} if replaces else {}
    body |= {"stays": list(stays)} if stays else {}
    body |= {"belongs": as_row(where)} if where else {}
    return Event(ident, at, "verdict", {**body, "laps": list(laps)} if laps else body)


def told(events: Iterable[Event]) -> list[Trial]:
    """Every trial with its latest verdict, oldest first; depends on the set of events, not on their order.

    Later is what has the greater (at, id). A verdict may come before its trial in the file.
    """
    found: dict[str, Trial] = {}
    latest: dict[str, tuple[Event, VerdictRow]] = {}
    for event in events:
        if event.kind == "trial":
            found[event.id] = _trial(event)
        elif event.kind == "verdict":
            row = VerdictRow.model_validate(event.body)
            if row.trial not in latest or event.moment > latest[row.trial][0].moment:
                latest[row.trial] = event, row
    whole = (_judged(t, *latest[t.id]) if t.id in latest else t for t in found.values())
    return sorted(whole, key=lambda t: (t.at, t.id))


def _trial(event: Event) -> Trial:
    row = TrialRow.model_validate(event.body)
    return Trial(
        event.id,
        event.at,
        row.complaint,
        row.case,
        row.change,
        beside=tuple(row.beside),
        belongs=belongs(event),
    )


def _judged(trial: Trial, event: Event, row: VerdictRow) -> Trial:
    if row.verdict == "dropped":
        return replace(trial, note=row.note, dropped=True)
    laps = (row.laps[0], row.laps[1], row.laps[2]) if row.laps else None
    return replace(
        trial, verdict=row.verdict, note=row.note, laps=laps, by=belongs(event).driver, stays=tuple(row.stays)
    )


def check(event: Event) -> None:
    """Raises SenseError when a trial or a verdict makes no sense; says nothing about other kinds."""
    rows: dict[str, type[BaseModel]] = {"trial": TrialRow, "verdict": VerdictRow}
    if event.kind not in rows:
        return
    try:
        rows[event.kind].model_validate(event.body)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(x) for x in first["loc"])
        raise SenseError(f"{where}: {first['msg']}") from error


def _checked(numbered: Iterable[tuple[int, Event]], path: Path) -> Iterator[Event]:
    for number, event in numbered:
        try:
            check(event)
        except SenseError as error:
            raise makes_no_sense(number, path, error) from error
        yield event


def trials(journal: Journal) -> list[Trial]:
    """Every trial, oldest first, read from all events. Raises JournalError on a row that makes no sense."""
    return told(_checked(journal.since(), journal.path))


# --- without reading all events ----------------------------------------------------------------------


def _fold(db: sqlite3.Connection, _: State, number: int, event: Event) -> None:
    check(event)
    if event.kind == "trial":
        told = _trial(event)
        facts = told.facts
        fault = " ".join(facts[k] for k in ("balance", "phase") if k in facts)
        here = told.belongs
        place = (told.kart, here.day, here.track.casefold(), told.change.lever, fault, seconds(here.time))
        db.execute(
            "INSERT INTO derived_trial (id, at, seq, kart, day, track, lever, fault, time) "
            "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) "
            "ON CONFLICT (id) DO UPDATE SET at = excluded.at, seq = excluded.seq, kart = excluded.kart, "
            "day = excluded.day, track = excluded.track, lever = excluded.lever, fault = excluded.fault, "
            "time = excluded.time",
            (event.id, event.at, number, *place),
        )
    elif event.kind == "verdict":
        db.execute(
            "INSERT INTO derived_trial (id, verdict, verdict_at, verdict_id, verdict_seq) VALUES (?, ?, ?, ?, ?) "
            "ON CONFLICT (id) DO UPDATE SET verdict = excluded.verdict, verdict_at = excluded.verdict_at, "
            "verdict_id = excluded.verdict_id, verdict_seq = excluded.verdict_seq "
            "WHERE verdict_at IS NULL OR (excluded.verdict_at, excluded.verdict_id) > (verdict_at, verdict_id)",
            (event.body["trial"], event.body["verdict"], event.at, event.id, number),
        )


# Which trials are asked for, and how the rows of `derived_trial` tell them. Each has an index, so that asking costs
# the same however many trials there are.
WHICH = {
    "any": "seq IS NOT NULL",
    "open": "seq IS NOT NULL AND verdict IS NULL",
    "judged": "seq IS NOT NULL AND verdict IN ('better', 'same', 'worse')",
}
Which = Literal["any", "open", "judged"]
BY = ("kart", "day", "track", "lever", "fault")  # what trials are looked up by

# A row for each trial that was told of: `seq` is empty while only its verdict is known.
VIEW = View(
    name="trials 3",
    fold=_fold,
    tables=("derived_trial",),
    make=(
        """CREATE TABLE {schema}.derived_trial (
            id TEXT PRIMARY KEY, at TEXT, seq INTEGER,
            verdict TEXT, verdict_at TEXT, verdict_id TEXT, verdict_seq INTEGER,
            kart TEXT, day TEXT, track TEXT, lever TEXT, fault TEXT, time REAL
        ) STRICT""",
        *(
            f"CREATE INDEX {{schema}}.derived_trial_{which} ON derived_trial (at, id) WHERE {rows}"
            for which, rows in WHICH.items()
        ),
        f"CREATE INDEX {{schema}}.derived_trial_waits ON derived_trial (kart, at, id) WHERE {WHICH['open']}",
        "CREATE INDEX {schema}.derived_trial_then ON derived_trial (kart, time, id, verdict) WHERE seq IS NOT NULL",
        *(
            f"CREATE INDEX {{schema}}.derived_trial_by_{by} ON derived_trial ({by}, at, id) WHERE seq IS NOT NULL"
            for by in BY
        ),
    ),
)


def latest(journal: Journal, most: int, which: Which = "any") -> list[Trial]:
    """The latest trials, those that wait for a verdict, or those that have one: at most so many, oldest first."""
    rows = journal.ask(
        f"SELECT seq, verdict_seq FROM derived_trial INDEXED BY derived_trial_{which} "
        f"WHERE {WHICH[which]} ORDER BY at DESC, id DESC LIMIT ?",
        most,
    )
    return read(journal, rows)


def where(**by: str) -> tuple[str, list[str]]:
    """What rows of `derived_trial` must meet, and the values: as `BY` names them, a fault by its beginning."""
    for key in by:
        if key not in BY:
            raise ValueError(key)
    tests = "".join(f" AND {key} GLOB ?" if key == "fault" else f" AND {key} = ?" for key in by)
    return tests, [f"{escaped(v)}*" if key == "fault" else v for key, v in by.items()]


def found(journal: Journal, most: int, **by: str) -> list[Trial]:
    """The latest trials of a kart, day, track, lever or fault (see `BY`), oldest first; a fault by its beginning."""
    tests, values = where(**by)
    rows = journal.ask(
        f"SELECT seq, verdict_seq FROM derived_trial WHERE seq IS NOT NULL{tests} ORDER BY at DESC, id DESC LIMIT ?",
        *values,
        most,
    )
    return read(journal, rows)


def read(journal: Journal, rows: Iterable[tuple[Any, ...]]) -> list[Trial]:
    """The trials of rows, each the numbers of its event and of its latest verdict's."""
    return told(journal.event(number) for row in rows for number in row if number is not None)


def begun(journal: Journal, ident: str, most: int = 3) -> list[Trial]:
    """The trials whose ids begin so, at most so many."""
    if not ident:
        return []
    rows = journal.ask(
        "SELECT seq, verdict_seq FROM derived_trial WHERE id >= ? AND id < ? AND seq IS NOT NULL ORDER BY id LIMIT ?",
        ident, ident + "\U0010ffff", most,
    )  # fmt: skip
    whole = read(journal, rows)
    return [t for t in whole if t.id == ident] or whole


def waiting(journal: Journal, kart: str | None = None, most: int = 20) -> list[Trial]:
    """The latest trials without a verdict, of one kart if it is named, oldest first."""
    if kart is None:
        return latest(journal, most, "open")
    rows = journal.ask(
        "SELECT seq, verdict_seq FROM derived_trial INDEXED BY derived_trial_waits "
        f"WHERE {WHICH['open']} AND kart = ? ORDER BY at DESC, id DESC LIMIT ?",
        kart_name(kart),
        most,
    )
    return read(journal, rows)


def pending(journal: Journal, kart: str | None = None) -> Trial | None:
    """The latest trial without a verdict, of one kart if it is named."""
    return next(iter(waiting(journal, kart, 1)), None)


def counted(judged: Sequence[Trial], now: datetime) -> tuple[list[Trial], list[Trial]]:
    """The trials that count, and those dated in the future, which do not."""
    late = [t for t in judged if t.is_to_come(now)]
    return [t for t in judged if t not in late], late
