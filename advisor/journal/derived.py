"""What is told by the events and kept beside them, so that it need not be read out of all events each time.

A view folds events one by one into a small JSON state, into tables of its own, or both. What it holds must depend
on the *set* of events and never on the order they came in, because journals are merged. All of it may be thrown
away at any time: it is built again from the events with the same result.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from advisor.journal.events import Event, SenseError
from advisor.journal.files import makes_no_sense

State = dict[str, Any]
Schema = str  # "main", or "temp" where the journal may only be read


@dataclass(frozen=True, slots=True)
class View:
    """One thing derived. Give it a new `name` when its fold or its tables change: it is then built anew.

    `tables` are the names of its tables (they begin with "derived_"); `make` the SQL that makes them, with
    {schema} before each name; they may read the tables of the views before them in `views.VIEWS`, and put triggers on
    them: when a view is built anew, all that come after it are. `fold` takes in one event: it may change the state and
    the tables; raises SenseError.
    """

    name: str
    fold: Callable[[sqlite3.Connection, State, int, Event], None]
    tables: tuple[str, ...] = ()
    make: tuple[str, ...] = ()


def behind(db: sqlite3.Connection, views: Iterable[View], last: int) -> list[View]:
    """The views that have not taken in every event up to number `last`."""
    upto: dict[str, int] = dict(db.execute("SELECT name, upto FROM derived"))
    return [view for view in views if upto.get(view.name) != last]


def catch_up(
    db: sqlite3.Connection,
    view: View,
    last: int,
    since: Callable[[int], Iterator[tuple[int, Event]]],
    schema: Schema,
    path: Path,
    anew: bool,
) -> bool:
    """Take in the events that a view has not seen yet; True if it was built anew, as it is if `anew`.

    Call it within a transaction. Raises JournalError.
    """
    upto, state = _kept(db, view)
    if upto == last and not anew:
        return False
    anew = anew or upto is None or upto > last
    if anew or upto is None:
        upto, state = 0, {}
        for table in view.tables:
            db.execute(f"DROP TABLE IF EXISTS {schema}.{table}")
        for statement in view.make:
            db.execute(statement.format(schema=schema))
    for number, event in since(upto):
        try:
            _take_in(view, db, state, number, event)
        except SenseError as error:
            raise makes_no_sense(number, path, error) from error
        upto = number
    db.execute("INSERT OR REPLACE INTO derived VALUES (?, ?, ?)", (view.name, upto, json.dumps(state)))
    return anew


def _take_in(view: View, db: sqlite3.Connection, state: State, number: int, event: Event) -> None:
    """Fold an event; half characters, which an event may bring from elsewhere and no table holds, are replaced."""
    try:
        view.fold(db, state, number, event)
    except UnicodeEncodeError:
        text = json.dumps(event.body, ensure_ascii=False).encode("utf-8", "replace")
        view.fold(db, state, number, replace(event, body=json.loads(text)))


def state_of(db: sqlite3.Connection, view: View) -> State:
    """The state of a view that is up to date."""
    return _kept(db, view)[1]


def _kept(db: sqlite3.Connection, view: View) -> tuple[int | None, State]:
    row = db.execute("SELECT upto, body FROM derived WHERE name = ?", (view.name,)).fetchone()
    return (row[0], json.loads(row[1])) if row else (None, {})
