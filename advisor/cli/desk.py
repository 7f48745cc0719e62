"""The desk: journal, knowledge and terminal at hand, for the interview and for what came of a change."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from advisor.cli import UNUSABLE, USED, WRONG_COMMAND, journal_path, stamps, team
from advisor.cli.scoring import REMEMBERED, past, told
from advisor.cli.stamps import stamp
from advisor.model.case import Case, Laps, Past, Tried, Verdict
from advisor.problems import UnusableError, printable

if TYPE_CHECKING:
    from advisor.book.garage import Kart
    from advisor.interview.steps import State
    from advisor.journal.rows import Change
    from advisor.journal.store import Event, Journal
    from advisor.journal.trials import Trial
    from advisor.model.advice import Advice
    from advisor.model.belonging import Belonging
    from advisor.terminal.session import Session

RECENT = 20  # trials whose complaints are offered again, the latest


def say(text: str) -> None:
    """A sentence on standard error."""
    print(printable(text), file=sys.stderr)


def has_terminal() -> bool:
    """True when there is somebody to ask: both ends are a terminal."""
    return all(s is not None and s.isatty() for s in (sys.stdin, sys.stdout))


def interview(options: argparse.Namespace) -> int:
    """`advisor`: ask for the outcome of the last change first, then hear the complaint."""
    if not has_terminal():
        say(
            "The interview needs a terminal; without one, write a case file and run: advisor advise CASE.yaml"
        )
        return WRONG_COMMAND

    def play(desk: Desk) -> int:
        from advisor.journal.sittings import unfinished

        session = desk.session()
        case = _kart_first(desk, session)
        waiting = _waiting(desk, case)
        if waiting is not None and _outcome_of(desk, waiting, session=session):
            return USED
        named = getattr(options, "kart", None)
        kart = case.kart_file if case else named
        left = unfinished(desk.journal, kart)
        begun = case_from_data(left.row.case, desk.mind.book) if left else None
        if left is not None and begun is not None and session.go_on(_with_kart(left.row.complaint, begun)):
            row, desk.sitting = left.row, left.row.sitting
            answers = [(question, given) for question, given in row.answers]
            session.resume(
                replace(begun, past=desk.past),
                row.complaint,
                row.asked,
                frozenset(row.skipped),
                answers,
                row.enough,
            )
            return USED
        case = case if case is not None else kart_at_hand(options, desk, session)
        _ask_the_day(desk, session, case.kart_file)
        session.interview(replace(case, past=desk.past))
        return USED

    from advisor.book.written import case_from_data

    return at_the_desk(options, play)


def _kart_first(desk: Desk, session: Session) -> Case | None:
    """The kart that was named or, where changes of several karts wait for an outcome, that is asked for."""
    from advisor.journal.trials import waiting

    if getattr(desk.options, "kart", None) or len({trial.kart for trial in waiting(desk.journal)}) > 1:
        return kart_at_hand(desk.options, desk, session)
    return None


def _waiting(desk: Desk, case: Case | None) -> Trial | None:
    """The change that is asked about: one of this kart, or the only kart's that waits."""
    from advisor.journal.trials import pending

    return pending(desk.journal, case.kart_file if case else None)


def _with_kart(complaint: str, case: Case) -> str:
    return f"{complaint or 'no complaint typed'} ({case.kart_file})" if case.kart_file else complaint


def kart_at_hand(options: argparse.Namespace, desk: Desk, session: Session) -> Case:
    """The kart named, the only one on file, the one chosen of several, or none."""
    from advisor.book import garage
    from advisor.cli.karts import garage_path
    from advisor.model.case import in_liked_units
    from advisor.terminal import show

    place = garage_path(options)
    name = getattr(options, "kart", None) or session.which_kart(garage.names(place))
    if not name:
        return Case()
    desk.kart = garage.read(place, name, desk.mind.book)
    for text in desk.kart.warnings:
        show.line(session.out, f"Look again at the kart file: {text}")
    return in_liked_units(desk.kart.case)


def _ask_the_day(desk: Desk, session: Session, kart: str) -> None:
    """Once a day, where it was told on an earlier one: is it still the same driver at the same track?"""
    from advisor.cli.places import to_ask
    from advisor.journal.belonging import known
    from advisor.journal.notes import Note, note_event

    before, here = known(desk.journal, kart), desk.place(kart)
    if not (open_ := to_ask(here, before)):
        return
    for name in open_:
        session.tell(f"{name.capitalize()} today? Enter: {getattr(before, name)}")
        said = printable(session.line("> "))[:100]
        here = replace(here, **{name: said or getattr(before, name)})
    desk.write(note_event(*desk.stamp(), Note(entry=desk.stamp()[0], belongs=here, day_only=True)))


def outcome(options: argparse.Namespace) -> int:
    """`advisor outcome [VERDICT]`: write down what came of a change and give the next one."""

    def play(desk: Desk) -> int:
        from advisor.cli import waiting as which

        waiting = which.chosen(options, desk.journal)
        if waiting is None:
            say("No change is waiting for an outcome: run advisor, choose a change and drive it first.")
            return UNUSABLE
        if options.verdict is None and not has_terminal():
            say("Say what came of it: advisor outcome better, same or worse.")
            return WRONG_COMMAND
        given = (options.verdict, printable(options.note)) if options.verdict else None
        _outcome_of(desk, waiting, given)
        return USED

    return at_the_desk(options, play)


class Desk:
    """A journal and a mind at hand, and how to write an event into the one from the other."""

    def __init__(self, journal: Journal, options: argparse.Namespace) -> None:
        from advisor.cli.karts import garage_path
        from advisor.reasoning.advise import make_ready

        book, ear = team.book(options), team.ear(options)
        self.journal = journal
        self.options = options
        self.garage = garage_path(options)
        self.kart: Kart | None = None  # on file, once it is known which
        self.mind = make_ready(book, ear)
        self.sitting = ""

    @property
    def judged(self) -> list[Trial]:
        """The latest trials that have an outcome, without those dated in the future."""
        from advisor.journal.trials import counted, latest

        return counted(latest(self.journal, REMEMBERED, "judged"), stamps.now())[0]

    @property
    def past(self) -> tuple[Past, ...]:
        """What the team has tried so far."""
        return past(self.judged)

    def place(self, kart: str) -> Belonging:
        """Where an event of this kart belongs now."""
        from advisor.cli.places import place

        return place(self.options, self.journal, kart, self.kart)

    def stamp(self) -> tuple[str, str]:
        """A fresh id, and the time now or, where a clock was wrong, just after all that is known."""
        ident, at = stamp()
        return ident, self.journal.stamp(at)

    def session(self) -> Session:
        from advisor.journal.trials import latest
        from advisor.terminal.ask import asker
        from advisor.terminal.screen import screen
        from advisor.terminal.session import Session

        said = [t.complaint for t in latest(self.journal, RECENT) if t.complaint]
        session = Session(self.mind, asker(said), screen(), self.keep, self.remember)
        for text in told(self.journal):
            session.tell(f"Note: {text}.")
        return session

    def remember(self, state: State, done: bool) -> None:
        """Write down how far an interview has come."""
        from advisor.book.written import as_data
        from advisor.interview.steps import settled
        from advisor.journal.sittings import SittingRow, sitting_event

        self.sitting = self.sitting or self.stamp()[0]
        row = SittingRow(
            sitting=self.sitting,
            complaint=state.case.complaint[:8000],
            case=as_data(settled(self.mind, state)),
            asked=state.asked,
            skipped=sorted(state.skipped),
            answers=[list(given) for given in state.answers],
            enough=state.enough,
            done=done,
        )
        self.write(sitting_event(*self.stamp(), row))

    def keep(self, complaint: str, case: Case, advice: Advice, *beside: Advice) -> None:
        from advisor.book.written import as_data
        from advisor.journal.trials import trial_event

        where = self.place(case.kart_file)
        self.journal.append(
            trial_event(*self.stamp(), complaint, as_data(case), advice, *beside, where=where)
        )

    def write(self, event: Event) -> None:
        self.journal.append(event)


def at_the_desk(options: argparse.Namespace, play: Callable[[Desk], int]) -> int:
    """Open journal and knowledge, and play; what goes wrong becomes a sentence and a status."""
    from advisor.journal.store import Journal, JournalError
    from advisor.terminal.prompts import LeaveError

    try:
        with Journal(journal_path(options)) as journal:
            return play(Desk(journal, options))
    except JournalError as error:
        say(str(error))
        return UNUSABLE
    except LeaveError:
        say("Left. Nothing that was written down is lost.")
        return USED


def outcome_by_laps(options: argparse.Namespace, verdict: Verdict, note: str, laps: Laps) -> int:
    """Write down what the driver and the stopwatch say of the change that waits, and give the next one."""

    def play(desk: Desk) -> int:
        from advisor.cli import waiting as which

        waiting = which.chosen(options, desk.journal)
        if waiting is None:
            say(
                "No change is waiting for an outcome, so nothing was written down: choose one in advisor first."
            )
            return UNUSABLE
        _outcome_of(desk, waiting, (verdict, note), laps)
        return USED

    return at_the_desk(options, play)


def book(
    desk: Desk,
    trial: Trial,
    verdict: Verdict | Literal["dropped"],
    note: str,
    laps: Laps | None = None,
) -> tuple[str, ...]:
    """Write an outcome down for the kart of its trial; what there is to say of it, and of the fixes it moves."""
    from advisor.cli import waiting as which
    from advisor.cli.trust import looked_at_again
    from advisor.journal import verdicts

    old = verdicts.of(desk.journal, trial.id)
    ident, at = desk.stamp()
    where = desk.place(trial.belongs.kart)
    from advisor.journal.trials import verdict_event

    event = verdict_event(ident, at, trial.id, verdict, note, laps, replaces=[e.id for e in old], where=where)
    desk.write(event)
    before = " and ".join(str(e.body.get("verdict")) for e in old)
    before = (
        f", which settles it ({before} were said)"
        if len(old) > 1
        else f", instead of {before}"
        if old
        else ""
    )
    told = f"Written down for {which.line(trial)}: {verdict}{before}."
    return (told, *looked_at_again(desk.options, desk.journal, desk.mind.book, trial, desk.mind))


def _outcome_of(
    desk: Desk,
    waiting: Trial,
    given: tuple[Verdict, str] | None = None,
    laps: Laps | None = None,
    session: Session | None = None,
) -> bool:
    """Ask for, write down and learn from an outcome; False when the change was not tried yet."""
    from advisor.cli import waiting as which
    from advisor.terminal import show
    from advisor.terminal.screen import screen

    session = session or (desk.session() if has_terminal() else None)
    answer = given or (session.verdict(which.line(waiting), waiting.change.feel_for) if session else None)
    if answer is None:
        return False
    verdict, note = answer
    past = tuple(
        p for p in desk.past if p.trial != waiting.id
    )  # this outcome is about to be learnt from as such
    out = screen()
    for text in book(desk, waiting, verdict, note, laps):
        show.line(out, text)
    if verdict == "dropped":
        return False
    _next(desk, waiting, replace(waiting, laps=laps).tried(verdict), note, past, session)
    return True


def _next(
    desk: Desk, waiting: Trial, trial: Tried, note: str, past: tuple[Past, ...], session: Session | None
) -> None:
    """What an outcome taught, and the next advice."""
    from advisor.book.written import case_from_data
    from advisor.interview import steps
    from advisor.terminal import show
    from advisor.terminal.screen import screen

    case, book = case_from_data(waiting.case, desk.mind.book), desk.mind.book
    if case is None or not all(change.lever in book.levers for change in waiting.changes):
        say("It is written down; the case it belongs to cannot be read any more, so there is no next advice.")
        return
    case = replace(case, past=past)
    for change in waiting.changes if trial.verdict == "better" else ():
        case = _kept_value(case, change)
        if case.kart_file:
            _keep_on_file(desk, case.kart_file, change, session)
    if session is not None:
        session.after(case, trial, note, waiting.complaint)
        return
    out = screen()
    before, after = steps.begin(desk.mind, case), steps.after_trial(desk.mind, case, trial, note)
    show.moved(out, steps.answer(desk.mind, before), steps.answer(desk.mind, after))
    show.advice_after(out, trial.verdict, show.reversible(book, trial.lever, trial.direction))
    show.answer(out, steps.answer(desk.mind, after), book)


def _keep_on_file(desk: Desk, name: str, change: Change, session: Session | None) -> None:
    """A change that helped belongs into the kart file as well; it is written there if the driver wants it."""
    from advisor.book import garage

    lever, to = desk.mind.book.levers[change.lever], change.to
    if to is None:
        return
    value = f"{to.value:g}" if isinstance(to.value, float) else to.value
    value += "" if to.unit in ("grade", "piece") else f" {to.unit}"
    if session is None or not session.agrees(
        f"Write it into the kart file {name} too ({lever.name}: {value})?"
    ):
        say(f"The kart file {name} stays as it is. If the change stays on the kart: advisor kart edit {name}")
        return
    try:
        path = Path(name) if name.endswith((".yaml", ".yml")) else garage.path_of(desk.garage, name)
    except UnusableError as error:  # a row of the journal that was written by hand
        session.tell(str(error))
        return
    if garage.write_value(path, lever.id, value):
        session.tell(f"Written: {path}")
    else:
        session.tell(f"{path} has no plain value there; write it yourself: {lever.id}: {value}")


def _kept_value(case: Case, change: Change) -> Case:
    """A change that helped stays on the kart: the setup holds its value from now on."""
    to = change.to
    if to is None:
        return case
    from advisor.units import Quantity, find_unit

    value: Any = to.value
    if to.unit not in ("grade", "piece"):
        unit = find_unit(to.unit)
        if unit is None or isinstance(to.value, str):
            return case  # a row of another making: the outcome counts, the value is left alone
        value = Quantity.of(to.value, unit)
    return replace(case, setup={**case.setup, change.lever: value})
