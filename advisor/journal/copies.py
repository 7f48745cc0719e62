"""Trials that were written anew for the kart to which their note went: one of them counts, that of the note's kart.

Two laptops may put one note to two karts, neither knowing of the other; the note ends at one of them, and what was
booked for the other is crossed out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256

from advisor.journal import notes
from advisor.journal.belonging import as_row, belongs
from advisor.journal.events import Event
from advisor.journal.store import Journal
from advisor.journal.trials import Trial, latest, verdict_event
from advisor.journal.verdicts import of

LOOKED_THROUGH = 200  # of the latest trials, and of the latest sittings


def copy_id(ident: str, where: str) -> str:
    """The id of what is written anew for a kart, or of a verdict for a trial: the same on every laptop."""
    return sha256(f"{ident} {where}".encode()).hexdigest()[:32]


@dataclass(frozen=True, slots=True)
class Stray:
    """A trial of a kart to which its note did not go after all, and the one that counts."""

    trial: Trial
    counts: Trial


def cross_out(journal: Journal, fresh: Callable[[], tuple[str, str]]) -> list[Stray]:
    """Cross out what was booked for karts to which a note did not go after all; an outcome told there goes along.

    `fresh`: an id and the time now.
    """
    found = list(_strays(journal))
    for stray in found:
        said = of(journal, stray.trial.id)
        told = [event for event in said if event.body["verdict"] != "dropped"]
        if told and stray.counts.verdict is None:
            journal.append(_told_anew(told[-1], stray, journal.stamp(fresh()[1])))
        ident, now = fresh()
        why, known = f"it was on {stray.counts.belongs.kart}", [event.id for event in said]
        event = verdict_event(
            ident,
            journal.stamp(now),
            stray.trial.id,
            "dropped",
            why,
            replaces=known,
            where=stray.trial.belongs,
        )
        journal.append(event)
    return found


def _strays(journal: Journal) -> Iterator[Stray]:
    of_note: dict[str, list[Trial]] = {}
    for trial in latest(journal, LOOKED_THROUGH):
        of_note.setdefault(str(trial.case.get("noted") or ""), []).append(trial)
    for entry, trials in of_note.items():
        note = next((n for n in notes.by_entry(journal, entry) if n.entry == entry), None)
        if note is None or len(trials) == 1:
            continue
        counts = {_first(t, trials): t for t in trials if t.kart == note.kart and not t.dropped}
        for trial in trials:
            one = counts.get(_first(trial, trials))
            if one and trial.kart != note.kart and _stands(journal, trial):
                yield Stray(trial, one)


def _first(trial: Trial, trials: Sequence[Trial]) -> str:
    """The id of the trial that one was made of, copy by copy."""
    before = next((t for t in trials if copy_id(t.id, trial.belongs.kart) == trial.id), None)
    return _first(before, trials) if before else trial.id


def _stands(journal: Journal, trial: Trial) -> bool:
    """True where a trial counts, or would if it were not crossed out by one who knew less."""
    return not trial.dropped or any(event.body["verdict"] != "dropped" for event in of(journal, trial.id))


def _told_anew(said: Event, stray: Stray, at: str) -> Event:
    """An outcome that was told of the stray, as one of the trial that counts, by whoever drove that."""
    here, there = belongs(said), stray.counts.belongs
    driver = there.driver if here.driver == stray.trial.belongs.driver else here.driver
    where = as_row(replace(here, kart=there.kart, driver=driver))
    body = {**said.body, "trial": stray.counts.id, "replaces": [], "belongs": where}
    return Event(copy_id(said.id, stray.counts.id), at, "verdict", body)
