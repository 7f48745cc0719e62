"""From `key=value` as people type it to values in SI; every problem is one sentence, and all are told at once."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from advisor import units
from advisor.problems import hint, printable
from advisor.sums.nomenclature import LOOKED_UP, MORE_UNITS, NAMES, PITCHES, Name, unit
from advisor.sums.rows import Choice, Sum
from advisor.units import SYMBOLS, Quantity, Unit

Read = float | int | str | tuple[float, ...] | tuple[tuple[object, ...], ...]
MOST_READ = 60_000  # letters of one value; a log of some thousand readings is shorter
MOST_LISTED = {"counts": 40, "pairs": 12, "places": 12, "numbers": 5000}
_KEY = re.compile(r"(?:^|(?<=\s))([A-Za-z]\w*)\s*=")
_PROPORTION = re.compile(
    r"(?:1\s*(?::|to)\s*)?([0-9]{1,9}(?:[.,][0-9]{1,9})?|[.,][0-9]{1,9})(?:\s*(?::|to)\s*1)?\Z"
)
_PAIR = re.compile(r"([0-9]{1,3})\s*[/:x-]\s*([0-9]{1,3})\Z")


_CHAIN = re.compile(rf"#?({'|'.join(PITCHES)})(?: ?mm)?")


@dataclass(slots=True)
class Given:
    """What was read: values by name in SI, the units they were written in, and the sentences about the rest."""

    values: dict[str, Read] = field(default_factory=dict)
    units: dict[str, Unit] = field(default_factory=dict)
    problems: list[str] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)  # sentences too, of what is not there
    liked: dict[str, Unit] = field(default_factory=dict)  # units in which a dimension is to be told


def split(words: Sequence[str], problems: list[str]) -> dict[str, str]:
    """The texts by key. A word without = belongs to the value before it, so that nothing needs quotes."""
    text = " ".join(words)
    found: dict[str, str] = {}
    keys = list(_KEY.finditer(text))
    first = text[: keys[0].start() if keys else None].strip()
    if first:
        problems.append(f'"{printable(first)[:40]}" is no key=value, such as to="60 C"')
    for i, key in enumerate(keys):
        value = text[key.end() : keys[i + 1].start() if i + 1 < len(keys) else None].strip()
        if key[1] in found:
            problems.append(f"{printable(key[1])[:40]} is given twice")
        found[key[1]] = value
    return found


def read(row: Sum, texts: Mapping[str, str]) -> Given:
    """Read the values of a sum, with what it assumes for those that are left out."""
    given = Given()
    order = row.takes
    for key, text in sorted(texts.items(), key=lambda item: order.index(item[0]) if item[0] in order else -1):
        if key not in order:
            near = hint(key, order) or f"; it takes {', '.join(order)}"
            given.problems.append(f'{row.name} takes no "{printable(key)[:40]}"{near}')
            continue
        _one(given, NAMES[key], text)
    told = set(texts)
    for choice in row.choices:
        if (sentence := _choice(choice, told)) is not None:
            few = sum(name in told for name in choice.names) < choice.least
            (given.missing if few else given.problems).append(sentence)
    for key in row.needs:
        if key not in told:
            given.missing.append(f"{key} is missing: {NAMES[key].says}{_such_as(NAMES[key], row.usual)}")
    for key, text in row.assumes.items():
        if key not in told:
            _one(given, NAMES[key], text)
            given.units.pop(key, None)  # how the answer is shown follows what was typed
    return given


def _choice(choice: Choice, told: set[str]) -> str | None:
    count = sum(name in told for name in choice.names)
    if choice.least <= count <= choice.most:
        return None
    *most, last = choice.names
    these = f"{', '.join(most)} {'and' if choice.most > 1 else 'or'} {last}"
    if count > choice.most:
        word = {1: "only one", 2: "only two"}.get(choice.most, f"at most {choice.most}")
        return f"give {word} of {these}; the rest follows from it"
    word = {1: "one", 2: "two"}.get(choice.least, str(choice.least))
    return f"give {word} of {these}"


def _such_as(name: Name, usual: Mapping[str, str]) -> str:
    return f', such as {name.id}="{usual[name.id]}"' if name.id in usual else ""


def _one(given: Given, name: Name, text: str) -> None:
    try:
        if len(text) > MOST_READ:
            raise ValueError("is too long")
        if not text:
            raise ValueError("has no value")
        value, written = _READERS[name.kind](name, text)
    except ValueError as error:
        given.problems.append(f"{name.id}: {printable(str(error))}")
        return
    given.values[name.id] = value
    if written is not None:
        given.units[name.id] = written


def _quantity(name: Name, text: str) -> tuple[Read, Unit | None]:
    text = _with_unit(name, text)
    example = Quantity.of(_middle(name), unit(name.unit))
    if name.id == "pitch" and (chain := _CHAIN.fullmatch(text)):
        number = chain[1]
        raise ValueError(f"{number} is the number of a chain, not its pitch: type pitch={PITCHES[number]}")
    if not re.search(r"[^\d\s.,+-]", text):
        raise ValueError(f'needs a number with its unit, such as "{example}"')
    try:
        quantity = units.parse(text, LOOKED_UP)
    except ValueError as error:
        if not str(error).startswith("unknown unit"):
            raise
        fitting = [
            u.name for u in (*units.UNITS.values(), *MORE_UNITS.values()) if u.dimension == name.dimension
        ]
        raise ValueError(f'"{text[:40]}" has an unknown unit; use one of {", ".join(fitting)}') from error
    if quantity.dimension != name.dimension:
        raise ValueError(
            f'is a {name.dimension}, such as "{example}", but "{text[:40]}" is a {quantity.dimension}'
        )
    own = unit(name.unit)
    value = (quantity.si - own.offset) / own.factor
    if not _within(name, value):
        raise ValueError(f"{quantity} cannot be right: possible is {span(name, quantity.unit)}")
    return quantity.si, quantity.unit


def _with_unit(name: Name, text: str) -> str:
    """A bare number with the unit of its row; of an acceleration "g" is no gram."""
    if name.bare and re.fullmatch(r"-?\d+(?:[.,]\d+)?", text):
        text = f"{text} {name.unit}"
    return re.sub(r"(?<=[\d ])g\Z", "gn", text) if name.dimension == "acceleration" else text


def _middle(name: Name) -> float:
    """A round value within what is possible, as an example."""
    if not math.isfinite(name.least + name.most):
        return 1.0
    middle = (name.least + name.most) / 2
    return float(f"{middle:.1g}") if middle else 0.0


def _within(name: Name, value: float) -> bool:
    slack = 1e-9 * max(1.0, abs(value))
    return name.least - slack <= value <= name.most + slack


def possible(name: Name, text: str) -> bool:
    """True where a number with a unit is of a size that the name may have."""
    own, value = unit(name.unit), units.parse(text, LOOKED_UP)
    return _within(name, (value.si - own.offset) / own.factor)


def span(name: Name, shown: Unit | None = None) -> str:
    """What is possible, as text: "0 to 4 bar"."""
    if name.choices:
        return " or ".join(name.choices)
    if not math.isfinite(name.least + name.most):
        return ""
    if not name.unit:
        return f"{name.least:g} to {name.most:g}"
    own, other = unit(name.unit), shown or unit(name.unit)
    ends = [(end * own.factor + own.offset - other.offset) / other.factor for end in (name.least, name.most)]
    low, high = (f"{float(f'{end:.4g}'):g}" for end in ends)
    return f"{low} to {high} {SYMBOLS.get(other.name, other.name)}"


def _number(name: Name, text: str) -> tuple[Read, Unit | None]:
    return _plain(name, text), None


def _plain(name: Name, text: str) -> float:
    match = _PROPORTION.match(text)
    if not match:
        raise ValueError(f'"{text[:40]}" is no number; possible is {span(name)}')
    return _ranged(name, float(match[1].replace(",", ".")))


def _count(name: Name, text: str) -> tuple[Read, Unit | None]:
    return _whole(name, text), None


def _whole(name: Name, text: str) -> int:
    if not re.fullmatch(r"[0-9]{1,4}", text):
        raise ValueError(f'"{text[:40]}" is no whole number; possible is {span(name)}')
    return int(_ranged(name, int(text)))


def _ranged(name: Name, value: float) -> float:
    if not _within(name, value):
        raise ValueError(f"{value:g} cannot be right: possible is {span(name)}")
    return value


def _parts(name: Name, text: str, between: str) -> list[str]:
    parts = [part.strip() for part in re.split(between, text) if part.strip()]
    most = MOST_LISTED[name.kind]
    if not parts or len(parts) > most:
        raise ValueError(f"is a list of 1 to {most}")
    return parts


def _counts(name: Name, text: str) -> tuple[Read, Unit | None]:
    """Whole numbers, and ranges of them such as 76-84."""
    found: list[int] = []
    for part in _parts(name, re.sub(r"(?<=\d)\s*-\s*(?=\d)", "-", text), r"[;,\s]+"):
        first, dash, last = part.partition("-")
        ends = _whole(name, first), _whole(name, last if dash else first)
        if ends[0] > ends[1]:
            raise ValueError(f'"{part[:40]}" runs backwards; write {ends[1]}-{ends[0]}')
        found += range(ends[0], ends[1] + 1)
    if len(found) > MOST_LISTED[name.kind]:
        raise ValueError(f"is a list of 1 to {MOST_LISTED[name.kind]}")
    return tuple(found), None


def _numbers(name: Name, text: str) -> tuple[Read, Unit | None]:
    """Readings; where a comma stands for the decimal point, they are parted by blanks or semicolons."""
    decimal = "." not in text and re.search(r"\d,\d", text) and re.search(r"[;\s]", text.replace(", ", ","))
    parts = _parts(name, text, r"[;\s]+" if decimal else r"[;,\s]+")
    return tuple(_plain(name, part) for part in parts), None


def _pairs(name: Name, text: str) -> tuple[Read, Unit | None]:
    found = []
    for part in _parts(name, text, r"[;,]|\s(?=\d+\s*[/:x-])"):
        match = _PAIR.match(part)
        if not match:
            raise ValueError(f'"{part[:40]}" is no pair engine/axle, such as 11/80')
        engine, axle = (
            _count(NAMES[key], match[i])[0] for i, key in ((1, "engine_teeth"), (2, "axle_teeth"))
        )
        found.append((engine, axle))
    return tuple(found), None


def _places(name: Name, text: str) -> tuple[Read, Unit | None]:
    from advisor.physics.ballast import CALLED, MORE_PLACES, PLACES

    known = {place: (x, y) for place, x, y in (*PLACES, *MORE_PLACES)}
    found: dict[str, tuple[object, ...]] = {}
    for part in _parts(name, text, r"[;,]"):
        place, at, where = (piece.strip() for piece in part.partition("@"))
        place = place if at else CALLED.get(place, place)
        if not place or place in found:
            raise ValueError(f'"{part[:40]}" needs a name of its own before @')
        if not at and place not in known:
            near = hint(place, known)
            raise ValueError(
                f'"{place[:40]}" is no known place ({", ".join(known)}){near}; add @forward/left'
            )
        x, y = _spot(place, where) if at else known[place]
        found[place] = (printable(place)[:40], x, y)
    return tuple(found.values()), None


def _spot(place: str, where: str) -> tuple[float, float]:
    ends = [end.strip() for end in where.split("/")]
    if len(ends) != 2:
        raise ValueError(f'{place[:40]} needs two lengths, such as "{place[:40]}@600 mm/-50 mm"')
    lengths = [units.parse(end, LOOKED_UP) for end in ends]
    if any(length.dimension != "length" or abs(length.si) > 2 for length in lengths):
        raise ValueError(f"{place[:40]} needs two lengths of at most 2 m")
    return lengths[0].si, lengths[1].si


def _chosen(name: Name, text: str) -> tuple[Read, Unit | None]:
    if text.lower() not in name.choices:
        raise ValueError(f'"{text[:40]}" is neither {" nor ".join(name.choices)}')
    return text.lower(), None


_READERS: Mapping[str, Callable[[Name, str], tuple[Read, Unit | None]]] = {
    "quantity": _quantity,
    "number": _number,
    "count": _count,
    "counts": _counts,
    "numbers": _numbers,
    "pairs": _pairs,
    "places": _places,
    "choice": _chosen,
}
