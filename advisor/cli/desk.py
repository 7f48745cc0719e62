"""The desk: journal, knowledge and terminal put together, for a sitting and for what came of a change."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING

from advisor.cli import UNUSABLE, USED, WRONG_COMMAND, journal_path, team
from advisor.cli.scoring import told
from advisor.cli.stamps import stamp
from advisor.model.case import Laps, Verdict
from advisor.problems import printable

if TYPE_CHECKING:
    from advisor.app.outcome import Learnt
    from advisor.app.sitting import Sitting
    from advisor.app.workspace import Workspace
    from advisor.journal.store import Journal
    from advisor.journal.trials import Trial
    from advisor.karts.on_file import Kart
    from advisor.model.belonging import Belonging
    from advisor.terminal.prompts import Prompts

RECENT = 20  # trials whose complaints are offered again, the latest
NOTHING_WAITS = "No change is waiting for an outcome: run advisor, choose a change and drive it first."


def say(text: str) -> None:
    """A sentence on standard error."""
    print(printable(text), file=sys.stderr)


def has_terminal() -> bool:
    """True when there is somebody to ask: both ends are a terminal."""
    return all(s is not None and s.isatty() for s in (sys.stdin, sys.stdout))


def interview(options: argparse.Namespace) -> int:
    """`advisor`: what waits for its outcome first, then what was left, then the complaint."""
    if not has_terminal():
        say(
            "The interview needs a terminal; without one, write a case file and run: advisor advise CASE.yaml"
        )
        return WRONG_COMMAND

    def play(desk: Workspace) -> int:
        from advisor.app.sitting import begun

        notes = [text.rstrip(".") for text in told(desk.journal)]
        return sit(desk, begun(desk, getattr(options, "kart", None), notes))

    return at_the_desk(options, play)


def sit(desk: Workspace, sitting: Sitting) -> int:
    """Play a sitting on this terminal."""
    from advisor.app.workspace import told as said
    from advisor.journal.trials import latest
    from advisor.terminal.ask import asker
    from advisor.terminal.front import sit as play
    from advisor.terminal.screen import screen

    play(sitting, asker(said(latest(desk.journal, RECENT))), screen())
    return USED


def outcome(options: argparse.Namespace) -> int:
    """`advisor outcome [VERDICT]`: write down what came of a change and give the next one."""

    def play(desk: Workspace) -> int:
        from advisor.cli import waiting as which

        waiting = which.chosen(options, desk.journal)
        if waiting is None:
            say(NOTHING_WAITS)
            return UNUSABLE
        if options.verdict is not None:
            return _told(desk, waiting, options.verdict, printable(options.note))
        if not has_terminal():
            say("Say what came of it: advisor outcome better, same or worse.")
            return WRONG_COMMAND
        from advisor.app.sitting import begun

        return sit(desk, begun(desk, trial=waiting))

    return at_the_desk(options, play)


def outcome_by_laps(options: argparse.Namespace, verdict: Verdict, note: str, laps: Laps) -> int:
    """Write down what the driver and the stopwatch say of the change that waits, and give the next one."""

    def play(desk: Workspace) -> int:
        from advisor.cli import waiting as which

        waiting = which.chosen(options, desk.journal)
        if waiting is None:
            say(
                "No change is waiting for an outcome, so nothing was written down: choose one in advisor first."
            )
            return UNUSABLE
        return _told(desk, waiting, verdict, note, laps)

    return at_the_desk(options, play)


def _told(desk: Workspace, waiting: Trial, verdict: Verdict, note: str, laps: Laps | None = None) -> int:
    """Write down an outcome that was told at once; a sitting goes on from it, or the advice is printed."""
    if has_terminal():
        from advisor.app.sitting import begun

        sitting = begun(desk, trial=waiting)
        sitting.tell(waiting, verdict, note, laps)
        return sit(desk, sitting)
    from advisor.app import outcome as outcomes
    from advisor.app.results import UNREADABLE
    from advisor.terminal.screen import screen
    from advisor.terminal.show import line

    learnt, texts = outcomes.book(desk, waiting, verdict, note, laps)
    for text in texts:
        line(screen(), text)
    if learnt is None:
        say(UNREADABLE)
        return USED
    learnt = outcomes.asked_first(desk.mind, learnt, note) or learnt
    _left_standing(desk, learnt)
    for entry in outcomes.for_file(waiting, learnt.after.case.kart_file, desk.mind.book):
        if verdict == "better":
            say(
                f"The kart file {entry.kart} stays as it is. If the change stays on the kart: "
                f"advisor kart edit {entry.kart}"
            )
    _print(desk, learnt)
    return USED


def _left_standing(desk: Workspace, learnt: Learnt) -> None:
    """Danger that was told beside an outcome is said, and waits for whoever asks of the kart next."""
    from advisor.app.left_standing import warning

    if text := warning(desk.mind, learnt.after):
        say(text)
        desk.taken_up(learnt.trial)
        desk.remember(learnt.after, False)


def _print(desk: Workspace, learnt: Learnt) -> None:
    from advisor.app.outcome import moved
    from advisor.app.wording import all_as_set, reversible
    from advisor.interview import steps
    from advisor.terminal import show
    from advisor.terminal.screen import screen

    out, mind, change = screen(), desk.mind, learnt.trial.change
    before, after = steps.answer(mind, learnt.before), steps.answer(mind, learnt.after)
    show.moved(out, moved(before, after))
    show.advice_after(out, learnt.verdict, reversible(mind.book, change.lever, change.direction))
    show.answer(out, all_as_set(after, mind.book, learnt.after.case.rules), mind.book)


def _workspace(options: argparse.Namespace, journal: Journal) -> Workspace:
    """What a sitting works with, from the options."""
    from advisor.app.workspace import Workspace
    from advisor.cli.kart_folder import karts_path
    from advisor.cli.places import place

    mind = team.mind(options)

    def where(kart: str, on_file: Kart | None) -> Belonging:
        return place(options, journal, kart, on_file)

    def looked_again(trial: Trial) -> tuple[str, ...]:
        from advisor.cli.trust import looked_at_again

        return tuple(looked_at_again(options, journal, mind.book, trial, mind))

    return Workspace(journal, karts_path(options), mind, stamp, where, looked_again)


def prompts(desk: Workspace) -> Prompts:
    """Single lines asked on this terminal."""
    from advisor.terminal.ask import asker
    from advisor.terminal.prompts import Prompts
    from advisor.terminal.screen import screen

    return Prompts(desk.mind, asker([]), screen())


def at_the_desk(options: argparse.Namespace, play: Callable[[Workspace], int]) -> int:
    """Open journal and knowledge, and play; whoever leaves in the middle has done nothing wrong."""
    from advisor.journal.store import Journal
    from advisor.terminal.prompts import LeaveError

    try:
        with Journal(journal_path(options)) as journal:
            return play(_workspace(options, journal))
    except LeaveError:
        say("Left. Nothing that was written down is lost.")
        return USED
