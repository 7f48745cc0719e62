"""A kart that was left standing as dangerous: whoever asks of it next is told, until somebody has seen to it."""

from __future__ import annotations

from advisor.interview import steps
from advisor.interview.steps import State
from advisor.journal.sittings import Sitting, sittings
from advisor.journal.store import Journal
from advisor.karts.written import case_from_data
from advisor.model.belonging import kart_name
from advisor.reasoning.weighing import Mind

LOOKED_THROUGH = 30  # of the latest sittings


def left_standing(journal: Journal, mind: Mind, kart: str) -> Sitting | None:
    """The latest sitting of a kart that was left at what forbids driving, whatever was begun since."""
    latest = (s for s in sittings(journal, LOOKED_THROUGH) if not s.row.done)
    of_kart = (s for s in latest if kart_name(str(s.row.case.get("kart_file") or "")) == kart_name(kart))
    return next((s for s in of_kart if stands_still(mind, s)), None)


def stands_still(mind: Mind, left: Sitting) -> bool:
    """True for a sitting whose case forbids driving."""
    case = case_from_data(left.row.case, mind.book)
    return case is not None and steps.stopped(mind, steps.begin(mind, case)) is not None


def told(left: Sitting, when: str) -> str:
    """It in words, a part of a sentence."""
    words = left.row.complaint or "what was told"
    return f"left standing {when}, not to be driven before it is seen to: {words}"


def warning(mind: Mind, state: State) -> str:
    """What forbids driving, or that it is to be asked about, to be said where nobody can answer; empty for neither."""
    stop = steps.stopped(mind, state)
    if stop and (stop.questions or not state.reopened):  # what is only likely is asked about first
        return f"STOP: do not drive it. {stop.text}"
    asked = steps.danger_first(mind, state)
    return "What was said may mean danger: tell it to advisor before anybody drives." if asked else ""
