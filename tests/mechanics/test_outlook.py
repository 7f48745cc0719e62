"""What a change does: nothing for nothing, the opposite for the opposite, an honest spread, words that keep to it."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest

from advisor.mechanics.asked import read
from advisor.mechanics.chain import asides, brief, links
from advisor.mechanics.outlook import KARTS, Base, Change, Outlook, base, outlook
from advisor.mechanics.quoted import quote
from advisor.mechanics.rows import Row
from advisor.mechanics.spans import WORDS, figure, span
from advisor.mechanics.turns import TURNS, one_step
from advisor.model.case import Case
from advisor.model.knowledge import Book
from advisor.physics.figures import Figure
from advisor.terminal.plan import drawings


@cache
def karts(many: int = KARTS) -> Base:
    return base({}, karts=many)


@cache
def seen(lever: str, amount: float) -> Outlook:
    return outlook(karts(), [Change(lever, TURNS[lever].raises, amount)])


def test_no_change_changes_nothing() -> None:
    for rows in (outlook(karts(), []).rows, outlook(karts(), []).effects):
        assert all(row.sign == "nothing" and row.low == row.high == 0 for row in rows.values())


@pytest.mark.parametrize("lever", TURNS)
def test_the_other_way_does_the_opposite(book: Book, lever: str) -> None:
    """To first order: no row may be sure of one direction both ways."""
    step = one_step(book.levers[lever])
    up, down = seen(lever, step), seen(lever, -step)
    for rows, others in ((up.rows, down.rows), (up.effects, down.effects)):
        for name, row in rows.items():
            pair = {row.sign, others[name].sign}
            assert pair not in ({"more"}, {"less"}), (lever, name)


def test_loads_are_only_moved_about() -> None:
    """What one wheel gains others lose, kart by kart, so the middles all but add up."""
    rows = seen("caster", 0.035).rows
    assert sum(
        rows[n].before for n in ("front_inner", "front_outer", "rear_inner", "rear_outer")
    ) == pytest.approx(165 * 9.80665, rel=0.01)
    moved = [rows[n].middle for n in ("front_inner", "front_outer", "rear_inner", "rear_outer")]
    assert sum(moved) == pytest.approx(0, abs=0.1)


def test_the_spread_hardly_changes_with_ten_times_the_karts() -> None:
    change = [Change("caster", "more", 0.035)]
    few, many = outlook(karts(), change), outlook(karts(10 * KARTS), change)
    for name in ("rear_inner", "lifts_at", "resisting", "front_left"):
        one, other = few.rows[name], many.rows[name]
        width = other.high - other.low
        assert abs(one.low - other.low) < 0.12 * width, name
        assert abs(one.high - other.high) < 0.12 * width, name


def test_figures_that_are_known_narrow_the_spread() -> None:
    change = [Change("seat_height", "raise", 0.01)]
    sure = {"height": Figure(0.25, 0.25, 0.25, "test"), "driver_share": Figure(0.42, 0.42, 0.42, "test")}
    narrow = outlook(base(sure), change).rows["lifts_at"]
    wide = outlook(karts(), change).rows["lifts_at"]
    assert narrow.high - narrow.low < 0.5 * (wide.high - wide.low)


def test_a_lever_that_is_not_in_the_model_is_refused() -> None:
    with pytest.raises(KeyError):
        outlook(karts(), [Change("camber", "less_negative", 1.0)])


# --- words ----------------------------------------------------------------------------------------------

ROW = Row(10.0, 10.0, -1.0, 0.0, 2.0, 0.1)


def test_cannot_tell_where_the_ends_lie_on_either_side() -> None:
    assert ROW.sign == "cannot tell"
    assert (
        span(WORDS["drag"], replace(ROW, low=-9.80665, high=19.6133))
        == "cannot tell (1 kg less to 2 kg more)"
    )


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (0.24, 0.99, "0.24 to 0.99 points more"),
        (0.02, 2.0, "up to 2.0 points more"),
        (12.2, 48.0, "12 to 48 points more"),
        (-0.5, -0.2, "0.20 to 0.50 points less"),
        (-0.05, 0.08, "no change that you would feel"),
        (0.3, 0.3, "0.30 points more"),
    ],
)
def test_a_change_in_words(low: float, high: float, said: str) -> None:
    assert span(WORDS["balance"], replace(ROW, low=low, high=high)) == said


def test_no_figure_is_finer_than_can_be_used() -> None:
    assert [figure(v) for v in (0.0, 1e-9, 0.0123, 1.26, 12.6, 126.0)] == [
        "0",
        "0",
        "0.012",
        "1.3",
        "13",
        "126",
    ]


@pytest.mark.parametrize("lever", TURNS)
@pytest.mark.parametrize("way", [1, -1])
def test_the_chain_says_what_the_rows_say(book: Book, lever: str, way: int) -> None:
    entry = book.levers[lever]
    name = TURNS[lever].raises
    told = read(entry.ways[name if way > 0 else entry.ways[name].opposite or name].say, book)
    found = seen(lever, way * one_step(entry))
    text = " ".join(links(told, found))
    assert TURNS[lever].first[0 if way > 0 else 1][1:] in text
    sign = found.rows["balance"].sign
    word = {"more": "towards understeer", "less": "towards oversteer", "nothing": "hardly changes"}.get(
        sign, "cannot be"
    )
    assert text.endswith(".")
    assert word in text.split("So ")[-1]
    assert not re.search(r"nan|None|_|  |\.\.| -0|e-\d", text), text
    assert not re.search(r"nan|None|_|  |\.\.| -0|e-\d", brief(found))


def test_the_quote_of_one_step(book: Book) -> None:
    text = quote(book, "caster", "more")
    assert re.match(
        r"the inside rear carries [\d.]+ to [\d.]+ kg less; it lifts [\d.]+ to [\d.]+ g earlier; ", text
    )
    assert quote(book, "camber", "less_negative") == ""
    assert quote(book, "corner_weights", "check") == ""
    assert quote(book, "toe", "out") == "one step changes too little for the wheel loads to tell."
    left = quote(book, "ballast_side", "right", Case(observed={"direction": "left"}))
    right = quote(book, "ballast_side", "right", Case(observed={"direction": "right"}))
    assert left.startswith("in a left-hander, the inside rear carries")
    assert "kg less; it lifts" in left
    assert right.startswith("in a right-hander, the inside rear carries")
    assert "kg more; it lifts" in right


def test_records_that_say_why_they_differ_from_the_loads_are_told_once(book: Book) -> None:
    told = asides(book, book.levers["rear_track_width"].gives)
    assert len(told) == len(set(told)) == 3
    assert all("Left out there: " in text for text in told)
    assert asides(book, book.levers["caster"].gives) == []


# --- the drawing ----------------------------------------------------------------------------------------


def test_the_inside_is_drawn_where_the_corner_goes() -> None:
    left, right = (list(drawings(seen("caster", 0.035), side, 40)) for side in (False, True))
    assert left[0].split() == ["inside", "BEFORE", "outside"]
    assert right[0].split() == ["outside", "BEFORE", "inside"]
    light, heavy = (f"{karts_load(name):.1f} kg" for name in ("rear_inner", "rear_outer"))
    for rows, first in ((left, light), (right, heavy)):
        loads = next(row for row in rows if light in row and heavy in row)
        assert loads.index(first) < 16
    assert len(left) == 2 * len(list(drawings(seen("caster", 0.035), False, 80)))


def karts_load(name: str) -> float:
    return seen("caster", 0.035).rows[name].before / 9.80665


def test_a_wheel_in_the_air_is_drawn_so() -> None:
    rows = dict(seen("caster", 0.035).rows)
    rows["rear_inner"] = replace(rows["rear_inner"], before=0.0, after=0.0)
    rows["height"] = replace(rows["height"], before=0.0, after=7.2)
    text = "\n".join(drawings(replace(seen("caster", 0.035), rows=rows), False, 80))
    assert "UP 7 mm" in text
