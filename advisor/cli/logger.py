"""A logger's clock told once, and its runs matched to the notes of the diary."""

from __future__ import annotations

import argparse
import shlex
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING, NoReturn

from advisor.cli import USED, journal_path
from advisor.cli.stamps import local_at, parsed, stamp
from advisor.problems import Problem, UnusableError, printable

if TYPE_CHECKING:
    from advisor.journal.logger import Logged, Matched
    from advisor.journal.store import Journal
    from advisor.laps.sheet import Run

MOST = 500  # notes that are looked through
CLOCKS = ("%H:%M:%S.%f", "%H:%M:%S", "%H:%M", "%I:%M:%S %p", "%I:%M %p", "%H.%M")
DATES = ("%Y-%m-%d", "%d.%m.%Y", "%d/%m/%Y", "%Y/%m/%d", "%d.%m.%y", "%Y%m%d")


def clock(options: argparse.Namespace) -> int:
    """`--clock SHOWN=RIGHT`: write down how far a logger's clock is from the right time."""
    from advisor.journal.notes import Note, note_event
    from advisor.journal.store import Journal
    from advisor.model.belonging import Belonging

    shown, sign, right = options.clock.partition("=")
    if not sign:
        _refuse("--clock takes what the logger shows and what is right, such as 10:02=11:59")
    try:
        true = datetime.fromisoformat(local_at(right, options.zone))
        wrong, dated = parsed(shown)  # a logger knows no zone
    except ValueError as error:
        _refuse(f"--clock: {error}")
    if not dated:  # a bare time of day: of the same day as the right one
        wrong = datetime.combine(true.date(), wrong.time())
        late = true.replace(tzinfo=None) - wrong
        wrong += timedelta(days=round(late / timedelta(days=1)))  # 23:50 for 00:10 is twenty minutes behind
    behind = (true.astimezone(UTC).replace(tzinfo=None) - wrong).total_seconds()
    name = printable(options.logger).strip()[:100]
    with Journal(journal_path(options)) as journal:
        ident, at = stamp()
        here = Belonging(time=true.isoformat(timespec="seconds"))
        journal.append(note_event(ident, journal.stamp(at), Note(ident, here, clock=(name, behind))))
    off = (true.replace(tzinfo=None) - wrong).total_seconds()
    words = "is right" if abs(off) < 30 else f"is {_span(abs(off))} {'behind' if off > 0 else 'ahead'}"
    print(f"Written down: the clock of {name or 'the logger'} {words} of local time on {true:%Y-%m-%d}.")
    return USED


def _span(seconds: float) -> str:
    minutes = round(seconds / 60)
    return f"{minutes // 60} h {minutes % 60} min" if minutes >= 60 else f"{minutes} min"


def match(options: argparse.Namespace) -> int:
    """`--match SHEET`: each logged run with its note, and what stands alone."""
    from advisor.cli.judging import sheet_runs
    from advisor.journal import notes
    from advisor.journal.logger import karts_beside
    from advisor.journal.logger import match as mates
    from advisor.journal.store import Journal
    from advisor.terminal.logged import answer
    from advisor.terminal.screen import screen

    runs = logged(sheet_runs(options.match, dict(options.column)), options.match, options.date)
    with Journal(journal_path(options), read_only=not options.keep_laps) as journal:
        behind = notes.clock(journal, options.logger)
        noted = notes.runs(journal, MOST, getattr(options, "kart", None))
        if behind is None:
            behind = _as_local(runs[0].began)
        _of_one_kart(options, karts_beside(runs, behind, noted))
        found = mates(runs, behind, noted)
        first = next((i for i, m in enumerate(found) if m.run), 0)
        last = max(i for i, m in enumerate(found) if m.run)
        near = _same_days(found, first, last)
        zone = next((n.belongs.time for n in reversed(noted)), "")
        answer(screen(), near, zone, told=notes.clock(journal, options.logger) is not None)
        if options.keep_laps:
            kept = _keep(journal, near)
            print(f"Laps written into {kept} {'note' if kept == 1 else 'notes'} that had none.")
            if left := sum(_lacks_laps(m) and m.doubtful for m in near):
                print(
                    f"Not written: the laps of {left} doubtful {'run' if left == 1 else 'runs'} (told above)."
                )
    return USED


def _of_one_kart(options: argparse.Namespace, karts: Sequence[str]) -> None:
    """Laps of one kart must not come into the notes of another: where several ran, a person says whose they are."""
    if getattr(options, "kart", None) is None and len(karts) > 1:
        names = ", ".join(name or "no kart on file" for name in karts)
        typed = shlex.join(
            ("advisor", "diary", "--match", options.match, "--kart", next(filter(None, karts)))
        )
        _refuse(
            f"several karts have notes in the time of this sheet ({names}); say whose laps they are: {typed}"
        )


def _same_days(found: Sequence[Matched], first: int, last: int) -> list[Matched]:
    """The runs, and of the notes without one those of the same days."""
    days = {m.note.belongs.day for m in found if m.run and m.note}
    return [
        m for i, m in enumerate(found) if m.run or first < i < last or (m.note and m.note.belongs.day in days)
    ]


def _as_local(began: datetime) -> float:
    """Seconds that a clock which shows this machine's local time is behind UTC."""
    offset = began.astimezone().utcoffset()
    return -offset.total_seconds() if offset else 0.0


def _keep(journal: Journal, found: Sequence[Matched]) -> int:
    """Write the laps into the notes that have none, as new versions of them; those of doubtful mates are left out."""
    from advisor.journal.notes import append

    kept = 0
    for mate in found:
        if mate.run and mate.note and _lacks_laps(mate) and not mate.doubtful:
            ident, at = stamp()
            typed = " ".join(f"{lap:g}" for lap in mate.run.laps)
            told = replace(
                mate.note, laps=mate.run.laps, laps_typed=typed, on=(mate.note.id,)
            )  # settles nothing else
            append(journal, ident, journal.stamp(at), told)
            kept += 1
    return kept


def _lacks_laps(mate: Matched) -> bool:
    """True for a note without laps whose run has some."""
    return bool(mate.run and mate.note and mate.run.laps and not mate.note.laps)


def logged(runs: Sequence[Run], file: str, first_date: str) -> list[Logged]:
    """The runs with the moments that they began by the logger's clock. Raises UnusableError."""
    from advisor.journal.logger import Logged, over_midnight

    moments = []
    for run in runs:
        line = run.laps[0].line if run.laps else 1
        day, of_day = _date(run.began[0] or first_date, file, line), _clock(run.began[1], file, line)
        moments.append((bool(run.began[0]), datetime.combine(day or date.today(), of_day)))  # noqa: DTZ011 (local)
    dated = all(has for has, _ in moments)
    began = [m for _, m in moments] if dated else over_midnight([m for _, m in moments])
    return [
        Logged(run.name, moment, tuple(lap.seconds for lap in run.laps))
        for run, moment in zip(runs, began, strict=True)
    ]


def _clock(text: str, file: str, line: int) -> time:
    for pattern in CLOCKS:
        try:
            return datetime.strptime(text.strip(), pattern).time()  # noqa: DTZ007 (a logger knows no zone)
        except ValueError:
            continue
    what = (
        f'"{printable(text)[:20]}" is no time of day'
        if text
        else "no column tells the time of day of each run"
    )
    return _refuse(f"{what}; name it with --column clock=NAME, and write it like 14:10:05", file, line)


def _date(text: str, file: str, line: int) -> date | None:
    if not text:
        return None
    for pattern in DATES:
        try:
            return datetime.strptime(text.strip(), pattern).date()  # noqa: DTZ007
        except ValueError:
            continue
    return _refuse(f'"{printable(text)[:20]}" is no date; write it like 2024-05-04', file, line)


def _refuse(text: str, file: str = "diary", line: int = 1) -> NoReturn:
    raise UnusableError([Problem(file, line, 1, text)])
