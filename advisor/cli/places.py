"""Where an event belongs: what options, the kart file and the day so far tell of kart, driver, track and session."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from advisor.cli import stamps
from advisor.model.belonging import Belonging
from advisor.problems import printable

if TYPE_CHECKING:
    from advisor.journal.store import Journal
    from advisor.karts.on_file import Kart

HELP = {
    "driver": "who drives",
    "track": "where it runs",
    "session": "practice, heat 2, final ...",
    "tyres": "which set of tyres",
    "weather": "in your own words",
}


def add(to: argparse.ArgumentParser) -> None:
    """Declare the options that tell where an event belongs."""
    for name, text in HELP.items():
        to.add_argument(
            f"--{name}",
            metavar="TEXT",
            dest=f"place_{name}",
            default=argparse.SUPPRESS,
            help=f"{text}; kept for this kart until the day ends",
        )


def told(options: argparse.Namespace) -> Belonging:
    """What the options say."""
    return Belonging(**{name: printable(getattr(options, f"place_{name}", "")).strip() for name in HELP})


def place(
    options: argparse.Namespace, journal: Journal, kart: str, on_file: Kart | None = None, time: str = ""
) -> Belonging:
    """Where an event of this kart belongs now: the options, then what was told today, then the kart file.

    What was told on another day is no fact of this one. `time` is local; now, if it is left out.
    """
    from advisor.journal.belonging import known

    time = time or stamps.local()
    before = known(journal, kart, time, stamps.now())
    today = before if before.day == time[:10] else Belonging()
    usual = Belonging(driver=on_file.driver, track=on_file.track) if on_file else Belonging()
    here = told(options).over(today).over(usual)
    return Belonging(kart=kart, time=time).over(here)
