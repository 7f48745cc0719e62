"""Sprockets told in words, ours and the others': "82 teeth, the others have 83"."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from advisor.model.case import Case, Value

AXLE, ENGINE = range(50, 111), range(8, 21)  # teeth that a kart's sprockets have (common practice, no source)
_ABOUT = re.compile(
    r"\b(?:teeth|tooth|sprockets?|gear(?:ed|ing)?|ratio|on the (?:back|axle))\b|\d{1,2} ?/ ?\d{2,3}"
)
_OTHERS = re.compile(
    r"\b(?:others?|everyone|everybody|every one|the rest|they|theirs|rivals?|the field|the quick(?:er|est)? ones?|"
    r"the fast(?:er|est)? (?:ones?|guys)|the front runners|my mates?)\b"
)
_CLAUSES = re.compile(r"[,.;:!?]\s|\b(?:and|but|while|whereas|against|versus|vs|when|where)\b")
_TEETH = re.compile(
    r"(?<![\d.,:])(?:(\d{1,2})(?: ?[/:-] ?| ))?(\d{2,3})(?!\d|[.,:]\d| ?(?:psi|bar|kpa|mm|cm|kg|kilos?|lb|km|mph|"
    r"laps?|min|minutes|sec|seconds|deg|degrees|percent|%|c\b|rpm|cc|m\b))"
)
Pair = tuple[int | None, int]  # teeth of the engine, if they are told, and of the axle


@dataclass(frozen=True, slots=True)
class Teeth:
    """Sprockets of ours and of the others, as far as they are told."""

    ours: Pair | None = None
    others: Pair | None = None


def told(text: str) -> Teeth:
    """Sprockets that a text tells, each by the clause that it stands in; of several the first counts."""
    said = text.lower()
    if not _ABOUT.search(said):
        return Teeth()
    ours: Pair | None = None
    others: Pair | None = None
    for clause in _CLAUSES.split(said):
        pair = _pair(clause)
        if pair and _OTHERS.search(clause):
            others = others or pair
        elif pair:
            ours = ours or pair
    return Teeth(ours, others)


def _pair(clause: str) -> Pair | None:
    for found in _TEETH.finditer(clause):
        engine, axle = int(found[1]) if found[1] else None, int(found[2])
        if axle in AXLE:
            return (engine if engine in ENGINE else None), axle
    return None


def of_kart(pieces: Mapping[str, Sequence[tuple[str, Value]]]) -> Pair | None:
    """The sprockets of a kart's sheet."""
    drive = {label: value for label, value in pieces.get("gearing", ()) if isinstance(value, int | float)}
    return (
        (int(drive["engine"]) if "engine" in drive else None, int(drive["axle"])) if "axle" in drive else None
    )


def beside_others(texts: Sequence[str], case: Case) -> str:
    """The answer to `gearing_field` that sprockets give: `taller`, `shorter` or `same`; empty where they do not tell.

    Ours are those of the words, else of the sheet. Ratios are compared where all four sprockets are told.
    """
    found = [told(text) for text in texts]
    others = next((f.others for f in found if f.others), None)
    ours = next((f.ours for f in found if f.ours), None) or of_kart(case.pieces)
    if ours is None or others is None:
        return ""
    mine, theirs = float(ours[1]), float(others[1])
    if ours[0] and others[0]:
        mine, theirs = mine / ours[0], theirs / others[0]
    if abs(mine - theirs) < 1e-9:
        return "same"
    return "taller" if mine < theirs else "shorter"
