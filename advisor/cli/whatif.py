"""`advisor whatif CHANGE`: what a change does to loads, lift and balance of a kart, by the kart model."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.cli import UNUSABLE, USED

if TYPE_CHECKING:
    from advisor.mechanics.asked import Asked
    from advisor.mechanics.claims import Judged
    from advisor.mechanics.known import Known
    from advisor.mechanics.outlook import Change, Outlook
    from advisor.mechanics.rows import Row
    from advisor.model.case import Case
    from advisor.model.knowledge import Book
    from advisor.model.levers import Lever

RADII, LATERALS = (4.0, 200.0), (0.1, 4.0)  # [m], [g] that are taken: a hairpin to a bend taken flat


def add(command: argparse.ArgumentParser) -> None:
    """Declare the options of its own."""
    command.add_argument(
        "change",
        metavar="CHANGE",
        nargs="*",
        help='in words, several with commas: "caster more 2 deg", "narrow the rear track by 10 mm"; '
        "one step where no amount is told",
    )
    command.add_argument("--case", metavar="CASE.yaml", help="a case file; what it tells of the kart counts")
    command.add_argument("--radius", metavar="M", type=float, help="radius of the corner in metres")
    command.add_argument("--lateral", metavar="G", type=float, help="how hard it is driven, in g")
    command.add_argument("--turn", choices=("left", "right"), help="which way the corner goes")
    command.add_argument(
        "--figures", action="store_true", help="list every figure of the model with its source"
    )
    command.add_argument("--json", action="store_true", help="one JSON object on standard output")


def whatif(options: argparse.Namespace) -> int:
    """Status 1 with a sentence on standard error when the change or a file cannot be used."""
    from advisor.cli import team
    from advisor.mechanics.asked import UnknownChangeError, read

    book = team.book(options)
    wrong = _out_of_range(options)
    found = None if wrong else _kart(options, book)
    if found is None:
        if wrong:
            print(wrong, file=sys.stderr)
        return UNUSABLE
    kart, case = found
    if options.figures:
        _figures(kart)
        return USED
    try:
        asked = read(_joined(options.change), book, now=case.setup)
    except UnknownChangeError as error:
        text = str(error)
        print(f"{text[:1].upper()}{text[1:]}.", file=sys.stderr)
        return UNUSABLE
    _tell(book, kart, case, asked, options)
    return USED


def _tell(book: Book, kart: Known, case: Case, asked: Sequence[Asked], options: argparse.Namespace) -> None:
    """Work it out and print it, as JSON or for people."""
    seen, claims = _answer(book, kart, asked, options)
    if options.json:
        import json

        print(json.dumps(_as_data(kart, asked, seen, claims)))
        return
    from advisor.terminal import plan
    from advisor.terminal.screen import screen

    out = screen()
    plan.whatif(out, book, kart, asked, seen, claims)
    plan.barred(out, _barred(book, case, asked))


def _barred(book: Book, case: Case, asked: Sequence[Asked]) -> list[str]:
    """Why a change could not be made on this kart: its limits, the class, the trailer."""
    from advisor.planning.steps import move

    found = []
    for one in asked:
        lever = book.levers[one.change.lever]
        if reason := move(book, lever, one.change.way, case, {}).barred or _beyond(lever, one.change, case):
            found.append(f"{lever.name}: {reason}")
    return found


def _beyond(lever: Lever, change: Change, case: Case) -> str:
    """That the value asked for is one that the class forbids, where it is known how the kart stands."""
    from advisor.units import Quantity

    now, limit = case.setup.get(lever.id), case.rules.get(lever.id)
    if limit is None or not isinstance(now, Quantity):
        return ""
    to = Quantity(now.si + change.amount, now.unit)
    for end, beyond, word in ((limit.least, -1, "at least"), (limit.most, 1, "at most")):
        if isinstance(end, Quantity) and beyond * (to.si - end.si) > 1e-9:
            return f"that comes to {to}, and the class allows {word} {end}"
    return ""


def _joined(words: Sequence[str]) -> str:
    """Quoted changes are several; bare words are one text."""
    return (", " if any(" " in word for word in words) else " ").join(words)


def _out_of_range(options: argparse.Namespace) -> str:
    for name, value, (low, high), unit in (
        ("--radius", options.radius, RADII, "metres"),
        ("--lateral", options.lateral, LATERALS, "g"),
    ):
        if value is not None and not low <= value <= high:
            return f"{name} must lie between {low:g} and {high:g} {unit}, not {value:g}."
    return ""


def _kart(options: argparse.Namespace, book: Book) -> tuple[Known, Case] | None:
    """What is known of the kart: by its file and the diary, by a case on top of them, by the options.

    None after printing problems. What counts by the diary is said on standard error.
    """
    from advisor.cli.standing import standing
    from advisor.karts import on_file
    from advisor.karts.cases import read_case
    from advisor.mechanics.known import known, narrowed
    from advisor.model.case import Case

    kart = None
    case = Case()
    if getattr(options, "kart", None):
        kart, noted = standing(options, book)
        case = kart.case
        print(
            *(f"{text[:1].upper()}{text[1:]}." for text in noted),
            sep="\n",
            end="\n" if noted else "",
            file=sys.stderr,
        )
    read = read_case(Path(options.case), book) if options.case else None
    if read is not None:
        if read.case is None:
            print(*sorted(read.problems), sep="\n", file=sys.stderr)
            return None
        case = on_file.on_top(kart, read)[0] if kart else read.case
    found = known(case, options.turn or "")
    if options.radius is not None:
        found = narrowed(found, radius=options.radius)
    return found, case


def _answer(
    book: Book, kart: Known, asked: Sequence[Asked], options: argparse.Namespace
) -> tuple[Outlook, list[Judged]]:
    from advisor.mechanics.claims import beside
    from advisor.mechanics.outlook import base, mirrored, outlook
    from advisor.physics.elements import G

    changes = [mirrored(one.change) if kart.turn == "right" else one.change for one in asked]
    lateral = None if options.lateral is None else options.lateral * G
    seen = outlook(base(kart.figures, lateral), changes)
    if len(asked) > 1:
        return seen, []  # what people say is said of one change
    change = asked[0].change
    lever = book.levers[change.lever]
    said = [g for g in lever.gives if not g.where or set(g.where) == {"observed.direction"}]
    return seen, list(beside(lever, change.way, seen, said))


def _figures(kart: Known) -> None:
    """Every figure with its range and source, in SI."""
    from advisor.physics.figures import UNITS

    for name, figure in kart.figures.items():
        value = f"{figure.usual:.4g} {UNITS.get(name, '')}".rstrip()
        print(f"{name.replace('_', ' ')}: {value} ({figure.low:.4g} to {figure.high:.4g}), {figure.source}")


def _as_data(kart: Known, asked: Sequence[Asked], seen: Outlook, claims: Sequence[Judged]) -> dict[str, Any]:
    return {
        "changes": [
            {"lever": a.change.lever, "direction": a.change.way, "amount": a.change.amount, "say": a.say}
            for a in asked
        ],
        "known": list(kart.told),
        "corner": {"turn": kart.turn or "left", "radius": seen.radius, "lateral": seen.lateral},
        "karts": seen.karts,
        "front_first": list(seen.first),
        "figures": {name: _row(row) for name, row in seen.rows.items()},
        "effects": {name: _row(row) for name, row in seen.effects.items()},
        "claims": [
            {
                "way": c.gives.way,
                "effect": c.gives.effect,
                "change": c.gives.change,
                "agree": len(c.gives.agree),
                "disagree": len(c.gives.disagree),
                "model": c.verdict,
            }
            for c in claims
        ],
    }


def _row(row: Row) -> dict[str, Any]:
    numbers = {name: round(getattr(row, name), 6) for name in ("before", "after", "low", "middle", "high")}
    return {**numbers, "sign": row.sign}
