"""Where events belong, as rows tell it, and what was known last of each kart."""

from __future__ import annotations

import json
import sqlite3
from dataclasses import asdict, replace
from datetime import datetime
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from advisor.journal.derived import State, View
from advisor.journal.events import Event
from advisor.journal.store import Journal
from advisor.model.belonging import ASKED, Belonging, kart_name

Word = Annotated[str, Field(max_length=200)]
LONGEST = 200  # letters of each part that are kept


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


# --- what was known last of each kart -----------------------------------------------------------------


def _fold(db: sqlite3.Connection, _: State, number: int, event: Event) -> None:
    if event.kind not in ("trial", "verdict", "note") or "belongs" not in event.body:
        return
    told = belongs(event)
    db.execute(
        "INSERT INTO derived_place VALUES (?, ?, ?, ?, ?) ON CONFLICT (kart) DO UPDATE SET at = excluded.at, "
        "id = excluded.id, seq = excluded.seq, body = excluded.body "
        "WHERE (excluded.at, excluded.id) > (derived_place.at, derived_place.id)",
        (kart_name(told.kart), event.at, event.id, number, json.dumps(asdict(told))),
    )


VIEW = View(
    name="places 1",
    fold=_fold,
    tables=("derived_place",),
    make=(
        """CREATE TABLE {schema}.derived_place (
            kart TEXT PRIMARY KEY, at TEXT, id TEXT, seq INTEGER, body TEXT
        ) STRICT""",
    ),
)


def known(journal: Journal, kart: str) -> Belonging:
    """What was known last of a kart: who drove it, where, on which tyres; empty where nothing was told."""
    rows = journal.ask("SELECT body FROM derived_place WHERE kart = ?", kart_name(kart))
    return Belonging(**json.loads(rows[0][0])) if rows else Belonging()


def to_ask(found: Belonging, before: Belonging) -> tuple[str, ...]:
    """What is asked once a day: what was told of this kart on an earlier day, and not yet today."""
    if before.day == found.day:
        return ()
    return tuple(name for name in ASKED[:2] if getattr(before, name) and not getattr(found, name))
