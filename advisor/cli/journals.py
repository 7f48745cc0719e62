"""`advisor journal ...`: a journal carried to another machine, merged with another, or saved from a damaged file."""

from __future__ import annotations

import argparse
import shlex
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

from advisor.book import fixes as files
from advisor.cli import USED, home_expanded, journal_path, stamps, team
from advisor.cli import waiting as which
from advisor.cli.scoring import REMEMBERED, to_come, unsettled
from advisor.cli.trust import looked_at_again
from advisor.journal import carry, lately, notes, rescue, runs, verdicts
from advisor.journal.copies import Stray, cross_out
from advisor.journal.notes import Note
from advisor.journal.store import Document, Event, Journal, Merged
from advisor.journal.trials import counted, latest
from advisor.journal.verdicts import Dispute
from advisor.model.knowledge import Book
from advisor.problems import printable
from advisor.terminal.history import in_two_ways


def run(options: argparse.Namespace) -> int:
    """The chosen action; raises JournalError, UnusableError or OSError with sentences."""
    action = {"export": export, "import": take_in, "rescue": save}[options.action]
    return action(home_expanded(options.file), options)


def export(path: Path, options: argparse.Namespace) -> int:
    """Write everything into one file."""
    own = team.target(options)
    fixes = [Document(files.KIND, body) for body in files.carried(own)] if own.is_dir() else []
    with Journal(journal_path(options), read_only=True) as journal:
        lines = carry.write(journal, path, fixes)
    print(printable(f"Written: {path} ({_entries(lines)})"))
    print(printable(f"On the other machine type: {shlex.join(('advisor', 'journal', 'import', path.name))}"))
    return USED


def take_in(path: Path, options: argparse.Namespace) -> int:
    """Merge a file into the journal; all of it or nothing, unless the rest was asked for."""
    reader = carry.Reader(path, lenient=options.lenient)
    reader.look()
    fixes = _Fixes(options)
    with Journal(journal_path(options)) as journal:
        before = {d.trial.id for d in verdicts.disputes(journal)}
        differed = {note.entry for note in notes.differing(journal)}
        merged = journal.merge(fixes.apart(reader))
        strays = cross_out(journal, stamps.stamp) if merged.new else []
        new = [d for d in verdicts.disputes(journal) if d.trial.id not in before]
        differ = [note for note in notes.differing(journal) if note.entry not in differed]
    for problem in reader.bad:
        print(problem, file=sys.stderr)
    written = fixes.write()
    _tell(f"Taken in: {_summary(merged, fixes.known)}.")
    if reader.bad:
        missing = f", and {reader.lost} are missing" if reader.lost else ""
        damaged = f"{reader.unread} damaged {'line' if reader.unread == 1 else 'lines'}"
        _tell(f"Not taken in: {damaged}{missing} (told above).")
    if merged.conflicts:
        names = ", ".join(merged.conflicts[:3]) + (" ..." if len(merged.conflicts) > 3 else "")
        told = f"{_entries(len(merged.conflicts))} {'is' if len(merged.conflicts) == 1 else 'are'} told in two ways"
        _tell(f"{told} ({names}): both are kept, and the earlier counts.")
    for text in written:
        _tell(text)
    _tell_apart(new, differ, strays)
    with Journal(journal_path(options)) as journal:
        late = counted(latest(journal, REMEMBERED, "judged"), stamps.now())[1]
        for text in to_come(late):
            _tell(f"Note: {text}.")
        for text in which.to_come(lately.to_come(journal, stamps.now(), trials_too=False)):
            _tell(f"Note: {text}")
        for text in looked_at_again(options, journal, team.book(options)):
            _tell(text)
    return USED


def _tell_apart(disputes: list[Dispute], differ: list[Note], strays: list[Stray]) -> None:
    """What two laptops told otherwise, neither knowing of the other."""
    for dispute in disputes:
        _tell(f"Note: {unsettled(dispute)}.")
    for note in differ:
        run = f"{note.belongs.kart or 'no kart on file'}, {which.when(note.belongs.time)}"
        _tell(f"Note: the run of {run} was {in_two_ways(note.entry, note.differing)}.")
    if strays:
        from advisor.app.moved import not_of

        for stray in strays:
            _tell(not_of(stray, stamps.now()))


class _Fixes:
    """The fixes of a carried file: they go into the team's folder, and what cannot be used stays in the journal."""

    def __init__(self, options: argparse.Namespace) -> None:
        self.options = options
        self.sound: list[tuple[str, str]] = []
        self.unfit: list[str] = []
        self.known = 0
        self._book: Book | None = None

    @property
    def book(self) -> Book:
        if self._book is None:
            self._book = team.book(self.options, new=True)
        return self._book

    def apart(self, items: Iterable[Event | Document]) -> Iterator[Event | Document]:
        """Everything but the fixes that can be used here."""
        for item in items:
            if isinstance(item, Document) and item.kind == files.KIND and self._takes(item.body):
                continue
            yield item

    def _takes(self, body: object) -> bool:
        found = files.understood(body)
        if found is None:
            self.unfit.append("its name is none that a fix may have")
            return False
        problems = files.wrong(*found, self.book)
        if problems:
            self.unfit.append(str(problems[0]))
            return False
        self.sound.append(found)
        return True

    def write(self) -> list[str]:
        """Write what is not there yet, and what is to be said of it; nothing is overwritten."""
        folder = team.target(self.options)
        new, told = 0, []
        for name, text in self.sound:
            done, path = files.take_in(folder, name, text)
            new += done == "new"
            self.known += done in ("known", "trust")
            if done == "trust" and files.is_trusted(text) and not files.is_trusted(path.read_text("utf-8")):
                told.append(_trusted_there(path.stem))
            if done == "other":
                told.append(
                    f"The fix {name} differs from yours: yours stays, and theirs is kept beside it in {path}"
                )
        if new:
            told.append(f"Fixes of the team taken in: {new}, in {folder / files.ROOM}")
        return [
            *told,
            *(f"A fix cannot be used here and is only kept in the journal: {text}" for text in self.unfit),
        ]


def _trusted_there(ident: str) -> str:
    """Whoever trusted it sits at the other machine: here a person says so too, with one command."""
    return (
        f"The fix {ident} is trusted there and a draft here. To trust it here too: advisor fix trust {ident}"
    )


def _summary(merged: Merged, fixes: int) -> str:
    """What came, each kind by its name; with what was here already it is all that the other machine wrote."""
    names = {runs.KIND: ("day of laps", "days of laps"), files.KIND: ("fix", "fixes")}
    other = ("of a kind that this version does not know",) * 2
    parts = [_entries(merged.new, "new ")]
    for kind, count in sorted(merged.kinds.items()):
        parts.append(f"{count} {names.get(kind, other)[count != 1]}")
    known = merged.known + fixes
    return f"{', '.join(parts)}; {known} {'was' if known == 1 else 'were'} here already"


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
    """A sentence, wrapped to the screen."""
    from advisor.terminal.screen import screen
    from advisor.terminal.show import line

    line(screen(), text)
