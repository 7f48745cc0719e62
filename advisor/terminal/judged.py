"""Did the change help? The answer and the plan as lines of plain words and numbers."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.judge.assumed import DROP, GAIN, LEVEL, Day
from advisor.judge.designs import OFFERED, cheapest, power, weak
from advisor.judge.verdict import LITTLE, Judged, Word, agrees, one_more
from advisor.laps.sheet import Run
from advisor.model.scale import percent
from advisor.terminal.screen import Screen
from advisor.terminal.show import heading, line

EFFECTS = (0.1, 0.2, 0.3, 0.5)  # seconds a lap, in the table of the plan
_MOVED = 4  # run-to-run scatters between like runs, from which on it is told
_JUMPED = 0.6  # chance of a jump of the track, from which on it is told
RULE = (
    f"accepted when it is better with a probability above {percent(LEVEL)}, the kart was put back between (A-B-A) and"
    " like runs agree where that was done once only;"
    f" dropped below {percent(DROP)}; left open between the two."
)


def answer(out: Screen, found: Judged, runs: Sequence[Run], day: Day, said: Word | None = None) -> None:
    """The whole answer: runs, verdict, driver, what would settle it, what was assumed."""
    heading(out, f"Did it help?  {found.design}")
    _runs(out, found, runs)
    heading(out, verdict(found))
    line(out, f"With the change a lap is {gain(found.change)}.", 2)
    line(
        out,
        f"By these laps it lies between {gain(found.low)} and {gain(found.high)}, 95 times in 100.",
        2,
    )
    line(out, f"Better with probability {percent(found.p_better)}: {_chances(found)}.", 2)
    line(
        out,
        f"If it is as large as it looks, one run of each kind points the right way {percent(found.right_way)}"
        " of the time.",
        2,
    )
    _doubts(out, found, day)
    if said:
        heading(out, "The driver")
        line(out, f"Says {said}: {_AGREES[agrees(found, said)]}.", 2)
    if found.decision == "open":
        heading(out, "What would settle it")
        line(out, _settle(found, day), 2)
    heading(out, "Counted with")
    line(out, f"Rule, the same before every run: {RULE}", 2)
    line(out, _assumed(found, day), 2)


_AGREES = {
    "agree": "the laps agree",
    "differ": "the laps say otherwise",
    "cannot tell": "the laps can neither back nor deny it",
}


def gain(seconds: float) -> str:
    """A difference of lap time in words: 0.28 s quicker."""
    if abs(seconds) < 0.005:
        return "level"
    return f"{abs(seconds):.2f} s {'quicker' if seconds < 0 else 'slower'}"


def verdict(found: Judged) -> str:
    """The verdict in one sentence."""
    if found.confounders:
        return "The laps cannot say: more than the change was different."
    if found.decision == "accept":
        return "Yes, it is quicker: keep it."
    if found.decision == "drop":
        slower = found.chances["worse"] > LEVEL
        return f"No{', it is slower' if slower else ''}: put it back."
    if found.weak:
        return "Not settled: A-B alone is weak evidence."
    if found.unlike:
        return "Not settled: like runs do not agree."
    return "Not settled yet."


def _chances(found: Judged) -> str:
    by = f"{found.worth:g} s"
    p = found.chances
    return (
        f"quicker by more than {by} {percent(p['better'])}, about the same {percent(p['same'])},"
        f" slower by more {percent(p['worse'])}"
    )


def _runs(out: Screen, found: Judged, runs: Sequence[Run]) -> None:
    counts = {"A": 0, "B": 0}
    for run, pace, weights in zip(runs, found.paces.locations, found.paces.weights, strict=True):
        arm = run.arm or "A"
        counts[arm] += 1
        little = [
            f"lap {lap.number} ({lap.seconds:.2f})"
            for lap, w in zip(run.laps, weights, strict=True)
            if w < LITTLE
        ]
        text = f"{arm}{counts[arm]}  {pace:.2f} s  {len(run.laps)} laps"
        if little:
            text += f"; counts little: {_few(little)}"
        if run.aside:
            text += f"; set aside: {_few(run.aside)}"
        line(out, text, 2, hang=4)
    slope = found.paces.slope
    if abs(slope) >= 0.005:
        line(out, f"Within a run laps get {abs(slope):.2f} s {'slower' if slope > 0 else 'quicker'} each"
                  f" (wear, heat, fuel); paces are those of lap {round(found.paces.at, 1):g}.", 2)  # fmt: skip


def _few(texts: Sequence[str]) -> str:
    more = f" and {len(texts) - 4} more" if len(texts) > 4 else ""
    return ", ".join(texts[:4]) + more


def _doubts(out: Screen, found: Judged, day: Day) -> None:
    for text in found.confounders:
        line(out, f"Confounder, {text}.", 2)
    for arm, what in (("A", "as it was"), ("B", "with the change")):
        alike = [p for a, p in zip(found.design.split("-"), found.paces.locations, strict=True) if a == arm]
        gap = max(alike) - min(alike)
        if gap > _MOVED * found.before or (found.unlike and gap > 0):
            line(out, f"Runs {what} differ by {gap:.2f} s: the day moved between them{_so(found)}.", 2)
    if found.effect.jumped > _JUMPED:
        line(out, f"The track jumped between two runs, with a chance of {percent(found.effect.jumped)}.", 2)
    if found.weak:
        line(
            out,
            "The kart was not put back as it was, so a track that gets quicker or slower looks like the change.",
            2,
        )
    low, high = found.naive.interval(LEVEL)
    if high - low < found.high - found.low:
        line(
            out,
            f"A plain test of the laps would say {gain(low)} to {gain(high)}. It is too sure: runs differ even"
            " when nothing is changed.",
            2,
        )


def _so(found: Judged) -> str:
    return ", and may have done what looks like the change" if found.unlike else ""


def _settle(found: Judged, day: Day) -> str:
    if found.confounders:
        return "Runs with nothing different but the change: same tyres, fuel, driver, pressures and weather."
    more = one_more(found, day)
    what = {"A": "as it was (A)", "B": "with the change (B)"}[more.arm]
    settles = f"settles the matter with a chance of about {percent(more.chance)}"
    if more.chance < 0.05:
        settles = "will hardly settle the matter alone"
    elif more.chance > 0.95:
        settles = "will most likely settle the matter"
    return f"One more run {what}: it {settles}, and leaves {more.half:.2f} s either side."


def _assumed(found: Judged, day: Day) -> str:
    own = (
        ""
        if found.own_scatter is None
        else f" Your runs without a change scattered by {found.own_scatter:.2f} s."
    )
    days = f"{found.learnt_days} other days" if found.learnt_days > 1 else "one other day"
    source = (
        f"learnt from {days} of yours"
        if found.learnt_days
        else "assumed: days kept with --keep, or --baseline, teach it"
    )
    return (
        f"Run-to-run scatter {found.before:.2f} s before ({source}), {found.effect.scatter:.2f} s after these"
        f" runs.{own} Steady drift up to about {2 * day.drift:.2f} s a run, a jump of the track on"
        f" {percent(day.jumps)} of days; a change is expected to do less than {2 * GAIN:.1f} s (all assumed: common"
        " practice, no source; --scatter and --drift change it). Lap scatter"
        f" {found.paces.scale:.2f} s, measured. The pace of a run is a biweight: a lap far off counts little, and none"
        " is deleted."
    )


# --- the plan ---------------------------------------------------------------------------------------


def plan(out: Screen, effect: float, laps: int, lap_sd: float, day: Day) -> None:
    """The rule and the power of each design, before anything is driven."""
    heading(out, "Before you drive")
    line(out, "A is the kart as it was, B the kart with the change.", 2)
    line(out, f"Rule: {RULE}", 2)
    heading(out, f"How often a real gain is accepted, {laps} laps a run")
    out.write(f"  {'':8}" + "".join(f"{e:>4.1f} s" for e in EFFECTS))
    for arms in OFFERED:
        cells = "".join(f"{min(0.99, power(arms, e, laps, lap_sd, day)) * 100:4.0f} %" for e in EFFECTS)
        out.write(f"  {arms:8}" + (f"{'never: weak':>24}" if weak(arms) else cells))
    heading(out, f"To see {effect:g} s")
    enough = cheapest(effect, laps, lap_sd, day)
    if enough:
        line(out, f"{'-'.join(enough[0])}, {len(enough[0])} runs: seen {percent(enough[1])} of the time.", 2)
    else:
        line(
            out,
            "None of these designs sees it four times in five: more runs than a day has, or a larger change.",
            2,
        )
    line(
        out,
        "More laps help little: runs differ from each other. Put the kart back between, and keep tyres,",
        2,
    )
    line(out, "fuel, pressures and driver the same.", 2)
    line(
        out,
        f"Counted with: lap scatter {lap_sd:g} s, run-to-run scatter {day.scatter:g} s, drift {day.drift:g} s a run"
        " (common practice, no source; --lap-scatter, --scatter and --drift change it).",
        2,
    )
