"""Sentences of the book in the units that a reader likes: the same sizes, as round as they were."""

from __future__ import annotations

import re
from typing import Any

import pint
import pytest

from advisor.units import reworded

WISHES = {"pressure": "bar", "length": "in", "mass": "lb", "temperature": "degF"}


def test_no_wish_leaves_the_sentence() -> None:
    assert reworded("Start at 10 psi.", {}) == "Start at 10 psi."
    assert reworded("Start at 10 psi.", {"pressure": "psi"}) == "Start at 10 psi."


@pytest.mark.parametrize("text", ["lap 5 of 10", "an M8 bolt", "in 5 minutes", "a number 10", "10 psig"])
def test_what_is_no_quantity_stays(text: str) -> None:
    assert reworded(text, WISHES) == text


SENTENCES = ["10 psi", "0.5 psi", "1395 mm", "5 mm", "55 kg", "17 cm", "28 °C"]


@pytest.mark.parametrize("text", SENTENCES)
def test_sizes_are_those_that_pint_finds(text: str) -> None:
    """pint (general-purpose unit library) is the oracle; half a unit of the last place shown may be lost."""
    number, unit = text.split()
    registry: Any = pint.UnitRegistry()
    names = {"°C": "degC", "°F": "degF", "in": "inch", "lb": "pound"}
    shown, to = reworded(f"about {text}.", WISHES).removeprefix("about ").rstrip(".").split()
    exact = float(registry.Quantity(float(number), names.get(unit, unit)).to(names.get(to, to)).magnitude)
    places = len(shown.partition(".")[2])
    assert float(shown) == pytest.approx(exact, abs=0.501 * 10**-places)


def test_both_ends_of_a_range_are_reworded() -> None:
    assert re.fullmatch(r"from 0\.69 to 0\.97 bar", reworded("from 10 to 14 psi", WISHES))
