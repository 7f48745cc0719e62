"""Values are shown as finely as they were written, and never finer than anybody could set them."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.units import UNITS, Quantity, parse

WRITTEN = {
    "11.25 psi": "11.25 psi",
    "11.125 psi": "11.125 psi",
    "11.50 psi": "11.5 psi",
    "0.825 bar": "0.825 bar",
    "0.8250 bar": "0.825 bar",
    "0.8 bar": "0.80 bar",
    "1390.25 mm": "1390.25 mm",
    "54,725 in": "54.725 in",
    "1.5 g": "1.5 g",
    "82.737088 kPa": "82.7 kPa",  # no gauge tells that; a computer wrote it
}


@pytest.mark.parametrize("text", WRITTEN)
def test_a_value_is_as_fine_as_it_was_written(text: str) -> None:
    assert str(parse(text)) == WRITTEN[text]


# Factors: NIST Special Publication 811 (2008), appendix B.8.
OTHERWISE = [
    ("12 psi", "bar", "0.83 bar"),  # 0.82737
    ("12.5 psi", "bar", "0.862 bar"),  # 0.86184
    ("11.25 psi", "kPa", "77.57 kPa"),  # 77.566
    ("1380.5 mm", "cm", "138.05 cm"),
    ("0.5 mm", "in", "0.02 in"),  # 0.019685
    ("1380 mm", "in", "54.33 in"),  # 54.3307
    ("82.7 kPa", "psi", "11.99 psi"),  # 11.9946
    ("1.38 m", "mm", "1380 mm"),
]


@pytest.mark.parametrize(("text", "unit", "shown"), OTHERWISE)
def test_in_another_unit_a_value_is_about_as_fine(text: str, unit: str, shown: str) -> None:
    assert str(parse(text).within(UNITS[unit])) == shown


def test_a_step_keeps_what_both_were_written_with() -> None:
    assert str(parse("11.25 psi").plus(parse("0.5 psi"))) == "11.75 psi"
    assert str(parse("11 psi").plus(parse("0.25 psi"))) == "11.25 psi"
    assert str(parse("12 psi").plus(parse("3.4 kPa"))) == "12.5 psi"  # 12.493


def test_how_it_was_written_makes_no_other_value() -> None:
    assert parse("12.00 psi") == parse("12 psi")
    assert hash(parse("12.00 psi")) == hash(parse("12 psi"))


@given(si=st.floats(0, 1e7), unit=st.sampled_from(sorted(UNITS)), to=st.sampled_from(sorted(UNITS)))
def test_what_was_worked_out_is_never_finer_than_can_be_set(si: float, unit: str, to: str) -> None:
    """At most one decimal more than its unit is usually given with."""
    value = Quantity(si, UNITS[unit])
    for quantity in (value, value.within(UNITS[to])) if UNITS[to].dimension == value.dimension else (value,):
        decimals = re.match(r"-?\d+(?:\.(\d+))? ", str(quantity))
        assert decimals
        assert len(decimals[1] or "") <= quantity.unit.decimals + 1
