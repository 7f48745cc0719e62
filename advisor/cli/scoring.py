"""What the journal says of the advice: the team's experience, and how often the advice was right."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from advisor.cli import UNUSABLE, USED, journal_path
from advisor.cli.stamps import now
from advisor.model.case import Past
from advisor.problems import printable

if TYPE_CHECKING:
    from advisor.journal.trials import Trial
    from advisor.reasoning.reckoning import Score

SCORED = 2000  # trials that the advice is scored by, the latest


def score(options: argparse.Namespace) -> int:
    """`advisor score`: what was expected of the changes tried, and what came of them."""
    from advisor.journal.store import Journal, JournalError
    from advisor.journal.trials import latest
    from advisor.reasoning import reckoning
    from advisor.terminal import scored
    from advisor.terminal.screen import screen

    try:
        with Journal(journal_path(options), read_only=True) as journal:
            judged = latest(journal, SCORED, "judged")
    except JournalError as error:
        print(printable(str(error)), file=sys.stderr)
        return UNUSABLE
    whole = reckoning.score([pair(trial) for trial in judged])
    if whole is None:
        print("No change in the journal has an outcome yet, so there is nothing to score.", file=sys.stderr)
        return UNUSABLE
    parts: dict[str, dict[str, Score]] = {}
    for title, key in (("By fault", _fault), ("Over time", lambda trial: trial.at[:7])):
        groups: dict[str, list[Trial]] = {}
        for trial in judged:
            groups.setdefault(key(trial), []).append(trial)
        scores = {name: reckoning.score([pair(t) for t in group]) for name, group in groups.items()}
        parts[title] = {name: found for name, found in scores.items() if found}
    scored.answer(screen(), whole, parts)
    return USED


def pair(trial: Trial) -> tuple[float, bool]:
    """What was expected of a trial, and whether it came out better."""
    from advisor.reasoning.reckoning import expected

    return expected(trial.past(now())), trial.verdict == "better"


def _fault(trial: Trial) -> str:
    felt = next(iter(trial.past(now()))).facts
    return " ".join(felt[k] for k in ("balance", "phase") if k in felt) or "other"


def tendency(judged: Sequence[Trial]) -> list[str]:
    """A warning where the chances given so far were too high or too low."""
    from advisor.reasoning import reckoning

    told = reckoning.tendency(reckoning.score([pair(trial) for trial in judged]))
    return [told] if told else []


def past(judged: Sequence[Trial]) -> tuple[Past, ...]:
    """What the team has tried so far, as experience."""
    today = now()
    return tuple(past for trial in judged for past in trial.past(today))
