"""`advisor kart ...`: karts on file, created, shown, edited, copied and compared."""

from __future__ import annotations

import argparse
import os
import shlex
import subprocess
import sys
from pathlib import Path

from advisor.cli import UNUSABLE, USED, team
from advisor.cli.kart_folder import karts_path
from advisor.karts import on_file
from advisor.karts.on_file import Kart
from advisor.karts.values import liked, listed, same
from advisor.model.case import Case, Limit, Pieces
from advisor.problems import printable
from advisor.sums.on_file import worked_out
from advisor.units import SYMBOLS, Quantity


def run(options: argparse.Namespace) -> int:
    """The chosen action; raises UnusableError with sentences."""
    place = karts_path(options)
    action = {"list": names, "new": new, "show": show, "edit": edit, "copy": copy, "compare": compare}
    return action[options.action](place, options)


def names(place: Path, options: argparse.Namespace) -> int:
    """The names on file, a line each."""
    found = on_file.names(place)
    for name in found:
        print(name)
    if not found:
        print(f"No kart is on file in {place}. Start one: {_command(options, 'new', 'NAME')}")
    return USED


def new(place: Path, options: argparse.Namespace) -> int:
    """Write the template of a kart file."""
    path = on_file.create(place, options.name, on_file.template())
    print(f"Written: {path}")
    print(f"Fill it in with any editor, or type: {_command(options, 'edit', options.name)}")
    return USED


def copy(place: Path, options: argparse.Namespace) -> int:
    """Write a kart that can be used under another name, to the letter."""
    source = on_file.read(place, options.name, team.book(options))
    path = on_file.create(place, options.to, source.path.read_bytes())
    print(f"Written: {path}")
    return USED


def _command(options: argparse.Namespace, *words: str) -> str:
    """What to type next, for the same folder."""
    named = getattr(options, "karts", None) or getattr(options, "garage", None)
    chosen = ("--karts", named) if named else ()
    return shlex.join(("advisor", "kart", *words, *chosen))


def edit(place: Path, options: argparse.Namespace) -> int:
    """Open the file in the user's editor, then check it; what was typed is never thrown away."""
    path = on_file.path_of(place, options.name)
    if not path.exists():
        on_file.create(place, options.name, on_file.template())
    editor = (
        os.environ.get("VISUAL") or os.environ.get("EDITOR") or ("notepad" if os.name == "nt" else "nano")
    )
    try:
        subprocess.run([*shlex.split(editor), str(path)], check=False)
    except (OSError, ValueError):
        print(f"The editor {editor} cannot be started; set EDITOR, or open {path} yourself.", file=sys.stderr)
        return UNUSABLE
    kart = on_file.read(place, options.name, team.book(options))
    print(f"Good: {path}")
    _print_odd(kart)
    return USED


def show(place: Path, options: argparse.Namespace) -> int:
    """Everything that a kart file says, a line each."""
    kart = on_file.read(place, options.name, team.book(options))
    print(f"{kart.name}  ({kart.path})")
    rows = [(label, listed(pieces, kart.case.units)) for label, pieces in _rows(kart).items()]
    rows += [
        ("driver", kart.driver),
        ("track", kart.track),
        ("trailer", kart.trailer),
        ("class rules", kart.class_rules),
        ("note", kart.note),
    ]
    rows.append(("shown in", ", ".join(SYMBOLS.get(unit, unit) for unit in kart.case.units.values())))
    for label, value in rows:
        if value:
            print(printable(f"  {label}: {value}"))
    for label, value in worked_out(kart.case, kart.settings):
        print(printable(f"  {label}: {value}"))
    if not any(value for _, value in rows):
        print(f"  nothing is written yet; fill it in: {_command(options, 'edit', options.name)}")
    _print_odd(kart)
    return USED


def _print_odd(kart: Kart) -> None:
    for text in kart.warnings:
        print(printable(f"  look again: {text}"))


def compare(place: Path, options: argparse.Namespace) -> int:
    """What differs between two karts, a line each."""
    book = team.book(options)
    one, other = on_file.read(place, options.name, book), on_file.read(place, options.other, book)
    left, right = _rows(one), _rows(other)
    print(f"{one.name} | {other.name}")
    differ = [label for label in {**left, **right} if not _equal(left.get(label), right.get(label))]
    for label in differ:
        texts = _beside(left.get(label), right.get(label), one.case, other.case)
        print(printable(f"  {label}: {' | '.join(texts)}"))
    if not differ:
        print("  no difference")
    return USED


def _equal(one: Pieces | None, other: Pieces | None) -> bool:
    """True when both hold the same values, in whatever order and units."""
    if one is None or other is None or len(one) != len(other):
        return one is other
    return all(any(a == b and same(x, y) for b, y in other) for a, x in one)


def _beside(one: Pieces | None, other: Pieces | None, mine: Case, theirs: Case) -> tuple[str, str]:
    """Both as text, the second in the units of the first; as written where that would look the same."""
    units = {v.dimension: liked(v, mine.units).unit.name for _, v in one or () if isinstance(v, Quantity)}
    for wishes in ((mine.units, {**theirs.units, **units}), ({}, {})):
        left, right = ("-" if p is None else listed(p, w) for p, w in zip((one, other), wishes, strict=True))
        if left != right:
            break
    return left, right


def _rows(kart: Kart) -> dict[str, Pieces]:
    """The values of a kart by label, in the order of its file."""
    case = kart.case
    rows: dict[str, Pieces] = {}
    if case.kart_class:
        rows["class"] = (("", case.kart_class),)
    if case.driver_mass is not None:
        rows["driver mass"] = (("", case.driver_mass),)
    rows |= {_words(lever): pieces for lever, pieces in kart.settings.items()}
    rows |= {f"tyres, {key}": (("", value),) for key, value in case.tyres.items()}
    rows |= {_words(key): (("", value),) for key, value in case.conditions.items()}
    for lever, parts in (case.kit or {}).items():
        rows[f"in the trailer, {_words(lever)}"] = tuple(("", part) for part in parts)
    rows |= {f"class rule, {_words(lever)}": _rule(rule) for lever, rule in case.rules.items()}
    if case.keep:
        rows["to be kept"] = tuple(("", wish) for wish in case.keep)
    return rows


def _words(ident: str) -> str:
    return ident.replace("_", " ").replace(".", ", ")


def _rule(rule: Limit) -> Pieces:
    bounds = (("at least", rule.least), ("at most", rule.most), ("only", " or ".join(rule.only) or None))
    return tuple((label, value) for label, value in bounds if value is not None)
