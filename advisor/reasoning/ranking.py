"""Which change to try now: chance of cure over what it costs, and what cannot be done and why."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from advisor.model import conditions
from advisor.model.case import Case, Tried
from advisor.model.knowledge import Book, Lever
from advisor.model.scale import PROBABILITY
from advisor.reasoning.cures import certainty, claims
from advisor.reasoning.evidence import Evidence
from advisor.reasoning.steps import Move, move
from advisor.reasoning.trials import Prospect

# Minutes that one run to judge a change costs: the wait, warming up, a few laps, coming in. Common practice, no source.
RUN_MINUTES = 20.0
# A wrong way tells at once to go the other way, so a part of the opposite's chance counts as well.
OTHER_WAY = 0.35
# A kept effect is spoilt when a change takes it away this often, and the trade is this sure of it.
SPOILS = PROBABILITY["unlikely"]
SURE = 0.5


@dataclass(frozen=True, slots=True)
class Ranked:
    """A way of a lever with its worth (chance over minutes) and its step; `barred` tells why not."""

    prospect: Prospect
    worth: float
    move: Move
    barred: str | None


def cost(lever: Lever) -> float:
    """Minutes until the change is judged: the work and the runs."""
    return max(1.0, lever.minutes + lever.runs * RUN_MINUTES)


def rank(book: Book, case: Case, evidence: Evidence, prospects: Sequence[Prospect]) -> list[Ranked]:
    """One entry a lever, the most worthwhile first, barred ones among them.

    A way that was tried gives way to its opposite; any other bar keeps the lever barred, because the
    opposite would be a cure only if the trade had it the wrong way round.
    """
    chances = {(p.lever, p.way): p.chance for p in prospects}
    entries: dict[str, list[Ranked]] = {}
    for prospect in prospects:
        lever = book.levers[prospect.lever]
        other = lever.ways[prospect.way].opposite
        reserve = OTHER_WAY * chances.get((lever.id, other), 0.0) if other else 0.0
        worth = (prospect.chance + reserve) / _price(lever, evidence)
        step = move(lever, prospect.way, case)
        entries.setdefault(lever.id, []).append(
            Ranked(prospect, worth, step, _barred(book, case, evidence, prospect, step))
        )
    chosen = (_entry(ways) for ways in entries.values())
    # a way that is more likely wrong than right is no advice
    likely = (r for r in chosen if r.barred or r.prospect.confidence >= SURE)
    return sorted(likely, key=lambda r: (-r.worth, r.prospect.lever))


def _price(lever: Lever, evidence: Evidence) -> float:
    """What the chance is divided by.

    What is prepared the day before is judged by its chance alone: there is time, and no run to judge
    it. Technique needs no preparing, so it comes after what does.
    """
    if evidence.preparing:
        return 1.0 if lever.minutes else 4.0
    return cost(lever)


def _entry(ways: list[Ranked]) -> Ranked:
    """The way more likely to help; the next one where the first was tried already."""
    ways = sorted(ways, key=lambda r: (-r.prospect.chance, r.prospect.way))
    open_ways = [r for r in ways if not (r.barred or "").startswith(TRIED)]
    return (open_ways or ways)[0]


TRIED = "already tried"


def tried_before(trial: Tried) -> str:
    """Why a way is not advised again."""
    if trial.soured:
        return f"{TRIED}: it helped, but a new fault came with it"
    return f"{TRIED}: {'no change' if trial.verdict == 'same' else trial.verdict}"


def _barred(book: Book, case: Case, evidence: Evidence, prospect: Prospect, step: Move) -> str | None:
    lever = book.levers[prospect.lever]
    for trial in evidence.tried:
        same = (trial.lever, trial.direction) == (prospect.lever, prospect.way)
        if same and (trial.verdict != "better" or trial.soured or prospect.way == "check"):
            return tried_before(trial)
    done = lever.ways[prospect.way].done_if
    if done and conditions.holds(done, evidence.facts):
        return "it is so already"
    if step.barred:
        return step.barred
    if case.minutes is not None and lever.minutes > case.minutes:
        return f"it takes about {lever.minutes} minutes and {case.minutes:g} are left"
    return _spoilt(book, evidence, lever, prospect.way)


def _spoilt(book: Book, evidence: Evidence, lever: Lever, way: str) -> str | None:
    for effect, less, sure in side_effects(lever, way, evidence):
        if effect in evidence.keep and less and sure > SURE:
            return f"it would cost {book.effects[effect].name}, which you want to keep"
    return None


def side_effects(lever: Lever, way: str, evidence: Evidence) -> Iterable[tuple[str, bool, float]]:
    """Effects that a way of a lever changes noticeably: id, whether it takes them away, and how sure that is.

    The strongest come first.
    """
    for gives in sorted(claims(lever, evidence.facts), key=lambda g: -PROBABILITY[g.supplies]):
        if PROBABILITY[gives.supplies] < SPOILS:
            continue
        sure = certainty(gives)
        if way == gives.way:
            yield gives.effect, gives.change == "less", sure
        elif way == lever.ways[gives.way].opposite:
            yield gives.effect, gives.change == "more", sure
