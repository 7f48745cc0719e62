"""`advisor judge`: did the change help? Laps from sheets, options or the keyboard, to a verdict."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor import disk
from advisor.cli import UNUSABLE, USED, WRONG_COMMAND, home_expanded
from advisor.laps.sheet import Lap, Run, Sheet, read
from advisor.laps.times import seconds
from advisor.problems import Problem, UnusableError, printable

if TYPE_CHECKING:
    from advisor.judge.assumed import Day
    from advisor.judge.verdict import Judged, Laps
    from advisor.model.case import Verdict


class RefusedError(Exception):
    """Raised with sentences when what was typed cannot be judged; none of them stands in a file."""


MAX_BYTES = 1_000_000
_NOTHING = (
    "Give the laps: a sheet (advisor judge laps.csv), or typed in the order driven:"
    " advisor judge --a 45.31 45.40 45.28 --b 45.02 45.11 45.08 --a 45.35 45.30 45.42"
)


def judge(options: argparse.Namespace) -> int:
    """`advisor judge`: status 1 and sentences when the laps cannot be used."""
    try:
        return _judge(options)
    except RefusedError as error:
        for text in error.args:
            print(printable(text), file=sys.stderr)
        return UNUSABLE


def _judge(options: argparse.Namespace) -> int:
    from advisor.cli import past_days
    from advisor.terminal import judged as show
    from advisor.terminal.screen import screen

    if options.plan:
        return _plan(options)
    if options.record and options.json:
        raise RefusedError("--record gives the next advice as text, so it does not go with --json.")
    runs, said = _runs(options), options.driver
    if not runs and not options.sheet:
        from advisor.cli.desk import has_terminal

        if not has_terminal():
            print(_NOTHING, file=sys.stderr)
            return WRONG_COMMAND
        runs, said = _asked(said)
    _without_ends(runs)
    found = _judged(options, runs)
    if options.json:
        print(json.dumps(as_data(found, runs, said, _day(options)), allow_nan=False))
    else:
        show.answer(screen(), found, runs, _day(options), said)
    status = _recorded(options, found, said) if options.record else USED
    if options.keep or (options.record and status == USED):
        past_days.keep(options, runs)
    return status


def _recorded(options: argparse.Namespace, found: Judged, said: Verdict | None) -> int:
    """Put the driver's word and the laps' into the journal, as the outcome of the change that waits."""
    from advisor.cli.desk import outcome_by_laps
    from advisor.judge.verdict import likelihoods
    from advisor.model.scale import percent

    if said is None:
        raise RefusedError(
            "Tell what the driver says too, before the laps are written down: --driver better."
        )
    share = likelihoods(found)
    size = found.effect.size.mean
    note = f"laps: {abs(size):.2f} s {'quicker' if size < 0 else 'slower'}, better {percent(found.p_better)}"
    return outcome_by_laps(options, said, note, (share["better"], share["same"], share["worse"]))


def _plan(options: argparse.Namespace) -> int:
    from advisor.terminal import judged as show
    from advisor.terminal.screen import screen

    day = _day(options)
    if options.json:
        from advisor.judge.designs import OFFERED, power

        effect, laps, lap_sd = options.effect, options.laps, options.lap_scatter
        powers = {arms: round(power(arms, effect, laps, lap_sd, day), 4) for arms in OFFERED}
        print(json.dumps({"effect": effect, "laps": laps, "lap_scatter": lap_sd, "power": powers}))
        return USED
    show.plan(screen(), options.effect, options.laps, options.lap_scatter, day)
    return USED


def _day(options: argparse.Namespace) -> Day:
    from advisor.judge.assumed import told

    return told(options.scatter, options.drift)


def _judged(options: argparse.Namespace, runs: Sequence[Run]) -> Judged:
    """The verdict. Raises RefusedError."""
    from advisor.cli import past_days
    from advisor.judge.verdict import UnjudgeableError, judge
    from advisor.laps.conditions import differences

    confounders = [
        *(f"{printable(d)}: told to differ" for d in options.differs),
        *differences(runs, options.changed),
    ]
    try:
        days = [_baseline(name, options) for name in options.baseline]
        return judge(
            [as_laps(run) for run in runs],
            _day(options),
            options.worth,
            confounders,
            [[as_laps(run) for run in day] for day in days],
            past_days.earlier(options, runs),
        )
    except UnjudgeableError as error:
        raise RefusedError(f"The laps cannot be judged: {error}.") from error


def as_laps(run: Run) -> Laps:
    """A run as the judge takes it: its laps counted from going out."""
    from advisor.judge.verdict import Laps

    return Laps(run.arm or "A", tuple((lap.number - run.first + 1, lap.seconds) for lap in run.laps))


# --- where the laps come from -----------------------------------------------------------------------


def _runs(options: argparse.Namespace) -> list[Run]:
    """The runs of the sheets, then those typed, each with its arm. Raises UnusableError."""
    found = [run for name in options.sheet for run in _sheet(name, options)]
    wrong: list[str] = []
    for place, (arm, texts) in enumerate(options.typed or (), start=1):
        found.append(_typed(f"run {place} (--{arm.lower()})", arm, texts, wrong))
    if wrong:
        raise RefusedError(*wrong)
    return _ordered(found, options)


def _sheet(name: str, options: argparse.Namespace) -> list[Run]:
    """The runs of one sheet that have laps. Raises UnusableError with every problem of it."""
    sheet = read(_bytes(name), Path(name).name, dict(options.column))
    if sheet.problems:
        raise UnusableError(sheet.problems)
    runs = [run for run in sheet.runs if run.laps]
    if len(options.sheet) > 1 and len(runs) == 1:
        runs[0].name = Path(name).name  # a file a run
    return runs


def sheet_runs(name: str, columns: Mapping[str, str]) -> list[Run]:
    """The runs of a sheet, whatever arm they are of. Raises UnusableError with every problem of it."""
    sheet = read(_bytes(name), Path(name).name, columns)
    if sheet.problems:
        raise UnusableError(sheet.problems)
    return [run for run in sheet.runs if run.laps]


def _bytes(name: str) -> bytes:
    path, shown = home_expanded(name), Path(name).name or name
    try:
        data = disk.read(path, MAX_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "no such path"
        raise UnusableError([Problem(shown, 1, 1, f"cannot be read: {reason}")]) from error
    if len(data) > MAX_BYTES:
        raise UnusableError([Problem(shown, 1, 1, "is larger than 1 MB, which is no day's laps")])
    return data


def _without_ends(runs: Sequence[Run]) -> None:
    """Set the out and in laps aside that no sheet marks. Raises RefusedError when a run is too short anyway."""
    from advisor.judge.assumed import FEWEST_DRIVEN
    from advisor.laps.ends import set_aside

    for place, run in enumerate(runs, start=1):
        if len(run.laps) + len(run.aside) < FEWEST_DRIVEN:
            raise RefusedError(
                f"The laps cannot be judged: run {place} ({run.arm}) has {len(run.laps)} laps that count;"
                f" {FEWEST_DRIVEN} are needed, six or more are better."
            )
    set_aside(runs)


def _typed(where: str, arm: str, texts: Sequence[str], wrong: list[str]) -> Run:
    """A run of typed laps; what is wrong with them is told with the run and the lap."""
    run = Run(where, arm)
    # 45,31 has a decimal comma; a comma at the end only parts it from the next
    pieces = [piece.rstrip(",") for text in texts for piece in text.replace(";", " ").split() if piece != ","]
    for number, text in enumerate(pieces, start=1):
        try:
            run.laps.append(Lap(number, seconds(text)))
        except ValueError as error:
            wrong.append(f"{where}, lap {number}: {error}")
    return run


def _ordered(runs: list[Run], options: argparse.Namespace) -> list[Run]:
    """Give the runs the arms of `--order`; without it they must have their own. Raises RefusedError."""
    names = ", ".join(run.name for run in runs)
    if options.order:
        if len(options.order) != len(runs):
            raise RefusedError(
                f"--order names {len(options.order)} runs, but there are {len(runs)}: {names or 'none'}."
            )
        for run, arm in zip(runs, options.order, strict=True):
            run.arm = arm
    if any(run.arm is None for run in runs):
        raise RefusedError(
            f"Which of the {len(runs)} runs ({names}) are A (as it was) and B (with the change)? Say it in the order"
            " driven, such as --order ABA, or in a column of the sheet."
        )
    return runs


def _baseline(name: str, options: argparse.Namespace) -> list[Run]:
    """The runs of a day without a change."""
    runs = read(_bytes(name), Path(name).name, dict(options.column))
    return _enough(runs, Path(name).name)


def _enough(sheet: Sheet, name: str) -> list[Run]:
    from advisor.judge.assumed import FEWEST_DRIVEN, FEWEST_LAPS
    from advisor.laps.ends import set_aside

    if sheet.problems:
        raise UnusableError(sheet.problems)
    runs = [run for run in sheet.runs if len(run.laps) + len(run.aside) >= FEWEST_DRIVEN]
    set_aside(runs)
    runs = [run for run in runs if len(run.laps) >= FEWEST_LAPS]
    if len(runs) < 2:
        text = (
            f"a day without a change needs two runs of {FEWEST_DRIVEN} laps or more; this one has {len(runs)}"
        )
        raise UnusableError([Problem(name, 1, 1, text)])
    return runs


def _asked(said: Any) -> tuple[list[Run], Any]:
    """Ask for the runs one after the other, and for what the driver says."""
    from advisor.terminal.ask import asker

    ask = asker()
    print("Type the laps of each run in the order driven, with blanks between: 45.31 45.40 45.28")
    runs: list[Run] = []
    arm = "A"
    while True:
        what = "as it was (A)" if arm == "A" else "with the change (B)"
        more = "" if len(runs) < 2 else "; type a or b first if it was the other. Enter: no more"
        text = ask(f"Run {len(runs) + 1}, {what}{more}\n> ")
        bare = text.strip()
        if bare[:1].lower() in ("a", "b"):
            arm, bare = bare[0].upper(), bare[1:]
        if not bare and len(runs) >= 2:
            break
        wrong: list[str] = []
        run = _typed(f"run {len(runs) + 1}", arm, [bare], wrong)
        for sentence in wrong:
            print(printable(sentence))
        if wrong or len(run.laps) < 3:
            print("Three laps at least, such as 45.31 45.40 45.28")
            continue
        runs.append(run)
        arm = "B" if arm == "A" else "A"
    words = ("better", "same", "worse")
    while said is None:
        text = (
            ask("What does the driver say: better, same or worse? Enter: nothing\n> ", words).strip().lower()
        )
        if not text:
            break
        said = text if text in words else None
        if said is None:
            print("One of the three words, or Enter. What else it does, and any danger, is told to: advisor")
    return runs, said


# --- JSON -------------------------------------------------------------------------------------------


def as_data(found: Judged, runs: Sequence[Run], said: Any, day: Day) -> dict[str, Any]:
    """The verdict as plain data; seconds a lap, negative is quicker."""
    from advisor.judge.verdict import agrees, likelihoods, one_more

    low, high = found.naive.interval()
    more = one_more(found, day)
    scatter = {"run": _r(found.effect.scatter), "lap": _r(found.paces.scale), "echo": _r(found.paces.echo)}
    if found.own_scatter is not None:
        scatter["own"] = _r(found.own_scatter)
    scatter["before"] = _r(found.before)
    return {
        "design": found.design,
        "decision": found.decision,
        "weak": found.weak,
        "unlike": found.unlike,
        "jumped": _r(found.effect.jumped),
        "days_learnt_from": found.learnt_days,
        "effect": {"seconds": _r(found.change), "low": _r(found.low), "high": _r(found.high), "level": 0.95},
        "p_better": _r(found.p_better),
        "chances": {word: _r(p) for word, p in found.chances.items()},
        "likelihoods": {word: _r(p) for word, p in likelihoods(found).items()},
        "worth": found.worth,
        "right_way": _r(found.right_way),
        "drift_taken": _r(found.drift_taken),
        "confounders": [printable(text) for text in found.confounders],
        "driver": None if said is None else {"says": said, "laps": agrees(found, said)},
        "next": None
        if found.decision != "open" or found.confounders
        else {"arm": more.arm, "settles": _r(more.chance), "half": _r(more.half)},
        "scatter": scatter,
        "assumed": asdict(day),
        "plain_test": {"low": _r(low), "high": _r(high)},
        "runs": [
            {
                "name": printable(run.name),
                "arm": run.arm,
                "pace": _r(pace),
                "laps": [{"number": lap.number, "seconds": lap.seconds, "weight": _r(w)}
                         for lap, w in zip(run.laps, weights, strict=True)],
                "aside": run.aside,
            }
            for run, pace, weights in zip(runs, found.paces.locations, found.paces.weights, strict=True)
        ],
    }  # fmt: skip


def _r(value: float) -> float:
    return round(value, 6) + 0.0  # no minus before a zero
