"""When to stop: it is not the kart, or nothing that is left to try is worth its cost."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.inference.belief import Belief
from advisor.model import assumed
from advisor.model.case import Tried
from advisor.model.knowledge import Book
from advisor.model.scale import percent
from advisor.planning import repair
from advisor.planning.repair import Repair


def mended(book: Book, tried: Sequence[Tried]) -> str | None:
    """After something was found and put right: that was probably it."""
    last = tried[-1] if tried else None
    if (
        last is None
        or last.verdict != "better"
        or last.soured
        or not book.is_look(last.lever, last.direction)
    ):
        return None
    return (
        f"What was found and put right ({book.levers[last.lever].ways[last.direction].say}) was probably it. "
        "Change nothing else: drive, and tell what came of it."
    )


def enough(book: Book, belief: Belief, shares: Sequence[float], plan: Repair) -> str | None:
    """Why no change should be made now, in a sentence or two; None while one is worth its cost.

    `plan` holds the changes that are open, `shares` the probability that a cause is the one to mend first.
    """
    causes = zip(book.causes.values(), belief.probabilities, strict=False)
    outside = [(p, cause.name) for cause, p in causes if cause.kind == "track"]
    if (all_of_it := sum(p for p, _ in outside)) > assumed.NOT_THE_KART:
        p, name = max(outside)
        rest = f"; with others of the track and the day {percent(all_of_it)}" if all_of_it - p >= 0.01 else ""
        return (
            f"It is most likely not the kart: {name} ({percent(p)}{rest}). "
            "Leave the kart as it is, note the conditions and compare five clean laps later."
        )
    chances = [sum(shares[i] * r for i, r in a.rates) for a in plan.actions]
    # looks that find so little that nobody would look do not keep a search alive, cheap as they are
    idle = [k for k, a in enumerate(plan.actions) if not a.run and chances[k] < assumed.OFTEN]
    if repair.first(plan, shares, idle) is not None:
        return None
    best = max(chances, default=0.0)
    return (
        f"What is left to try would cure it in {percent(best)} at best, less than its run is worth. "
        "Put the kart back to the baseline you know, and ask somebody who knows this chassis."
    )
