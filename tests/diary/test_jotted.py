"""Lines jotted down at the kart, read into values; the examples are invented, the units those of the trade."""

from __future__ import annotations

from contextlib import suppress
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.karts import corners, jotted
from advisor.karts.jotted import Weather
from tests.reasoning.minds import shipped

BOOK = shipped().book


@pytest.mark.parametrize(
    ("text", "found"),
    [
        (
            "cloudy 18 24 wind 3 NW dry",
            Weather(
                "cloudy dry",
                {"wind": "3 NW", "air_temperature": "18 degC", "track_temperature": "24 degC"},
                "dry",
            ),
        ),
        (
            "sunny, 28/41, rubbered",
            Weather(
                "sunny rubbered", {"air_temperature": "28 degC", "track_temperature": "41 degC"}, "rubbered"
            ),
        ),
        ("64F 80F", Weather("", {"air_temperature": "64 degF", "track_temperature": "80 degF"})),
        ("-2,5 snow", Weather("snow", {"air_temperature": "-2.5 degC"})),
        ("", Weather()),
    ],
)
def test_weather(text: str, found: Weather) -> None:
    assert jotted.weather(text, BOOK) == found


@pytest.mark.parametrize("text", ["18 24 3", "500", "dry 18 200"])
def test_weather_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"two numbers|no (air|track) temperature"):
        jotted.weather(text, BOOK)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        (
            "rear pressure 11, front pressures 10.5",
            {"tyre_pressure_rear": "11 psi", "tyre_pressure_front": "10.5 psi"},
        ),
        (
            "rear track 1390, caster 10 deg, axle soft",
            {"rear_track_width": "1390 mm", "caster": "10 deg", "axle_stiffness": "soft"},
        ),
        ("rear track width to 1390 mm; toe 1,5", {"rear_track_width": "1390 mm", "toe": "1.5 mm"}),
        ("gearing 11/80", {"gearing": {"engine": 11, "axle": 80}}),
        ("CAMBER -1", {"camber": "-1 deg"}),
        ("rear trak width 1400", {"rear_track_width": "1400 mm"}),
    ],
)
def test_changes(text: str, found: dict[str, Any]) -> None:
    assert jotted.changes(text, BOOK, {}) == found


def test_a_bare_number_is_in_the_unit_that_is_liked() -> None:
    assert jotted.changes("rear track 54.5", BOOK, {"length": "in"}) == {"rear_track_width": "54.5 in"}


@pytest.mark.parametrize(
    ("text", "piece"),
    [
        ("wings 3", "is no setting with its value"),
        ("caster", "is no setting with its value"),
        ("seat 175", "may be seat position along the kart or seat height"),
        ("rear track -5", "by how much it was changed"),
        ("caster +1 deg", "by how much it was changed"),
        ("rear pressure +0.5", "by how much it was changed"),
    ],
)
def test_changes_that_are_none_are_refused(text: str, piece: str) -> None:
    with pytest.raises(ValueError, match=piece):
        jotted.changes(text, BOOK, {})


def test_laps_and_which_of_them_cannot_be_read() -> None:
    assert jotted.laps("45.31 45,40, 0:45.28; 1:02.5") == (45.31, 45.40, 45.28, 62.5)
    with pytest.raises(ValueError, match="lap 2: "):
        jotted.laps("45.3 fast")


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("set 2, 34 laps", ("set 2", 34)),
        ("B 12l", ("B", 12)),
        ("new", ("new", None)),
        ("set 2, 34", ("set 2", 34)),
    ],
)
def test_tyres(text: str, found: tuple[str, int | None]) -> None:
    assert jotted.tyres(text) == found


@given(st.text(max_size=60))
def test_whatever_is_typed_is_read_or_refused(text: str) -> None:
    for reader in (
        lambda t: jotted.weather(t, BOOK),
        lambda t: jotted.changes(t, BOOK, {}),
        corners.pressures,
        jotted.laps,
        jotted.tyres,
    ):
        with suppress(ValueError):
            reader(text)
