"""Trials of which two people said different things, neither knowing of the other: a person must settle them."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass

from advisor.journal import trials
from advisor.journal.belonging import belongs
from advisor.journal.derived import State, View
from advisor.journal.events import Event
from advisor.journal.rows import VerdictRow
from advisor.journal.store import Journal
from advisor.journal.trials import Trial, check
from advisor.model.belonging import Belonging


@dataclass(frozen=True, slots=True)
class Said:
    """One of the verdicts of a trial that nobody has corrected."""

    id: str
    verdict: str
    note: str
    belongs: Belonging


@dataclass(frozen=True, slots=True)
class Dispute:
    """A trial and what was said of it, the earlier first; the last counts until it is settled."""

    trial: Trial
    said: tuple[Said, ...]


def _fold(db: sqlite3.Connection, _: State, number: int, event: Event) -> None:
    if event.kind != "verdict":
        return
    check(event)
    row = VerdictRow.model_validate(event.body)
    db.execute(
        "INSERT OR REPLACE INTO derived_verdict VALUES (?, ?, ?, ?, ?)",
        (event.id, event.at, row.trial, row.verdict, number),
    )
    for old in row.replaces:
        db.execute("INSERT OR IGNORE INTO derived_replaced VALUES (?, ?)", (row.trial, old))
    differ = db.execute(
        f"SELECT count(DISTINCT verdict) FROM derived_verdict WHERE trial = ? AND {STANDS}", (row.trial,)
    ).fetchone()[0]
    kept = "INSERT OR IGNORE INTO derived_dispute VALUES (?)"
    settled = "DELETE FROM derived_dispute WHERE trial = ?"
    db.execute(kept if differ > 1 else settled, (row.trial,))


STANDS = "(trial, id) NOT IN (SELECT trial, id FROM derived_replaced)"

VIEW = View(
    name="verdicts 2",
    fold=_fold,
    tables=("derived_verdict", "derived_replaced", "derived_dispute"),
    make=(
        """CREATE TABLE {schema}.derived_verdict (
            id TEXT PRIMARY KEY, at TEXT, trial TEXT, verdict TEXT, seq INTEGER
        ) STRICT""",
        "CREATE INDEX {schema}.derived_verdict_of ON derived_verdict (trial)",
        "CREATE TABLE {schema}.derived_replaced (trial TEXT, id TEXT, PRIMARY KEY (trial, id)) STRICT",
        "CREATE TABLE {schema}.derived_dispute (trial TEXT PRIMARY KEY) STRICT",
    ),
)


def of(journal: Journal, trial: str) -> list[Event]:
    """The verdicts of a trial that none has replaced, the earlier first."""
    rows = journal.ask(f"SELECT seq FROM derived_verdict WHERE trial = ? AND {STANDS}", trial)
    return sorted((journal.event(seq) for (seq,) in rows), key=lambda event: event.moment)


@dataclass(frozen=True, slots=True)
class Stage:
    """How some trials stood when this journal had taken in one more verdict of them, and when that one was given."""

    at: str
    verdicts: tuple[str, ...]


def stages(journal: Journal, trials: Iterable[str]) -> list[Stage]:
    """How trials stood, verdict by verdict in the order that this journal came to know them.

    A correction and an import change what is known now, and never what was known before.
    """
    found = "SELECT seq, at, id, trial, verdict FROM derived_verdict WHERE trial = ?"
    rows = sorted(row for trial in trials for row in journal.ask(found, trial))
    stands: dict[str, tuple[str, str, str]] = {}
    told = []
    for _, at, ident, trial, verdict in rows:
        stands[trial] = max(stands.get(trial, ("", "", "")), (at, ident, verdict))
        told.append(Stage(at, tuple(v for *_, v in stands.values() if v != "dropped")))
    return told


def told(journal: Journal, trial: str) -> list[dict[str, str]]:
    """Every verdict that was given of a trial, the earlier first, as plain data.

    `stands`: "counts", "disputed" where it stands beside another, or "replaced" by a later one.
    """
    standing = of(journal, trial)
    events = [
        journal.event(seq) for (seq,) in journal.ask("SELECT seq FROM derived_verdict WHERE trial = ?", trial)
    ]
    open_ = len({e.body.get("verdict") for e in standing}) > 1
    rows = []
    for event in sorted(events, key=lambda e: e.moment):
        said = _said(event)
        counts = "disputed" if open_ else "counts"
        stands = counts if any(e.id == event.id for e in standing) else "replaced"
        here = said.belongs
        rows.append(
            {
                "verdict": said.verdict,
                "by": here.driver,
                "time": here.time,
                "note": said.note,
                "stands": stands,
            }
        )
    return rows


def disputes(journal: Journal) -> list[Dispute]:
    """Every trial that waits to be settled, the oldest first."""
    rows = journal.ask(
        "SELECT d.trial, t.seq, t.verdict_seq FROM derived_dispute d JOIN derived_trial t ON t.id = d.trial "
        "WHERE t.seq IS NOT NULL ORDER BY t.at, t.id"
    )
    found = []
    for ident, seq, verdict_seq in rows:
        (trial,) = trials.told(journal.event(number) for number in (seq, verdict_seq))
        found.append(Dispute(trial, tuple(map(_said, of(journal, ident)))))
    return found


def _said(event: Event) -> Said:
    row = VerdictRow.model_validate(event.body)
    return Said(event.id, row.verdict, row.note, belongs(event))
