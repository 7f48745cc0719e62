"""`advisor journal ...`: a journal carried to another machine, merged with another, or saved from a damaged file."""

from __future__ import annotations

import argparse
import shlex
import sys
from pathlib import Path

from advisor.cli import USED, home_expanded, journal_path
from advisor.journal import carry, rescue
from advisor.journal.store import Journal, Merged
from advisor.problems import printable


def run(options: argparse.Namespace) -> int:
    """The chosen action; raises JournalError, UnusableError or OSError with sentences."""
    action = {"export": export, "import": take_in, "rescue": save}[options.action]
    return action(home_expanded(options.file), options)


def export(path: Path, options: argparse.Namespace) -> int:
    """Write everything into one file."""
    with Journal(journal_path(options), read_only=True) as journal:
        lines = carry.write(journal, path)
    _tell(f"Written: {path} ({_entries(lines)})")
    _tell(f"On the other machine type: {shlex.join(('advisor', 'journal', 'import', path.name))}")
    return USED


def take_in(path: Path, options: argparse.Namespace) -> int:
    """Merge a file into the journal; all of it or nothing, unless the rest was asked for."""
    reader = carry.Reader(path, lenient=options.lenient)
    reader.look()
    with Journal(journal_path(options)) as journal:
        merged = journal.merge(reader)
    for problem in reader.bad:
        print(problem, file=sys.stderr)
    _tell(f"Taken in: {_summary(merged)}.")
    if reader.bad:
        missing = f", and {reader.lost} are missing" if reader.lost else ""
        damaged = f"{reader.unread} damaged {'line' if reader.unread == 1 else 'lines'}"
        _tell(f"Not taken in: {damaged}{missing} (told above).")
    if merged.conflicts:
        names = ", ".join(merged.conflicts[:3]) + (" ..." if len(merged.conflicts) > 3 else "")
        told = f"{_entries(len(merged.conflicts))} {'is' if len(merged.conflicts) == 1 else 'are'} told in two ways"
        _tell(f"{told} ({names}): both are kept, and the earlier counts.")
    return USED


def _summary(merged: Merged) -> str:
    other = f", {merged.documents} of other kinds" if merged.documents else ""
    return f"{_entries(merged.new, 'new ')}{other}; {merged.known} were here already"


def _entries(count: int, which: str = "") -> str:
    return f"{count} {which}{'entry' if count == 1 else 'entries'}"


def save(path: Path, _: argparse.Namespace) -> int:
    """Save what can be read of a damaged journal."""
    done = rescue.rescue(path)
    if done.path is None:
        _tell(f"The journal {path} is sound ({_entries(done.events)}); nothing had to be saved.")
        return USED
    _tell(f"Saved: {_entries(done.events)}, in {done.path}")
    _tell(f"Could not be read: {_entries(done.lost)} or, where the file is cut off, more.")
    if done.senseless:
        _tell(f"Left out because it makes no sense: {_entries(done.senseless)}.")
    _tell(
        f"The damaged file is left as it is. To go on with the new one: --journal {shlex.quote(str(done.path))}"
    )
    return USED


def _tell(text: str) -> None:
    print(printable(text))
