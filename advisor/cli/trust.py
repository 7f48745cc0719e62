"""Trust looked at again: after each outcome, the fixes that it speaks of, and those that lose their trust by it."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from advisor.book import fixes as files
from advisor.cli import stamps, team
from advisor.cli.stamps import stamp
from advisor.karts.written import case_from_data
from advisor.learning import fixes
from advisor.learning.fixes import Counts
from advisor.model import conditions
from advisor.model.case import VERDICTS, Verdict
from advisor.model.knowledge import Book, Fix
from advisor.problems import UnusableError
from advisor.reasoning.weighing import Mind, make_ready, reason

if TYPE_CHECKING:
    from advisor.journal.store import Journal
    from advisor.journal.trials import Trial
    from advisor.journal.verdicts import Stage

AGAINST = 0.2  # below this chance that it helps more often than not the figures speak against a fix; ours


@dataclass(frozen=True, slots=True)
class Seen:
    """A trial of one change with its verdict, and what was known of the kart before it.

    `answered`: the causes that the knowledge has this change against.
    """

    trial: Trial
    facts: conditions.Facts
    causes: dict[str, float]
    answered: tuple[str, ...] = ()

    @property
    def likeliest(self) -> str:
        """The cause that was likeliest before the change, of those that the book holds."""
        return max(self.causes, key=lambda c: self.causes[c])

    def speaks_of(self, fix: Fix) -> bool:
        """True for the same change against the same fault or cause in the same regime, or if the fix names it."""
        if (self.trial.change.lever, self.trial.change.direction) != (fix.lever, fix.direction):
            return False
        if self.trial.id in fix.evidence:
            return True
        alike = bool(fix.fault) and conditions.holds(fix.fault, self.facts)
        return conditions.holds(fix.where, self.facts) and (alike or self.likeliest == fix.cause)


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the journal says of a fix now, and how many trials that the fix names are not in it."""

    verdicts: tuple[Verdict, ...]  # in the order of the trials
    missing: int
    named: Counts  # of the trials that the fix itself names
    trials: tuple[str, ...] = ()
    others: int = 0  # trials of the same change alone that speak of other faults or regimes

    @property
    def counts(self) -> Counts:
        """How many trials had each verdict."""
        return fixes.counted(self.verdicts)


def without_fixes(book: Book) -> Mind:
    """The book made ready; fixes have no say in what their own trials are taken to tell of."""
    return make_ready(replace(book, fixes={}))


def seen(judged: Sequence[Trial], mind: Mind, turn: tuple[str, str]) -> list[Seen]:
    """The trials of one change alone."""
    rows = [t for t in judged if not t.beside and (t.change.lever, t.change.direction) == turn]
    return [found for trial in rows if (found := _looked_at(mind, trial)) is not None]


def _looked_at(mind: Mind, trial: Trial) -> Seen | None:
    case = case_from_data(trial.case, mind.book)
    if case is None:
        return None  # a row of another making: what it tells cannot be compared
    done = reason(mind, case)
    chances = zip(mind.tables.hypotheses, done.belief.probabilities, strict=True)
    links = done.links.get(trial.change.lever, {})
    known = (mind.tables.hypotheses[i] for i, link in links.items() if link.way == trial.change.direction)
    causes = {c: p for c, p in chances if c in mind.book.causes}
    return Seen(trial, done.evidence.facts, causes, tuple(c for c in known if c in causes))


def counts_of(trials: Sequence[Seen]) -> Counts:
    """How many had each verdict."""
    return fixes.counted([s.trial.verdict for s in trials if s.trial.verdict])


def evidence(fix: Fix, judged: Sequence[Trial], mind: Mind) -> Evidence:
    """The trials that speak of a fix now."""
    known = seen(judged, mind, (fix.lever, fix.direction))
    fitting = [s for s in known if s.speaks_of(fix)]
    missing = len(set(fix.evidence) - {t.id for t in judged})
    verdicts = tuple(s.trial.verdict for s in fitting if s.trial.verdict)
    named = counts_of([s for s in fitting if s.trial.id in fix.evidence])
    return Evidence(verdicts, missing, named, tuple(s.trial.id for s in fitting), len(known) - len(fitting))


def lost(fix: Fix, found: Evidence, stood: Sequence[Stage]) -> str | None:
    """Why a trusted fix is not trusted any more; None while it is. `stood`: how its trials stood, verdict by verdict.

    One that its trials once bore out falls by the rule that it was trusted by, also where a correction or an import
    moves what came before. One that they never did, or not since a person trusted it against the figures, or whose
    trials lie in another journal, falls when they speak against it, and are no fewer than those missing here.
    """
    if _once_borne_out(fix, found, stood):
        return fixes.doubt(found.counts)
    share = fixes.helped(found.counts).above_half
    told = (
        f"{found.counts}: it helps more often than not with a probability of {share:.3f}, under {AGAINST:g}"
    )
    return told if share < AGAINST and found.counts.all >= found.missing else None


def _once_borne_out(fix: Fix, found: Evidence, stood: Sequence[Stage]) -> bool:
    """True where a fix could once be trusted by its figures; after the day that a person overruled them, if one did."""
    overruled = (fix.anyway or "")[:10]
    once = [fixes.counted(_words(s.verdicts)) for s in stood if s.at[:10] > overruled]
    if not overruled:
        once += [found.named, *(fixes.counted(found.verdicts[: i + 1]) for i in range(len(found.verdicts)))]
    return any(fixes.doubt(counts) is None for counts in once)


def _words(verdicts: Sequence[str]) -> list[Verdict]:
    return [known for verdict in verdicts for known in VERDICTS if known == verdict]


def looked_at_again(
    options: argparse.Namespace,
    journal: Journal,
    book: Book,
    trial: Trial | None = None,
    mind: Mind | None = None,
) -> tuple[str, ...]:
    """Make drafts of the trusted fixes that are not borne out any more, and say so.

    `trial`: only those whose change it was; all of them without one. `mind`: the book made ready, where it is.
    """
    turns = None if trial is None else {(c.lever, c.direction) for c in trial.changes}
    trusted = [
        f for f in book.fixes.values()
        if f.status == "trusted" and (turns is None or (f.lever, f.direction) in turns)
    ]  # fmt: skip
    if not trusted:
        return ()
    from advisor.journal.trials import counted, found
    from advisor.journal.verdicts import stages

    told = []
    mind = (
        replace(mind, book=replace(book, fixes={})) if mind else without_fixes(book)
    )  # no table knows of fixes
    for fix in trusted:
        judged = [t for t in counted(found(journal, 10_000, lever=fix.lever), stamps.now())[0] if t.verdict]
        known = evidence(fix, judged, mind)
        if why := lost(fix, known, stages(journal, known.trials)):
            told.append(_falls(options, fix, why))
    return tuple(told)


def _falls(options: argparse.Namespace, fix: Fix, why: str) -> str:
    try:
        path = files.path_of(team.folders(options), fix.id)
        files.set_status(path, "draft", fell=f"{stamp()[1][:10]}: {why}")
    except UnusableError as error:  # what was to be written down is written down: this is only told
        return f"Your fix {fix.id} has lost its trust: {why}. {error}"
    return f"Your fix {fix.id} is a draft again, and changes no advice from now on. It has lost its trust: {why}."
