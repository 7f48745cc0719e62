"""Tyre pressures as people write them at the kart: all round, by end, by side or by corner, cold and hot."""

from __future__ import annotations

import re
from collections.abc import Mapping

from advisor import units
from advisor.units import find_unit

NUMBER = r"[-+]?\d+(?:[.,]\d+)?"
# Bare pressures by their size: no kart tyre is driven at what would be meant in another unit. Assumed, no source.
BARE = (("bar", 0.3, 3.0), ("psi", 4.0, 40.0), ("kPa", 45.0, 300.0))
ENDS, SIDES = ("front", "rear"), ("left", "right")
CORNERS = tuple(f"{end}_{side}" for end in ENDS for side in SIDES)  # and so four bare numbers are read
# Words and the short forms that people use, left or front first (common practice, no source).
WORDS = {
    "fronts": "front",
    "back": "rear",
    "backs": "rear",
    "rears": "rear",
    "lefts": "left",
    "rights": "right",
}
SHORT = {
    **{
        f"{e}{s}": f"{end} {side}"
        for e, end in zip("fr", ENDS, strict=True)
        for s, side in zip("lr", SIDES, strict=True)
    },
    **{"lf": "front left", "rf": "front right", "lr": "rear left"},
}  # "rr" is the same either way
ROUND = (
    "all",
    "round",
    "around",
    "four",
    "corners",
    "everywhere",
    "each",
    "both",
    "and",
    "tyres",
    "tires",
    "at",
    "the",
)
MARKS = {"hot": "hot", ">": "hot", "/": "hot", "cold": "cold"}
HELP = (
    "write one pressure (all round), two (front rear), four (front left, front right, rear left, rear right), or "
    '"front 10 rear 11"; cold before hot, such as 10.5 11 > 13.2 13.5'
)

Corners = dict[str, str]  # front and rear, or the four corners -> pressure as text with a unit


def pressures(text: str, wish: str = "") -> tuple[Corners, Corners]:
    """Read "10.5 10.5 11 11 > 13 13 13.5 13.4" or "front 10 rear 11, hot 13.2 all round": cold and hot pressures.

    The unit may stand behind; without one it is the one that is wished, or told by the size of the numbers. Raises
    ValueError with a sentence.
    """
    bare = text.casefold().replace("->", ">").replace("→", ">")
    unit = find_unit(wish)
    if named := re.search(r"(?<![a-z])(psi|bar|kpa)\b", bare):
        unit = find_unit({"kpa": "kPa"}.get(named[1], named[1]))
        bare = re.sub(r"(?<![a-z])(psi|bar|kpa)\b", " ", bare)
    told: dict[str, list[str]] = {"cold": [], "hot": []}
    which, closed = "cold", set[str]()
    for piece in re.sub(r"([>/=:;])|,(?!\d)", r" \1 ", bare).split():
        if piece in MARKS:
            closed |= {which} if told[which] else set()
            which = MARKS[piece]
            if which in closed:
                raise ValueError(f"that is cold or hot twice: {HELP}")
        elif piece not in "=:;":
            told[which].append(piece)
    return _read(told["cold"], unit), _read(told["hot"], unit)


def over(before: Mapping[str, str], new: Mapping[str, str]) -> Corners:
    """What was told laid over what stood there: some corners alone leave the others as they were."""
    if set(new) >= set(CORNERS) or set(new) == set(ENDS):
        return dict(new)
    if not any("_" in place for place in (*before, *new)):
        return {**before, **new}
    return {**by_corner(before), **by_corner(new)}


def by_corner(found: Mapping[str, str]) -> Corners:
    """The same by the four corners, as far as they are known."""
    each = {c: found.get(c) or found.get(c.partition("_")[0]) for c in CORNERS}
    return {corner: value for corner, value in each.items() if value}


def as_setup(cold: Mapping[str, str]) -> dict[str, str | dict[str, str]]:
    """Cold pressures as the levers of a case file; where left and right differ both are told."""
    found: dict[str, str | dict[str, str]] = {}
    for end in ENDS:
        sides = {side: cold[f"{end}_{side}"] for side in SIDES if f"{end}_{side}" in cold}
        if end in cold or sides:
            alike = len(sides) == len(SIDES) and len(set(sides.values())) == 1
            found[f"tyre_pressure_{end}"] = sides[SIDES[0]] if alike else sides or cold[end]
    return found


def shown(found: Mapping[str, str]) -> str:
    """In one line, the unit once: "10.5 11 psi" by end, "10.5 10.5 11 11 psi" by corner."""
    places = [p for p in (*ENDS, *CORNERS) if p in found]
    values = [found[place].rpartition(" ") for place in places]
    same_unit = len({unit for _, _, unit in values}) == 1
    whole = places in (list(ENDS), list(CORNERS))
    each = [
        f"{'' if whole else place.replace('_', ' ') + ' '}{number or unit}{'' if same_unit else f' {unit}'}"
        for place, (number, _, unit) in zip(places, values, strict=True)
    ]
    return (" " if whole else ", ").join(each) + (f" {values[0][2]}" if values and same_unit else "")


def _read(pieces: list[str], unit: units.Unit | None) -> Corners:
    """The pressures of one half, by end or by corner."""
    rows = _groups(pieces)
    numbers = [n for _, group in rows for n in group]
    if not numbers:
        return {}
    name = _unit(numbers, unit, " ".join(pieces))
    found: Corners = {}
    for place, group in rows:
        for corner, number in _spread(place, group).items():
            if corner in found:
                raise ValueError(f"the {corner.replace('_', ' ')} is told twice: {HELP}")
            found[corner] = f"{number:g} {name}"
    if all(place in ("", *ENDS) and len(group) <= (1 if place else len(ENDS)) for place, group in rows):
        return {end: found[f"{end}_left"] for end in ENDS if f"{end}_left" in found}
    return found


def _groups(pieces: list[str]) -> list[tuple[str, list[float]]]:
    """Places, each with its numbers; the place stands before them, or behind where the text begins with a number."""
    words: list[tuple[bool, str]] = []  # whether it is a number, and the text
    for piece in pieces:
        if re.fullmatch(NUMBER, piece):
            words.append((True, piece.replace(",", ".")))
        elif piece not in ROUND:
            words = _with_place(words, SHORT.get(piece, WORDS.get(piece, piece)))
    backwards = len(words) > 1 and words[0][0] and not words[-1][0]
    rows: list[tuple[str, list[float]]] = []
    for is_number, word in reversed(words) if backwards else words:
        if not is_number or not rows:
            rows.append(("" if is_number else word, []))
        if is_number:
            rows[-1][1].insert(0 if backwards else len(rows[-1][1]), float(word))
    return rows


def _with_place(words: list[tuple[bool, str]], word: str) -> list[tuple[bool, str]]:
    """The words so far with a place behind them: two in a row are one, and "front left 10 right 11" stays in front."""
    if not set(word.split()) <= {*ENDS, *SIDES}:
        raise ValueError(f'"{word[:20]}" is no pressure and no corner: {HELP}')
    if words and not words[-1][0]:
        return [*words[:-1], (False, f"{words[-1][1]} {word}")]
    before = next((w.split() for is_number, w in reversed(words) if not is_number), [])
    if word in SIDES and len(before) > 1:
        word = f"{next((w for w in before if w in ENDS), '')} {word}".strip()
    return [*words, (False, word)]


def _spread(place: str, numbers: list[float]) -> dict[str, float]:
    """The pressure of each corner that a place means, in the order in which they are written."""
    meant = set(place.split())
    if len(meant) != len(place.split()) or meant >= set(ENDS) or meant >= set(SIDES):
        raise ValueError(f'"{place}" is no corner: {HELP}')
    corners = [c for c in CORNERS if meant <= set(c.split("_"))]
    if len(numbers) == 1:
        return dict.fromkeys(corners, numbers[0])
    if not place and len(numbers) == len(ENDS):
        return {c: numbers[ENDS.index(c.partition("_")[0])] for c in corners}
    if len(numbers) == len(corners):
        return dict(zip(corners, numbers, strict=True))
    raise ValueError(f"{len(numbers) or 'no'} pressures{f' for the {place}' if place else ''}: {HELP}")


def _unit(numbers: list[float], unit: units.Unit | None, text: str) -> str:
    """The unit that is told, liked, or likely by the size of the numbers."""
    if unit and _fits(numbers, unit.name):
        return unit.name
    name = next((u for u, *_ in BARE if _fits(numbers, u)), "")
    if not name:
        raise ValueError(f"{text} are no tyre pressures; write psi, bar or kPa behind them")
    return name


def _fits(numbers: list[float], unit: str) -> bool:
    return any(unit == u and all(low <= n <= high for n in numbers) for u, low, high in BARE)
