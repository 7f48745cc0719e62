"""The kart as it stands now: its file, and over it what the diary tells of it.

What a run was noted with stands until another run, or the file, says otherwise: settings, cold pressures and the laps
on the tyres from day to day, temperatures and the state of the track on their own day only. A setting of the kart file
counts where the file was written later, which is to say where it has another value there than it had when the run was
noted. A change that was tried after a setting was noted is on the kart while its outcome is awaited, where it helped
and where it was left on; else it is put back.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from advisor import units
from advisor.journal.belonging import by_now, seconds
from advisor.journal.notes import Note, last, last_set, last_turned
from advisor.journal.rows import Change, mapping
from advisor.journal.store import Journal
from advisor.journal.trials import Trial, found
from advisor.karts import corners
from advisor.karts.values import same
from advisor.karts.written import as_data, case_from_data
from advisor.model.case import Case, in_liked_units
from advisor.model.knowledge import Book

LATEST = 60  # trials of the kart that are looked through for changes since a setting was noted


@dataclass(frozen=True, slots=True)
class Carried:
    """What of a run still stands: settings that the kart file does not hold, cold pressures, laps on the tyres.

    `today`: whether its weather and track do as well.
    """

    note: Note
    aside: Mapping[str, Any]
    cold: Mapping[str, str]
    today: bool

    @property
    def setup(self) -> dict[str, Any]:
        return {**self.aside, **corners.as_setup(self.cold)}

    @property
    def tyre_laps(self) -> int | None:
        """The laps on the tyres, with those of the run."""
        done = self.note.tyre_laps
        return None if done is None else done + len(self.note.laps)


def filed(case: Case) -> dict[str, Any]:
    """The settings of a kart file, as a note keeps them: by them it is seen later where the file was written since."""
    return {k: v for k, v in as_data(case).get("setup", {}).items() if k != "tyres"}


def carried(journal: Journal, case: Case, time: str, now: datetime) -> Carried | None:
    """What the run before a local time, and the changes tried, tell of the kart of a case; None where it is nothing."""
    note, file = last(journal, case.kart_file, time, now), filed(case)
    until = min(seconds(time) or by_now(now), by_now(now))
    note = note and _as_set(journal, note, until)
    levers = (*note.aside, *corners.as_setup(note.cold)) if note else ()
    turned = _turned(journal, case.kart_file, {k: v for k, v in file.items() if k not in levers}, until)
    if note is None:
        return Carried(Note(""), turned, {}, today=False) if turned else None
    told = standing(note, file, _tried(journal, note, levers, until), today=note.belongs.day == time[:10])
    return replace(told, aside={**turned, **told.aside})


def _as_set(journal: Journal, note: Note, until: float) -> Note:
    """A run whose settings are those of the runs that set them: one that was put right since carries nothing on."""
    if note.filed is None:  # of an older version: who set them is not known
        return note
    tried = {change.lever for _, change in _changes(journal, note.kart)}
    by = {lever: last_set(journal, note.kart, lever, until) for lever in note.aside}
    aside = {
        lever: setter.aside.get(lever, value) if (setter := by[lever]) else value
        for lever, value in note.aside.items()
        if by[lever] or lever in tried
    }
    return replace(note, aside=aside)


def _turned(journal: Journal, kart: str, file: Mapping[str, Any], until: float) -> dict[str, Any]:
    """Settings of a kart file that changes tried since moved on: what was tried from the value that stands there.

    A file that was written since has another value, and counts.
    """
    stands: dict[str, Any] = {}
    for trial, change in _changes(journal, kart):
        before = mapping(trial.case.get("setup")).get(change.lever)
        now, at = stands.get(change.lever, file.get(change.lever)), seconds(trial.belongs.time)
        if change.to is None or now is None or not alike(before, now) or at > until:
            continue
        if at > last_turned(journal, kart, change.lever, until):  # the diary told nothing of it since
            stands[change.lever] = change.to.text if trial.leaves(change) else before
    return {lever: value for lever, value in stands.items() if not alike(value, file.get(lever))}


def _changes(journal: Journal, kart: str) -> Iterator[tuple[Trial, Change]]:
    """The latest changes tried on a kart, in the order of their own times."""
    for trial in sorted(found(journal, LATEST, kart=kart), key=lambda t: seconds(t.belongs.time)):
        yield from ((trial, change) for change in (() if trial.dropped else trial.changes))


def alike(one: Any, other: Any) -> bool:
    """True for two settings that are the same, in whatever unit they are written."""
    try:
        return one is not None and same(units.parse(str(one)), units.parse(str(other)))
    except ValueError:
        return bool(one == other)


def _tried(journal: Journal, note: Note, levers: Sequence[str], until: float) -> dict[str, Any]:
    """Where levers stand by the changes that were tried since they were noted last; the others are left out."""
    since = {
        lever: last_turned(journal, note.kart, lever, until) or seconds(note.belongs.time) for lever in levers
    }
    stands: dict[str, Any] = {}
    for trial, change in _changes(journal, note.kart):
        if since.get(change.lever, until) < seconds(trial.belongs.time) <= until:
            before = mapping(trial.case.get("setup"))
            kept = change.to if trial.leaves(change) else None
            stands[change.lever] = kept.text if kept else before.get(change.lever)
    return {lever: value for lever, value in stands.items() if value is not None}


def standing(note: Note, file: Mapping[str, Any], tried: Mapping[str, Any], today: bool) -> Carried:
    """What of a run still stands, given the kart file as it is now and the settings as they were tried since."""
    known = note.filed
    rewritten = {k for k in (*file, *known) if file.get(k) != known.get(k)} if known is not None else set()
    aside = {k: tried.get(k, v) for k, v in note.aside.items() if k not in rewritten}
    cold = {}
    for place, value in note.cold.items():
        lever = f"tyre_pressure_{place.partition('_')[0]}"
        if lever not in rewritten:
            now = tried.get(lever, value)
            cold[place] = now if isinstance(now, str) else value
    return Carried(note, aside, cold, today)


def over(case: Case, told: Carried, book: Book) -> Case:
    """The case of a kart with what the diary tells of it on top."""
    data = as_data(case)
    setup = {**data.get("setup", {}), **told.setup}
    if told.tyre_laps is not None:
        setup["tyres"] = {**setup.get("tyres", {}), "laps": told.tyre_laps}
    day = told.note if told.today else Note("")
    weather = {k: v for k, v in day.conditions.items() if k.endswith("temperature")}
    told_of = {
        "setup": setup,
        "conditions": {**data.get("conditions", {}), **weather},
        "observed": {**data.get("observed", {}), **({"track": day.track_state} if day.track_state else {})},
    }
    whole = case_from_data({**data, **{k: v for k, v in told_of.items() if v}}, book)
    return in_liked_units(whole) if whole else case  # a row of another making: the file alone counts


def as_it_stands(
    journal: Journal, case: Case, book: Book, time: str, now: datetime
) -> tuple[Case, Carried | None]:
    """The case of a kart file as the kart stands at a local time, and what of the diary counts in it."""
    told = carried(journal, case, time, now) if case.kart_file else None
    return (over(case, told, book), told) if told else (case, None)


def words(told: Carried, book: Book, when: str = "") -> str:
    """What of the diary counts, and where it is from, to be said before any advice; empty where it is nothing."""
    each = [f"{book.levers[k].name} {_text(v)}" for k, v in told.setup.items() if k in book.levers]
    if told.today:
        temperatures = [v for k, v in told.note.conditions.items() if k.endswith("temperature")]
        each += [f"track {told.note.track_state}"] if told.note.track_state else []
        each += (
            [" and ".join(temperatures).replace(" degC", " °C").replace(" degF", " °F")]
            if temperatures
            else []
        )
    return (
        f"from {'the diary' if told.note.entry else 'what was tried'}{when}: {', '.join(each)}"
        if each
        else ""
    )


def _text(value: Any) -> str:
    return ", ".join(f"{k} {v}" for k, v in value.items()) if isinstance(value, dict) else str(value)


def but_for(case: Case, said: Mapping[str, object]) -> Case:
    """The case without what of the day is just said anew: the latest counts."""
    return replace(case, observed={k: v for k, v in case.observed.items() if k not in said})
