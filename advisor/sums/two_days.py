"""Numbers of the air of two days in one question: the day on which the carburettor was set, and today."""

from __future__ import annotations

import re
from collections.abc import Iterator

from advisor.sums.rows import Bare, Span
from advisor.sums.spoken import COOL

_NUMBER = r"(?<![\w.,/#])(-?\d+(?:[.,]\d+)?)"
# What begins the words about either day.
_THEN = r"\bjetted\b|\b(?:set|tuned)\b|\bwas\b|\bwere\b|\blast \w+|\byesterday\b"
_NOW = r"\bjetting for\b|\btoday\b|\bnow\b|\btomorrow\b|\bit'?s\b|\bis\b|\bwill be\b"
_NOW += r"|\bthis (?:morning|afternoon|weekend|time)\b"
_CUE = re.compile(rf"(?P<then>{_THEN})|(?P<now>{_NOW})")
_FROM_TO = re.compile(r"\bfrom\b(?P<then>.*?\d.*?)\bto\b(?P<now>.*\d.*)")
_DEGREES = re.compile(rf"{_NUMBER} ?([cf])\b")
_PRESSURE = re.compile(rf"{_NUMBER} ?(hpa|mbar|inhg|mb|millibars?)\b")
_HUMIDITY = re.compile(rf"{_NUMBER} ?(?:%|percent\b)")
_BARE = re.compile(rf"{_NUMBER}(?!\w|[.,]\d| ?(?:%|hpa|mbar|inhg|m\b|ft\b|metres|feet|[cf]\b))")
BAROMETER = (900.0, 1085.0)  # [hPa] what a bare number is taken for a pressure between
KINDS = ("temperature", "pressure", "humidity")


def of_two_days(plain: str) -> Iterator[Bare]:
    """The numbers of both days; none where a temperature is not told of each."""
    days = _parted(plain)
    scale = next((match[2] for match in _DEGREES.finditer(plain)), "")
    found = {day: _air(plain, spans, scale) for day, spans in days.items()}
    if any("temperature" not in found.get(day, {}) for day in ("then", "now")):
        return
    for day, numbers in found.items():
        for kind, (text, span, taken) in numbers.items():
            yield Bare(f"set_{kind}" if day == "then" else kind, text, span, taken)


def _parted(plain: str) -> dict[str, list[Span]]:
    """Where the words about either day stand; what comes before the first cue belongs to it."""
    whole = _FROM_TO.search(plain)
    if whole is not None:
        return {day: [whole.span(day)] for day in ("then", "now")}
    cues = list(_CUE.finditer(plain))
    if not cues:
        return {}
    ends = [*(cue.start() for cue in cues[1:]), len(plain)]
    days = _by_day(cues, [0, *ends[:-1]], ends)
    for i, after in enumerate(cues[1:]):
        own = days[after.lastgroup or ""]
        if not any(re.search(r"\d", plain[start:end]) for start, end in own):  # "set at 15, 28 today"
            ends[i] = _clause(plain, cues[i].end(), after.start())
    return _by_day(cues, [0, *ends[:-1]], ends)


def _by_day(cues: list[re.Match[str]], starts: list[int], ends: list[int]) -> dict[str, list[Span]]:
    days: dict[str, list[Span]] = {}
    for cue, start, end in zip(cues, starts, ends, strict=True):
        days.setdefault(cue.lastgroup or "", []).append((start, end))
    return days


def _clause(plain: str, start: int, end: int) -> int:
    """Where the last clause with a number begins, if there is one before it; else the end."""
    for sign in (r"[,;.](?!\d)", r"\b(?:and|but)\b"):
        for mark in reversed(list(re.compile(sign).finditer(plain, start, end))):
            if re.search(r"\d", plain[start : mark.start()]) and re.search(r"\d", plain[mark.end() : end]):
                return mark.end()
    return end


Number = tuple[str, Span, str]


def _air(plain: str, spans: list[Span], scale: str) -> dict[str, Number]:
    """Temperature, pressure and humidity of one day, the first of each."""
    found: dict[str, Number] = {}
    for start, end in spans:
        for kind, pattern in zip(KINDS, (_DEGREES, _PRESSURE, _HUMIDITY), strict=True):
            for match in pattern.finditer(plain, start, end):
                found.setdefault(kind, (_typed(kind, match), match.span(), ""))
        for match in _BARE.finditer(plain, start, end):
            value = float(match[1].replace(",", "."))
            if BAROMETER[0] <= value <= BAROMETER[1]:
                found.setdefault("pressure", (f"{match[1]} hPa", match.span(), f"{match[1]} as hPa"))
            elif abs(value) < 120:
                unit = (scale or ("c" if value <= COOL else "f")).upper()
                found.setdefault(
                    "temperature", (f"{match[1]} {unit}", match.span(), f"{match[1]} as °{unit}")
                )
    return found


def _typed(kind: str, match: re.Match[str]) -> str:
    if kind == "humidity":
        return f"{match[1]} %"
    if kind == "temperature":
        return f"{match[1]} {match[2].upper()}"
    return f"{match[1]} {'inHg' if match[2] == 'inhg' else 'hPa'}"
