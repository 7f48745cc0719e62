"""The file of the weights that the ear applies: a line of JSON, the names, the numbers, packed; sound or refused."""

from __future__ import annotations

import json
import math
import zlib
from array import array
from collections.abc import Sequence

from advisor.words.ear import TOGETHER, Ear, Layer, Two

ORDER = "little" if array("H", [1]).tobytes()[0] else "big"
LARGEST = 50_000_000  # bytes of a file, unpacked
FORM = 3  # raise when the layout of the file changes


def packed(ear: Ear) -> bytes:
    """One file of the weights: a line of JSON, then the numbers."""
    head = {
        "form": FORM,
        "outputs": [ear.layer.outputs, ear.turns.outputs],
        "two": [[two.bias, two.scale] for two in (ear.danger, ear.about)],
        "sizes": [len(part) for part in _numbers(ear)],
        "order": ORDER,
    }
    body = b"".join(part.tobytes() for part in _numbers(ear))
    words = ear.names.encode() + b"\0" + ear.spelt.encode() + b"\0"
    return zlib.compress(json.dumps(head).encode() + b"\n" + words + body, 9)


CODES = "f" + 2 * "ffffbb" + "bb"  # of the arrays of numbers, in their order


def _numbers(ear: Ear) -> tuple[array[float] | array[int], ...]:
    return (ear.rarity, *ear.layer.numbers(), *ear.turns.numbers(), ear.danger.weight, ear.about.weight)


def unpacked(data: bytes) -> Ear:
    """The ear of a file. Raises ValueError for a file that is no sound ear."""
    return read(inflated(data))


def inflated(data: bytes) -> bytes:
    """What a file holds, as `read` takes it. Raises ValueError."""
    unpacker = zlib.decompressobj()
    try:
        text = unpacker.decompress(data, LARGEST)
    except zlib.error as problem:
        raise ValueError(f"it holds no weights ({type(problem).__name__})") from None
    if not unpacker.eof:
        raise ValueError("it is cut short or too large")
    return text


def read(text: bytes) -> Ear:
    """The ear of what a file holds, every number of it in its bounds. Raises ValueError for what is no sound ear."""
    try:
        head_text, names, spelt, body = _parts(text)
        head = json.loads(head_text)
        if head["form"] != FORM:
            raise ValueError("it is of another version")
        rarity, *numbers = _arrays(body, head["sizes"], head["order"] != ORDER)
        layer, turns = (_layer(head["outputs"][k], numbers[6 * k : 6 * k + 6]) for k in (0, 1))
        (danger_at, danger_by), (about_at, about_by) = (
            (float(head["two"][one][0]), float(head["two"][one][1])) for one in (0, 1)
        )
        danger = Two(danger_at, danger_by, numbers[-2])  # type: ignore[arg-type]
        about = Two(about_at, about_by, numbers[-1])  # type: ignore[arg-type]
        ear = Ear(names.decode(), rarity, layer, turns, danger, about, spelt.decode())  # type: ignore[arg-type]
    except (json.JSONDecodeError, UnicodeDecodeError, LookupError, TypeError, OverflowError) as problem:
        raise ValueError(f"it holds no weights ({type(problem).__name__})") from None
    _sound(ear)
    return ear


def _parts(text: bytes) -> tuple[bytes, bytes, bytes, memoryview]:
    """Head, names, words and numbers; of the numbers, which are most of it, no copy is made."""
    names = text.find(b"\n") + 1
    spelt = text.find(b"\0", names) + 1
    body = text.find(b"\0", spelt) + 1
    return text[:names], text[names : spelt - 1], text[spelt : body - 1], memoryview(text)[body:]


def _layer(outputs: Sequence[Sequence[str]], numbers: Sequence[array[float] | array[int]]) -> Layer:
    step, rest, scale, bias, cells, weight = numbers
    named = tuple((str(kind), str(ident), str(answer)) for kind, ident, answer in outputs)
    return Layer(named, cells, step, rest, weight, scale, bias)  # type: ignore[arg-type]


def _arrays(body: memoryview, sizes: list[int], swapped: bool) -> list[array[float] | array[int]]:
    parts: list[array[float] | array[int]] = []
    at = 0
    for code, size in zip(CODES, sizes, strict=True):
        part = array(code)
        end = at + size * part.itemsize
        part.frombytes(body[at:end])
        if len(part) != size:
            raise ValueError("it is cut short")
        if swapped:
            part.byteswap()
        parts.append(part)
        at = end
    return parts


def _sound(ear: Ear) -> None:
    """Raise ValueError where the numbers do not fit together: the file may come from anybody."""
    features_, layers, two = len(ear.rarity), (ear.layer, ear.turns), (ear.danger, ear.about)
    ends = [x for one in two for x in (one.bias, one.scale)]
    floats = (ear.rarity, ends, *(part for layer in layers for part in layer.numbers()[:4]))
    fits = (
        len(ear.place) == features_
        and all(_fits(layer, features_) for layer in layers)
        and _heard_alone(ear.names) >= ear.layer.hears
        and all(len(one.weight) == features_ for one in two)
        and all(sum(map(abs, part)) <= LARGEST for part in floats)  # false of what is no number, too
    )
    if not fits:
        raise ValueError("its numbers do not fit together")


def _heard_alone(names: str) -> float:
    """How many features stand before the first that is words near each other."""
    first = f"\n{names}".find(f"\n{TOGETHER}")
    return names.count("\n", 0, first) if first >= 0 else math.inf


def _fits(layer: Layer, features_: int) -> bool:
    units, outputs = len(layer.step), len(layer.outputs)
    return (
        len(layer.rest) == units
        and len(layer.cells) == layer.hears * units
        and layer.hears <= features_
        and len(layer.scale) == len(layer.bias) == outputs
        and len(layer.weight) == outputs * units
    )
