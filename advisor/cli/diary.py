"""`advisor diary`: a run noted at the kart, asked for or told in one line; an outcome and a sitting may come of it."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from advisor.cli import UNUSABLE, USED, WRONG_COMMAND, places, stamps
from advisor.cli import diary_drafts as drafts
from advisor.cli import waiting as which
from advisor.cli.desk import at_the_desk, has_terminal, prompts, say, sit
from advisor.cli.diary_options import LINES
from advisor.model.belonging import ASKED, Belonging
from advisor.problems import printable

if TYPE_CHECKING:
    from advisor.app.workspace import Workspace
    from advisor.journal.notes import Note
    from advisor.model.case import Case
    from advisor.terminal.prompts import Prompts

SHORT = which.SHORT


def run(options: argparse.Namespace) -> int:
    """`advisor diary`: status 1 and a sentence for what cannot be read."""
    if options.clock or options.match:
        from advisor.cli import logger

        return logger.clock(options) if options.clock else logger.match(options)
    typed = {name: text for name in LINES if (text := getattr(options, f"line_{name}")) is not None}
    if typed or options.outcome or options.service or _puts_right(options):
        return at_the_desk(options, lambda desk: _in_one_line(desk, options, typed))
    if not has_terminal():
        say(
            'Without a terminal say it in one line: advisor diary --words "pushes mid corner" --laps "45.31 45.40"'
        )
        return WRONG_COMMAND
    return at_the_desk(options, lambda desk: _asked(desk, options))


def _puts_right(options: argparse.Namespace) -> bool:
    """True where an entry is only put to its kart, its time or its place: nothing is left to ask."""
    alone = getattr(options, "kart", None) or options.time or places.told(options) != Belonging()
    return bool(options.correct and alone)


# --- in one line --------------------------------------------------------------------------------------


def _in_one_line(desk: Workspace, options: argparse.Namespace, typed: Mapping[str, str]) -> int:
    case = drafts.kart(desk, options, None)
    note, old = _as_typed(desk, options, typed, case), drafts.entry(desk, options)
    for text in drafts.left_behind(desk, old, note) if old else ():
        say(text)
    waits = which.chosen(options, desk.journal, note.belongs.kart) if options.outcome else None
    if options.outcome and waits is None:
        say(
            "No change is waiting for an outcome, so nothing was written down; leave --outcome out to note the run."
        )
        return UNUSABLE
    note = _write(desk, replace(note, open=False, trial=waits.id if waits else note.trial))
    told = desk.verdict(waits, options.outcome, note.words, driver=note.belongs.driver) if waits else ()
    along = _along(desk, old, note, case) if old else ()
    for text in (f"Noted: {_title(note)}.", *which.to_come([note.belongs]), *told, *along):
        print(printable(text))
    if note.aside and note.kart:
        print(
            printable(
                f"The kart file of {note.belongs.kart} stays as it is: advisor kart edit {note.belongs.kart}"
            )
        )
    _warn(desk, note, _as_case(desk, note, case))
    return USED


def _as_typed(desk: Workspace, options: argparse.Namespace, typed: Mapping[str, str], case: Case) -> Note:
    """The note with every line that was typed, and what was serviced."""
    from advisor.terminal.diary import BY_NAME

    note = drafts.corrected(desk, options, case) or drafts.draft(desk, options, case)
    for name, text in typed.items():
        try:
            note = BY_NAME[name].read(note, printable(text).strip(), desk.mind, case.units)
        except ValueError as error:
            drafts.refuse(f"--{name}: {error}")
    return replace(note, service=printable(options.service).strip()[:80] or note.service)


def _along(desk: Workspace, old: Note, note: Note, case: Case) -> list[str]:
    """What came of a note goes to its other kart too, and stands at no third one."""
    from advisor.app.moved import along, crossed_out
    from advisor.karts.written import as_data

    gone = along(desk, old, note, as_data(_as_case(desk, note, case))) if old.kart != note.kart else []
    return [*gone, *crossed_out(desk)]


def _warn(desk: Workspace, note: Note, told: Case) -> None:
    """Danger that was told stands until somebody has seen to it, as what a sitting was left at."""
    from advisor.app.left_standing import left_standing
    from advisor.app.left_standing import told as in_words
    from advisor.app.opening import when
    from advisor.interview import steps

    left = left_standing(desk.journal, desk.mind, note.belongs.kart) if note.belongs.kart else None
    if warning := _dangerous(desk, told):
        if left is None or (left.row.case.get("noted"), left.row.complaint) != (note.entry, told.complaint):
            desk.anew(told.complaint)
            desk.remember(steps.begin(desk.mind, told), False)
        print(printable(warning))
    elif left:
        text = in_words(left, when(left.at))
        print(printable(f"STOP: {text}. It is opened by advisor, there o."))


# --- asked for ----------------------------------------------------------------------------------------


def _asked(desk: Workspace, options: argparse.Namespace) -> int:
    from advisor.model.case import Case
    from advisor.terminal.prompts import DangerError

    session = prompts(desk)
    try:
        case = drafts.kart(desk, options, session)
        note = drafts.corrected(desk, options, case) or _begun(desk, session, case)
        if note is None:
            note = _of_the_day(desk, session, drafts.draft(desk, options, case))
            session.tell(f"{_title(note)}. Enter keeps what stands in brackets.")
    except DangerError as told:
        return _at_once(desk, session, Case(complaint=told.text))
    return _lines(desk, session, note, case)


def _lines(desk: Workspace, session: Prompts, note: Note, case: Case) -> int:
    """The lines of a note, and what comes of them; danger told in any of them comes first, and stands in the note."""
    from advisor.terminal.prompts import DangerError

    kept = [note if note.open else replace(note, answered=0)]
    try:
        return _to_the_end(desk, session, kept, case)
    except DangerError as error:
        words = f"{kept[-1].words}. {error.text}" if kept[-1].words else error.text
        note = _write(desk, replace(kept[-1], words=words, good=False, open=False))
        session.tell(f"Noted: {error.text}.")
        return _at_once(desk, session, _as_case(desk, note, case))


def _to_the_end(desk: Workspace, session: Prompts, kept: list[Note], case: Case) -> int:
    """Ask for what is left of a note; `kept` gets each version that was written down."""
    from advisor.terminal import diary

    def keep(told: Note) -> Note:
        kept.append(_write(desk, replace(told, open=True)))
        return kept[-1]

    note = diary.ask(session, kept[-1], case.units, keep)
    note = _with_outcome(desk, session, note)
    kept.append(_write(desk, replace(note, open=False)))
    note = _on_file(desk, session, kept[-1])
    kept.append(note)
    for text in (f"Noted: {_title(note)}.", *which.to_come([note.belongs])):
        session.tell(text)
    told = _as_case(desk, note, case)
    return _at_once(desk, session, told) if _dangerous(desk, told) else _after(desk, session, note, case)


def _at_once(desk: Workspace, session: Prompts, case: Case) -> int:
    """A sitting on danger that was told."""
    from advisor.app.sitting import of_case

    session.tell("What was said may mean danger: that comes first.")
    return sit(desk, of_case(desk, case))


def _dangerous(desk: Workspace, case: Case) -> str:
    """What forbids driving, or that it is to be asked about; empty where nothing that was said is dangerous."""
    from advisor.app.left_standing import warning
    from advisor.interview import steps

    return warning(desk.mind, steps.begin(desk.mind, case)) if case.complaint else ""


def _begun(desk: Workspace, session: Prompts, case: Case) -> Note | None:
    """A note that was left in the middle, if it is to be gone on with."""
    from advisor.journal.notes import begun, runs

    left = begun(desk.journal, case.kart_file)
    if left is None:
        for old in runs(desk.journal, 1, case.kart_file, {"day": stamps.local()[:10]}, unfinished=True):
            session.tell(
                f"A note of {which.when(old.belongs.time)} was left in the middle; to go on there: advisor diary "
                f"--correct {old.entry[:SHORT]}"
            )
        return None
    session.tell(f"You were in the middle of a note: {_title(left)}.")
    return left if session.agrees("Go on there?", "start anew") else None


def _of_the_day(desk: Workspace, session: Prompts, note: Note) -> Note:
    """Who drives, and where: asked once a day, where nobody told it yet."""
    from advisor.journal.belonging import known

    here = note.belongs
    before = known(desk.journal, here.kart, here.time, desk.now)
    if before.day == here.day:
        return note
    for name in ASKED[:2]:
        if getattr(here, name):
            continue
        old = getattr(before, name)
        session.tell(f"{name.capitalize()}{f' [{old}]' if old else ''}")
        here = replace(here, **{name: printable(session.line("> ", name=True))[:100] or old})
    return replace(note, belongs=here)


def _with_outcome(desk: Workspace, session: Prompts, note: Note) -> Note:
    """The outcome of the change of this kart that waits, told with the driver's words of this run."""
    from advisor.interview.choices import numbered
    from advisor.journal.trials import pending
    from advisor.model.case import VERDICTS

    waits = pending(desk.journal, note.belongs.kart)
    if waits is None or note.trial:
        return note
    session.tell(f"Waits for an outcome: {which.line(waits)}. better, same or worse? Enter: not driven yet")
    while text := session.line("> ", VERDICTS, name=True):
        place = numbered(VERDICTS, text)
        if place is not None:
            for told in desk.verdict(waits, VERDICTS[place], note.words, driver=note.belongs.driver):
                session.tell(told)
            return replace(note, trial=waits.id)
        session.tell("Please answer with better, same or worse, or Enter.")
    return note


def _on_file(desk: Workspace, session: Prompts, note: Note) -> Note:
    """Settings that were changed belong into the kart file, if the driver agrees."""
    from advisor.karts import on_file

    plain = {k: v for k, v in note.aside.items() if isinstance(v, str)}
    if desk.kart is None or not note.changed or not plain:
        return note
    each = ", ".join(f"{lever.replace('_', ' ')} {value}" for lever, value in plain.items())
    if not session.agrees(f"Write it into the kart file {desk.kart.name} too ({each})?"):
        return note
    written = {lever for lever, value in plain.items() if on_file.write_value(desk.kart.path, lever, value)}
    for lever in plain.keys() - written:
        session.tell(f"{desk.kart.path} has no plain value there; write it yourself: {lever}: {plain[lever]}")
    rest = {k: v for k, v in note.aside.items() if k not in written}
    return _write(desk, replace(note, aside=rest)) if written else note


def _after(desk: Workspace, session: Prompts, note: Note, case: Case) -> int:
    """Done, a line put right, or a sitting on what was said."""
    from advisor.terminal import diary

    while True:
        session.tell(f"Enter: done   g: what to change now   {'   '.join(LINES)}: put that line right")
        text = session.line("> ", tuple(LINES), name=True).casefold()
        name = next((n for n in LINES if text and n.startswith(text)), "") if text != "g" else ""
        if not text:
            return USED
        if text == "g":
            from advisor.app.sitting import of_case

            return sit(desk, of_case(desk, _as_case(desk, note, case)))
        if name:
            note = _write(desk, diary.ask_line(session, note, diary.BY_NAME[name], case.units))
            diary.told(session, note)


def _as_case(desk: Workspace, note: Note, case: Case) -> Case:
    """The case that a note tells: its words through the same ear, the setup as it stood, the weather."""
    from advisor.karts.noted import Carried, over

    whole = over(case, Carried(note, note.setup, {}, today=True), desk.mind.book)
    return replace(whole, complaint="" if note.good else note.words, noted=note.entry)


def _write(desk: Workspace, note: Note) -> Note:
    from advisor.journal.notes import append

    return append(desk.journal, *desk.stamp(), note)


def _title(note: Note) -> str:
    here = note.belongs
    parts = (here.kart, here.driver, here.track, here.session, which.when(here.time), note.entry[:SHORT])
    return ", ".join(part for part in parts if part)
