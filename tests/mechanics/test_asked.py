"""Changes in words: the lever, the way and the amount that were meant, or one sentence that says what is wrong."""

from __future__ import annotations

import math

import pytest

from advisor.mechanics.asked import UnknownChangeError, lexicon, read
from advisor.mechanics.turns import TURNS, sign_of
from advisor.model.knowledge import Book

PSI = 6894.757  # [Pa]
DEGREE = math.pi / 180


@pytest.mark.parametrize(
    ("text", "lever", "way", "amount"),
    [
        ("caster more", "caster", "more", DEGREE),
        ("two degrees more caster", "caster", "more", 2 * DEGREE),
        ("CASTER less 0,5 deg", "caster", "less", -0.5 * DEGREE),
        ("caster +1 deg", "caster", "more", DEGREE),
        ("caster -1 deg", "caster", "less", -DEGREE),
        ("narrow the rear track by 10 mm", "rear_track_width", "narrower", -0.010),
        ("rear track narrower 5 mm a side", "rear_track_width", "narrower", -0.010),
        ("rear_track_width wider", "rear_track_width", "wider", 0.010),
        ("seat back 1 cm", "seat_fore_aft", "back", -0.010),
        ("raise the seat 5mm", "seat_height", "raise", 0.005),
        ("stiffer axle", "axle_stiffness", "stiffer", 1.0),
        ("axle softer by 2 grades", "axle_stiffness", "softer", -2.0),
        ("rear pressure up 1 psi", "tyre_pressure_rear", "up", PSI),
        ("rear tyres 2 psi up", "tyre_pressure_rear", "up", 2 * PSI),
        ("put 1 psi less in the front tyres", "tyre_pressure_front", "down", -PSI),
        ("move lead back 4 kg", "ballast_fore_aft", "back", -2.0),
        ("lead to the right", "ballast_side", "right", 1.0),
        ("more toe out", "toe", "out", 0.001),
        ("front bar in", "front_torsion_bar", "add", 1.0),
        ("casster more", "caster", "more", DEGREE),
        ("lower the front", "front_ride_height", "lower", -1.0),
        ("put 5 kg of lead on the seat back", "ballast_total", "add", 5.0),  # a place, and no seat that moves
        ("what if I bolt 5 kg to the floor", "ballast_total", "add", 5.0),
        ("bolt 10 lb to the left of the seat", "ballast_total", "add", 10 * 0.45359237),
        ("take 3 kg of lead off the seat back", "ballast_total", "remove", -3.0),
        ("take lead off the nose", "ballast_fore_aft", "back", -1.0),
        ("move the lead from the nose to the back", "ballast_fore_aft", "back", -1.0),
        ("take out cross weight", "corner_weights", "less_cross", -1.0),
        ("add a point of cross", "corner_weights", "more_cross", 1.0),
        ("wider front by an inch", "front_track_width", "wider", 0.0254),
        ("raise the seat half an inch", "seat_height", "raise", 0.0127),
        ("what if I move the seat back", "seat_fore_aft", "back", -0.010),
        ("wider at the back", "rear_track_width", "wider", 0.010),
        ("less air in the back", "tyre_pressure_rear", "down", -PSI / 2),
        ("more cross weight", "corner_weights", "more_cross", 1.0),
    ],
)
def test_what_is_meant(book: Book, text: str, lever: str, way: str, amount: float) -> None:
    (asked,) = read(text, book)
    assert (asked.change.lever, asked.change.way) == (lever, way)
    assert asked.change.amount == pytest.approx(amount, rel=1e-6)


def test_several_changes(book: Book) -> None:
    found = read("more caster, narrow the rear track and seat back 5 mm", book)
    assert [a.change.lever for a in found] == ["caster", "rear_track_width", "seat_fore_aft"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "say what to change"),
        ("  ,; ", "say what to change"),
        ("wobble the flux", "names no change that is known"),
        ("caster", "which way"),
        ("the driver is 10 kg heavier", "another kart"),
        ("add 5 kg lead", "where does that lead go"),
        ("add 60 kg lead under the seat", "more than the 40 kg"),
        ("driving technique", "what the kart model does not hold"),
        ("bigger tyres", 'advisor explain "set of tyres"'),
        ("less negative camber", "what the kart model does not hold"),
        ("caster more 5 psi", "is no amount of the caster; one step is 1 degree"),
        ("stiffer axle 3 mm", "is no amount of the axle stiffness"),
        ("caster more 60 deg", "more than 10 steps"),
        ("more caster, less caster", "stands there twice"),
        ("weigh the kart", "the kart model says nothing of that"),
        ("\x1b[31mred", "names no change"),
    ],
)
def test_what_is_not_understood_is_one_sentence(book: Book, text: str, said: str) -> None:
    with pytest.raises(UnknownChangeError, match=said) as caught:
        read(text, book)
    assert "\x1b" not in str(caught.value)
    assert "\n" not in str(caught.value)


def test_what_a_way_says_and_every_name_is_understood(book: Book) -> None:
    """The imperative that the advice prints can be typed, and so can each lever with each way by their ids."""
    known = lexicon(book)
    for name in TURNS:
        lever = book.levers[name]
        for way, entry in lever.ways.items():
            if sign_of(lever, way) == 0:
                continue
            for text in (entry.say, f"{name} {way}"):
                (asked,) = read(text, book, known)
                assert (asked.change.lever, asked.change.way) == (name, way), text
