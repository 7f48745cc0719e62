"""The options of `advisor judge`: light, because every command line is parsed with them."""

from __future__ import annotations

import argparse
import math
from collections.abc import Sequence
from typing import Any


class Typed(argparse.Action):
    """`--a` and `--b`: the laps of a run, kept in the order in which the runs are typed."""

    def __call__(
        self,
        parser: argparse.ArgumentParser,
        namespace: argparse.Namespace,
        values: str | Sequence[Any] | None,
        option_string: str | None = None,
    ) -> None:
        typed = getattr(namespace, self.dest) or []
        setattr(namespace, self.dest, [*typed, (str(option_string)[2:].upper(), list(values or ()))])


def _refused(text: str, why: str) -> argparse.ArgumentTypeError:
    from advisor.problems import printable

    return argparse.ArgumentTypeError(f'"{printable(text)[:30]}" {why}')


def size(text: str) -> float:
    """Seconds above zero, with a point or a comma, for an option."""
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        value = math.nan
    if not 0 < value <= 60:
        raise _refused(text, "is no number of seconds; write it like 0.1")
    return value


def count(text: str) -> int:
    """Laps of a run, for an option."""
    if not (text.isascii() and text.isdigit() and 3 <= int(text[:6]) <= 200):
        raise _refused(text, "is no number of laps from 3 to 200")
    return int(text)


def order(text: str) -> str:
    """A and B in the order driven: ABA, A-B-A, "a b a"."""
    bare = "".join(c for c in text.upper() if c not in " -,;>")
    if not bare or set(bare) - {"A", "B"}:
        raise _refused(text, "is no order of runs; write A and B, like ABA")
    return bare


def column(text: str) -> tuple[str, str]:
    """ROLE=NAME: which column of a sheet is which."""
    role, sign, name = text.partition("=")
    from advisor.laps.columns import ROLES

    if not sign or role.strip().lower() not in ROLES or not name.strip():
        known = ", ".join(ROLES)
        raise _refused(text, f"names no column; write it like time=Zeit or time=3, with one of: {known}")
    return role.strip().lower(), name.strip()


def add(to: argparse.ArgumentParser) -> None:
    """Declare the options."""
    to.add_argument(
        "sheet", metavar="SHEET", nargs="*", help="lap times as CSV: a day of runs, or a file a run"
    )
    for arm, text in (("a", "as it was"), ("b", "with the change")):
        to.add_argument(
            f"--{arm}",
            dest="typed",
            action=Typed,
            nargs="+",
            metavar="LAP",
            help=f"laps of one run {text}, typed",
        )
    to.add_argument("--order", type=order, help="which runs are which, in the order driven: ABA")
    to.add_argument(
        "--column", type=column, action="append", default=[], metavar="ROLE=NAME",
        help="which column is the time, lap, run, arm ...: time=Zeit, or its number, time=3",
    )  # fmt: skip
    to.add_argument(
        "--record",
        action="store_true",
        help="write both into the journal, as the outcome of the change that waits for one",
    )
    to.add_argument(
        "--keep",
        action="store_true",
        help="keep these runs in the journal: other days are judged by how far yours scatter (--record does so too)",
    )
    to.add_argument(
        "--who", metavar="NAME", default="", help="whose runs, if several drivers share a journal"
    )
    to.add_argument("--driver", choices=("better", "same", "worse"), help="what the driver says")
    to.add_argument(
        "--differs",
        action="append",
        default=[],
        metavar="WHAT",
        help="what else differed: tyres, weather, fuel ...",
    )
    to.add_argument(
        "--changed",
        action="append",
        default=[],
        metavar="COLUMN",
        help="a condition that was the change itself",
    )
    to.add_argument(
        "--baseline", action="append", default=[], metavar="SHEET",
        help="a day of runs without any change: tells how far your runs scatter",
    )  # fmt: skip
    to.add_argument(
        "--scatter",
        type=size,
        metavar="S",
        help="run-to-run scatter in seconds (learnt; 0.12 before the first day)",
    )
    to.add_argument("--drift", type=size, metavar="S", help="steady drift in seconds a run (0.1)")
    to.add_argument(
        "--worth", type=size, default=0.05, metavar="S", help="a smaller difference is the same (0.05)"
    )
    to.add_argument("--plan", action="store_true", help="before you drive: how many runs it takes")
    to.add_argument(
        "--effect", type=size, default=0.2, metavar="S", help="with --plan: the gain to be seen (0.2)"
    )
    to.add_argument("--laps", type=count, default=8, metavar="N", help="with --plan: laps a run (8)")
    to.add_argument(
        "--lap-scatter", type=size, default=0.2, metavar="S", help="with --plan: scatter of laps (0.2)"
    )
    to.add_argument("--json", action="store_true", help="one JSON object on standard output")


PLAN_FILE = (
    "In the file each aim has a lever with values, levers, or a fault to cure; pairs: true in an aim of two values "
    "draws randomised pairs, and seed: 7 beside aims draws others. --example shows where each stands."
)


def numbers(text: str) -> list[int]:
    """Sessions by number, for an option: 3 or 3,4."""
    parts = text.replace(" ", "").split(",")
    if not all(p.isascii() and p.isdigit() and len(p) < 4 for p in parts):
        raise _refused(text, "names no sessions; write their numbers, like 3 or 3,4")
    return [int(p) for p in parts]


def one_number(text: str) -> int:
    """A single session's number, for an option; 0 for none."""
    found = numbers(text)
    if len(found) != 1:
        raise _refused(text, "is not one number of a session")
    return found[0]


def add_plan(to: argparse.ArgumentParser) -> None:
    """Declare the options of `advisor plan`."""
    to.add_argument("file", metavar="FILE", nargs="?", help="the plan file: aims, sessions, tyres, in YAML")
    to.add_argument("--example", action="store_true", help="print a plan file to begin with")
    to.add_argument(
        "--lost",
        type=numbers,
        default=[],
        metavar="N,N",
        help="sessions that were lost: the rest is planned anew",
    )
    to.add_argument(
        "--done", type=one_number, default=0, metavar="N", help="sessions that are behind, up to this one"
    )
    to.add_argument("--who", metavar="NAME", default="", help="the driver whose kept days tell the scatter")
    to.add_argument("--json", action="store_true", help="one JSON object on standard output")
