"""Quantities as people write them, against two oracles: printed factors and an independent library of units."""

from __future__ import annotations

import math
import re

import pint
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from advisor import units
from advisor.units import UNITS, Quantity, parse

ORACLE: pint.UnitRegistry[float] = pint.UnitRegistry()
# Names of our units in the oracle, and the SI unit of each dimension.
THEIRS = {"min": "minute", "s": "second", "deg": "degree", "in": "inch", "lb": "pound", "K": "kelvin"}
SI = {"pressure": "pascal", "length": "meter", "mass": "kilogram", "temperature": "kelvin", "angle": "radian"}
SI["time"] = "second"

NAMES = st.sampled_from(sorted(UNITS))
# What a setup sheet may hold: up to six digits before the point and four after it.
AMOUNTS = st.decimals(-999_999, 999_999, places=4, allow_nan=False, allow_infinity=False)


def theirs(value: float, unit: str) -> float:
    """The oracle's SI value."""
    quantity = ORACLE.Quantity(value, THEIRS.get(unit, unit))
    return float(quantity.to(SI[UNITS[unit].dimension]).magnitude)


def possible(value: float, unit: str) -> bool:
    return UNITS[unit].dimension != "temperature" or theirs(value, unit) >= 0


# --- conversion -------------------------------------------------------------------------------------


@given(amount=AMOUNTS, unit=NAMES)
def test_every_unit_is_read_as_the_oracle_reads_it(amount: float, unit: str) -> None:
    assume(possible(float(amount), unit))
    assert math.isclose(
        parse(f"{amount} {unit}").si, theirs(float(amount), unit), rel_tol=1e-12, abs_tol=1e-9
    )


@settings(suppress_health_check=[HealthCheck.filter_too_much])
@given(amount=AMOUNTS, unit=NAMES, to=NAMES)
def test_every_conversion_is_the_oracles(amount: float, unit: str, to: str) -> None:
    assume(UNITS[unit].dimension == UNITS[to].dimension and possible(float(amount), unit))
    mine = parse(f"{amount} {unit}").within(UNITS[to]).value
    other = ORACLE.Quantity(float(amount), THEIRS.get(unit, unit)).to(THEIRS.get(to, to))
    assert math.isclose(mine, float(other.magnitude), rel_tol=1e-9, abs_tol=2e-9)


@settings(suppress_health_check=[HealthCheck.filter_too_much])
@given(amount=AMOUNTS, step=AMOUNTS, unit=NAMES, of=NAMES)
def test_a_step_is_a_difference_whatever_its_unit(amount: float, step: float, unit: str, of: str) -> None:
    """2 degC more than 50 degF is 53.6 degF: the offset of a scale is no part of a difference."""
    assume(UNITS[unit].dimension == UNITS[of].dimension)
    assume(possible(float(amount), unit) and possible(float(step), of))
    start = parse(f"{amount} {unit}")
    moved = start.plus(parse(f"{step} {of}"))
    names = {"degC": "delta_degC", "degF": "delta_degF"}
    difference = ORACLE.Quantity(float(step), names.get(of, THEIRS.get(of, of)))
    expected = theirs(float(amount), unit) + float(difference.to(SI[start.dimension]).magnitude)
    assert math.isclose(moved.si, expected, rel_tol=1e-12, abs_tol=1e-9)
    assert moved.unit is start.unit


# National Institute of Standards and Technology, Special Publication 811 (A. Thompson, B. N. Taylor, 2008),
# appendix B.8: factors to seven digits; section B.8 for the temperatures: T/K = t/degC + 273.15 and
# T/K = (t/degF + 459.67)/1.8.
PRINTED = [
    ("1 psi", 6.894757e3),
    ("1 bar", 1.0e5),
    ("1 kPa", 1.0e3),
    ("1 in", 2.54e-2),
    ("1 mm", 1.0e-3),
    ("1 cm", 1.0e-2),
    ("1 m", 1.0),
    ("1 lb", 4.535924e-1),
    ("1 kg", 1.0),
    ("1 g", 1.0e-3),
    ("1 deg", 1.745329e-2),
    ("1 min", 6.0e1),
    ("1 s", 1.0),
    ("0 degC", 273.15),
    ("28 degC", 301.15),
    ("0 degF", 459.67 / 1.8),
    ("212 degF", 373.15),
    ("1 K", 1.0),
]


@pytest.mark.parametrize(("text", "si"), PRINTED)
def test_factors_are_the_printed_ones(text: str, si: float) -> None:
    """Seven digits are printed, so up to half of the last one may be missing."""
    assert math.isclose(parse(text).si, si, rel_tol=5e-7)


def test_every_unit_has_a_printed_factor() -> None:
    assert {text.split()[1] for text, _ in PRINTED} == set(UNITS)


def test_exact_definitions_are_exact() -> None:
    """NIST SP 811, B.8: bold factors are exact: inch, pound, bar; and 0 degC (BIPM, SI brochure, 2019)."""
    assert parse("1 in").si == 0.0254
    assert parse("1 lb").si == 0.45359237
    assert parse("1 bar").si == 100_000
    assert parse("0 degC").si == 273.15
    assert parse("-273.15 degC").si == 0
    assert math.isclose(parse("-459.67 degF").si, 0, abs_tol=1e-9)


# --- as people write them ---------------------------------------------------------------------------


SAME = {
    "12 psi": [
        "12psi",
        " 12 psi ",
        "12  psi",
        "12.0 psi",
        "12,0 psi",
        "12. psi",
        "+12 psi",
        "12 PSI",
        "12 Psi",
        "012 psi",
    ],
    "0.85 bar": ["0,85 bar", ".85 bar", ",85bar", "0.85bar", "0.850 Bar", "0.85 bars"],
    "82.7 kPa": ["82,7 kPa", "82.7kpa", "82.7 KPA"],
    "1390 mm": ["1390mm", "1390.0 MM", "1390\tmm", "1390\u00a0mm"],
    "139 cm": ["139cm"],
    "54.7 in": ['54.7"', "54,7 in", "54.7 inch", "54.7 inches", '54.7 "', "54.7in"],
    "28 degC": ["28 °C", "28°C", "28 C", "28C", "28 c", "28 celsius", "28,0 degc"],
    "82.4 degF": ["82.4 °F", "82,4°F", "82.4 F", "82.4f", "82.4 fahrenheit"],
    "-3 degC": ["-3 °C", "-3C"],
    "301.15 K": ["301.15k", "301,15 K"],
    "72 kg": ["72kg", "72 KG", "72 kilo", "72 kilos", "72 kgs"],
    "158.7 lb": ["158.7lb", "158,7 lbs", "158.7 LBS"],
    "12 deg": ["12°", "12 °", "12 degree", "12 degrees", "12deg"],
    "15 min": ["15min", "15 minutes", "15 minute"],
}


@pytest.mark.parametrize(("plain", "written"), [(p, w) for p, many in SAME.items() for w in many])
def test_common_ways_to_write_a_quantity_mean_the_same(plain: str, written: str) -> None:
    assert parse(written) == parse(plain)


@pytest.mark.parametrize("unit", sorted(UNITS))
def test_a_unit_is_found_by_its_own_name(unit: str) -> None:
    assert units.find_unit(unit) is UNITS[unit]


@given(amount=AMOUNTS, unit=NAMES, gap=st.sampled_from(["", " ", "  "]), comma=st.booleans())
def test_comma_and_gap_change_nothing(amount: float, unit: str, gap: str, comma: bool) -> None:
    assume(possible(float(amount), unit))
    number = str(amount).replace(".", ",") if comma else str(amount)
    assert parse(f"{number}{gap}{unit}") == parse(f"{amount} {unit}")


# --- printing ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("written", "printed"),
    [
        ("12 psi", "12 psi"),
        ("12.5 psi", "12.5 psi"),
        ("0.8 bar", "0.80 bar"),
        ("0,85bar", "0.85 bar"),
        ("83 kPa", "83 kPa"),
        ("1390 mm", "1390 mm"),
        ("1400 mm", "1400 mm"),
        ("139 cm", "139 cm"),
        ("54.72 in", "54.72 in"),
        ("72 kg", "72 kg"),
        ("72.5 kg", "72.5 kg"),
        ("28 C", "28 °C"),
        ("-3 degC", "-3 °C"),
        ("82 F", "82 °F"),
        ("12.5 degrees", "12.5 °"),
        ("100 mm", "100 mm"),
        ("1.5 mm", "1.5 mm"),  # half a millimetre is a step of toe
        ("-0.5 mm", "-0.5 mm"),
        ("0 psi", "0 psi"),
        ("0 degC", "0 °C"),
        ("10 min", "10 min"),
    ],
)
def test_a_quantity_is_printed_in_its_own_unit(written: str, printed: str) -> None:
    assert str(parse(written)) == printed


@given(amount=AMOUNTS, unit=NAMES)
def test_what_is_printed_can_be_read_again(amount: float, unit: str) -> None:
    """To within half of the last digit that the unit is printed with."""
    assume(possible(float(amount), unit))
    quantity = parse(f"{amount} {unit}")
    shown = str(quantity)
    assert re.fullmatch(r"-?\d+(\.\d+)? \S+", shown)
    assume(possible(float(shown.split()[0]), unit))  # -273 °C for -273.149, say: rounded below zero kelvin
    again = parse(shown)
    assert again.unit is quantity.unit
    assert math.isclose(again.value, quantity.value, abs_tol=0.5001 * 10**-quantity.unit.decimals)


@given(amount=AMOUNTS, unit=NAMES)
def test_a_negative_zero_is_never_printed(amount: float, unit: str) -> None:
    assume(possible(float(amount), unit))
    assert not re.match(r"-0(\.0+)? ", str(parse(f"{amount} {unit}")))


@given(amount=AMOUNTS, unit=NAMES)
def test_the_value_is_the_one_that_was_written(amount: float, unit: str) -> None:
    assume(possible(float(amount), unit))
    assert math.isclose(parse(f"{amount} {unit}").value, float(amount), rel_tol=1e-12, abs_tol=1e-9)


@given(
    amount=st.floats(1e-9, 1e25, allow_nan=False),
    unit=st.sampled_from(["mm", "m", "bar", "psi", "kg", "in"]),
)
def test_value_and_unit_can_always_be_written_and_read_again(amount: float, unit: str) -> None:
    """So a journal keeps them: as `value unit`, however small or large the number."""
    first = Quantity(amount * UNITS[unit].factor, UNITS[unit])
    again = parse(f"{first.value} {first.unit.name}")
    # a value is kept to nine places of its unit, far finer than any gauge or rule
    assert math.isclose(again.si, first.si, rel_tol=1e-9, abs_tol=1e-9 * UNITS[unit].factor)


# --- errors -----------------------------------------------------------------------------------------


def read(text: str) -> Quantity | str:
    """The quantity, or the sentence that says why there is none."""
    try:
        return parse(text)
    except ValueError as error:
        return str(error)


@pytest.mark.parametrize(
    ("text", "piece"),
    [
        ("", "number with a unit"),
        (" ", "number with a unit"),
        ("12", "number with a unit"),
        ("1390.5", "number with a unit"),
        ("12,5", "number with a unit"),
        ("psi", "number with a unit"),
        ("twelve psi", "number with a unit"),
        ("-", "number with a unit"),
        (". psi", "number with a unit"),
        ("nan psi", "number with a unit"),
        ("inf psi", "number with a unit"),
        ("--12 psi", "number with a unit"),
        ("12 furlongs", 'unknown unit "furlongs"'),
        ("12 psii", 'unknown unit "psii"'),
        ("12 ps", 'unknown unit "ps"'),
        ("1.2.3 bar", ""),
        ("1,390.5 mm", ""),
        ("1.390,5 mm", ""),
        ("12 psi 13", ""),
        ("12-13 psi", ""),
        ("12 / 13 psi", ""),
        ("0x12 psi", ""),
        ("1 390 mm", "number with a unit"),
        ("-273.16 degC", "below absolute zero"),
        ("-459.68 degF", "below absolute zero"),
        ("-0.01 K", "below absolute zero"),
        ("9" * 400 + " psi", ""),
        ("9" * 400 + " degC", ""),
        ("-" + "9" * 400 + " mm", ""),
    ],
)
def test_what_cannot_be_read_is_an_error_in_a_sentence(text: str, piece: str) -> None:
    message = read(text)
    assert isinstance(message, str), f"{text[:20]} was read as {message}"
    assert piece in message
    assert len(message) < 200
    assert not message.startswith(("could not", "invalid literal"))
    assert " " in message


@pytest.mark.parametrize("text", ["1.390 mm", "1,390 mm"])
def test_a_point_or_a_comma_is_a_decimal_sign(text: str) -> None:
    """Not a sign between thousands: 1.39 mm of width is unusual, and the case warns of it."""
    assert math.isclose(parse(text).si, 1.39e-3)


def test_an_unknown_unit_is_answered_with_the_known_ones() -> None:
    with pytest.raises(ValueError, match="psi, kPa, bar, mm"):
        parse("12 atm")


@given(text=st.text(max_size=40))
def test_any_text_is_a_quantity_or_a_sentence(text: str) -> None:
    found = read(text)
    assert str(found)
    assert isinstance(found, str) or math.isfinite(found.si)


@given(digits=st.text("0123456789٣४௯²½.,+-eE_ ", min_size=1, max_size=12), unit=NAMES)
def test_digits_of_other_scripts_do_not_crash(digits: str, unit: str) -> None:
    found = read(f"{digits} {unit}")
    assert not isinstance(found, str) or not found.startswith("could not convert")
