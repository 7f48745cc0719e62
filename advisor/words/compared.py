"""Figures told beside the figures wanted: "9.8 hot, window 12 to 13" says that the hot pressures are too low.

Only where both are told in the same text; what a guide says elsewhere is the book's (`hot_pressure`, with a sheet).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import islice

from advisor.units import UNITS
from advisor.words.tokens import LONGEST

HOT = "hot_pressure"
SLACK = 0.5  # psi on either side of one figure that is wanted: as finely as a gauge is trusted (ours)
PLAUSIBLE = (4.0, 40.0)  # psi
MOST = 20  # figures that are looked at: nobody tells more of four tyres

_NUMBER = r"(?<![\d.,/])(\d{1,2}(?:[.,]\d{1,2})?)(?![\d/]|[.,]\d)"
_OTHER = r"(?!\s*(?:°|deg|c\b|f\b|laps?|min|s\b|sec|%|mm|cm|m\b|kg|kilos?|teeth|tooth|on \d|hours?))"
_UNIT = r"(?:\s*(psi|bar|lbs?|pounds?)\b)?"
_FIGURE = _NUMBER + _OTHER + _UNIT
_WANTED = re.compile(
    r"\b(?:window|target|aim\w*|wants?|wanted|should be|supposed to be|meant to be|guide says|ideal|looking for)\b"
    rf"\D{{0,20}}{_NUMBER}(?:\s*(?:-|–|to|and)\s*{_NUMBER})?{_OTHER}{_UNIT}"
)
_ENDS = {"front": r"\bfronts?\b", "rear": r"\b(?:rears?|backs?)\b"}
_HOT = re.compile(r"\bhot\b|\b(?:came|come|comes|coming) (?:in|off)\b|\boff track\b")
_NEAR = 25  # letters between an end or "hot" and its figure


def hot_pressure(text: str) -> str | None:
    """The answer about hot pressures that the figures of a text give; None where they do not say."""
    low_text = text[:LONGEST].lower()
    wanted = _WANTED.search(low_text)
    hot = _HOT.search(low_text)
    if not wanted or not hot or "cold" in low_text:
        return None
    unit = wanted[3]
    low, high = sorted(_psi(x, unit) for x in (wanted[1], wanted[2] or wanted[1]))
    if low == high:
        low, high = low - SLACK, high + SLACK
    rest = low_text[: wanted.start()] + " " * (wanted.end() - wanted.start()) + low_text[wanted.end() :]
    ends = {end: list(_figures(rest, where, unit)) for end, where in _ENDS.items()}
    if all(ends.values()):
        return _by_end(*(_side(f, low, high) for f in (*ends["front"][:1], *ends["rear"][:1])))
    every = list(_figures(rest, _HOT.pattern, unit))
    sides = {_side(x, low, high) for x in every}
    return sides.pop() if len(sides) == 1 else None


def _figures(text: str, where: str, unit: str | None) -> Iterator[float]:
    """Plausible pressures on either side of these words, nearest first."""
    told = ((number, _psi(number[1], number[2] or unit)) for number in re.finditer(_FIGURE, text))
    plausible = [(number, value) for number, value in told if PLAUSIBLE[0] <= value <= PLAUSIBLE[1]][:MOST]
    found = []
    for word in islice(re.finditer(where, text), MOST):
        for number, value in plausible:
            gap = max(number.start() - word.end(), word.start() - number.end())
            if gap <= _NEAR:
                found.append((gap, value))
    yield from (value for _, value in sorted(found))


def _psi(number: str, unit: str | None) -> float:
    value = float(number.replace(",", "."))
    return value * UNITS["bar"].factor / UNITS["psi"].factor if unit == "bar" else value


def _side(value: float, low: float, high: float) -> str:
    return "low" if value < low else "high" if value > high else "right"


def _by_end(front: str, rear: str) -> str | None:
    if front == rear:
        return front
    if "right" not in (front, rear):
        return None
    return f"rears_{rear}" if front == "right" else f"fronts_{front}"
