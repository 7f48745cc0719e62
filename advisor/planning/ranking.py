"""Which change to try now: chance of cure over what it costs, and what cannot be done and why."""

from __future__ import annotations

import math
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from advisor.inference.cures import WHOLE, certainty, claims
from advisor.inference.evidence import Evidence
from advisor.inference.trials import Prospect
from advisor.model import assumed, conditions
from advisor.model.advice import TriedBefore
from advisor.model.case import Case, Tried
from advisor.model.knowledge import Book
from advisor.model.levers import Lever
from advisor.model.scale import PROBABILITY
from advisor.planning.sizes import USUAL, Sizes
from advisor.planning.steps import Move, move

Said = Mapping[tuple[str, str], float]  # by lever and way, what the words make of its worth, as a factor
NOTHING_SAID: Said = {}
JUST_BELOW = 1 - 1e-9


@dataclass(frozen=True, slots=True)
class Ranked:
    """A way of a lever with its worth (chance over minutes) and its step; `barred` tells why not.

    `also`: further looks of the same inspection, done in the same visit. `minutes`: the work of all. `said`: what the
    words make of its worth, as a factor. `then`: what would stand in its place, one after the other, had it failed.
    """

    prospect: Prospect
    worth: float
    move: Move
    barred: str | None
    minutes: int = 0
    also: tuple[Prospect, ...] = ()
    said: float = 1.0
    then: tuple[Ranked, ...] = ()

    @property
    def visit(self) -> tuple[Prospect, ...]:
        """All that is done in one go."""
        return (self.prospect, *self.also)

    @property
    def chance(self) -> float:
        """That it cures: each look answers causes of its own, so the chances add up."""
        return sum(p.chance for p in self.visit)


def minutes(lever: Lever, way: str) -> int:
    """Minutes of work of one way."""
    own = lever.ways[way].minutes
    return lever.minutes if own is None else own


def runs(lever: Lever, way: str) -> float:
    """Runs until one way is judged."""
    own = lever.ways[way].runs
    return lever.runs if own is None else own


def cost(lever: Lever, way: str) -> float:
    """Minutes until the change is judged: the work and the runs."""
    return max(1.0, minutes(lever, way) + runs(lever, way) * assumed.RUN_MINUTES)


def rank(
    book: Book,
    case: Case,
    evidence: Evidence,
    prospects: Sequence[Prospect],
    sizes: Sizes,
    said: Said = NOTHING_SAID,
) -> list[Ranked]:
    """One entry a lever, the most worthwhile first, barred ones among them.

    A way that was tried gives way to its opposite; any other bar keeps the lever barred, because the
    opposite would be a cure only if the trade had it the wrong way round. `sizes`: how strong a step is on this kart.
    `said`: factor of the worth of each way, see `as_heard`.
    """
    chances = {(p.lever, p.way): p.chance for p in prospects}
    entries: dict[str, list[Ranked]] = {}
    most = max(said.values(), default=1.0)
    for prospect in prospects:
        lever = book.levers[prospect.lever]
        other = lever.ways[prospect.way].opposite
        reserve = assumed.OTHER_WAY * chances.get((lever.id, other), 0.0) if other else 0.0
        worth = (prospect.chance + reserve) / _price(lever, prospect.way, evidence)
        size = sizes.get((lever.id, prospect.way), USUAL)
        step = move(book, lever, prospect.way, case, evidence.facts, size)
        # what the sheet shows beyond its window is put right as soon as anything that mechanics would try
        due = step.inward or _due(lever, prospect.way, evidence)
        heard = most if due else said.get((lever.id, prospect.way), 1.0)
        barred = _barred(book, case, evidence, prospect, step)
        ranked = Ranked(prospect, worth * heard, step, barred, minutes(lever, prospect.way), said=heard)
        entries.setdefault(lever.id, []).append(ranked)
    chosen = (_entries(book.levers[ident], ways, case.minutes) for ident, ways in entries.items())
    # a way that is more likely wrong than right is no advice
    likely = (r for r in chosen if r.barred or r.prospect.confidence >= assumed.SURE)
    return sorted(likely, key=lambda r: (-r.worth, r.prospect.lever))


def _due(lever: Lever, way: str, evidence: Evidence) -> bool:
    first = lever.ways[way].first_if
    return bool(first) and conditions.holds(first, evidence.facts)


def as_heard(
    prospects: Sequence[Prospect], ways: Mapping[str, float], tested: Container[str] = ()
) -> dict[tuple[str, str], float]:
    """What mechanics are known to try first, as a factor of the worth of each way: it moves the order and no chance.

    `ways`: log factors by "lever:way". They are bounded, and taken against their mean over all that may cure, so that
    worth can still be held against that of a look. Which way a lever goes that was `tested`, or stands on the sheet,
    is left to its own trials and values: both have the say of the one that mechanics try sooner.
    """
    weight = sum(p.chance for p in prospects)
    if not ways or not weight:
        return {}
    found = {(p.lever, p.way): ways.get(f"{p.lever}:{p.way}", 0.0) for p in prospects}
    mean = sum(p.chance * found[p.lever, p.way] for p in prospects) / weight
    most = math.log(assumed.SAID_MOST)
    either: dict[str, float] = {}
    for (lever, _), x in found.items():
        either[lever] = max(x, either.get(lever, x))
    return {
        (lever, way): math.exp(
            min(max((max(either[lever], mean) if lever in tested else x) - mean, -most), most)
        )
        for (lever, way), x in found.items()
    }


def not_by_one(book: Book, ranked: Sequence[Ranked], tried: Sequence[Tried]) -> list[Ranked]:
    """The same, but one driver's word of one run never puts the opposite first.

    A run may be worse for many reasons, and the way back is a run that tells as well; a second one, or the laps,
    turn it round.
    """
    turned: dict[str, list[Tried]] = {}
    for trial in tried:
        for lever in (trial.lever, *(ident for ident, _ in trial.beside)):
            turned.setdefault(lever, []).append(trial)
    rows = list(ranked)
    first = next((i for i, r in enumerate(rows) if r.barred is None), None)
    second = next((i for i, r in enumerate(rows) if r.barred is None and i != first), None)
    if first is None or second is None:
        return rows
    prospect = rows[first].prospect
    trials = turned.get(prospect.lever, [])
    if len(trials) != 1 or trials[0].verdict != "worse" or trials[0].laps is not None:
        return rows
    if book.levers[prospect.lever].ways[prospect.way].opposite == trials[0].direction:
        turned_round = rows.pop(first)
        rows.insert(second, replace(turned_round, worth=rows[second - 1].worth * JUST_BELOW))
    return rows


def _price(lever: Lever, way: str, evidence: Evidence) -> float:
    """What the chance is divided by.

    What is prepared the day before is judged by its chance alone: there is time, and no run to judge
    it. Technique needs no preparing, so it comes after what does.
    """
    if evidence.preparing:
        return 1.0 if minutes(lever, way) else assumed.UNPREPARED
    return cost(lever, way)


def _entries(lever: Lever, ways: list[Ranked], left: float | None) -> Ranked:
    """The entry of a lever, with those that follow it."""
    first = _entry(lever, ways, left)
    then: list[Ranked] = []
    last, open_ways = first, [r for r in ways if r.barred is None]
    while last.barred is None:
        turned = {p.way for p in last.visit}
        open_ways = [r for r in open_ways if r.prospect.way not in turned]
        if not open_ways:
            break
        last = _entry(lever, open_ways, left)
        then.append(last)
    return replace(first, then=tuple(then)) if then else first


def _entry(lever: Lever, ways: list[Ranked], left: float | None) -> Ranked:
    """The way more likely to help; the next one where the first was tried already. Looks go together.

    One that is more likely wrong than right is never advised, so what people reach for first does not choose it.
    """
    ways = sorted(
        ways,
        key=lambda r: (
            r.prospect.confidence < assumed.SURE,
            -r.prospect.chance * r.said,
            r.prospect.way,
        ),
    )
    open_ways = [r for r in ways if not isinstance(r.barred, TriedBefore)]
    best = (open_ways or ways)[0]
    if best.barred or not _joins(lever, best):
        return best
    return _visit(lever, [r for r in open_ways if r.barred is None and _joins(lever, r)], left)


def _joins(lever: Lever, ranked: Ranked) -> bool:
    way = lever.ways[ranked.prospect.way]
    return way.look or way.together


def _visit(lever: Lever, looks: Sequence[Ranked], left: float | None) -> Ranked:
    """Several looks of one inspection in one visit: of the likely ones that which finds most a minute comes first."""
    least = assumed.WORTH_A_LOOK * max(r.prospect.chance for r in looks)
    likely = [r for r in looks if r.prospect.chance >= least]
    likely.sort(key=lambda r: (-r.prospect.chance * r.said / max(1, r.minutes), r.prospect.way))
    limit = assumed.VISIT_MINUTES if left is None else min(left, assumed.VISIT_MINUTES)
    chosen: list[Ranked] = []
    for look in likely:
        fits = sum(r.minutes for r in (*chosen, look)) <= limit
        if not chosen or (fits and len(chosen) < assumed.LOOKS_AT_ONCE):
            chosen.append(look)
    first, work = chosen[0], sum(r.minutes for r in chosen)
    worth = sum(r.prospect.chance * r.said for r in chosen)
    worth /= max(1.0, work + runs(lever, first.prospect.way) * assumed.RUN_MINUTES)
    return replace(first, worth=worth, minutes=work, also=tuple(r.prospect for r in chosen[1:]))


def tried_before(trial: Tried, look: bool) -> TriedBefore:
    """Why a way is not advised again."""
    if trial.soured:
        came = "it helped, but a new fault came with it"
    elif look:
        came = "nothing found" if trial.verdict != "better" else "found and put right"
        came = "mended, the fault stayed" if trial.mended else came
    else:
        came = "no change" if trial.verdict == "same" else trial.verdict
    return TriedBefore(f"already tried: {came}")


def _barred(book: Book, case: Case, evidence: Evidence, prospect: Prospect, step: Move) -> str | None:
    lever = book.levers[prospect.lever]
    look = lever.ways[prospect.way].look
    for trial in evidence.trials:
        turns = ((trial.lever, trial.direction), *trial.beside)
        same = (lever.id, prospect.way) in turns[: None if look else 1] or (
            look and (lever.id, WHOLE) in turns
        )
        if same and (trial.verdict != "better" or trial.soured or look):
            return tried_before(trial, look)
    for bar in book.bars.values():
        if lever.id not in bar.spared and conditions.holds(bar.where, evidence.facts):
            return bar.because
    if (lever.id, prospect.way) in evidence.spent:
        return "it goes no further that way, as you say"
    done = lever.ways[prospect.way].done_if
    if done and conditions.holds(done, evidence.facts):
        return "it is so already"
    if step.barred:
        return step.barred
    if case.minutes is not None and (work := minutes(lever, prospect.way)) > case.minutes:
        return f"it takes about {work} minutes and {case.minutes:g} are left"
    return _spoilt(book, evidence, lever, prospect.way)


def _spoilt(book: Book, evidence: Evidence, lever: Lever, way: str) -> str | None:
    for effect, less, sure in side_effects(lever, way, evidence):
        if effect in evidence.keep and less and sure > assumed.SURE:
            return f"it would cost {book.effects[effect].name}, which you want to keep"
    return None


def side_effects(lever: Lever, way: str, evidence: Evidence) -> Iterable[tuple[str, bool, float]]:
    """Effects that a way of a lever changes noticeably: id, whether it takes them away, and how sure that is.

    The strongest come first.
    """
    for gives in sorted(claims(lever, evidence.facts), key=lambda g: -PROBABILITY[g.supplies]):
        if PROBABILITY[gives.supplies] < assumed.SPOILS:
            continue
        sure = certainty(gives)
        if way == gives.way:
            yield gives.effect, gives.change == "less", sure
        elif way == lever.ways[gives.way].opposite:
            yield gives.effect, gives.change == "more", sure
