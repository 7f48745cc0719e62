"""What a sheet and a day tell of the figures of a kart."""

from __future__ import annotations

import math

import pytest

from advisor.mechanics.claims import regime
from advisor.mechanics.known import ANSWERS, known, narrowed
from advisor.model.case import Case, Value
from advisor.model.knowledge import Book
from advisor.physics.figures import FIGURES
from advisor.units import parse


def test_nothing_told_is_the_usual_kart() -> None:
    assert dict(known(Case()).figures) == FIGURES
    assert known(Case()).told == ()


def test_a_sheet_narrows_its_figures() -> None:
    setup: dict[str, Value] = {
        "front_track_width": parse("1180 mm"),
        "rear_track_width": parse("1390 mm"),
        "caster": parse("14 deg"),
        "axle_stiffness": "soft",
    }
    found = known(Case(setup=setup, driver_mass=parse("72 kg")))
    figures = found.figures
    assert figures["front_track"].usual == pytest.approx(1.048)
    assert figures["rear_track"].usual == pytest.approx(1.185)
    assert figures["caster"].usual == pytest.approx(math.radians(14))
    assert figures["mass"].usual == pytest.approx(162)
    assert figures["driver_share"].usual == pytest.approx(72 / 162)
    for name in ("front_track", "rear_track", "caster", "mass"):
        usual = FIGURES[name]
        assert figures[name].high - figures[name].low < usual.high - usual.low, name
    assert figures["axle_stiffness"].usual < FIGURES["axle_stiffness"].usual
    assert "caster" in found.told


def test_the_mark_of_an_adjuster_is_no_caster() -> None:
    assert known(Case(setup={"caster": parse("3 deg")})).figures["caster"] == FIGURES["caster"]


def test_a_pressure_moves_the_rate_of_its_tyres() -> None:
    low, high = (
        known(Case(setup={"tyre_pressure_rear": parse(text)})).figures["rear_rate"].usual
        for text in ("9 psi", "15 psi")
    )
    assert low < FIGURES["rear_rate"].usual < high


def test_four_scales_tell_weight_and_balance() -> None:
    masses = ("33 kg", "37 kg", "47 kg", "45 kg")
    corners = ("front left", "front right", "rear left", "rear right")
    pieces = tuple((corner, parse(mass)) for corner, mass in zip(corners, masses, strict=True))
    figures = known(Case(pieces={"corner_weights": pieces}), "left").figures
    assert figures["mass"].usual == pytest.approx(162)
    assert figures["front_share"].usual == pytest.approx(70 / 162)
    assert figures["cross"].usual == pytest.approx((37 + 47) / 162 - 0.5)
    assert figures["offset"].usual == pytest.approx(1.17 * (80 / 162 - 0.5))
    other = known(Case(pieces={"corner_weights": pieces}), "right").figures
    assert other["offset"].usual == -figures["offset"].usual
    assert other["cross"].usual == -figures["cross"].usual
    either = known(Case(pieces={"corner_weights": pieces})).figures["offset"]
    assert either.low < figures["offset"].usual < other["offset"].usual < either.high


def test_scales_that_are_not_whole_are_left_alone() -> None:
    assert known(Case(pieces={"corner_weights": (("front left", parse("30 kg")),)})).told == ()


def test_a_child_s_kart_is_smaller_whatever_its_driver_weighs() -> None:
    found = known(Case(observed={"driver_mass": "light", "machine": "cadet"}))
    assert found.figures["mass"].usual < 120
    assert found.figures["wheelbase"].high < 1.0


def test_a_direction_turns_the_corner() -> None:
    assert known(Case(observed={"direction": "right"})).turn == "right"
    assert known(Case(observed={"direction": "both"})).turn == ""


def test_what_is_told_outright_counts() -> None:
    assert narrowed(known(Case()), radius=12.0).figures["radius"].low == 12.0


def test_answers_are_those_of_the_book(book: Book) -> None:
    for name, figures in ANSWERS.items():
        question, _, answer = name.partition(" ")
        assert answer in book.observations[question].answers, name
        assert set(figures) <= set(FIGURES), name
        assert all(f.low <= f.usual <= f.high for f in figures.values()), name


def test_regimes() -> None:
    wet = regime({"observed.track": "wet|damp"})
    assert wet is not None
    assert wet["friction"].low == ANSWERS["track wet"]["friction"].low
    assert wet["friction"].high == ANSWERS["track damp"]["friction"].high
    assert regime({"observed.tyre_heat_end": "fronts"}) is None
    assert regime({}) == {}
    assert regime({"observed.track": "dry|green|rubbered"}) == {}
