"""The command line: the composition root. Opens book and journal, calls the rooms, turns problems into exit codes.

Rooms are imported inside the commands, so that `--help` and one-shot advice start fast.
"""

from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pathlib import Path

USED, UNUSABLE, WRONG_COMMAND, LEFT = 0, 1, 2, 130

DESCRIPTION = """\
Find out why a kart misbehaves and what to change now.

Without a command it asks, in a terminal: say what the kart does, answer a few
questions, choose one change, drive, and tell what came of it.
"""

JUDGE = (
    "Did the change help? From the laps of runs as it was (A) and with the change (B), in the order driven."
)


class Command(argparse.ArgumentParser):
    """A command that declares its options when it is chosen: those of all would take longer than most answers."""

    declare: Callable[[argparse.ArgumentParser], None] | None = None

    def parse_known_args(self, *args: Any, **more: Any) -> Any:
        if self.declare:
            declare, self.declare = self.declare, None
            declare(self)
        return super().parse_known_args(*args, **more)


def parser() -> argparse.ArgumentParser:
    """The whole command line."""
    top = argparse.ArgumentParser(
        prog="advisor", description=DESCRIPTION, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    top.add_argument("--version", action="store_true", help="print the version and leave")
    _kart(top)
    _places(top)
    _journal(top)
    _knowledge(top, "knowledge")
    commands = top.add_subparsers(
        dest="command", metavar="COMMAND", title="commands", prog=top.prog, parser_class=Command
    )
    for name, (text, declare, _) in COMMANDS.items():
        command = commands.add_parser(name, help=text, add_help=name != "compute")
        command.description = f"{text[0].upper()}{text[1:]}."
        command.declare = declare
    return top


def _advise(advise: argparse.ArgumentParser) -> None:
    advise.add_argument("case", metavar="CASE.yaml", help="the case: complaint, observed, setup, rules ...")
    advise.add_argument("--json", action="store_true", help="one JSON object on standard output")
    _kart(advise)
    _journal(advise)
    _knowledge(advise)


def _outcome(outcome: argparse.ArgumentParser) -> None:
    outcome.add_argument(
        "verdict", nargs="?", choices=("better", "same", "worse"), help="asked for if it is left out"
    )
    outcome.add_argument("--note", default="", help="lap times, weather, pressures")
    _trial(outcome)
    _journal(outcome)
    _kart(outcome)
    _places(outcome)
    _knowledge(outcome)


def _check(check: argparse.ArgumentParser) -> None:
    check.description = "Check knowledge folders, scenarios and case files."
    check.add_argument(
        "path",
        metavar="PATH",
        nargs="*",
        help="files or folders; the shipped knowledge with yours over it, and scenarios, if left out",
    )
    check.add_argument(
        "--coverage",
        action="store_true",
        help="print what the shipped knowledge covers, by complaint, and where it is thin",
    )
    _knowledge(check)


def _demo(demo: argparse.ArgumentParser) -> None:
    demo.add_argument("--fast", action="store_true", help="without pauses")


def _whatif(whatif: argparse.ArgumentParser) -> None:
    from advisor.cli.whatif import add

    add(whatif)
    _kart(whatif)
    _knowledge(whatif)


def _compute(compute: argparse.ArgumentParser) -> None:
    compute.add_argument("--json", action="store_true")
    compute.add_argument("-h", "--help", action="store_true")
    _kart(compute)
    _journal(compute)
    _knowledge(compute)
    compute.add_argument("name", metavar="NAME", nargs="?")
    compute.add_argument("value", metavar="KEY=VALUE", nargs=argparse.REMAINDER)


def _judge(judge: argparse.ArgumentParser) -> None:
    from advisor.cli.judge_options import add

    judge.description = JUDGE
    add(judge)
    _trial(judge)
    _journal(judge)
    _kart(judge)


def _diary(diary: argparse.ArgumentParser) -> None:
    from advisor.cli import diary_options

    diary.description = diary_options.DESCRIPTION
    diary.formatter_class = argparse.RawDescriptionHelpFormatter
    diary_options.add(diary)
    _trial(diary)
    _kart(diary)
    _journal(diary)
    _knowledge(diary)


def _history(history: argparse.ArgumentParser) -> None:
    from advisor.cli import history_options

    history.description = history_options.DESCRIPTION
    history_options.add(history)
    _kart(history)
    _journal(history)
    _knowledge(history)


def _plan(plan: argparse.ArgumentParser) -> None:
    from advisor.cli.judge_options import PLAN_FILE, add_plan

    plan.epilog = PLAN_FILE
    add_plan(plan)
    _kart(plan)
    _journal(plan)
    _knowledge(plan)


def _score(score: argparse.ArgumentParser) -> None:
    _kart(score)
    _journal(score)


def _explain(explain: argparse.ArgumentParser) -> None:
    explain.add_argument(
        "word", metavar="WORD", nargs="*", help="one or several; without any: what can be asked"
    )
    _knowledge(explain)


def _journal_actions(journal: argparse.ArgumentParser) -> None:
    journal.description = "The journal: carry it to another machine, merge two, save a damaged one."
    actions = journal.add_subparsers(dest="action", metavar="ACTION", required=True, title="actions")
    words = {
        "export": "write all that the journal holds into one new file, to carry it to another machine",
        "import": "take in such a file: nothing is lost, nothing comes twice, in whatever order",
        "rescue": "save what can be read of a damaged journal into a new one beside it",
    }
    for name, text in words.items():
        action = actions.add_parser(name, help=text, description=f"{text[0].upper()}{text[1:]}.")
        action.add_argument("file", metavar="FILE")
        if name == "import":
            action.add_argument(
                "--what-can-be-read",
                action="store_true",
                dest="lenient",
                help="leave out the lines that are damaged instead of taking in nothing",
            )
        if name != "rescue":
            _journal(action)
            _knowledge(action)


def _fix_actions(fix: argparse.ArgumentParser) -> None:
    fix.description = (
        "Your team's own fixes: made from what the journal holds, and trusted when trials bear them out."
    )
    actions = fix.add_subparsers(dest="action", metavar="ACTION", required=True, title="actions")
    words = {
        "draft": "make a fix from trials of the journal, as a file to be edited",
        "list": "all fixes, and what speaks for and against them now",
        "trust": "let a fix count in the advice: from 3 trials on, if it helps more often than not (95 in 100 sure)",
        "distrust": "make it a draft again",
    }
    for name, text in words.items():
        action = actions.add_parser(name, help=text, description=f"{text[0].upper()}{text[1:]}.")
        if name == "draft":
            action.add_argument(
                "trial",
                metavar="TRIAL",
                nargs="*",
                help="beginnings of their ids; the latest that was better",
            )
            action.add_argument("--author", default="", help="who says so; the team if left out")
            action.add_argument("--id", default="", metavar="NAME", help="the name of the fix")
        elif name != "list":
            action.add_argument("id", metavar="NAME")
        if name == "trust":
            action.add_argument(
                "--anyway", action="store_true", help="against the figures; that is written down"
            )
        _journal(action)
        _knowledge(action)


def _kart_actions(kart: argparse.ArgumentParser) -> None:
    kart.description = "Karts on file: plain YAML files with setup, trailer and class rules."
    actions = kart.add_subparsers(dest="action", metavar="ACTION", required=True, title="actions")
    words = {
        "list": ("names of all karts on file", ()),
        "new": ("start a kart file", ("name",)),
        "show": ("show a kart", ("name",)),
        "edit": ("open a kart in your editor, then check it", ("name",)),
        "copy": ("copy a kart under another name", ("name", "to")),
        "compare": ("what differs between two karts", ("name", "other")),
    }
    for name, (text, arguments) in words.items():
        said = f"{text[0].upper()}{text[1:]}."
        action = actions.add_parser(
            name, help=text, description=said, allow_abbrev=False
        )  # --kart is no --karts
        for argument in arguments:
            action.add_argument(argument, metavar=argument.upper())
        _karts(action)


def _kart(to: argparse.ArgumentParser) -> None:
    to.add_argument(
        "--kart", metavar="NAME", default=argparse.SUPPRESS, help="a kart on file, or the path of its file"
    )
    _karts(to)


def _trial(to: argparse.ArgumentParser) -> None:
    to.add_argument(
        "--trial", metavar="ID", default="", help="the trial, by the beginning of its id (advisor history)"
    )


def _places(to: argparse.ArgumentParser) -> None:
    from advisor.cli.places import add

    add(to)


def _karts(to: argparse.ArgumentParser) -> None:
    text = "the folder of the kart files (or set ADVISOR_KARTS)"
    to.add_argument("--karts", metavar="PATH", default=argparse.SUPPRESS, help=text)
    to.add_argument(
        "--garage", metavar="PATH", default=argparse.SUPPRESS, help=argparse.SUPPRESS
    )  # as it was called


def _knowledge(to: argparse.ArgumentParser, dest: str = "knowledge_too") -> None:
    to.add_argument(
        "--knowledge",
        metavar="FOLDER",
        action="append",
        dest=dest,
        default=argparse.SUPPRESS,
        help="a folder of your team's own knowledge; several: a later one counts before an earlier one",
    )


def _journal(to: argparse.ArgumentParser) -> None:
    to.add_argument(
        "--journal",
        metavar="PATH",
        default=argparse.SUPPRESS,
        help="the journal file (or set ADVISOR_JOURNAL)",
    )


# Of each command what it is for, its options, and the module of this room and the function that run it.
COMMANDS: dict[str, tuple[str, Callable[[argparse.ArgumentParser], None], str]] = {
    "advise": ("advice for a case file, without questions", _advise, "commands.advise"),
    "outcome": ("tell what came of the change you tried", _outcome, "desk.outcome"),
    "check": ("check knowledge, scenarios and cases", _check, "commands.check"),
    "demo": ("watch an invented race day, without answering", _demo, "commands.demo"),
    "whatif": (
        "what a change does to wheel loads, lift and balance, drawn and explained",
        _whatif,
        "whatif.whatif",
    ),
    "diary": ("note a run of a kart", _diary, "diary.run"),
    "history": ("what was tried, what came of it, and at which setup", _history, "history.run"),
    "kart": ("karts on file: new, show, edit, copy, compare, list", _kart_actions, "karts.run"),
    "judge": ("did the change help? from lap times", _judge, "judging.judge"),
    "plan": ("a test day run by run, and what it can tell before anyone drives", _plan, "planning.plan"),
    "journal": ("the journal: export, import, rescue", _journal_actions, "journals.run"),
    "score": (
        "how often the advice was right: what was expected of each change, and what came",
        _score,
        "scoring.score",
    ),
    "fix": ("your team's own fixes: draft, list, trust, distrust", _fix_actions, "fixes.run"),
    "explain": (
        "what a word of the trade means, what a part does, what people disagree about",
        _explain,
        "commands.explain",
    ),
    "compute": (
        "the sums of a race day: pressures, air, gearing, chain, oil, weights, lead, mixture",
        _compute,
        "computing.compute",
    ),
}
INTERVIEW = "desk.interview"  # without a command


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line; returns the exit status."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a sign that a terminal cannot show is no reason to stop
    try:
        options = parser().parse_args(argv)
        status = _run(options)
        if sys.stdout is not None:
            sys.stdout.flush()
    except SystemExit as end:  # argparse leaves so after --help and after a wrong command line
        with suppress(OSError, ValueError):
            if sys.stdout is not None:
                sys.stdout.flush()
            return int(end.code or 0)
        _let_go_of_output()
        return int(end.code or 0)
    except (KeyboardInterrupt, EOFError):
        print("\nLeft. Nothing that was written down is lost.", file=sys.stderr)
        return LEFT
    except BrokenPipeError:
        _let_go_of_output()
        return USED
    except OSError as error:
        _let_go_of_output()
        print(f"This cannot be done: {error.strerror or error}.", file=sys.stderr)
        return UNUSABLE
    return status


def _let_go_of_output() -> None:
    """The reader of our output has gone, or the disk is full: the interpreter must not flush to it again."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _run(options: argparse.Namespace) -> int:
    if options.version:
        from importlib.metadata import PackageNotFoundError, version

        try:
            print(f"advisor {version('kart-advisor')}")
        except PackageNotFoundError:
            print("advisor (run from a folder, not installed)")
        return USED
    from advisor.journal.events import JournalError
    from advisor.problems import UnusableError, printable

    room, _, name = (COMMANDS[options.command][2] if options.command else INTERVIEW).partition(".")
    run: Callable[[argparse.Namespace], int] = getattr(import_module(f"advisor.cli.{room}"), name)
    try:
        return run(options)
    except UnusableError as error:
        print(error, file=sys.stderr)
    except JournalError as error:
        print(printable(str(error)), file=sys.stderr)
    return UNUSABLE


def journal_path(options: argparse.Namespace) -> Path:
    """The journal chosen by option, by environment, or the user's own."""
    named = getattr(options, "journal", None) or os.environ.get("ADVISOR_JOURNAL")
    if named:
        return home_expanded(named)
    from platformdirs import user_data_path

    return user_data_path("kart-advisor") / "journal.sqlite3"


def home_expanded(name: str) -> Path:
    """A path that may begin with ~; one whose home is not known is taken as it is."""
    from pathlib import Path

    try:
        return Path(name).expanduser()
    except RuntimeError:
        return Path(name)
