"""What a note of the diary begins with: the kart, what was known before, or the entry that is corrected."""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, NoReturn

from advisor.cli import places
from advisor.cli.desk import say
from advisor.cli.stamps import local_at, offset_then
from advisor.cli.waiting import SHORT
from advisor.journal.belonging import seconds
from advisor.model.belonging import kart_name
from advisor.problems import Problem, UnusableError, printable

if TYPE_CHECKING:
    from advisor.app.workspace import Workspace
    from advisor.journal.notes import Note
    from advisor.model.case import Case
    from advisor.terminal.prompts import Prompts


def kart(desk: Workspace, options: argparse.Namespace, session: Prompts | None) -> Case:
    """The case of the kart that is meant, asked for where several are on file. Raises UnusableError."""
    from advisor.karts import on_file
    from advisor.model.case import Case, in_liked_units

    names = on_file.names(desk.karts)
    name = getattr(options, "kart", None) or (names[0] if len(names) == 1 else "")
    if (old := entry(desk, options)) is not None and getattr(options, "kart", None) is None:
        name = next((n for n in names if kart_name(n) == old.kart), "")
    if session is not None and not name:
        name = session.which_kart(names) or ""
        names = [name]
    if not name and len(names) > 1 and not options.correct:
        refuse(f"which kart? Say it with --kart (on file: {', '.join(names)})")
    if not name:
        return Case()
    desk.kart = on_file.read(desk.karts, name, desk.mind.book)
    for text in desk.kart.warnings:
        say(f"Look again at the kart file: {text}")
    return in_liked_units(desk.kart.case)


def draft(desk: Workspace, options: argparse.Namespace, case: Case) -> Note:
    """A new note with all that was known before: today's weather, the setup as it stood after the run before."""
    from advisor.journal.notes import Note, as_written
    from advisor.journal.versions import TYRES
    from advisor.karts import corners
    from advisor.karts.noted import carried, filed

    try:
        time = local_at(options.time, options.zone) if options.time else ""
    except ValueError as error:
        refuse(f"--time: {error}")
    here = places.place(options, desk.journal, case.kart_file, desk.kart, time)
    before = carried(desk.journal, case, here.time, desk.now)
    setup, entry = filed(case), desk.stamp()[0]
    if before is None:
        return Note(entry, here, setup=setup, filed=setup)
    note = before.note
    then = as_written(desk.journal, note.entry).belongs.tyres if note.entry else ""
    tyres = note.belongs.tyres if here.tyres in ("", then) else here.tyres
    same = tyres == note.belongs.tyres
    stays = {
        k: v for k, v in before.cold.items() if note.cold.get(k) == v
    }  # the others were turned by a trial
    weather = here.weather or (note.belongs.weather if before.today else "")
    return Note(
        entry,
        replace(here, tyres=tyres, weather=weather),
        setup={**setup, **before.setup},
        aside=dict(before.aside),
        filed=setup,
        conditions=dict(note.conditions) if before.today else {},
        track_state=note.track_state if before.today else "",
        tyre_laps=before.tyre_laps if same else None,
        cold=dict(before.cold),
        carried=(*((TYRES,) if same and note.entry else ()), *corners.as_setup(stays)),
    )


def entry(desk: Workspace, options: argparse.Namespace) -> Note | None:
    """The entry that is to be corrected, as it stands."""
    from advisor.journal.notes import by_entry

    if not options.correct:
        return None
    found = by_entry(desk.journal, options.correct)
    if len(found) != 1:
        what = "is the beginning of several entries" if found else "is no entry"
        refuse(f'"{printable(options.correct)[:40]}" {what}; advisor history shows them')
    return found[0]


def corrected(desk: Workspace, options: argparse.Namespace, case: Case) -> Note | None:
    """The next version of the entry that is to be corrected: its kart, place and time put right, the rest as it was.

    A time of day alone leaves the day as it is.
    """
    note = entry(desk, options)
    if note is None:
        return None
    if note.differing:
        from advisor.terminal.history import in_two_ways

        say(f"It was {in_two_ways(note.entry, note.differing)}. What stands after this counts.")
    here = note.belongs
    try:
        zone = options.zone or offset_then(here.time)
        time = local_at(options.time, zone, here.day) if options.time else here.time
    except ValueError as error:
        refuse(f"--time: {error}")
    if getattr(options, "kart", None) is not None and kart_name(case.kart_file) != note.kart:
        note = _moved(desk, options, replace(note, belongs=replace(here, time=time)), case)
    return replace(note, belongs=places.told(options).over(replace(note.belongs, time=time)))


def _moved(desk: Workspace, options: argparse.Namespace, note: Note, case: Case) -> Note:
    """A note that was written of another kart: what was told of the run goes along, how that kart stood does not."""
    from advisor.journal.versions import TYRES
    from advisor.karts import corners, jotted
    from advisor.karts.noted import carried, filed

    there = note.belongs
    before = carried(desk.journal, case, there.time, desk.now)
    try:
        turned = jotted.changes(note.changed, desk.mind.book, case.units)
    except ValueError:  # kept as words
        turned = {}
    aside, file = {**(before.aside if before else {}), **turned}, filed(case)
    here = places.place(options, desk.journal, case.kart_file, desk.kart, there.time)
    note = replace(note, cold={**_of(note.carried, before.cold if before else {}), **_told(note)})
    if TYRES in note.carried:
        tyres = before.note.belongs.tyres if before else ""
        there = replace(there, tyres=tyres)
        note = replace(note, tyre_laps=before.tyre_laps if before else None)
    usual = _usual(desk, there.kart)
    assumed = {k: getattr(here, k) for k, v in usual.items() if v and v == getattr(there, k)}
    return replace(
        note,
        belongs=replace(there, kart=case.kart_file, **assumed),
        setup={**file, **aside, **corners.as_setup(note.cold)},
        aside=aside,
        filed=file,
    )


def left_behind(desk: Workspace, old: Note, note: Note) -> list[str]:
    """What a note that goes to another kart leaves with its first one: the outcome told with it, and who drove."""
    if old.kart == note.kart:
        return []
    texts = []
    if old.trial:
        texts.append(
            f"The outcome that was told with it stays with the change of {old.belongs.kart}; to put that right: "
            f"advisor outcome VERDICT --trial {old.trial[:SHORT]}"
        )
    if after := ", ".join(n.entry[:SHORT] for n in _driven_after(desk, old)):
        texts.append(
            f"Noted of {old.belongs.kart} after it, with {old.belongs.driver} driving too: {after}; "
            "if somebody else drove: advisor diary --correct ENTRY --driver NAME"
        )
    return texts


def _driven_after(desk: Workspace, old: Note) -> list[Note]:
    """The runs of that day noted after it that have its driver from it, where it told of another than usual."""
    from advisor.journal.notes import runs

    driver = old.belongs.driver
    if not driver or driver == _usual(desk, old.kart).get("driver"):
        return []
    of_day = (
        n for n in runs(desk.journal, 99, old.kart, {"day": old.belongs.day}) if n.belongs.driver == driver
    )
    return [n for n in of_day if seconds(n.belongs.time) > seconds(old.belongs.time)]


def _of(levers: Sequence[str], cold: Mapping[str, str]) -> dict[str, str]:
    """The cold pressures of some levers."""
    return {place: v for place, v in cold.items() if f"tyre_pressure_{place.partition('_')[0]}" in levers}


def _told(note: Note) -> dict[str, str]:
    """The cold pressures that were told of a run."""
    return {place: v for place, v in note.cold.items() if place not in _of(note.carried, note.cold)}


def _usual(desk: Workspace, name: str) -> dict[str, str]:
    """Who usually drives a kart, and where, by its file: nobody told it of this run."""
    from advisor.karts import on_file

    try:
        file = on_file.read(desk.karts, name, desk.mind.book) if name else None
    except UnusableError:
        file = None
    return {"driver": file.driver, "track": file.track} if file else {}


def refuse(text: str) -> NoReturn:
    """One sentence, and the note is not written."""
    raise UnusableError([Problem("diary", 1, 1, text)])
