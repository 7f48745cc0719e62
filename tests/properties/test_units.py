"""A unit is a way of writing: whatever it is, the advice stays the same."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.model.advice import Advice, Answer
from advisor.model.case import Case, Limit
from advisor.units import UNITS, Quantity, Unit, parse
from tests.properties.random_cases import CASES, patiently, quick, unit_like
from tests.properties.turning import grain, step_in_si

some = settings(patiently, max_examples=20)
Rewrite = Callable[[Quantity], Quantity]


def in_full(quantity: Quantity, unit: Unit) -> str:
    """The quantity written in a unit with every digit that a float holds."""
    value = (quantity.si - unit.offset) / unit.factor
    return f"{format(Decimal(repr(value)), 'f')} {unit.name}"


def otherwise(times: int) -> Rewrite:
    """Writes a quantity in the unit that stands so many places further on the list, and reads it back."""

    def rewrite(quantity: Quantity) -> Quantity:
        other = quantity
        for _ in range(times):
            other = other.within(unit_like(other))
        return parse(in_full(quantity, other.unit))

    return rewrite


def rewritten(case: Case, rewrite: Rewrite) -> Case:
    """The same case with every quantity of it written otherwise."""

    def one(value: Any) -> Any:
        return rewrite(value) if isinstance(value, Quantity) else value

    def each(values: Mapping[str, Any]) -> dict[str, Any]:
        return {k: one(v) for k, v in values.items()}

    kit = None if case.kit is None else {k: tuple(one(v) for v in vs) for k, vs in case.kit.items()}
    rules = {k: Limit(one(r.least), one(r.most), r.only) for k, r in case.rules.items()}
    return replace(
        case, driver_mass=one(case.driver_mass), setup=each(case.setup), conditions=each(case.conditions),
        kit=kit, rules=rules,
    )  # fmt: skip


def turns(answer: Answer) -> list[tuple[str, str]]:
    return [(a.lever, a.direction) for a in answer.advice]


def assert_alike(one: Answer, other: Answer) -> None:
    assert turns(one) == turns(other)
    assert [(w.lever, w.direction) for w in one.withheld] == [(w.lever, w.direction) for w in other.withheld]
    assert one.understood == other.understood
    assert (one.stop is None) == (other.stop is None)
    for a, b in zip(one.advice, other.advice, strict=True):
        assert (a.chance, a.confidence) == pytest.approx((b.chance, b.confidence), abs=1e-9)
        assert_same_step(a, b)


def assert_same_step(a: Advice, b: Advice) -> None:
    """The same amount and the same result; units of either may differ."""
    if a.amount is None or b.amount is None or a.amount.unit in ("grade", "piece"):
        assert a.amount == b.amount
        assert a.to == b.to
        return
    off = grain(a.amount.unit) + grain(b.amount.unit)  # amounts are told in round figures
    assert step_in_si(a) == pytest.approx(step_in_si(b), abs=off)
    assert (a.to is None) == (b.to is None)
    if a.to is not None and b.to is not None:
        assert a.to.si is not None
        assert b.to.si is not None
        assert a.to.si.si == pytest.approx(b.to.si.si, rel=1e-9, abs=1e-9)
        assert shown(a) == pytest.approx(a.to.si.si, abs=grain(a.to.unit))


def shown(advice: Advice) -> float:
    """The value and unit that people see, in SI."""
    assert advice.to is not None
    assert isinstance(advice.to.value, float)
    return Quantity.of(advice.to.value, UNITS[advice.to.unit]).si


@some
@given(CASES, st.integers(1, 3))
def test_the_same_case_in_other_units_gives_the_same_advice(case: Case, times: int) -> None:
    assert_alike(quick(case), quick(rewritten(case, otherwise(times))))


@some
@given(CASES)
def test_the_units_that_a_user_likes_only_change_how_a_step_is_shown(case: Case) -> None:
    liked, plain = quick(case), quick(replace(case, units={}))
    assert_alike(liked, plain)
    for advice in liked.advice:
        unit = UNITS.get(advice.amount.unit) if advice.amount else None
        if unit is not None and unit.dimension in case.units:
            assert unit.name == case.units[unit.dimension]
            assert advice.to is None or advice.to.unit == unit.name


USUAL_RANGE = {
    "pressure": (0.0, 5e5), "length": (-2.0, 2.0), "mass": (0.0, 300.0), "temperature": (210.0, 420.0),
    "angle": (-1.0, 1.0), "time": (0.0, 7200.0),
}  # fmt: skip
QUANTITIES = st.sampled_from(list(UNITS.values())).flatmap(
    lambda u: st.floats(*USUAL_RANGE[u.dimension]).map(lambda si: Quantity(si, u))
)


@given(QUANTITIES)
def test_what_is_printed_is_read_back_within_the_printed_places(quantity: Quantity) -> None:
    again = parse(str(quantity))
    assert again.unit == quantity.unit
    half_a_place = 0.5 * 10**-quantity.unit.decimals * quantity.unit.factor
    assert abs(again.si - quantity.si) <= half_a_place * (1 + 1e-6) + 1e-9


@given(QUANTITIES, st.integers(1, 4))
def test_a_quantity_written_in_full_in_another_unit_is_the_same(quantity: Quantity, times: int) -> None:
    assert otherwise(times)(quantity).si == pytest.approx(quantity.si, rel=1e-12, abs=1e-12)
