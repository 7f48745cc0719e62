"""The diary at the kart: a run noted in a few short lines, each with what stood there before; Enter keeps it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from advisor.app import danger, felt, hear
from advisor.journal.notes import Note
from advisor.journal.versions import TYRES
from advisor.karts import corners, jotted
from advisor.reasoning.weighing import Mind
from advisor.terminal import show
from advisor.terminal.prompts import DangerError, Prompts

Units = Mapping[str, str]  # dimension -> unit that is liked


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a note: what is asked, what stands there now, and how what is typed is taken in.

    `read` raises ValueError with a sentence.
    """

    name: str
    asks: str
    stands: Callable[[Note], str]
    read: Callable[[Note, str, Mind, Units], Note]


def _weather(note: Note, text: str, mind: Mind, _: Units) -> Note:
    found = jotted.weather(text, mind.book)
    return replace(
        note,
        belongs=replace(note.belongs, weather=found.words or note.belongs.weather),
        conditions={**note.conditions, **found.conditions},
        track_state=found.state or note.track_state,
    )


def _tyres(note: Note, text: str, _: Mind, __: Units) -> Note:
    name, laps = jotted.tyres(text)
    other = bool(name) and name != note.belongs.tyres
    known = laps if laps is not None or other else note.tyre_laps
    belongs, carried = replace(note.belongs, tyres=name or note.belongs.tyres), _but(note.carried, TYRES)
    return replace(note, belongs=belongs, tyre_laps=known, carried=carried)


def _but(each: Sequence[str], *told: str) -> tuple[str, ...]:
    """What is still carried on when something is told."""
    return tuple(name for name in each if name not in told)


def _pressures(note: Note, text: str, _: Mind, wishes: Units) -> Note:
    cold, hot = corners.pressures(text, wishes.get("pressure", ""))
    carried = _but(note.carried, *corners.as_setup(cold))
    cold, hot = corners.over(note.cold, cold), corners.over(note.hot, hot)
    setup = corners.as_setup(cold)
    moved = [lever for lever, value in setup.items() if note.setup.get(lever, value) != value]
    turned = (*(k for k in note.turned if k not in setup), *moved)
    return replace(note, cold=cold, hot=hot, setup={**note.setup, **setup}, turned=turned, carried=carried)


def _changed(note: Note, text: str, mind: Mind, wishes: Units) -> Note:
    if text.casefold() in ("no", "none", "nothing", "n"):
        return replace(note, changed="", turned=_pumped(note))
    found = jotted.changes(text, mind.book, wishes)
    turned = (*_pumped(note), *found)
    return replace(
        note, changed=text, setup={**note.setup, **found}, aside={**note.aside, **found}, turned=turned
    )


def _pumped(note: Note) -> tuple[str, ...]:
    """The levers that were turned by the line of the pressures, which that of the changes leaves as they are."""
    return tuple(lever for lever in note.turned if lever in corners.as_setup(note.cold))


def _words(note: Note, text: str, mind: Mind, _: Units) -> Note:
    good = hear.is_good(text) and not danger.complains(mind, text)
    return replace(note, words=text, good=good, fault="" if good else felt.fault(mind, text))


def _laps(note: Note, text: str, _: Mind, __: Units) -> Note:
    return replace(note, laps=jotted.laps(text), laps_typed=text)


def weather_of(note: Note) -> str:
    """The weather of a note in one line."""
    names = {"air_temperature": "air", "track_temperature": "track", "wind": "wind"}
    values = [f"{name} {note.conditions[key]}" for key, name in names.items() if key in note.conditions]
    words = note.belongs.weather
    state = "" if note.track_state in words.split() else note.track_state
    return ", ".join(x for x in (words, *values, state) if x).replace(" degC", " °C").replace(" degF", " °F")


def tyres_of(note: Note) -> str:
    """The tyres of a note in one line."""
    laps = "" if note.tyre_laps is None else f"{note.tyre_laps} laps"
    return ", ".join(x for x in (note.belongs.tyres, laps) if x)


def pressures_of(note: Note) -> str:
    """Cold and hot pressures, by end or by corner."""
    cold, hot = corners.shown(note.cold), corners.shown(note.hot)
    return f"{cold} > {hot}" if hot else cold


LINES = (
    Line("weather", "Weather, air and track temperature, wind, dry or wet", weather_of, _weather),
    Line("tyres", "Tyres: which set, laps on them", tyres_of, _tyres),
    Line("pressures", "Pressures cold > hot: all, front rear, or each corner", pressures_of, _pressures),
    Line("changed", "Changed since the run before", lambda note: note.changed, _changed),
    Line("words", "What does it do? good, if it is right", lambda note: note.words, _words),
    Line("laps", "Laps", lambda note: note.laps_typed, _laps),
)
BY_NAME = {line.name: line for line in LINES}


def ask(prompts: Prompts, note: Note, wishes: Units, keep: Callable[[Note], Note]) -> Note:
    """Ask for the lines that were not answered yet; each answer is kept before the next is asked."""
    for line in LINES[note.answered :]:
        note = keep(replace(ask_line(prompts, note, line, wishes), answered=note.answered + 1))
    return note


def ask_line(prompts: Prompts, note: Note, line: Line, wishes: Units) -> Note:
    """Ask for one line until it can be read; Enter keeps what stands there.

    Danger told elsewhere than in the words raises DangerError.
    """
    stands = line.stands(note)
    show.line(prompts.out, f"{line.asks}{f' [{stands}]' if stands else ''}")
    before = ""
    while text := prompts.line("> "):
        if line.name != "words" and hear.found(text) != "mended" and danger.told(prompts.mind, text).answers:
            raise DangerError(text)
        try:
            return line.read(note, text, prompts.mind, wishes)
        except ValueError as error:
            if line.name == "changed" and text == before:
                return replace(note, changed=text)  # kept as words
            again = " The same again: keep it as words." if line.name == "changed" else ""
            show.line(prompts.out, f"{error}. Enter: leave it out.{again}", 2)
            before = text
    return note


def told(prompts: Prompts, note: Note) -> None:
    """The note as it was understood."""
    for line in LINES:
        if text := line.stands(note):
            show.line(prompts.out, f"{line.name}: {text}", 2, hang=2)
    if note.changed:
        each = ", ".join(f"{lever.replace('_', ' ')} {value}" for lever, value in note.aside.items())
        show.line(prompts.out, f"not in the kart file: {each}", 2, hang=2) if each else None
