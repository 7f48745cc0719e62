"""The commands that have no room of their own, each a function from options to an exit status."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.book import load
from advisor.cli import UNUSABLE, USED, journal_path, team
from advisor.cli.desk import has_terminal
from advisor.cli.scoring import REMEMBERED, SITTINGS, past, told
from advisor.cli.stamps import stamp
from advisor.model.case import Case

if TYPE_CHECKING:
    from advisor.glossary.find import Key
    from advisor.karts.cases import CaseFile
    from advisor.model.knowledge import Book
    from advisor.reasoning.weighing import Mind
    from advisor.words.ear import Ear


def _mind(book: Book, ear: Ear | None) -> Mind:
    from advisor.reasoning.weighing import make_ready

    return make_ready(book, ear)


# --- one-shot advice --------------------------------------------------------------------------------


def advise(options: argparse.Namespace) -> int:
    """`advisor advise CASE.yaml`: status 1 and every problem on standard error when the case cannot be used."""
    from advisor.karts.cases import read_case
    from advisor.reasoning.advise import advise as answer

    mind = team.mind(options)
    read = read_case(Path(options.case), mind.book)
    if read.case is None:
        for problem in sorted(read.problems):
            print(problem, file=sys.stderr)
        return UNUSABLE
    case, odd = _with_kart(options, mind, read)
    if getattr(options, "journal", None):
        case, noted = _tried_before(options, case)
        odd = [*odd, *noted]
    found = answer(mind, case)
    found = replace(found, warnings=(*odd, *found.warnings))
    from advisor.app.by_loads import with_loads

    if options.json:
        from advisor.cli.as_json import text

        print(text(with_loads(mind.book, found, case, len(found.advice))))
        return USED
    from advisor.app.wording import all_as_set
    from advisor.terminal import show
    from advisor.terminal.screen import screen

    for stands in (note for note in odd if note.startswith("STOP")):
        show.line(screen(), f"{stands}.", 0, "bold")
    found = with_loads(mind.book, all_as_set(found, mind.book, case.rules), case, show.TOP)
    show.answer(screen(), found, mind.book)
    return USED


def _with_kart(options: argparse.Namespace, mind: Mind, read: CaseFile) -> tuple[Case, list[str]]:
    """The case on top of the kart that was named, if any, and what is odd about it."""
    if not getattr(options, "kart", None):
        return read.case or Case(), read.warnings
    from advisor.app.felt import told_anew
    from advisor.cli.standing import standing, still_standing
    from advisor.karts import on_file

    words = read.case.complaint if read.case else ""
    kart, noted = standing(options, mind.book, lambda: told_anew(mind, words))
    case, odd = on_file.on_top(kart, read)
    return case, [*still_standing(options, mind, kart), *noted, *odd]


def _tried_before(options: argparse.Namespace, case: Case) -> tuple[Case, list[str]]:
    """The case with the team's trials and answers, and what is to be said of the journal.

    Which of them belong to the present search is reasoned there, as in the interview.
    """
    from advisor.cli.places import place
    from advisor.journal.sittings import asked
    from advisor.journal.store import Journal
    from advisor.journal.trials import latest

    with Journal(journal_path(options), read_only=True) as journal:
        before, answered = past(latest(journal, REMEMBERED, "judged")), asked(journal, SITTINGS)
        driver = place(options, journal, case.kart_file).driver
        return replace(case, past=before, asked=answered, driver=driver), told(journal)


# --- words ------------------------------------------------------------------------------------------


def explain(options: argparse.Namespace) -> int:
    """`advisor explain [WORD ...]`: status 1 when no entry fits the words and they ask for no sum."""
    from advisor.sums import asked
    from advisor.terminal import explained
    from advisor.terminal.screen import screen

    text = " ".join(options.word)
    if (found := asked(text)) is not None:
        from advisor.cli.computing import told as tell

        tell(options, text, found)
        return USED
    from advisor.words.understand import lexicon

    out, book, ear = screen(), team.book(options), team.ear(options)
    known = lexicon(book, ear.words if ear else frozenset())

    def loads(key: Key) -> None:
        if key.kind == "lever":
            from advisor.terminal.plan import quoted

            quoted(out, book, key.id)

    return USED if explained.word(out, book, known, text, loads) else UNUSABLE


# --- check and demo ---------------------------------------------------------------------------------


def check(options: argparse.Namespace) -> int:
    """`advisor check [PATH ...]`: errors and weaknesses as two lists; status 1 if there is any error."""
    from advisor.replay.checking import check_paths

    if options.coverage:
        return _coverage()
    paths = [Path(p) for p in options.path] or [load.shipped(), load.shipped("scenarios")]
    problems, counted = check_paths(paths, team.folders(options))
    titles = {
        "error": "Errors (cannot be used)",
        "weakness": "Weaknesses (usable, but poor)",
        "note": "Replaced by your own files",
    }
    found = {kind: [p for p in problems if p.severity == kind] for kind in titles}
    for kind, title in titles.items():
        if found[kind]:
            print(f"{title}: {len(found[kind])}")
            for problem in found[kind]:
                print(f"  {problem}")
    if not found["error"] and not found["weakness"]:
        files = "1 file" if counted == 1 else f"{counted} files"
        print(f"Checked {files}: no errors, no weaknesses.")
    return UNUSABLE if found["error"] else USED


def _coverage() -> int:
    from advisor.replay.coverage import coverage, table, unseen

    mind, folder = _mind(load.book(), load.ear()), load.shipped("scenarios")
    for line in table(coverage(mind, folder)):
        print(line)
    print("no scenario names:", ", ".join(unseen(mind, folder)) or "no cause is left out")
    return USED


def demo(options: argparse.Namespace) -> int:
    """`advisor demo`: an invented race day, played by the real engine on a temporary journal."""
    from tempfile import TemporaryDirectory
    from time import sleep

    from advisor.cli.demo import play

    with TemporaryDirectory(prefix="advisor-demo-") as folder:
        pause = (lambda _: None) if options.fast or not has_terminal() else sleep
        return play(_mind(load.book(), load.ear()), Path(folder) / "journal.sqlite3", stamp, pause)
