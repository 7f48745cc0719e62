"""Numbers of a question that stand without a unit: teeth, proportions, revs, links, four scales in a row."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping

from advisor.sums.mixes import of_a_mix
from advisor.sums.nomenclature import NAMES, PITCHES
from advisor.sums.rows import Bare, Sum
from advisor.sums.two_days import of_two_days

_UNITS = r"(?:mm|cm|m|in|km|kg|l|c|f|bar|psi|rpm|revs|degrees?)"
_PAIR = re.compile(rf"(?<![\d.,:])(\d{{1,2}})(?: ?[/:x-] ?| )(\d{{2,3}})(?![\d:%]|[.,]\d| ?{_UNITS}\b)")
_REVS = re.compile(r"(?<![\d.,])(\d{4,5})(?: ?(?:rpm|revs)\b|(?![\d.,]|/| ?(?:mm|cm|m|in|km|hpa|mbar|pa)\b))")
_LINKS = re.compile(r"(\d{2,3}) links?\b")
_SPROCKET = re.compile(
    r"(\d{2,3}) ?(?:teeth|t\b|tooth|sprocket)|(?:sprocket|teeth)(?: of| with)? (\d{2,3})\b"
)
_CHAIN = re.compile(r"#(219|35|428)\b|\b(219|428|35)(?= (?:chain|pitch))|(?<=\bchain )(219|428|35)\b")
_GRAVITY = re.compile(r"(?<![\w.,])(\d(?:[.,]\d+)?) ?gs?\b")
_MASS = r"(kgs?|kilos?|lbs?|pounds)"
_SCALE = rf"(\d{{1,3}}(?:[.,]\d+)?)(?: ?{_MASS})?"
_FOUR = re.compile(r"(?<![\w.,/])" + r"(?:, ?| and |, and | )".join([_SCALE] * 4) + r"(?![\w/:]|[.,]\d)")
_READING = r"(?<![\d.,])(\d+(?:[.,]\d+)?)"
_PROBE = {  # the target first: "target lambda 0.88" tells no reading
    "target": "target(?: lambda| afr)?|aim(?:ing)? for|aim|should be",
    "lambda": "lambda|i read|reading|reads",
    "afr": "afr|air.fuel(?: ratio)?",
}
LIGHTEST, HEAVIEST = 190.0, 250.0  # [lb] of a child's kart with driver, [kg] of any (ours)
CORNERS = ("front_left", "front_right", "rear_left", "rear_right")


def bare(row: Sum, plain: str) -> Iterator[Bare]:
    """The numbers without a unit, of those that a sum takes."""
    takes = row.takes
    for key, several in _SEVERAL.items():
        if key in takes:
            yield from several(plain)
    if "compare" in takes:
        yield from _compared(plain)
    if row.name == "clearance" and (teeth := _SPROCKET.search(plain)):
        yield Bare("axle_teeth", teeth[1] or teeth[2], teeth.span())
    if "pitch" in takes and (chain := _CHAIN.search(plain)):
        yield Bare("pitch", PITCHES[chain[0].lstrip("#")], chain.span())
    for key, pattern, unit in (("rpm", _REVS, " rpm"), ("links", _LINKS, ""), ("lateral", _GRAVITY, "")):
        if key in takes and (number := pattern.search(plain)):
            yield Bare(key, f"{number[1]}{unit}", number.span())


def _teeth(plain: str) -> Iterator[Bare]:
    pair = _PAIR.search(plain)
    if pair is None:
        return
    engine, axle = sorted(pair.groups(), key=int)
    taken = "" if engine == pair[1] else f"{pair[0].strip()} as {engine} on the engine and {axle} on the axle"
    yield Bare("engine_teeth", engine, pair.span(), taken)
    yield Bare("axle_teeth", axle, pair.span(), taken)


def _compared(plain: str) -> Iterator[Bare]:
    pairs = list(_PAIR.finditer(plain))[1:]
    if pairs:
        others = ", ".join(f"{p[1]}/{p[2]}" for p in pairs)
        yield Bare("compare", others, (pairs[0].start(), pairs[-1].end()))


def _corners(plain: str) -> Iterator[Bare]:
    """Four scales in the order in which people read them; a unit that any mass of the question has is that of all."""
    labelled = [re.search(rf"\b{key.replace('_', ' ')} {_SCALE}(?![\d.,])", plain) for key in CORNERS]
    if all(labelled):
        yield from _named([match for match in labelled if match])
        return
    four = _FOUR.search(plain)
    if four is None:
        return
    masses = [mass.replace(",", ".") for mass in four.groups()[::2]]
    units = [unit for unit in four.groups()[1::2] if unit]
    other = re.search(rf"\d ?{_MASS}\b", plain)
    unit = units[-1] if units else other[1] if other else _likely(sum(map(float, masses)))
    if not unit:
        return
    unit = "kg" if unit.startswith("k") else "lb"
    taken = f"{', '.join(masses)} {unit} as front left, front right, rear left, rear right"
    for key, mass in zip(CORNERS, masses, strict=True):
        yield Bare(key, f"{mass} {unit}", four.span(), taken)


def _named(found: list[re.Match[str]]) -> Iterator[Bare]:
    """Four scales that are told with their corner."""
    masses = [match[1].replace(",", ".") for match in found]
    unit = next((match[2] for match in found if match[2]), "") or _likely(sum(map(float, masses)))
    for key, mass, match in zip(CORNERS, masses, found, strict=True):
        if unit:
            yield Bare(key, f"{mass} {'kg' if unit.startswith('k') else 'lb'}", match.span())


def _likely(total: float) -> str:
    """The unit of the weight of kart and driver, where no kart weighs so much in the other."""
    return "kg" if 80 < total < LIGHTEST else "lb" if HEAVIEST < total < 520 else ""


def _readings(plain: str) -> Iterator[Bare]:
    """Numbers beside "lambda", "afr" or "target": all behind their word or all before it, whichever tells more."""
    behind = {key: rf"\b(?:{word})\b[^\d.,]{{0,12}}{_READING}" for key, word in _PROBE.items()}
    before = {key: rf"{_READING} (?:{word})\b" for key, word in _PROBE.items()}
    for key, reading in max((_told_by(plain, way) for way in (behind, before)), key=len).items():
        yield Bare(key, reading[1], reading.span(1))


def _told_by(plain: str, way: Mapping[str, str]) -> dict[str, re.Match[str]]:
    """The readings by name, each number once."""
    found: dict[str, re.Match[str]] = {}
    for key, pattern in way.items():
        name, used = NAMES[key], {match.span(1) for match in found.values()}
        for match in re.finditer(pattern, plain):
            if name.least <= float(match[1].replace(",", ".")) <= name.most and match.span(1) not in used:
                found.setdefault(key, match)
    return found


# Readers of several numbers, by a name of those that they tell.
_SEVERAL: Mapping[str, Callable[[str], Iterator[Bare]]] = {
    "engine_teeth": _teeth,
    "oil_of_mix": of_a_mix,
    "front_left": _corners,
    "set_temperature": of_two_days,
    "afr": _readings,
}
