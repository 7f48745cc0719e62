"""`advisor kart ...`: karts on file, created, shown, edited, copied and compared."""

from __future__ import annotations

import argparse
import os
import shlex
import subprocess
import sys
from pathlib import Path

from advisor import units
from advisor.book import garage, load
from advisor.book.garage import Kart
from advisor.cli import UNUSABLE, USED, home_expanded
from advisor.model.case import Case, Limit, Value
from advisor.problems import printable
from advisor.units import Quantity


def garage_path(options: argparse.Namespace) -> Path:
    """The garage chosen by option, by environment, or the user's own."""
    named = getattr(options, "garage", None) or os.environ.get("ADVISOR_GARAGE")
    if named:
        return home_expanded(named)
    from platformdirs import user_data_path

    return user_data_path("kart-advisor") / "garage"


def run(options: argparse.Namespace) -> int:
    """The chosen action; raises UnusableError with sentences."""
    place = garage_path(options)
    action = {"list": listed, "new": new, "show": show, "edit": edit, "copy": copy, "compare": compare}
    return action[options.action](place, options)


def listed(place: Path, options: argparse.Namespace) -> int:
    found = garage.names(place)
    for name in found:
        print(name)
    if not found:
        print(f"No kart is on file in {place}. Start one: advisor kart new NAME")
    return USED


def new(place: Path, options: argparse.Namespace) -> int:
    path = garage.create(place, options.name, garage.TEMPLATE)
    print(f"Written: {path}")
    print(f"Fill it in with any editor, or type: advisor kart edit {shlex.quote(options.name)}")
    return USED


def copy(place: Path, options: argparse.Namespace) -> int:
    source = garage.read(place, options.name, load.book())
    path = garage.create(place, options.to, source.path.read_text("utf-8"))
    print(f"Written: {path}")
    return USED


def edit(place: Path, options: argparse.Namespace) -> int:
    """Open the file in the user's editor, then check it; what was typed is never thrown away."""
    path = garage.path_of(place, options.name)
    if not path.exists():
        garage.create(place, options.name, garage.TEMPLATE)
    editor = (
        os.environ.get("VISUAL") or os.environ.get("EDITOR") or ("notepad" if os.name == "nt" else "nano")
    )
    try:
        subprocess.run([*shlex.split(editor), str(path)], check=False)
    except (OSError, ValueError):
        print(f"The editor {editor} cannot be started; set EDITOR, or open {path} yourself.", file=sys.stderr)
        return UNUSABLE
    garage.read(place, options.name, load.book())
    print(f"Good: {path}")
    return USED


def show(place: Path, options: argparse.Namespace) -> int:
    kart = garage.read(place, options.name, load.book())
    print(f"{kart.name}  ({kart.path})")
    for label, value in _lines(kart.case):
        print(printable(f"  {label}: {value}"))
    for text in (kart.note and f"note: {kart.note}", *(f"unusual: {w}" for w in kart.warnings)):
        if text:
            print(printable(f"  {text}"))
    return USED


def compare(place: Path, options: argparse.Namespace) -> int:
    """What differs between two karts, a line each."""
    book = load.book()
    one, other = garage.read(place, options.name, book), garage.read(place, options.other, book)
    left, right = _table(one), _table(other)
    labels = [label for label in {**left, **right} if left.get(label) != right.get(label)]
    print(f"{one.name} | {other.name}")
    for label in labels:
        print(printable(f"  {label}: {left.get(label, '-')} | {right.get(label, '-')}"))
    if not labels:
        print("  no difference")
    return USED


def _table(kart: Kart) -> dict[str, str]:
    return dict(_lines(kart.case))


def _lines(case: Case) -> list[tuple[str, str]]:
    """Everything a kart file says, as label and value, in the units its owner likes."""
    rows = [("class", case.kart_class), ("driver mass", _text(case.driver_mass, case))]
    rows += [(lever.replace("_", " "), _text(value, case)) for lever, value in case.setup.items()]
    rows += [(f"tyres, {key}", value) for key, value in case.tyres.items()]
    rows += [
        (key.replace("_", " ").replace(".", ", "), _text(value, case))
        for key, value in case.conditions.items()
    ]
    for lever, parts in (case.kit or {}).items():
        rows.append(
            (f"in the trailer, {lever.replace('_', ' ')}", ", ".join(_text(p, case) for p in parts) or "none")
        )
    rows += [
        (f"class rule, {lever.replace('_', ' ')}", _rule(rule, case)) for lever, rule in case.rules.items()
    ]
    rows += [("to be kept", wish) for wish in case.keep]
    return [(label, value) for label, value in rows if value]


def _text(value: Value | None, case: Case) -> str:
    if value is None:
        return ""
    if not isinstance(value, Quantity):
        return f"{value:g}" if isinstance(value, int | float) else value
    wish = units.find_unit(case.units.get(value.dimension, ""))
    return str(value.within(wish) if wish else value)


def _rule(rule: Limit, case: Case) -> str:
    parts = [f"at least {_text(rule.least, case)}"] if rule.least is not None else []
    parts += [f"at most {_text(rule.most, case)}"] if rule.most is not None else []
    parts += [f"only {', '.join(rule.only)}"] if rule.only else []
    return ", ".join(parts)
