"""Oil in fuel against published tables, and against a table that copied ounces into a column of millilitres."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.physics.premix import join, premix

ML, L, OZ, GALLON = 1e-6, 1e-3, 231 * 0.0254**3 / 128, 231 * 0.0254**3


@pytest.mark.parametrize(
    ("ratio", "fuel", "oil"),
    [
        # Public tables (seen in several): millilitres for litres, US fluid ounces for US gallons
        (50, 1 * L, 20 * ML),
        (50, 5 * L, 100 * ML),
        (32, 1 * L, 31.25 * ML),
        (32, 5 * L, 156.25 * ML),
        (50, 1 * GALLON, 2.56 * OZ),
        (40, 1 * GALLON, 3.2 * OZ),
        (32, 1 * GALLON, 4 * OZ),
        (32, 5 * GALLON, 20 * OZ),
        (50, 5 * GALLON, 12.8 * OZ),
        (50, 12 * GALLON, 30.72 * OZ),
        (16, 1 * GALLON, 8 * OZ),
        (16, 1 * L, 62.5 * ML),  # computed
    ],
)
def test_published_tables(ratio: float, fuel: float, oil: float) -> None:
    assert premix(ratio=ratio, fuel=fuel).oil == pytest.approx(oil)


def test_shares_as_published_and_as_computed() -> None:
    """32:1 is 3.125 % of the fuel (seen). Regressions: 25:1 is 40 ml a litre, 4 % of the fuel, 3.846 % of the mix."""
    assert premix(ratio=32).oil_of_fuel == pytest.approx(0.03125)
    found = premix(ratio=25)
    assert found.oil_per_litre == pytest.approx(40 * ML)
    assert found.oil_of_fuel == pytest.approx(0.04)
    assert found.oil_of_mix == pytest.approx(1 / 26)


def test_a_percentage_of_the_whole_is_not_one_of_the_fuel() -> None:
    """A guide (seen): 3 % of the whole in 5 litres is 0.155 litres, not 0.150."""
    assert premix(oil_of_mix=0.03, fuel=5 * L).oil == pytest.approx(0.155 * L, abs=0.0005 * L)
    assert premix(oil_of_fuel=0.03, fuel=5 * L).oil == pytest.approx(0.150 * L)


def test_millilitres_are_not_ounces() -> None:
    """A public chart prints 3.2 and 4 ml for a litre at 40:1 and 32:1: ounces for a gallon. It is 25 and 31.25."""
    assert premix(ratio=40, fuel=1 * L).oil == pytest.approx(25 * ML)
    assert premix(ratio=32, fuel=1 * L).oil == pytest.approx(31.25 * ML)


def test_what_the_paddock_knows_by_heart() -> None:
    """Common practice, no source: 25 ml a litre is 40:1, 50 ml is 20:1."""
    assert premix(oil_per_litre=25 * ML).ratio == pytest.approx(40)
    assert premix(oil_per_litre=50 * ML).ratio == pytest.approx(20)


PARTS, VOLUME = st.floats(10, 100), st.floats(0.1 * L, 50 * L)


@given(parts=PARTS, fuel=VOLUME)
def test_every_way_to_tell_it_is_the_same(parts: float, fuel: float) -> None:
    one = premix(ratio=parts, fuel=fuel)
    for same in (
        premix(oil_per_litre=one.oil_per_litre, fuel=fuel),
        premix(oil_of_fuel=one.oil_of_fuel, fuel=fuel),
        premix(oil_of_mix=one.oil_of_mix, mix=one.mix),
    ):
        assert same.ratio == pytest.approx(parts)
        assert same.oil == pytest.approx(one.oil)
        assert same.fuel == pytest.approx(fuel)
    assert one.oil is not None
    assert one.mix == pytest.approx(fuel + one.oil)


@given(parts=PARTS, fuel=VOLUME, other=PARTS, mix=VOLUME)
def test_two_batches_together(parts: float, fuel: float, other: float, mix: float) -> None:
    """What is added brings both to the ratio; joined, it lies between; of oil and fuel one is needed at most."""
    joined, oil, more = join(fuel, parts, mix, other)
    assert min(parts, other) - 1e-9 <= joined <= max(parts, other) + 1e-9
    whole_oil = fuel / parts + mix / (other + 1) + oil
    whole_fuel = fuel + mix * other / (other + 1) + more
    assert whole_fuel / whole_oil == pytest.approx(parts)
    assert oil == pytest.approx(0, abs=1e-12) or more == pytest.approx(0, abs=1e-12)


def test_half_a_batch_is_refused() -> None:
    with pytest.raises(ValueError, match="both other_mix and other_ratio"):
        premix(ratio=40, fuel=L, other_mix=L)
    with pytest.raises(ValueError, match="how much fuel"):
        premix(oil=L)


def test_one_batch_is_brought_to_another_ratio() -> None:
    """A litre of 20:1 holds 20 of 21 parts of fuel: 40:1 asks as much again."""
    found = premix(ratio=40, other_mix=L, other_ratio=20)
    assert found.joined_ratio == pytest.approx(20)
    assert found.fuel_to_add == pytest.approx(L * 20 / 21)
    assert found.oil is None
