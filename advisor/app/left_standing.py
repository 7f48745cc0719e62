"""A kart that was left standing as dangerous: whoever asks of it next is told, until somebody has seen to it."""

from __future__ import annotations

from advisor.interview import steps
from advisor.journal.sittings import Sitting, unfinished
from advisor.journal.store import Journal
from advisor.karts.written import case_from_data
from advisor.reasoning.weighing import Mind


def left_standing(journal: Journal, mind: Mind, kart: str | None) -> Sitting | None:
    """The latest sitting of a kart, of any where none is named, if it was left at what forbids driving."""
    left = unfinished(journal, kart)
    return left if left is not None and stands_still(mind, left) else None


def stands_still(mind: Mind, left: Sitting) -> bool:
    """True for a sitting whose case forbids driving."""
    case = case_from_data(left.row.case, mind.book)
    return case is not None and steps.stopped(mind, steps.begin(mind, case)) is not None


def told(left: Sitting, when: str) -> str:
    """It in words, a part of a sentence."""
    words = left.row.complaint or "what was told"
    return f"left standing {when}, not to be driven before it is seen to: {words}"
