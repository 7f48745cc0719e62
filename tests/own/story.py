"""An invented team that finds out something about its kart: trials for a journal, fixes, and the case it asks about."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from advisor.journal.store import Event, Journal
from tests.journal import rows

OBSERVED = {
    "phase": "entry",
    "balance": "oversteer",
    "onset": "grabs",
    "direction": "both",
    "inside_rear": "drops",
    "track": "rubbered",
}
CASE = f"observed: {{{', '.join(f'{k}: {v}' for k, v in OBSERVED.items())}}}\n"
LEVER, WAY = "front_track_width", "narrower"
FIX = "front_track_width_narrower_oversteer"
CAUSE = "lift_drop_snap"  # the likeliest of the shipped knowledge for this case, see test_commands


def events(
    ident: str,
    verdict: str,
    note: str = "",
    *,
    day: int = 1,
    turn: tuple[str, str] = (LEVER, WAY),
    **more: Any,
) -> list[Event]:
    """A trial of one change and its verdict."""
    change = {**rows.CHANGE, "lever": turn[0], "direction": turn[1], "say": "narrow the front track"}
    change |= {"amount": None, "to": None}
    body = {"complaint": "", "case": {"observed": OBSERVED}, "change": change, **more}
    at = f"2024-05-{day:02}T09:30:00+00:00"
    told = {"trial": ident, "verdict": verdict, "note": note}
    return [Event(ident, at, "trial", body), Event(f"v{ident}", at, "verdict", told)]


def drive(path: Path, verdicts: Sequence[str], first: int = 1, **more: Any) -> None:
    """Trials day1, day2 ... with these verdicts, added to a journal."""
    with Journal(path) as journal:
        for i, verdict in enumerate(verdicts, start=first):
            note = "calm on the way in, no jump" if verdict == "better" else ""
            for event in events(f"day{i}", verdict, note, day=i, **more):
                journal.append(event)


def fix(ident: str = "ours", /, **changes: str | None) -> str:
    """A fix as a file; a change of None leaves the line out."""
    lines = {
        "id": ident,
        "author": "team",
        "date": "2024-05-04",
        "status": "trusted",
        "lever": LEVER,
        "direction": WAY,
        "cause": CAUSE,
        "cures": "likely",
        "because": "the rear stops jumping",
        **changes,
    }
    return "".join(f"{key}: {value}\n" for key, value in lines.items() if value is not None)


def put(folder: Path, ident: str = "ours", /, **changes: str | None) -> Path:
    """Write a fix into a folder of knowledge."""
    path = folder / "fixes" / f"{ident}.yaml"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(fix(ident, **changes), "utf-8")
    return path
