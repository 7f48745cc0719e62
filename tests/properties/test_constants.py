"""What is assumed is told with its unit, reason and source, stands in one place, and can be moved and put back."""

from __future__ import annotations

import ast
import inspect
import math
from itertools import pairwise
from pathlib import Path
from random import Random
from typing import Any

import pytest

import advisor
from advisor.model import assumed
from tests.properties.shaken_constants import constants, drawn, moved, one_deviation

NAMES = list(assumed.__annotations__)
UNITS = {"Chance", "Times", "Cases", "Minutes", "Seconds", "Days", "Count"}
ORIGINS = ("Ours", "Elicited, no source", "Common practice, no source", "Source: ", "Fitted: ")


def told() -> dict[str, str]:
    """Each constant with the text below it."""
    body = ast.parse(inspect.getsource(assumed)).body
    found = {}
    for one, then in pairwise(body):
        if (
            isinstance(one, ast.AnnAssign)
            and isinstance(then, ast.Expr)
            and isinstance(then.value, ast.Constant)
        ):
            found[ast.unparse(one.target)] = str(then.value.value)
    return found


@pytest.mark.parametrize("name", NAMES)
def test_each_tells_its_unit_its_reason_and_where_it_is_from(name: str) -> None:
    assert any(unit in assumed.__annotations__[name] for unit in UNITS)
    assert any(origin in told()[name] for origin in ORIGINS)


@pytest.mark.parametrize("name", NAMES)
def test_each_is_used(name: str) -> None:
    rooms = Path(advisor.__file__).parent
    assert any(f"assumed.{name}" in p.read_text(encoding="utf-8") for p in rooms.rglob("*.py"))


def leaves(value: Any) -> list[float]:
    if isinstance(value, dict):
        return [leaf for each in value.values() for leaf in leaves(each)]
    return [leaf for each in value for leaf in leaves(each)] if isinstance(value, tuple) else [value]


def now() -> list[list[float]]:
    return [leaves(getattr(module, name)) for module, name in constants()]


def test_all_are_moved_and_put_back() -> None:
    before = now()
    with moved(constants(), drawn(0.5, Random(4))):
        during = now()
    assert now() == before
    still = [getattr(*where) for where, a, b in zip(constants(), before, during, strict=True) if a == b]
    assert all(isinstance(value, int) and value < 10 for value in still)  # a count may come back to itself
    for old, new in zip(before, during, strict=True):
        assert all(math.isfinite(n) and (n > 0 or o == 0) for o, n in zip(old, new, strict=True))


def test_no_noise_moves_nothing() -> None:
    before = now()
    with moved(constants(), drawn(0.0, Random(1))):
        for old, new in zip(before, now(), strict=True):
            assert new == pytest.approx(old, abs=1e-12)


def test_a_chance_moves_in_log_odds_up_and_down_and_rows_still_add_up() -> None:
    up, down = one_deviation(0.5, Random(3))
    seen = []
    for shift in (up, down):
        with moved([(assumed, "OWN_CAUSE")], shift):
            seen.append(math.log(assumed.OWN_CAUSE / (1 - assumed.OWN_CAUSE)))
    middle = math.log(0.4 / 0.6)
    assert sorted(seen) == pytest.approx([middle - 0.5, middle + 0.5])
    with moved([(assumed, "VERDICT_IF")], drawn(0.5, Random(2))):
        assert all(sum(row.values()) == pytest.approx(1) for row in assumed.VERDICT_IF.values())
