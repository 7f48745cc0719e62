"""The options of `advisor diary`: light, because every command line is parsed with them."""

from __future__ import annotations

import argparse

LINES = {
    "weather": 'words, air and track temperature, wind, dry or wet: "cloudy 18 24 wind 3 NW dry"',
    "tyres": 'which set, and the laps on it: "set 2, 34 laps"',
    "pressures": 'cold > hot; front rear, or the four corners: "11 11 > 14.2 14"',
    "changed": 'what was changed since the run before: "rear track 1390, axle soft"',
    "words": "what it does, in the driver's own words; good, if it is right",
    "laps": 'lap times: "45.31 45.40 45.28"',
}
DESCRIPTION = """\
Note a run of a kart. Without options it asks, a short line each; Enter keeps
what stands there. What was noted is never overwritten: --correct writes a new
version of an entry.
"""


def add(to: argparse.ArgumentParser) -> None:
    """Declare the options."""
    for name in ("driver", "track", "session"):
        to.add_argument(f"--{name}", metavar="TEXT", dest=f"place_{name}", default=argparse.SUPPRESS)
    for name, text in LINES.items():
        to.add_argument(f"--{name}", metavar="TEXT", dest=f"line_{name}", help=text)
    to.add_argument(
        "--service",
        default="",
        metavar="PART",
        help='what was serviced before this run: "engine", "brake pads"',
    )
    to.add_argument(
        "--time",
        default="",
        metavar="TIME",
        help='local time of the run: 14:10 or "2024-05-04 14:10"; now if left out',
    )
    to.add_argument(
        "--zone", default="", metavar="ZONE", help="its time zone, such as Europe/Berlin; this machine's"
    )
    to.add_argument(
        "--outcome", choices=("better", "same", "worse"), help="what came of the change that waits"
    )
    to.add_argument(
        "--correct", metavar="ENTRY", default="", help="write a new version of an entry (advisor history)"
    )
    to.add_argument(
        "--clock",
        metavar="SHOWN=RIGHT",
        help='once for a logger: what its clock shows and what is right, "10:02=11:59" or with dates before the times',
    )
    to.add_argument("--logger", default="", metavar="NAME", help="which logger, where there are several")
    to.add_argument(
        "--match", metavar="SHEET", help="find the note of each logged run of a lap sheet by its time"
    )
    to.add_argument(
        "--date", default="", metavar="DATE", help="with --match: the logger's date of the first run"
    )
    to.add_argument(
        "--keep-laps", action="store_true", help="with --match: write the laps into the notes without any"
    )
    to.add_argument(
        "--column",
        type=_column,
        action="append",
        default=[],
        metavar="ROLE=NAME",
        help="with --match: which column is clock, date, time, run ...",
    )


def _column(text: str) -> tuple[str, str]:
    from advisor.cli.judge_options import column

    return column(text)
