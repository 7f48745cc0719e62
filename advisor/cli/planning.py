"""`advisor plan`: a test day run by run, from its aims, sessions and tyres, and what it can tell."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.cli import UNUSABLE, USED, WRONG_COMMAND, home_expanded, team
from advisor.problems import Problem, UnusableError, printable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from advisor.karts.plan_files import Asked, Written
    from advisor.model.advice import Advice
    from advisor.model.case import Case
    from advisor.model.knowledge import Book
    from advisor.model.levers import Lever
    from advisor.plans.day import Aim, Day
    from advisor.reasoning.weighing import Mind
    from advisor.terminal.planned import Sheet


LEAST = (
    0.25  # of the chance of the likeliest change: what has less is not worth the runs of a test day (ours)
)
LONG_SHOT = 0.04  # likewise what cures less often than this


def plan(options: argparse.Namespace) -> int:
    """`advisor plan FILE`: status 1 and every problem with its place when the file cannot be used."""
    from advisor.karts.plan_files import EXAMPLE, read_plan

    if options.example:
        print(EXAMPLE, end="")
        return USED
    if not options.file:
        from advisor.cli.desk import say

        say("Give a plan file: advisor plan --example > day.yaml writes one to begin with.")
        return WRONG_COMMAND
    path, book = home_expanded(options.file), team.book(options)
    written = read_plan(path, book)
    if not written.problems:
        written.lost = sorted({*written.lost, *options.lost})
        _check(written, str(path))
    if written.problems:
        raise UnusableError(written.problems)
    return _planned(options, written, path, book)


def _check(written: Written, name: str) -> None:
    """What only the whole tells: sessions that hold no run, and lost ones that are none."""
    from advisor.karts.plan_files import FEWEST_LAPS

    if not any(int(s.minutes * 60 / written.lap) >= FEWEST_LAPS + 2 for s in written.sessions):
        text = f"no session holds an out lap, {FEWEST_LAPS} timed laps and an in lap of {written.lap:g} s"
        written.problems.append(Problem(name, 1, 1, text))
    wrong = [n for n in written.lost if not 1 <= n <= len(written.sessions)]
    if wrong:
        text = f"--lost {wrong[0]} is no session; they count from 1 to {len(written.sessions)}"
        written.problems.append(Problem(name, 1, 1, text))


def _planned(options: argparse.Namespace, written: Written, path: Path, book: Book) -> int:
    from advisor.plans.plan import plan as best
    from advisor.terminal import planned
    from advisor.terminal.screen import screen

    aims: list[Aim] = []
    for asked in written.aims:
        aim = _values(asked, book) if asked.levers else _cure(options, asked, path, book)
        if aim is None:
            return UNUSABLE
        aims.append(aim)
    day = _day(written, tuple(aims))
    known = _known(options, written)
    sheet = planned.Sheet(best(day, known.see(day.laps)), known, options.done)
    if options.json:
        print(json.dumps(as_data(sheet), allow_nan=False))
    else:
        planned.show(screen(), sheet)
    return USED


def _day(written: Written, aims: tuple[Aim, ...]) -> Day:
    from advisor.karts.plan_files import FEWEST_LAPS, LAPS
    from advisor.plans.day import Day

    room = [int(s.minutes * 60 / written.lap) - 2 for s in written.sessions]
    fitting = min(LAPS, *(n for n in room if n >= FEWEST_LAPS), LAPS)
    return Day(
        aims,
        tuple(written.sessions),
        written.lap,
        written.laps or fitting,
        tuple(written.tyres),
        written.open_pit,
        tuple(written.lost),
        written.seed,
    )


def _values(asked: Asked, book: Book) -> Aim:
    """The aim of finding the best of several values, of one lever or of several that are tried one at a time."""
    from advisor.plans.day import Aim

    of = [(book.levers[ident], values) for ident, values in asked.levers]
    tried = [(lever, value) for lever, (_, *values) in of for value in values]
    minutes = [float(lever.minutes if asked.minutes is None else asked.minutes) for lever, _ in tried]
    one = len(of) == 1
    return Aim(
        _joined([lever.name for lever, _ in of]),
        of[0][1] if one else (
            ", ".join(f"{lever.name} {values[0]}" for lever, values in of),
            *(f"{lever.name} {value}" for lever, value in tried),
        ),
        (minutes[0] if one else 0.0, *minutes),
        one_lever=one,
        parts=tuple(f"{lever.name}: {', '.join(values)}" for lever, values in of if lever.part),
        cautions=tuple(text for lever, _ in of for text in lever.cautions),
        pairs=asked.pairs,
    )  # fmt: skip


def _joined(names: Sequence[str]) -> str:
    return " and ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else names[0]


def _cure(options: argparse.Namespace, asked: Asked, path: Path, book: Book) -> Aim | None:
    """The aim of curing a fault: the first changes that the advice names and a run judges. None after a stop."""
    from advisor.app import wording
    from advisor.plans.day import Aim
    from advisor.reasoning.advise import advise
    from advisor.reasoning.weighing import make_ready
    from advisor.terminal import show
    from advisor.terminal.screen import screen

    mind = make_ready(book, team.ear(options))
    found = advise(mind, _case(options, asked, path, mind))
    if found.stop:
        show.stop(screen(), found.stop, book)
        return None
    every = [a for a in found.advice if _is_driven(book.levers[a.lever], a.direction)]
    least = max(LEAST * max((a.chance for a in every), default=0.0), LONG_SHOT)
    driven = [a for a in every if a.chance >= least]
    tries: list[Advice] = []
    levers: set[str] = set()
    for advice in driven:
        if advice.lever not in levers and len(tries) < asked.tries:
            tries.append(advice)
            levers.add(advice.lever)
    if not tries:
        text = "the advice for this fault has no change that a run would judge; run advisor and look at the kart first"
        raise UnusableError([Problem(str(path), asked.line, asked.column, text)])
    texts = [printable(wording.headline(advice)) for advice in tries]
    return Aim(
        f"cure: {asked.cure or asked.case}",
        ("as it is", *texts),
        (0.0, *(float(a.minutes if asked.minutes is None else asked.minutes) for a in tries)),
        one_lever=False,
        cures=True,
        parts=tuple(book.levers[a.lever].name for a in tries if book.levers[a.lever].part),
        cautions=tuple(text for a in tries for text in a.cautions),
        first=tuple(question.text for question in found.first),
        pairs=asked.pairs,
    )


def _is_driven(lever: Lever, direction: str) -> bool:
    """True for a change of the setup that a run judges and that can be put back."""
    way = lever.ways.get(direction)
    return way is not None and not way.look and not way.together and way.opposite is not None


def _case(options: argparse.Namespace, asked: Asked, path: Path, mind: Mind) -> Case:
    """The fault that is to be cured, on the kart that was named as it stands now."""
    from advisor.app.felt import told_anew
    from advisor.cli.standing import standing
    from advisor.karts.cases import CaseFile, read_case
    from advisor.karts.on_file import on_top
    from advisor.model.case import Case

    read = (
        read_case(path.parent / asked.case, mind.book) if asked.case else CaseFile(Case(complaint=asked.cure))
    )
    told = read.case
    if told is None:
        raise UnusableError(read.problems)
    if not getattr(options, "kart", None):
        return told
    kart, _ = standing(options, mind.book, lambda: told_anew(mind, told.complaint))
    return on_top(kart, read)[0]


def _known(options: argparse.Namespace, written: Written) -> Any:
    """What is known of this driver: scatter told, learnt from the days in the journal, or assumed."""
    from advisor.cli import past_days
    from advisor.judge.assumed import told
    from advisor.judge.effect import believed, learn_scatter
    from advisor.judge.robust import paces
    from advisor.karts.plan_files import LAP_SCATTER
    from advisor.terminal.planned import Known

    day = told(written.scatter, None)
    earlier = [] if written.scatter else past_days.earlier(options, ())
    of = [paces([run.laps for run in runs], day.echo, day.echo_pairs) for runs in earlier]
    rows = [
        ([run.arm for run in runs], p, [len(run.laps) for run in runs])
        for runs, p in zip(earlier, of, strict=True)
    ]
    learnt = learn_scatter(rows, day) if rows else None
    own = sum(p.scale for p in of) / len(of) if of else LAP_SCATTER
    return Known(
        day,
        None if learnt is None else tuple(map(float, learnt)),
        believed(day, learnt),
        written.lap_scatter or own,
        len(rows),
        bool(written.scatter),
    )


def as_data(sheet: Sheet) -> dict[str, Any]:
    """The plan as plain data: minutes, seconds a lap; runs in the order driven, sessions counted from 1."""
    plan, day = sheet.plan, sheet.plan.day
    return {
        "lap": day.lap,
        "laps": day.laps,
        "run_minutes": round(day.run_minutes, 2),
        "aims": [
            {
                "name": printable(aim.name),
                "values": list(aim.values),
                "order": order,
                "sees": [
                    {"value": value, "runs": runs, "seconds": seconds, "share": share}
                    for value, runs, seconds, share in sheet.seen(i)
                ],
                "parts": list(aim.parts),
            }
            for i, (aim, order) in enumerate(zip(day.aims, plan.orders, strict=True))
        ],
        "runs": [
            {
                "run": number,
                "session": run.session + 1,
                "done": run.session < sheet.done,
                "aim": run.aim + 1,
                "arm": run.letter,
                "value": day.aims[run.aim].value(run.letter),
                "work_minutes": run.work,
                "minutes_for_work": round(run.room, 2),
                "tyres": None if run.tyres is None else day.tyres[run.tyres].name,
                "tyre_laps": None if run.tyres is None else [run.from_lap, run.from_lap + day.run_laps - 1],
            }
            for number, run in enumerate(plan.runs, start=1)
        ],
        "spare_sessions": [place + 1 for place in plan.spare],
        "lost": list(day.lost),
        "scatter": {
            "run": round(sheet.known.scatter, 4), "lap": round(sheet.known.lap_sd, 4), "days": sheet.known.days,
        },
    }  # fmt: skip
