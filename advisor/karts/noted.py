"""The kart as it stands now: its file, and over it what the diary tells of it.

What a run was noted with stands until another run, or the file, says otherwise: settings, cold pressures and the laps
on the tyres from day to day, temperatures and the state of the track on their own day only. A setting of the kart
file counts where the file was written later, which is to say where it has another value there than it had when the run
was noted. A change that was tried later, and helped, is on the kart instead of what was noted before it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from advisor.journal.belonging import seconds
from advisor.journal.notes import Note, last
from advisor.journal.store import Journal
from advisor.journal.trials import Trial, found
from advisor.karts import corners
from advisor.karts.written import as_data, case_from_data
from advisor.model.case import Case, in_liked_units
from advisor.model.knowledge import Book

LATEST = 20  # trials of the kart that are looked through for changes since its run


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
    """What the run before a local time tells of the kart of a case; None where none was noted."""
    note = last(journal, case.kart_file, time, now)
    if note is None:
        return None
    tried = [
        t for t in found(journal, LATEST, kart=note.kart) if t.verdict == "better" and not t.is_to_come(now)
    ]
    since = seconds(note.belongs.time)
    later = [t for t in tried if since < seconds(t.belongs.time) <= seconds(time)]
    return standing(note, filed(case), later, today=note.belongs.day == time[:10])


def standing(note: Note, file: Mapping[str, Any], helped: list[Trial], today: bool) -> Carried:
    """What of a run still stands, given the kart file as it is now and the changes that helped since."""
    rewritten = {
        k for k in (*file, *(note.filed or {})) if note.filed is not None and file.get(k) != note.filed.get(k)
    }
    moved = {c.lever: c.to.text for trial in helped for c in trial.changes if c.to}
    aside = {k: moved.get(k, v) for k, v in note.aside.items() if k not in rewritten}
    cold = {}
    for place, value in note.cold.items():
        lever = f"tyre_pressure_{place.partition('_')[0]}"
        if lever not in rewritten:
            cold[place] = moved.get(lever, value)
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


def words(told: Carried, book: Book) -> str:
    """What of the diary counts, to be said before any advice; empty where it is nothing."""
    each = [f"{book.levers[k].name} {_text(v)}" for k, v in told.setup.items() if k in book.levers]
    if told.today:
        temperatures = [v for k, v in told.note.conditions.items() if k.endswith("temperature")]
        each += [f"track {told.note.track_state}"] if told.note.track_state else []
        each += (
            [" and ".join(temperatures).replace(" degC", " °C").replace(" degF", " °F")]
            if temperatures
            else []
        )
    return ", ".join(each)


def _text(value: Any) -> str:
    return ", ".join(f"{k} {v}" for k, v in value.items()) if isinstance(value, dict) else str(value)


def but_for(case: Case, said: Mapping[str, object]) -> Case:
    """The case without what of the day is just said anew: the latest counts."""
    return replace(case, observed={k: v for k, v in case.observed.items() if k not in said})
