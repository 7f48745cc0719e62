"""What a line of a driver's own words tells by itself, before any sitting on it."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.inference.evidence import Evidence, gather
from advisor.inference.hearing import FEW
from advisor.model.case import Case
from advisor.reasoning.weighing import Mind


def said_of(mind: Mind, text: str) -> Evidence:
    """What the phrases alone hear."""
    return gather(Case(complaint=text), mind.book, mind.lexicon).evidence


def heard_of(mind: Mind, text: str) -> Evidence:
    """What the phrases and the ear hear; of few words the phrases alone tell what is meant."""
    if len(text.split()) <= FEW:
        return said_of(mind, text)
    return gather(Case(complaint=text), mind.book, mind.lexicon, mind.ear).evidence


def told_anew(mind: Mind, text: str) -> Mapping[str, frozenset[str]]:
    """The questions that a line answers itself, so that what was noted of them before does not count."""
    return heard_of(mind, text).told


def fault(mind: Mind, text: str) -> str:
    """The fault that a line tells of, as trials have it: "oversteer entry"; empty where none is heard."""
    told = told_anew(mind, text)
    felt = {k: next(iter(told[k])) for k in ("balance", "phase") if len(told.get(k, ())) == 1}
    return " ".join(felt.values()) if "balance" in felt else ""
