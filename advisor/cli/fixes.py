"""`advisor fix ...`: a team's own fixes, drafted from the journal, counted, trusted."""

from __future__ import annotations

import argparse
import re
import shlex
from collections.abc import Sequence
from typing import NoReturn

from advisor.app.wording import name
from advisor.book import fixes as files
from advisor.cli import UNUSABLE, USED, journal_path, stamps, team
from advisor.cli import trust as trust_
from advisor.cli.stamps import stamp
from advisor.journal.store import Journal
from advisor.journal.trials import Trial, counted, trials
from advisor.learning import fixes
from advisor.model import conditions
from advisor.model.knowledge import Book, Fix
from advisor.model.scale import percent
from advisor.problems import Problem, UnusableError, printable
from advisor.terminal.screen import screen
from advisor.terminal.show import line

REGIMES = ("setup.tyres.kind", "observed.machine", "observed.track")  # what a draft proposes as its regime
LATEST = 5  # trials that are named when one was not found
SHORT = 8  # letters of a trial's id that are shown


def run(options: argparse.Namespace) -> int:
    """The chosen action; raises JournalError, UnusableError or OSError with sentences."""
    return {"draft": draft, "list": show, "trust": trust, "distrust": distrust}[options.action](options)


def _judged(options: argparse.Namespace) -> list[Trial]:
    """Every trial of the journal that has a verdict, oldest first."""
    path = journal_path(options)
    if not path.exists():
        return []
    with Journal(path, read_only=True) as journal:
        return [trial for trial in counted(trials(journal), stamps.now())[0] if trial.verdict]


# --- draft --------------------------------------------------------------------------------------------


def draft(options: argparse.Namespace) -> int:
    """Make a file from trials of the journal."""
    judged, book = _judged(options), team.book(options, new=True)
    chosen = [_found(judged, ident) for ident in options.trial] or _latest_better(judged)
    turns = {(t.change.lever, t.change.direction) for t in chosen}
    if len(turns) > 1:
        _refuse("these trials turned different things; a fix is about one lever and one direction")
    if any(t.beside for t in chosen):
        _refuse("several things were changed before one run: nobody can say which of them did it")
    ((lever, way),) = turns
    if lever not in book.levers or way not in book.levers[lever].ways:
        _refuse(f'the knowledge does not hold "{printable(lever)} {printable(way)}" any more')
    known = trust_.seen(judged, trust_.without_fixes(book), (lever, way))
    base = [s for s in known if s.trial.id in {t.id for t in chosen}]
    if not base:
        _refuse("the case of this trial cannot be read any more")
    fix = _drafted(options, base if options.trial else _alike(known, base))
    if not trust_.counts_of([s for s in known if s.trial.id in fix.evidence]).better:
        _refuse("none of these trials was better: there is nothing to make a fix of")
    path = files.create(team.target(options), fix.id, files.text(fix, _in_common(base)))
    print(printable(f"Written: {path}"))
    _tell_draft(fix, book, base)
    print(f"Edit it, then type: {_command(options, 'trust', fix.id)}")
    return USED


def _tell_draft(fix: Fix, book: Book, base: Sequence[trust_.Seen]) -> None:
    cause = book.causes[fix.cause].name if fix.cause in book.causes else ""
    _tell(f"{name(book, fix.lever, fix.direction)}; trials: {len(fix.evidence)}; cures: {fix.cures}", 2)
    _tell(f"cause: {cause} ({fix.cause}), the likeliest before the change: is that what it was?", 2)
    if known := _known_against(fix, book, base):
        _tell(f"The knowledge has this change against {known}: write one of these if that is what it was.", 2)
    _tell("Look also at fault, because and cures, and say where it holds if not everywhere.", 2)


def _known_against(fix: Fix, book: Book, base: Sequence[trust_.Seen]) -> str:
    """The likeliest causes that the change is known to answer, where the drafted one is none of them."""
    seen = base[-1]
    if fix.cause in seen.answered:
        return ""
    best = sorted(seen.answered, key=lambda c: -seen.causes[c])[:2]
    return " and ".join(f"{book.causes[c].name} ({c}, {percent(seen.causes[c])})" for c in best)


def _tell(text: str, indent: int = 0) -> None:
    """A sentence, wrapped to the screen; paths and commands are printed whole, to be copied."""
    line(screen(), text, indent)


def _found(judged: Sequence[Trial], ident: str) -> Trial:
    """The trial with that id, or the only one whose id begins so."""
    fitting = [t for t in judged if t.id.startswith(ident)] if ident else []
    exact = [t for t in fitting if t.id == ident] or fitting
    if len(exact) != 1:
        latest = ", ".join(f"{t.id[:SHORT]} ({t.say}: {t.verdict})" for t in judged[-LATEST:]) or "none"
        what = "is the beginning of several" if exact else "is no trial with a verdict"
        _refuse(f'"{printable(ident)[:40]}" {what}; the latest are: {latest}')
    return exact[0]


def _latest_better(judged: Sequence[Trial]) -> list[Trial]:
    better = [t for t in judged if t.verdict == "better" and not t.beside]
    if not better:
        _refuse("the journal holds no single change that was better")
    return better[-1:]


def _alike(known: Sequence[trust_.Seen], base: Sequence[trust_.Seen]) -> list[trust_.Seen]:
    """All trials of the change that a draft from `base` would speak of, for and against."""
    fault = _fault(base)
    return [
        s for s in known
        if s in base or s.likeliest == base[0].likeliest or (fault and conditions.holds(fault, s.facts))
    ]  # fmt: skip


def _drafted(options: argparse.Namespace, seen: Sequence[trust_.Seen]) -> Fix:
    change = seen[0].trial.change
    sums = {c: sum(s.causes[c] for s in seen) for c in seen[0].causes}
    fault = _fault(seen)
    balance = fault.get("observed.balance", "")
    ident = options.id or "_".join(x for x in (change.lever, change.direction, balance) if x)
    return Fix(
        id=ident,
        author=printable(options.author).strip() or "team",
        date=stamp()[1][:10],
        status="draft",
        lever=change.lever,
        direction=change.direction,
        cures=fixes.word_for(trust_.counts_of(seen)),
        because=_in_his_words(seen),
        cause=max(sums, key=lambda c: sums[c]),
        fault=fault,
        evidence=tuple(s.trial.id for s in seen),
    )


def _in_his_words(seen: Sequence[trust_.Seen]) -> str:
    """What the driver complained of, and what he said came of it; never a lap time for a reason."""
    better = [s.trial for s in seen if s.trial.verdict == "better"]
    told = next((t for t in reversed(better) if _says(t.note)), None)
    if told is None:
        return f"it helped our kart: {trust_.counts_of(seen)}"
    complaint, note = printable(told.complaint.strip()), printable(told.note.strip())
    return f'"{complaint}", and with it: {note}' if _says(complaint) else note


def _says(text: str) -> bool:
    """True where there are words in a text, not figures alone, and not what the judge wrote of the laps."""
    bare = text.strip()
    return bool(bare) and not bare.startswith("laps:") and not re.fullmatch(r"[\d\s.,:;/s+-]+", bare)


def _fault(seen: Sequence[trust_.Seen]) -> dict[str, str]:
    """What all the trials said of balance and phase."""
    return _common(seen, ("observed.balance", "observed.phase"))


def _in_common(seen: Sequence[trust_.Seen]) -> dict[str, str]:
    return _common(seen, REGIMES)


def _common(seen: Sequence[trust_.Seen], paths: Sequence[str]) -> dict[str, str]:
    found = {}
    for path in paths:
        said = {_one(s.facts.get(path)) for s in seen}
        if len(said) == 1 and (word := said.pop()):
            found[path] = word
    return found


def _one(fact: object) -> str | None:
    """The word of a fact that is not in doubt."""
    if isinstance(fact, frozenset):
        return str(next(iter(fact))) if len(fact) == 1 else None
    return fact if isinstance(fact, str) else None


# --- list, trust, distrust ----------------------------------------------------------------------------


def show(options: argparse.Namespace) -> int:
    """All fixes with what speaks for and against them now."""
    book, judged = team.book(options), _judged(options)
    mind = trust_.without_fixes(book)
    for fix in book.fixes.values():
        found = trust_.evidence(fix, judged, mind)
        counts, missing = found.counts, found.missing
        cause = book.causes[fix.cause].name if fix.cause else "no cause named"
        _tell(f"{fix.id}: {fix.status} ({fix.author}, {fix.date})")
        _tell(f"{name(book, fix.lever, fix.direction)}; a remedy of: {cause}; cures: {fix.cures}", 2)
        if fix.fell and fix.status == "draft":
            _tell(f"lost its trust: {fix.fell}", 2)
        _tell(f"trials now: {counts}; helps more often than not: {fixes.helped(counts).above_half:.3f}", 2)
        if found.others:
            _tell(
                f"not counted: {found.others} of this change against another fault, or where it does not hold",
                2,
            )
        if missing:
            _tell(_elsewhere(fix, missing), 2)
        if fix.anyway and fix.status == "trusted":
            _tell(f"trusted anyway: {fix.anyway}", 2)
        elif fix.status == "trusted" and not missing and fixes.doubt(counts):
            _tell("Its trials do not bear it out now. To make it a draft again:", 2)
            print(f"  {_command(options, 'distrust', fix.id)}")
    if not book.fixes:
        print(
            printable(f"No fix is on file. Make one from a change that helped: {_command(options, 'draft')}")
        )
    return USED


def _elsewhere(fix: Fix, missing: int) -> str:
    return f"{missing} of the {len(fix.evidence)} trials that it names are not in this journal."


def trust(options: argparse.Namespace) -> int:
    """Let a fix count in the advice, if its trials bear it out or a person says so."""
    book = team.book(options)
    path = files.path_of(team.folders(options), options.id)
    fix = book.fixes[options.id]
    if fix.status == "trusted":
        _tell(f"{fix.id} is trusted already.")
        return USED
    if fix.cause is None:
        files.refuse(
            path,
            "names no cause, and a trusted fix is a remedy of one; write a line such as cause: weight_back",
        )
    found = trust_.evidence(fix, _judged(options), trust_.without_fixes(book))
    counts, missing = found.counts, found.missing
    doubt = fixes.doubt(counts)
    if doubt and not options.anyway:
        _tell(f"{fix.id} stays a draft. {doubt[:1].upper()}{doubt[1:]}.")
        if missing:
            _tell(_elsewhere(fix, missing))
        _tell("To trust it all the same, and have that written down:")
        print(f"  {_command(options, 'trust', fix.id, '--anyway')}")
        return UNUSABLE
    files.set_status(path, "trusted", f"{stamp()[1][:10]}: {doubt}" if doubt else None)
    told = f"{fix.id} is trusted from now on" + (" because you say so" if doubt else "")
    _tell(f"{told}: {counts}.")
    print(printable(f"Written: {path}"))
    return USED


def distrust(options: argparse.Namespace) -> int:
    """Make a fix a draft again."""
    path = files.path_of(team.folders(options), options.id)
    files.set_status(path, "draft")
    _tell(f"{options.id} is a draft again and changes no advice.")
    print(printable(f"Written: {path}"))
    return USED


def _command(options: argparse.Namespace, *words: str) -> str:
    """What to type next, for the same folders and journal."""
    chosen = [x for folder in team.named(options) for x in ("--knowledge", str(folder))]
    if getattr(options, "journal", None):
        chosen += ["--journal", options.journal]
    return printable(shlex.join(("advisor", "fix", *words, *chosen)))


def _refuse(text: str) -> NoReturn:
    raise UnusableError([Problem("journal", 1, 1, printable(text))])
