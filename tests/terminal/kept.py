"""What a journal holds after a run."""

from __future__ import annotations

from pathlib import Path

from advisor.journal.sittings import Sitting, unfinished
from advisor.journal.store import Journal
from advisor.journal.trials import Trial, trials

NAME = "journal.sqlite3"


def tried(folder: Path) -> list[Trial]:
    """Every trial, oldest first."""
    with Journal(folder / NAME, read_only=True) as journal:
        return trials(journal)


def left(folder: Path) -> Sitting | None:
    """The interview that was left in the middle, if any."""
    with Journal(folder / NAME, read_only=True) as journal:
        return unfinished(journal)
