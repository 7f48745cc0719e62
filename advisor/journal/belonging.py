"""Where events belong, as rows tell it, and what was known last of each kart."""

from __future__ import annotations

import json
import sqlite3
from dataclasses import asdict, replace
from datetime import datetime, timedelta
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from advisor.journal.derived import State, View
from advisor.journal.events import Event
from advisor.journal.store import Journal
from advisor.model.belonging import ASKED, Belonging, kart_name

Word = Annotated[str, Field(max_length=200)]
LONGEST = 200  # letters of each part that are kept
AHEAD = timedelta(
    minutes=5
)  # by which two clocks may differ before what one dates is still to come for the other


class BelongsRow(BaseModel):
    """Where an event belongs; an event of an older version has none of it."""

    model_config = ConfigDict(frozen=True, strict=True, extra="ignore")
    kart: Word = ""
    driver: Word = ""
    track: Word = ""
    session: Word = ""
    tyres: Word = ""
    weather: Word = ""
    time: Word = ""

    def told(self) -> Belonging:
        return Belonging(**self.model_dump())


def as_row(belongs: Belonging) -> dict[str, str]:
    """As it is written into an event; what is empty is left out."""
    return {k: v[:LONGEST] for k, v in asdict(belongs).items() if v}


def belongs(event: Event) -> Belonging:
    """Where an event belongs. One of an older version belongs to the kart of its case, at the time written on it.

    What makes no sense is left out.
    """
    try:
        told = BelongsRow.model_validate(event.body.get("belongs") or {}).told()
    except ValidationError:
        told = Belonging()
    case: Any = event.body.get("case")
    kart = case.get("kart_file") if isinstance(case, dict) else None
    return replace(
        told,
        kart=told.kart or (kart if isinstance(kart, str) else ""),
        time=told.time if moment(told.time) else event.at,
    )


def moment(text: str) -> datetime | None:
    """A time with its offset from UTC, or None where it is none."""
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        return None
    return found if found.tzinfo else None


# --- what was known of each kart, and when ----------------------------------------------------------------


def seconds(time: str) -> float:
    """A local time in seconds since 1970; none where it cannot be read."""
    then = moment(time)
    return then.timestamp() if then else 0.0


def by_now(now: datetime) -> float:
    """Up to when things count, in seconds since 1970: what is dated later is still to come."""
    return (now + AHEAD).timestamp()


def is_to_come(belongs: Belonging, now: datetime) -> bool:
    """True where its own clock says that it is still to be driven."""
    return seconds(belongs.time) > by_now(now)


def _fold(db: sqlite3.Connection, _: State, _number: int, event: Event) -> None:
    """Keep where each trial and verdict belongs; a note's place is put there by what its versions come to (`notes`)."""
    if event.kind in ("trial", "verdict") and "belongs" in event.body:
        place(db, event.id, event.at, event.id, belongs(event))


def place(db: sqlite3.Connection, source: str, at: str, ident: str, told: Belonging) -> None:
    """Keep where something belongs; `source` is the same for all versions of it."""
    row = (source, at, ident, kart_name(told.kart), told.day, seconds(told.time), json.dumps(asdict(told)))
    db.execute("INSERT OR REPLACE INTO derived_place VALUES (?, ?, ?, ?, ?, ?, ?)", row)


VIEW = View(
    name="places 3",
    fold=_fold,
    tables=("derived_place",),
    make=(
        """CREATE TABLE {schema}.derived_place (
            source TEXT PRIMARY KEY, at TEXT, id TEXT, kart TEXT, day TEXT, time REAL, body TEXT
        ) STRICT""",
        "CREATE INDEX {schema}.derived_place_day ON derived_place (kart, day, time)",
    ),
)


def known(journal: Journal, kart: str, time: str, now: datetime) -> Belonging:
    """What was known of a kart at a local time: who drove it, where, on which tyres; empty where nothing was told.

    Each thing counts at its own time, whenever it was written down: what was told last before, that day if anything
    was. Of a run that is noted later than it was driven may be told what was said after it, on the same day. Without
    a time it is what is known now.
    """
    then = seconds(time) or by_now(now)
    rows = journal.ask(
        "SELECT body FROM derived_place WHERE kart = ? AND day = ? AND time <= ? "
        "ORDER BY time > ?, abs(time - ?), at DESC, id DESC LIMIT 1",
        kart_name(kart),
        time[:10],
        by_now(now),
        then,
        then,
    ) or journal.ask(
        "SELECT body FROM derived_place WHERE kart = ? AND day < ? AND time <= ? "
        "ORDER BY day DESC, time DESC, at DESC, id DESC LIMIT 1",
        kart_name(kart),
        time[:10] or "~",
        min(then, by_now(now)),
    )
    return Belonging(**json.loads(rows[0][0])) if rows else Belonging()


def to_ask(found: Belonging, before: Belonging) -> tuple[str, ...]:
    """What is asked once a day: what was told of this kart on an earlier day, and not yet today."""
    if before.day == found.day:
        return ()
    return tuple(name for name in ASKED[:2] if getattr(before, name) and not getattr(found, name))
