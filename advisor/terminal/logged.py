"""The screen of `advisor diary --match`: each logged run with what was noted beside it."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median

from advisor.journal.belonging import moment
from advisor.journal.logger import Matched
from advisor.journal.notes import Note
from advisor.journal.past import Setup, setup_of
from advisor.terminal import show
from advisor.terminal.diary import pressures_of, tyres_of, weather_of
from advisor.terminal.screen import Screen

SHOWN = (
    "axle_stiffness",
    "rear_track_width",
    "front_track_width",
    "caster",
    "gearing",
)  # asked for first in a review


def answer(out: Screen, found: Sequence[Matched], zone: str, told: bool) -> None:
    """Runs and notes in the order of time; `zone`: a local time, in whose offset a run without a note is shown."""
    if not told:
        show.line(
            out,
            "The logger's clock is taken to show local time. If it does not, tell it once: "
            "advisor diary --clock SHOWN=RIGHT",
        )
    before: Setup = {}
    for mate in found:
        show.line(out, _title(mate, zone), 0, "bold")
        if mate.run and mate.run.laps:
            laps = mate.run.laps
            show.line(out, f"{len(laps)} laps, best {min(laps):.2f} s, median {median(laps):.2f} s", 2)
        if mate.note is None:
            show.line(out, "No note lies near this time.", 2)
            continue
        if mate.run is None:
            show.line(out, "The logger has no run near this time.", 2)
        if mate.doubtful:
            show.line(out, _doubt(mate), 2, "bold")
        for text in _beside(mate.note, before):
            show.line(out, text, 2, hang=2)
        before = setup_of(mate.note.setup)


def _doubt(mate: Matched) -> str:
    """That a run and its note lie far apart, and what settles it."""
    entry = mate.note.entry[:8] if mate.note else ""
    return (
        f"Doubtful: the note is {mate.off / 60:.0f} min off this run, and may be of another. If it is of this one, put "
        f"its time right: advisor diary --correct {entry} --time TIME"
    )


def _title(mate: Matched, zone: str) -> str:
    at = moment(mate.note.belongs.time if mate.note else zone)
    local = mate.began.astimezone(at.tzinfo) if mate.began and at else at
    when = f"{local:%Y-%m-%d %H:%M}" if local else "at an unknown time"
    name = f"run {mate.run.name}" if mate.run else "no run"
    note = f"note {mate.note.entry[:8]}" if mate.note else "no note"
    kart = mate.note.belongs.kart if mate.note else ""
    return ", ".join(x for x in (when, name, note, kart) if x)


def _beside(note: Note, before: Setup) -> list[str]:
    now = setup_of(note.setup)
    setup = {k: v for k, v in now.items() if k in SHOWN or before.get(k, v) != v}
    each = ", ".join(f"{k.replace('_', ' ')} {v}" for k, v in setup.items())
    rows = (
        ("weather", weather_of(note)),
        ("tyres", tyres_of(note)),
        ("pressures", pressures_of(note)),
        ("setup", each),
        ("said", note.words),
    )
    return [f"{name}: {text}" for name, text in rows if text]
