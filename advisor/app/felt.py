"""What a line of a driver's own words tells that the kart does, before any sitting on it."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.inference.evidence import gather
from advisor.inference.hearing import FEW
from advisor.model.case import Case
from advisor.reasoning.weighing import Mind


def told_anew(mind: Mind, text: str) -> Mapping[str, frozenset[str]]:
    """The questions that a line answers itself, so that what was noted of them before does not count."""
    ear = mind.ear if len(text.split()) > FEW else None  # of few words the phrases alone tell what is meant
    return gather(Case(complaint=text), mind.book, mind.lexicon, ear).evidence.told


def fault(mind: Mind, text: str) -> str:
    """The fault that a line tells of, as trials have it: "oversteer entry"; empty where none is heard."""
    told = told_anew(mind, text)
    felt = {k: next(iter(told[k])) for k in ("balance", "phase") if len(told.get(k, ())) == 1}
    return " ".join(felt.values()) if "balance" in felt else ""
