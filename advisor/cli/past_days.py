"""Days of runs in the journal: kept by `advisor judge`, and read to learn how far a driver's runs scatter."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from contextlib import suppress
from typing import TYPE_CHECKING

from advisor.cli import journal_path
from advisor.cli.stamps import now
from advisor.laps.sheet import Run
from advisor.problems import printable

if TYPE_CHECKING:
    from advisor.journal.runs import Day
    from advisor.judge.verdict import Laps


def keep(options: argparse.Namespace, runs: Sequence[Run]) -> None:
    """Write today's runs into the journal."""
    from advisor.cli.desk import say
    from advisor.journal.runs import document
    from advisor.journal.store import Journal

    with Journal(journal_path(options)) as journal:
        journal.merge([document(_today(options, runs))])
    say("These runs are kept in the journal: other days are judged by how far yours scatter.")


def earlier(options: argparse.Namespace, runs: Sequence[Run]) -> list[list[Laps]]:
    """The runs of this driver's other days; none when there is no journal, or none that can be read."""
    from advisor.judge.verdict import Laps

    return [
        [Laps(run.arm, tuple(run.laps)) for run in day.runs] for day in _days(options, _today(options, runs))
    ]


def _days(options: argparse.Namespace, today: Day) -> list[Day]:
    path = journal_path(options)
    if not path.is_file():
        return []
    from advisor.journal import runs
    from advisor.journal.events import JournalError
    from advisor.journal.store import Journal

    with suppress(JournalError, OSError), Journal(path, read_only=True) as journal:
        return runs.earlier(journal, today.who, today.runs)
    return []


def _today(options: argparse.Namespace, runs: Sequence[Run]) -> Day:
    from advisor.cli.judging import as_laps
    from advisor.journal import runs as kept

    rows = [
        kept.Run.model_construct(arm="B" if run.arm == "B" else "A", laps=list(as_laps(run).laps))
        for run in runs
    ]
    return kept.Day.model_construct(
        day=now().date().isoformat(), who=printable(options.who or "")[:80], runs=rows
    )
