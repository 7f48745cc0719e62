"""A change that was tried, named by kart, complaint and time."""

from __future__ import annotations

from datetime import datetime

from advisor.journal.belonging import AHEAD, moment
from advisor.journal.trials import Trial
from advisor.problems import printable

SHORT = 8  # letters of a trial's id that are shown
WORDS = 40  # letters of a complaint that are shown


def when(time: str, today: datetime) -> str:
    """A local time as people say it: "today 09:30", "4 May 09:30", "4 May 2023"; and where it is still to come."""
    then = moment(time)
    if then is None:
        return "at an unknown time"
    today = today.astimezone(then.tzinfo)
    if then > today + AHEAD:
        return f"{_said(then, today)}, still to come"
    return _said(then, today)


def _said(then: datetime, today: datetime) -> str:
    if then.date() == today.date():
        return f"today {then:%H:%M}"
    return f"{then.day} {then:%b %H:%M}" if then.year == today.year else f"{then.day} {then:%b %Y}"


def title(trial: Trial, today: datetime, ident: bool = False) -> str:
    """A trial by kart, complaint and time, "red, loose on entry, today 09:30", and its id where one may be typed."""
    parts = [
        trial.belongs.kart or "no kart on file",
        _short(trial.complaint),
        when(trial.belongs.time, today),
    ]
    parts += [trial.id[:SHORT]] if ident else []
    return printable(", ".join(part for part in parts if part))


def _short(said: str) -> str:
    """The beginning of a complaint, in whole words where it has any."""
    if len(said) <= WORDS:
        return said
    whole = said[: WORDS + 1].rpartition(" ")[0] or said[:WORDS]
    return f"{whole.rstrip(' ,;')} ..."


def line(trial: Trial, today: datetime, ident: bool = False) -> str:
    """What was changed, and whose change it is."""
    return printable(f"{trial.say} ({title(trial, today, ident)})")
