"""The plan of a test day as a sheet for the trailer's door."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.judge.assumed import DROP, LEVEL, Day
from advisor.judge.designs import Sight, sight
from advisor.model.scale import percent
from advisor.plans.day import BASELINE, Aim
from advisor.plans.orders import See, compared, comparisons
from advisor.plans.plan import BLIND, Plan
from advisor.plans.schedule import Run
from advisor.terminal.screen import Screen
from advisor.terminal.show import heading, line

_BASELINE = {False: " (how the kart stands: the baseline)", True: ": the baseline"}
USEFUL = 2.0  # seconds a lap: no change does more, so an order that needs more is of no use
SHARE, HALF = 0.8, 0.5  # of the days on which a difference is accepted: what "seen" means


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of the driver: `scatter` from run to run and `lap_sd`, in seconds; `days` they were learnt from."""

    day: Day
    learnt: tuple[float, ...] | None
    scatter: float
    lap_sd: float
    days: int = 0
    told: bool = False

    def sight(self, runs: str, places: tuple[int, ...], laps: int) -> Sight:
        """What an order of A and B sees of this driver."""
        return sight(runs, laps, self.lap_sd, self.day, self.learnt, places)

    def see(self, laps: int) -> See:
        """The difference that an order sees four times in five; nearly blind where it sees it one time in two only."""

        def difference(runs: str, places: tuple[int, ...]) -> float:
            found = self.sight(runs, places, laps)
            often, seldom = found.seen(SHARE), found.seen(HALF)
            if often < USEFUL:
                return often
            return 0.9 * BLIND if seldom < USEFUL else float("inf")

        return difference


@dataclass(frozen=True, slots=True)
class Sheet:
    """A plan with what is known of the driver; sessions up to `done` are behind."""

    plan: Plan
    known: Known
    done: int = 0

    def seen(self, aim: int) -> list[tuple[str, str, float | None, float]]:
        """Of each value but the baseline: its runs as A and B, the difference seen, and on which share of days."""
        found = []
        for letter, runs, places in comparisons(self.plan.orders[aim]):
            what = self.known.sight(runs, places, self.plan.day.laps)
            share = SHARE if what.seen(SHARE) < USEFUL else HALF
            seconds = what.seen(share)
            value = self.plan.day.aims[aim].value(letter)
            found.append((value, runs, round(seconds, 3) if seconds < USEFUL else None, share))
        return found


def show(out: Screen, sheet: Sheet) -> None:
    """The whole sheet: aims, what the day can tell, run by run, what to write down, the rule."""
    day = sheet.plan.day
    heading(out, "The plan of the day")
    line(out, f"A run: {day.laps} timed laps, an out and an in lap, {day.run_minutes:.1f} minutes.", 2)
    _aims(out, sheet)
    _take(out, day.aims)
    _sheet(out, sheet)
    _write_down(out)
    _rule(out, sheet)


def _aims(out: Screen, sheet: Sheet) -> None:
    plan = sheet.plan
    for number, (aim, order) in enumerate(zip(plan.day.aims, plan.orders, strict=True), start=1):
        heading(out, f"Aim {number}: {aim.name}")
        for i, value in enumerate(aim.values):
            line(out, f"{chr(ord(BASELINE) + i)}  {value}{'' if i else _BASELINE[aim.cures]}", 2, hang=3)
        for text in aim.first:
            line(out, f"Look or ask first: {text}", 2, hang=2)
        if aim.cures:
            line(
                out,
                "Whether it is cured is the driver's word; the stopwatch tells what it costs or brings.",
                2,
            )
        if number > 1:
            line(out, "Tried with the best that aim 1 found on the kart, whichever it is.", 2)
        if not order:
            line(out, "There is no room for it on this day.", 2, "bold")
            continue
        line(out, f"Order: {'-'.join(order)}, {len(order)} runs{_drawn(plan, aim)}.", 2)
        first = next((n for n, run in enumerate(plan.runs) if run.aim == number - 1), 0)
        _seen(out, sheet, number - 1, first)


def _drawn(plan: Plan, aim: Aim) -> str:
    return f", pairs drawn with the seed {plan.day.seed}" if aim.pairs and len(aim.values) == 2 else ""


def _seen(out: Screen, sheet: Sheet, aim: int, first: int) -> None:
    order, values = sheet.plan.orders[aim], sheet.plan.day.aims[aim].values
    letters = [letter for letter, *_ in comparisons(order)]
    for letter, (value, runs, seconds, share) in zip(letters, sheet.seen(aim), strict=True):
        numbers = ", ".join(str(first + place + 1) for place in compared(order, letter))
        often = "four times in five" if share == SHARE else "one time in two only"
        tells = (
            f"a gain of {seconds:.2f} s a lap is seen {often}"
            if seconds
            else "nothing is settled by these runs"
        )
        line(
            out, f"{letter}, {value}: {tells}. Judge runs {numbers}: advisor judge --order {runs}", 2, hang=3
        )
    for i in range(1, len(values)):
        if chr(ord(BASELINE) + i) not in letters:
            line(out, f"{chr(ord(BASELINE) + i)}, {values[i]}: no room for it.", 2)


def _take(out: Screen, aims: tuple[Aim, ...]) -> None:
    parts = [part for aim in aims for part in aim.parts]
    cautions = list(dict.fromkeys(text for aim in aims for text in aim.cautions))
    if parts:
        heading(out, "Take with you")
        for part in parts:
            line(out, part, 2, hang=2)
    if cautions:
        heading(out, "Care")
        for text in cautions:
            line(out, text, 2, hang=2)


def _sheet(out: Screen, sheet: Sheet) -> None:
    plan = sheet.plan
    numbers = {id(run): n for n, run in enumerate(plan.runs, start=1)}
    heading(out, "The sheet")
    before: Run | None = None
    for place, session in enumerate(plan.day.sessions):
        here = [run for run in plan.runs if run.session == place]
        title = f"Session {place + 1}, {session.minutes:g} min"
        if place + 1 in plan.day.lost:
            line(out, f"{title}: lost", 2)
        elif place < sheet.done:
            line(out, f"{title}: done{_which(here, numbers)}", 2)
            before = here[-1] if here else before
        elif not here and _working(plan, place):
            line(out, f"{title}: the work goes on", 2)
        elif not here:
            line(out, f"{title}: spare, for a run that went wrong", 2)
        for run in here if place >= sheet.done else ():
            _work(out, plan, before, run)
            if run is here[0]:
                line(out, title, 2, "bold")
            _run(out, plan, run, numbers[id(run)])
            before = run
    _at_the_end(out, plan)


def _at_the_end(out: Screen, plan: Plan) -> None:
    """What is still on the kart after the last run: the longest orders cancel drift best and end with the change."""
    last = plan.runs[-1] if plan.runs else None
    if last is not None and last.letter != BASELINE:
        aim = plan.day.aims[last.aim]
        back = f"back to {aim.values[0]}" if aim.one_lever else "put back what was changed"
        line(
            out, f"After the last run it still stands on {last.letter}: {back}, unless it is kept.", 2, hang=2
        )


def _which(here: list[Run], numbers: dict[int, int]) -> str:
    return f", run {', '.join(str(numbers[id(run)]) for run in here)}" if here else ""


def _working(plan: Plan, place: int) -> bool:
    """True for a session that passes while the kart is worked on: the gap before the next run is too short."""
    after = next((run for run in plan.runs if run.session > place), None)
    begun = any(run.session < place for run in plan.runs)
    return after is not None and begun and after.work > plan.day.sessions[after.session - 1].gap


def _work(out: Screen, plan: Plan, before: Run | None, run: Run) -> None:
    """What is done to the kart before a run, and the minutes there are for it."""
    if before is None:
        return
    aim = plan.day.aims[run.aim]
    if before.aim != run.aim:
        what = f"put on the best of aim {before.aim + 1}, if it is not on"
    elif before.letter == run.letter:
        line(out, "Change nothing.", 4)
        return
    else:
        what = _turn(aim, run) if aim.one_lever else _swap(aim, before, run)
    line(out, f"Work, {run.work:g} of {run.room:.0f} min: {what}", 4, hang=2)


def _turn(aim: Aim, run: Run) -> str:
    return f"{'back' if run.letter == BASELINE else 'change'} to {aim.value(run.letter)}"


def _swap(aim: Aim, before: Run, run: Run) -> str:
    undo = "" if before.letter == BASELINE else "put back what was changed"
    make = "" if run.letter == BASELINE else aim.value(run.letter)
    return ", then ".join(filter(None, (undo, make)))


def _run(out: Screen, plan: Plan, run: Run, number: int) -> None:
    aim = plan.day.aims[run.aim]
    text = f"[ ] Run {number}  {run.letter}  {aim.value(run.letter)}"
    if run.tyres is not None:
        tyre = plan.day.tyres[run.tyres]
        text += f"; {tyre.name}, laps {run.from_lap} to {run.from_lap + plan.day.run_laps - 1} of {tyre.laps}"
    line(out, text, 4, hang=4)


def _write_down(out: Screen) -> None:
    heading(out, "Write down for every run")
    for text in (
        "Before: cold pressures, tyre set and its laps, fuel in the tank, air and track temperature, wind, the time.",
        "The driver's word by phase (entry, middle, exit), before anybody tells the times.",
        "After: every lap, out and in laps marked; hot pressures at once; traffic, mistakes, what else was touched.",
        "Before a change: what it should do, and what would show that it does not.",
    ):
        line(out, text, 2, hang=2)


def _rule(out: Screen, sheet: Sheet) -> None:
    known = sheet.known
    days = f"{known.days} {'day' if known.days == 1 else 'days'} of yours"
    source = f"learnt from {days}" if known.days else "assumed: common practice, no source"
    source = "as told" if known.told else source
    heading(out, "Counted with")
    line(
        out,
        f"Accepted when it is better with a probability above {percent(LEVEL)}, dropped below {percent(DROP)}."
        f" Run-to-run scatter {known.scatter:.2f} s ({source}), lap scatter {known.lap_sd:.2f} s. One change at a"
        " time, the same tyre set, fuel and driver within an aim; the baseline driven again cancels a track that"
        " gets steadily quicker or slower. A session lost: advisor plan FILE --lost 3 plans the rest anew.",
        2,
    )
