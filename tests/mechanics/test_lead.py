"""Lead that is bolted on in a place: where that is, and the statics of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from advisor.mechanics.asked import read
from advisor.mechanics.outlook import Change, base, mirrored, outlook, sided, turned
from advisor.model.knowledge import Book
from advisor.physics.elements import G
from advisor.physics.figures import FIGURES
from tests.hostile.command import Advisor

FOUR = ("front_inner", "front_outer", "rear_inner", "rear_outer")


def change(book: Book, text: str) -> Change:
    (asked,) = read(text, book)
    return asked.change


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("add 5 kg lead under the seat", "under the seat"),
        ("add 5 kg lead on the left pod", "on the left pod"),
        ("add 5 kg of lead to the right side pod", "on the right pod"),
        ("5 kg lead at the front", "at the nose"),
        ("put 2,5 kg ballast on the nose", "at the nose"),
        ("bolt 3 kg behind the seat", "on the seat back"),
        ("hang 4 kg of lead on the left", "on the left of the seat"),
        ("extra lead on the floor", "on the floor"),
    ],
)
def test_where_lead_goes(book: Book, text: str, place: str) -> None:
    spot = change(book, text).spot
    assert spot is not None
    assert spot.says == place


@pytest.mark.parametrize(
    "text", ["move 5 kg lead to the nose", "lead forward", "take the lead from the nose to the back"]
)
def test_lead_that_is_moved_is_not_added(book: Book, text: str) -> None:
    assert change(book, text).spot is None


def test_the_axles_carry_what_was_bolted_on(book: Book) -> None:
    """By hand: moments about the rear axle, 6 kg x 0.75 m / 1.05 m of it on the front; all of it on the ground."""
    lead = change(book, "add 6 kg lead on the floor")
    known = {name: replace(figure, low=figure.usual, high=figure.usual) for name, figure in FIGURES.items()}
    before = base(known, lateral=0.5 * G)
    seen = outlook(before, [lead])
    more = sum(seen.rows[name].middle for name in FOUR)
    assert more == pytest.approx(6 * G, rel=0.01)  # medians, of karts whose lead lies a little elsewhere
    after = turned(before.kart, [lead], len(before.driven))
    front = np.median(after.front_share * after.mass - before.kart.front_share * before.kart.mass)
    assert front == pytest.approx(6 * 0.75 / 1.05, rel=0.01)


def test_a_side_is_the_other_one_in_a_right_hander(book: Book) -> None:
    pod = change(book, "add 5 kg lead on the left pod")
    before = base(FIGURES)
    inside, outside = (outlook(before, [one]).rows["rear_inner"].middle for one in (pod, mirrored(pod)))
    assert inside > outside
    assert sided(pod)
    assert not sided(change(book, "add 5 kg lead at the nose"))


def test_two_pieces_in_two_places(book: Book) -> None:
    both = read("add 3 kg lead under the seat and 2 kg at the nose", book)
    assert [(one.change.amount, one.change.spot.says) for one in both if one.change.spot] == [
        (3.0, "under the seat"), (2.0, "at the nose"),
    ]  # fmt: skip


def test_it_is_told_which_way_the_drawn_corner_goes(advisor: Advisor) -> None:
    out = " ".join(advisor("whatif", "add 5 kg lead on the left pod").out.split())
    assert "add 5 kg of lead on the left pod" in out
    assert "a left-hander (a right-hander differs" in out
    assert "either way" not in out
    assert "weighs 5 kg more, 0.5 m in front of the rear axle, 0.5 m to the left" in out
    assert "never on plastic" in out
