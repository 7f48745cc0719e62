"""What came of a note that goes to another kart goes along: the sittings that it opened, and what was tried in them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from advisor.app import named
from advisor.app.workspace import Workspace
from advisor.journal.belonging import as_row, belongs
from advisor.journal.copies import LOOKED_THROUGH, Stray, copy_id, cross_out
from advisor.journal.events import Event
from advisor.journal.notes import Note
from advisor.journal.rows import mapping
from advisor.journal.sittings import sitting_event, sittings
from advisor.journal.trials import Trial, anew, begun, found
from advisor.journal.verdicts import of
from advisor.karts.noted import alike
from advisor.model.belonging import Belonging

OF_THE_KART = ("kart", "kit", "rules", "units", "kart_file")  # parts of a case that its file tells


def along(desk: Workspace, old: Note, note: Note, stands: Mapping[str, Any]) -> list[str]:
    """Write down anew, for the kart that a note went to, what came of it; what there is to say of that.

    `stands`: the case of that kart as the run found it, as data. What was written of the first kart is crossed out.
    """
    new: dict[str, str] = {}
    for trial in found(desk.journal, LOOKED_THROUGH, kart=old.kart):
        if trial.case.get("noted") == note.entry and not trial.dropped:
            new[trial.id] = _booked(desk, trial, old, note, stands)
    for sitting in sittings(desk.journal, LOOKED_THROUGH):
        if sitting.row.case.get("noted") == note.entry:
            case = _case(sitting.row.case, old, stands)
            row = sitting.row.model_copy(
                update={"case": case, "trial": new.get(sitting.row.trial, sitting.row.trial)}
            )
            desk.journal.append(sitting_event(*desk.stamp(), row))
    moved = filter(None, map(desk.find, new.values()))
    return [f"Goes along with it: {named.line(trial, desk.now, ident=True)}." for trial in moved]


def crossed_out(desk: Workspace) -> list[str]:
    """Cross out what two laptops booked for two karts; what there is to say of it."""
    return [not_of(stray, desk.now) for stray in cross_out(desk.journal, desk.fresh)]


def not_of(stray: Stray, now: datetime) -> str:
    """That a trial is crossed out, because its note went to another kart."""
    return f"Crossed out, as the run is of {stray.counts.belongs.kart}: {named.line(stray.trial, now, ident=True)}."


def _booked(desk: Workspace, trial: Trial, old: Note, note: Note, stands: Mapping[str, Any]) -> str:
    """A trial written anew with what was said of it; its id.

    Two laptops that do so write the same ids, so that it comes once. Where a lever stood otherwise on the first kart
    it is not known where the change left it.
    """
    kart, said, case = note.belongs.kart, of(desk.journal, trial.id), _case(trial.case, old, stands)
    desk.drop(trial, f"it was on {kart}")
    before, now = mapping(trial.case.get("setup")), case["setup"]
    first, *beside = (
        change
        if alike(before.get(change.lever), now.get(change.lever))
        else change.model_copy(update={"to": None})
        for change in trial.changes
    )
    ident = copy_id(trial.id, kart)
    if begun(desk.journal, ident):  # it was there and back already
        ident = desk.stamp()[0]
    there = replace(trial, case=case, change=first, beside=tuple(beside))
    desk.journal.append(anew(there, ident, desk.stamp()[1], _place(trial.belongs, old, note)))
    for event in said:
        where = as_row(_place(belongs(event), old, note))
        told = {**event.body, "trial": ident, "replaces": [], "belongs": where}
        desk.journal.append(Event(copy_id(event.id, ident), desk.stamp()[1], "verdict", told))
    return ident


def _place(here: Belonging, old: Note, note: Note) -> Belonging:
    """Where an event of the first kart belongs: to the other, with whoever drives that where nobody was named."""
    driver = note.belongs.driver if here.driver == old.belongs.driver else here.driver
    return replace(here, kart=note.belongs.kart, driver=driver)


def _case(case: Mapping[str, Any], old: Note, stands: Mapping[str, Any]) -> dict[str, Any]:
    """A case of the first kart told of the other: what the kart is and how it stood is its own, what was said stays.

    What was changed since the note counts on the other kart too.
    """
    setup = mapping(case.get("setup"))
    since = {k: v for k, v in setup.items() if k != "tyres" and not alike(v, old.setup.get(k))}
    whole = {**case, **{k: stands.get(k) for k in OF_THE_KART}, "setup": {**stands.get("setup", {}), **since}}
    return {k: v for k, v in whole.items() if v is not None}
