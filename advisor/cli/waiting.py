"""Which change an outcome is told of: named by kart, complaint and time, and never one of another kart."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING, NoReturn

from advisor.app import named
from advisor.app.named import SHORT
from advisor.cli import stamps
from advisor.journal.belonging import is_to_come, seconds
from advisor.model.belonging import Belonging, kart_name
from advisor.problems import Problem, UnusableError, printable

__all__ = ["SHORT", "chosen", "line", "refuse", "title", "when"]

if TYPE_CHECKING:
    from advisor.journal.store import Journal
    from advisor.journal.trials import Trial

LISTED = 6


def when(time: str) -> str:
    """A local time as people say it."""
    return named.when(time, stamps.now())


def to_come(places: Sequence[Belonging]) -> list[str]:
    """A sentence on what is dated in the future, if anything is."""
    late = [here for here in places if is_to_come(here, stamps.now())]
    if not late:
        return []
    here = max(late, key=lambda p: seconds(p.time))
    what = "1 entry is" if len(late) == 1 else f"{len(late)} entries are"
    does = "it does" if len(late) == 1 else "they do"
    latest = f"{here.kart or 'no kart on file'}, {when(here.time)}"
    return [
        f"{what} dated in the future ({latest}), and until then {does} not count; look at the clock, or put the time "
        "right: advisor diary --correct ENTRY --time TIME."
    ]


def title(trial: Trial) -> str:
    """A trial by kart, complaint and time."""
    return named.title(trial, stamps.now())


def line(trial: Trial, ident: bool = False) -> str:
    """What was changed, and whose change it is."""
    return named.line(trial, stamps.now(), ident)


def chosen(options: argparse.Namespace, journal: Journal, of: str = "") -> Trial | None:
    """The change that the options mean; None where none waits. Raises UnusableError where it is not clear which.

    A trial that is named may have an outcome already: a new one corrects it. `of`: the kart that is meant anyway.
    """
    from advisor.journal.trials import waiting

    kart = of or getattr(options, "kart", None)
    if getattr(options, "trial", ""):
        return _named(options.trial, kart, journal)
    found = waiting(journal, kart)
    karts = {trial.kart for trial in found}
    if len(karts) > 1:
        refuse("changes of several karts wait for an outcome; say whose it is, with --kart or --trial", found)
    if not found and kart is not None and (others := waiting(journal)):
        refuse(f"no change of {printable(kart)} waits for an outcome; those of others do", others)
    return found[-1] if found else None


def _named(ident: str, kart: str | None, journal: Journal) -> Trial:
    from advisor.journal.trials import begun, latest

    fitting = begun(journal, ident)
    if len(fitting) != 1:
        what = "is the beginning of several trials" if fitting else "is no trial"
        refuse(f'"{printable(ident)[:40]}" {what}', fitting or latest(journal, LISTED))
    if kart is not None and fitting[0].kart != kart_name(kart):
        refuse(f"that trial is not one of {printable(kart)}", fitting)
    return fitting[0]


def refuse(text: str, trials: Sequence[Trial]) -> NoReturn:
    """One sentence, with the trials that there are."""
    told = "; ".join(line(trial, ident=True) for trial in trials[-LISTED:])
    raise UnusableError([Problem("journal", 1, 1, f"{text}: {told}" if told else text)])
