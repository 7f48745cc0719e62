"""Interviews that were begun: every answer is written down, so that quitting or a crash loses nothing."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from advisor.journal.belonging import belongs
from advisor.journal.derived import State, View
from advisor.journal.events import Event
from advisor.journal.store import Journal
from advisor.model.belonging import kart_name
from advisor.model.case import WHO, Asked

Given = Annotated[list[str], Field(min_length=2, max_length=2)]  # question and answer, by id


class SittingRow(BaseModel):
    """An interview as it stood: what was said, and the case with every answer as a field."""

    model_config = ConfigDict(frozen=True, strict=True, extra="ignore")
    sitting: str = Field(max_length=64)
    complaint: str = Field(default="", max_length=8000)
    case: dict[str, Any]
    asked: int = Field(default=0, ge=0, le=1000)
    answers: list[Given] = Field(default_factory=list, max_length=1000)
    enough: bool = False  # the advice was wanted, no further question
    done: bool = False
    trial: str = Field(default="", max_length=64)  # the change that was chosen last
    reopened: str = Field(
        default="", max_length=200
    )  # the question that is asked first, its reading being refused
    looking: list[str] = Field(default_factory=list, max_length=100)  # levers of the inspections on the list
    before: str = Field(default="", max_length=64)  # the event that told where "back" leads


@dataclass(frozen=True, slots=True)
class Sitting:
    """The latest state of an interview."""

    id: str
    at: str
    row: SittingRow


def sitting_event(ident: str, at: str, row: SittingRow) -> Event:
    """The event that says how far an interview has come."""
    return Event(ident, at, "sitting", row.model_dump())


def _fold(_db: sqlite3.Connection, state: State, number: int, event: Event) -> None:
    """Keep where the latest trial and the latest sitting of each kart are; one that cannot be read is passed over."""
    if event.kind not in ("sitting", "trial"):
        return
    if event.kind == "sitting" and _sitting_of(event) is None:
        return
    karts = state.setdefault(event.kind, {})
    kart = kart_name(belongs(event).kart)
    karts[kart] = max(karts.get(kart, []), [*event.moment, number])


VIEW = View(name="sittings 2", fold=_fold)


def _sitting_of(event: Event) -> SittingRow | None:
    """The sitting that an event tells of; None for any other event, and for one that cannot be read."""
    if event.kind != "sitting":
        return None
    try:
        return SittingRow.model_validate(event.body)
    except ValidationError:
        return None


def _fold_each(db: sqlite3.Connection, _: State, number: int, event: Event) -> None:
    """Keep where the latest state of each sitting is; one that cannot be read is passed over."""
    row = _sitting_of(event)
    if row is None:
        return
    db.execute(
        "INSERT INTO derived_sitting (sitting, at, id, seq) VALUES (?, ?, ?, ?) "
        "ON CONFLICT (sitting) DO UPDATE SET at = excluded.at, id = excluded.id, seq = excluded.seq "
        "WHERE (excluded.at, excluded.id) > (at, id)",
        (row.sitting, event.at, event.id, number),
    )


EACH = View(
    name="sittings, each 1",
    fold=_fold_each,
    tables=("derived_sitting",),
    make=(
        """CREATE TABLE {schema}.derived_sitting (
            sitting TEXT PRIMARY KEY, at TEXT NOT NULL, id TEXT NOT NULL, seq INTEGER NOT NULL
        ) STRICT""",
        "CREATE INDEX {schema}.derived_sitting_at ON derived_sitting (at, id)",
    ),
)


LONGEST = 100  # letters of the id of a question


def _fold_asked(db: sqlite3.Connection, _: State, _number: int, event: Event) -> None:
    """Keep which questions a sitting put, to whom, and whether they got an answer then or later."""
    row = _sitting_of(event)
    if row is None:
        return
    who = row.case.get("who")
    given = {question for question, _ in row.answers}
    left = row.case.get("unanswered")
    put = {
        q
        for q in (*given, *(left if isinstance(left, list) else ()))
        if isinstance(q, str) and len(q) <= LONGEST
    }
    told = set(given)
    for part in ("observed", "denied"):
        told |= set(known) if isinstance(known := row.case.get(part), dict) else set()
    db.executemany(
        "INSERT INTO derived_asked (sitting, question, who, brought, answered, at, id) VALUES (?, ?, ?, ?, ?, ?, ?) "
        "ON CONFLICT (sitting, question) DO UPDATE SET answered = max(answered, excluded.answered), "
        + ", ".join(
            f"{column} = CASE WHEN (excluded.at, excluded.id) < (at, id) THEN excluded.{column} ELSE {column} END"
            for column in ("who", "brought", "at", "id")
        ),
        [(row.sitting, q, who if who in WHO else "", row.asked == 0, q in told, *event.moment) for q in put],
    )


# `brought`: it was open when the sitting began, so nobody was asked it there.
ASKED = View(
    name="asked 1",
    fold=_fold_asked,
    tables=("derived_asked",),
    make=(
        """CREATE TABLE {schema}.derived_asked (
            sitting TEXT, question TEXT, who TEXT NOT NULL, brought INTEGER NOT NULL, answered INTEGER NOT NULL,
            at TEXT NOT NULL, id TEXT NOT NULL, PRIMARY KEY (sitting, question)
        ) STRICT, WITHOUT ROWID""",
    ),
)


def asked(journal: Journal, most: int, but: str = "") -> tuple[Asked, ...]:
    """How often each question of the latest sittings was answered, by who was there; `but` one sitting."""
    rows = journal.ask(
        "SELECT question, who, count(*), sum(answered) FROM derived_asked WHERE NOT brought AND sitting IN "
        "(SELECT sitting FROM derived_sitting WHERE sitting != ? ORDER BY at DESC, id DESC LIMIT ?) "
        "GROUP BY question, who ORDER BY question, who",
        but,
        most,
    )
    return tuple(Asked(*row) for row in rows)


def sittings(journal: Journal, most: int) -> list[Sitting]:
    """The latest sittings, each as it stands, the latest first."""
    rows = journal.ask("SELECT seq FROM derived_sitting ORDER BY at DESC, id DESC LIMIT ?", most)
    events = (journal.event(number) for (number,) in rows)
    return [Sitting(e.id, e.at, SittingRow.model_validate(e.body)) for e in events]


def before(journal: Journal, ident: str) -> Sitting | None:
    """How a sitting stood before it came to where an event tells; None at its beginning."""
    now = then = _found(journal, ident)
    while now and then and then.row.before:
        earlier = _found(journal, then.row.before)
        if earlier is None or earlier.at >= then.at:  # a journal that was written by hand
            return None
        if _looks(earlier.row) != _looks(now.row):
            return earlier
        then = earlier
    return None


def _found(journal: Journal, ident: str) -> Sitting | None:
    event = journal.find(ident)
    row = _sitting_of(event) if event else None
    return Sitting(event.id, event.at, row) if event and row else None


def _looks(row: SittingRow) -> SittingRow:
    """What of a row can be seen: a change that was taken back leaves no trace on the screen."""
    return row.model_copy(update={"before": "", "trial": ""})


def unfinished(journal: Journal, kart: str | None = None) -> Sitting | None:
    """The latest interview, of one kart if it is named, if it was left before its end and no trial came of it.

    One that went to another kart since is none of the first.
    """
    state = journal.state(VIEW)
    begun, trials = state.get("sitting", {}), state.get("trial", {})
    name = kart_name(kart) if kart is not None else max(begun, key=lambda k: begun[k], default="")
    sitting = begun.get(name)
    if sitting is None or trials.get(name, []) > sitting:
        return None
    event = journal.event(sitting[2])
    row = SittingRow.model_validate(event.body)
    ((latest,),) = journal.ask("SELECT seq FROM derived_sitting WHERE sitting = ?", row.sitting)
    return None if row.done or latest != sitting[2] else Sitting(event.id, event.at, row)
