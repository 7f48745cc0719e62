"""The options of `advisor history`: light, because every command line is parsed with them."""

from __future__ import annotations

import argparse

DESCRIPTION = "What was complained of, tried and noted, what came of it, and at which setup; the latest last."


def add(to: argparse.ArgumentParser) -> None:
    """Declare the options."""
    to.add_argument("--track", metavar="TEXT", help="at this track")
    to.add_argument("--fault", metavar="WORD", help='this fault: oversteer, "oversteer entry" ...')
    to.add_argument("--lever", metavar="WORD", help="this lever was turned: caster, rear track ...")
    to.add_argument("--day", metavar="DATE", help="on this day, such as 2024-05-04")
    to.add_argument("--last", type=int, default=20, metavar="N", help="at most so many trials and runs (20)")
    to.add_argument("--good", action="store_true", help="when was it last good, and what has changed since")
    to.add_argument("--service", action="store_true", help="hours driven since each part was serviced")
    to.add_argument(
        "--trend", action="store_true", help="the runs side by side: laps, pressures, temperatures, setup"
    )
    to.add_argument("--csv", metavar="FILE", help="write the runs and trials into a new file, as a table")
    to.add_argument(
        "--json", metavar="FILE", help="write the runs and trials into a new file, whole; - is the screen"
    )
