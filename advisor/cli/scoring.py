"""What the journal says of the advice: the team's experience, and how often the advice was right."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from advisor.cli import UNUSABLE, USED, journal_path, stamps
from advisor.model.case import Past
from advisor.problems import printable

if TYPE_CHECKING:
    from advisor.journal.store import Journal
    from advisor.journal.trials import Trial
    from advisor.journal.verdicts import Dispute
    from advisor.learning.reckoning import Score

SCORED = 2000  # trials that the advice is scored by, the latest
REMEMBERED = 200  # trials that count as experience, the latest; more would move nothing much
SITTINGS = 200  # of which it counts what was answered, the latest
LISTED = 3  # verdicts to be settled that are told at once


def score(options: argparse.Namespace) -> int:
    """`advisor score`: what was expected of the changes tried, and what came of them."""
    from advisor.journal.store import Journal
    from advisor.journal.trials import counted, found, latest
    from advisor.learning import reckoning
    from advisor.model.belonging import kart_name
    from advisor.terminal import scored
    from advisor.terminal.screen import screen

    with Journal(journal_path(options), read_only=True) as journal:
        kart = getattr(options, "kart", None)
        rows = (
            latest(journal, SCORED, "judged")
            if kart is None
            else found(journal, SCORED, kart=kart_name(kart))
        )
        judged, late = counted([trial for trial in rows if trial.verdict], stamps.now())
    given = [reckoning.cured(trial.past(stamps.now())) for trial in judged]
    whole = reckoning.score([pair(trial) for trial in judged], sum(given) / max(1, len(given)))
    if whole is None:
        print("No change in the journal has an outcome yet, so there is nothing to score.", file=sys.stderr)
        return UNUSABLE
    parts: dict[str, dict[str, Score]] = {}
    for title, key in (("By fault", _fault), ("Over time", lambda trial: trial.belongs.time[:7])):
        groups: dict[str, list[Trial]] = {}
        for trial in judged:
            groups.setdefault(key(trial), []).append(trial)
        scores = {name: reckoning.score([pair(t) for t in group]) for name, group in groups.items()}
        parts[title] = {name: found for name, found in scores.items() if found}
    scored.answer(screen(), whole, parts, to_come(late))
    return USED


def pair(trial: Trial) -> tuple[float, bool]:
    """What was expected of a trial, and whether it came out better."""
    from advisor.learning.reckoning import expected

    return expected(trial.past(stamps.now())), trial.verdict == "better"


def _fault(trial: Trial) -> str:
    felt = next(iter(trial.past(stamps.now()))).facts
    return " ".join(felt[k] for k in ("balance", "phase") if k in felt) or "other"


def told(journal: Journal) -> list[str]:
    """What is to be said of the journal before any advice.

    A tendency of the chances given so far, trials dated in the future, and verdicts that wait to be settled.
    """
    from advisor.journal.trials import counted, latest
    from advisor.journal.verdicts import disputes
    from advisor.learning import reckoning

    judged, late = counted(latest(journal, REMEMBERED, "judged"), stamps.now())
    tendency = reckoning.tendency(reckoning.score([pair(trial) for trial in judged]))
    return [
        *([tendency] if tendency else []),
        *to_come(late),
        *(unsettled(d) for d in disputes(journal)[:LISTED]),
    ]


def to_come(late: Sequence[Trial]) -> list[str]:
    """A sentence on trials dated in the future."""
    from advisor.cli.waiting import line

    if not late:
        return []
    one = len(late) == 1
    which = "1 trial is dated" if one else f"{len(late)} trials are dated"
    does = "does" if one else "do"
    return [
        f"{which} in the future and {does} not count until then, the latest {line(late[-1], ident=True)}; "
        "look at the clock of the machine that wrote it"
    ]


def unsettled(dispute: Dispute) -> str:
    """A sentence on two verdicts of one trial."""
    from advisor.cli.waiting import SHORT, line, when

    each = " but ".join(
        f'"{s.verdict}" by {s.belongs.driver or "somebody"} ({when(s.belongs.time)}{f": {s.note}" if s.note else ""})'
        for s in dispute.said
    )
    return printable(
        f"two things were said of {line(dispute.trial)}: {each}; the last counts until you settle it: "
        f"advisor outcome VERDICT --trial {dispute.trial.id[:SHORT]}"
    )


def past(judged: Sequence[Trial]) -> tuple[Past, ...]:
    """What the team has tried so far, as experience."""
    today = stamps.now()
    return tuple(past for trial in judged for past in trial.past(today))
