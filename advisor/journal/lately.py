"""What was last, of each kart: the latest run or trial, the latest that was good, and what was driven since a service.

Asked of what is derived, by index, so that it costs the same however long the journal is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from advisor.journal import notes, trials
from advisor.journal.belonging import belongs, by_now
from advisor.journal.past import Item, of_note, of_trial
from advisor.journal.store import Journal
from advisor.model.belonging import Belonging

MOST = 1000  # of each kart that are looked at when they are dated in the future


def karts(journal: Journal) -> list[str]:
    """The karts, as they are compared, of which anything was tried or noted: each found by a step in the index."""
    found: set[str] = set()
    for table, which in (("derived_note", "kind = 'run'"), ("derived_trial", "seq IS NOT NULL")):
        rows = journal.ask(
            f"WITH RECURSIVE each(kart) AS (SELECT min(kart) FROM {table} WHERE {which} UNION ALL "
            f"SELECT (SELECT min(kart) FROM {table} WHERE {which} AND kart > each.kart) FROM each "
            "WHERE each.kart IS NOT NULL) SELECT kart FROM each WHERE kart IS NOT NULL"
        )
        found |= {kart for (kart,) in rows}
    return sorted(found)


def to_come(journal: Journal, now: datetime, *, trials_too: bool = True) -> list[Belonging]:
    """Where the runs belong that are dated in the future, and the trials."""
    found: list[Belonging] = []
    for kart in karts(journal):
        rows = journal.ask(
            "SELECT entry, 0 FROM derived_note WHERE kind = 'run' AND kart = ? AND time > ? "
            "UNION ALL SELECT '', seq FROM derived_trial WHERE seq IS NOT NULL AND kart = ? AND time > ? AND ? LIMIT ?",
            *(kart, by_now(now), kart, by_now(now), trials_too, MOST),
        )
        found += [
            notes.read(journal, entry).belongs if entry else belongs(journal.event(seq))
            for entry, seq in rows
        ]
    return found


def latest(
    journal: Journal, kart: str, now: datetime, by: Mapping[str, str], *, good: bool = False
) -> Item | None:
    """The run or trial of a kart that was driven last by now, of those that are good where these are asked for.

    `by`: day, track, fault or lever.
    """
    found = (_latest_run(journal, kart, now, by, good), _latest_trial(journal, kart, now, by, good))
    return max((item for item in found if item), key=lambda item: item.moment, default=None)


def _latest_run(journal: Journal, kart: str, now: datetime, by: Mapping[str, str], good: bool) -> Item | None:
    tests, values = notes.where(**by)
    tests += " AND good" if good else ""
    rows = journal.ask(
        f"SELECT entry FROM derived_note WHERE kind = 'run' AND kart = ? AND time <= ?{tests} "
        "ORDER BY time DESC, first DESC, entry DESC LIMIT 1",
        kart,
        by_now(now),
        *values,
    )
    return of_note(notes.read(journal, rows[0][0])) if rows else None


def _latest_trial(
    journal: Journal, kart: str, now: datetime, by: Mapping[str, str], good: bool
) -> Item | None:
    tests, values = trials.where(**by)
    tests += " AND verdict = 'better'" if good else ""
    rows = journal.ask(
        "SELECT seq, verdict_seq FROM derived_trial "
        f"WHERE seq IS NOT NULL AND kart = ? AND time <= ?{tests} "
        "ORDER BY time DESC, id DESC LIMIT 1",
        kart,
        by_now(now),
        *values,
    )
    return of_trial(trials.read(journal, rows)[0]) if rows else None


@dataclass(frozen=True, slots=True)
class Serviced:
    """What was driven on a part since it was serviced: `seconds` of timed laps in `runs`; `untimed` runs have none."""

    part: str
    since: Item
    seconds: float
    runs: int
    untimed: int


def serviced(journal: Journal, kart: str, by: Mapping[str, str]) -> list[Serviced]:
    """The time on each part of a kart since its last service; a run noted with it is on it. `by`: day or track."""
    tests, values = notes.where(**by)
    parts = journal.ask(
        "SELECT DISTINCT service FROM derived_note WHERE kind = 'run' AND service != '' AND kart = ?", kart
    )
    found = []
    for (part,) in parts:
        rows = journal.ask(
            "SELECT time, first, entry FROM derived_note WHERE kind = 'run' AND service != '' AND kart = ? "
            f"AND service = ?{tests} ORDER BY time DESC, first DESC, entry DESC LIMIT 1",
            kart,
            part,
            *values,
        )
        for moment in rows:
            ((driven, timed, untimed),) = journal.ask(
                "SELECT total(seconds), total(laps > 0), total(laps = 0 AND service = '') FROM derived_note "
                f"WHERE kind = 'run' AND kart = ? AND (time, first, entry) >= (?, ?, ?){tests}",
                kart,
                *moment,
                *values,
            )
            since = of_note(notes.read(journal, moment[-1]))
            found.append(Serviced(since.service, since, driven, int(timed), int(untimed)))
    return sorted(found, key=lambda s: s.since.moment)
