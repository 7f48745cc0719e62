"""The shaken book: every number moves, by as much as it should, and nothing else does."""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass
from random import Random
from statistics import fmean, pstdev
from typing import Any

import pytest

from advisor.inference.tables import compile_tables
from advisor.model.scale import BASE_RATE, PROBABILITY
from tests.properties.random_cases import shipped
from tests.properties.shaken import MARK, shaken


def numbers(record: Any, name: str = "") -> list[tuple[str, Any]]:
    """Every leaf of a record with the name of its field."""
    if is_dataclass(record):
        return [x for f in fields(record) for x in numbers(getattr(record, f.name), f.name)]
    if isinstance(record, dict):
        return [x for value in record.values() for x in numbers(value, name)]
    if isinstance(record, tuple):
        return [x for value in record for x in numbers(value, name)]
    return [(name, record)]


def value(leaf: Any) -> Any:
    return PROBABILITY.get(leaf, leaf) if isinstance(leaf, str) else leaf


def test_without_noise_nothing_changes() -> None:
    with shaken(shipped().book, 0.0, Random(1)) as book:
        tables = compile_tables(book)
    known = shipped().tables
    assert (tables.prior, tables.usual, tables.rows) == (known.prior, known.usual, known.rows)


def test_every_number_on_the_scale_moves_by_the_noise_and_all_else_stays() -> None:
    moves = []
    with shaken(shipped().book, 0.5, Random(1)) as book:
        for room in ("causes", "levers", "observations", "overlaps"):
            old, new = numbers(getattr(shipped().book, room)), numbers(getattr(book, room))
            for (name, before), (_, after) in zip(old, new, strict=True):
                if name in ("base", "times", "kept"):
                    assert before != after
                elif name != "at" and before in PROBABILITY:
                    p, q = value(before), value(after)
                    moves.append(math.log(q / (1 - q)) - math.log(p / (1 - p)))
                else:
                    assert before == after, name
    # thousands of normal draws with mean 0 and standard deviation 0.5
    assert len(moves) > 2000
    assert fmean(moves) == pytest.approx(0, abs=0.04)
    assert pstdev(moves) == pytest.approx(0.5, abs=0.03)


def test_the_scales_are_as_before_even_after_a_failure() -> None:
    before = dict(PROBABILITY), dict(BASE_RATE)
    with pytest.raises(ZeroDivisionError):
        _fail_within()
    assert dict(PROBABILITY) == before[0]
    assert dict(BASE_RATE) == before[1]


def _fail_within() -> None:
    with shaken(shipped().book, 1.0, Random(2)):
        assert any(word.startswith(MARK) for word in PROBABILITY)
        raise ZeroDivisionError
