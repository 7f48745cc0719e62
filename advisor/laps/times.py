"""A lap time as people and timing sheets write it, to seconds."""

from __future__ import annotations

import re

SHORTEST, LONGEST = 5.0, 600.0  # seconds; assumed: outside of this it is no lap of a kart

_NONE = frozenset(("", "-", "--", "–", "—", "?", "x", "na", "n/a", "none", "null", "nan", "dnf", "dns"))
_EMPTY = re.compile(r"[-–—:.,' ]+\Z")  # "--:--.---"
_TIME = re.compile(
    r"(?:(?:(?P<hours>\d{1,2}):)?(?P<minutes>\d{1,3})[:'′])?"
    r"(?P<seconds>\d{1,7}(?:[.,]\d{0,6})?|[.,]\d{1,6})"
    r"\s*(?P<unit>ms|s|sec|secs|seconds|\"|″|'')?\Z",
    re.IGNORECASE | re.ASCII,
)
# 1'02"345 and 1:02:345 and 1.02.345: the thousandths behind a sign of their own
_THOUSANDTHS = re.compile(
    r"(?P<minutes>\d{1,2})(?:'|′|:|\.)(?P<seconds>\d\d)(?:\"|″|''|:|\.)(?P<rest>\d{3})\Z"
)
_QUOTED = re.compile(r"(\d)(?:\"|″|'')(\d)")


def missing(text: str) -> bool:
    """True for an empty cell, and for the signs that stand where a time is missing."""
    bare = text.strip().casefold()
    return bare in _NONE or bool(_EMPTY.match(bare))


def seconds(text: str, thousandths: bool = False) -> float:
    """Read "45.31", "45,31 s", "0:45.310", "1:02,4" or 1'02"345 as seconds; `thousandths` for bare milliseconds.

    Raises ValueError with a sentence for a person when it is no time, or none that a kart's lap can take.
    """
    bare = text.strip()
    split = _THOUSANDTHS.match(bare)
    if split:
        bare = f"{split['minutes']}:{split['seconds']}.{split['rest']}"
    match = _TIME.match(_QUOTED.sub(r"\1.\2", bare))
    if not match:
        raise ValueError(f'"{bare[:20]}" is no lap time; write it like 45.31 or 1:02.345')
    value = float(match["seconds"].replace(",", "."))
    if match["minutes"] and value >= 60:
        raise ValueError(f'"{bare[:20]}" has {value:g} seconds after its minutes; they go up to 59.999')
    unit = (match["unit"] or "").casefold()
    if unit == "ms" or (thousandths and not unit and not match["minutes"]):
        value /= 1000
    value += 60 * int(match["minutes"] or 0) + 3600 * int(match["hours"] or 0)
    return _plausible(value, bare)


def _plausible(value: float, text: str) -> float:
    if value > LONGEST:
        thousandths = SHORTEST <= value / 1000 <= LONGEST
        advice = 'if these are thousandths, write "time (ms)" above them' if thousandths else "correct it"
        raise ValueError(
            f'"{text[:20]}" is longer than ten minutes, which is no lap; {advice}, or leave it empty'
        )
    if value < SHORTEST:
        raise ValueError(
            f'"{text[:20]}" is shorter than {SHORTEST:g} s, which is no lap; correct it, or leave it empty'
        )
    return value
