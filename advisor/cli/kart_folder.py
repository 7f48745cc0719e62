"""Where the kart files lie: by option, by environment, or in the user's own folder. Earlier names are still read."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path

from advisor.cli import home_expanded
from advisor.problems import printable


def karts_path(options: argparse.Namespace) -> Path:
    """The folder of the kart files; a line on standard error, once, where it is still called by its earlier name."""
    found: Path | None = getattr(options, "karts_found", None)
    if found is None:
        found, note = _chosen(options)
        options.karts_found = found
        if note:
            print(printable(f"Note: {note}"), file=sys.stderr)
    return found


def _chosen(options: argparse.Namespace) -> tuple[Path, str]:
    """The folder, and what there is to say of its name."""
    names = (
        (getattr(options, "karts", None), ""),
        (getattr(options, "garage", None), "--garage is now called --karts."),
        (os.environ.get("ADVISOR_KARTS"), ""),
        (os.environ.get("ADVISOR_GARAGE"), "ADVISOR_GARAGE is now called ADVISOR_KARTS."),
    )
    for named, note in names:
        if named:
            return home_expanded(named), note
    from platformdirs import user_data_path

    own = user_data_path("kart-advisor")
    return _own(own / "karts", own / "garage")


def _own(folder: Path, earlier: Path) -> tuple[Path, str]:
    """The user's own folder; the one with the earlier name where only that exists."""
    if earlier.is_dir() and not folder.exists():
        return earlier, f"the folder of the kart files is now called {folder}; rename {earlier} to that."
    if any(earlier.glob("*/*.yaml")):
        return folder, f"{folder} is read; the kart files in {earlier} are not: move them there."
    return folder, ""
