"""Pressures of the four corners, as people write them; stored by corner, shown, compared and written out."""

from __future__ import annotations

import csv
import io
import json
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.journal.store import Journal
from advisor.journal.trials import trials
from advisor.karts import corners
from advisor.karts.corners import CORNERS, as_setup, over, pressures, shown
from tests.diary.paddock import Laptop

Told = dict[str, str]


def four(*values: str, unit: str = "psi") -> Told:
    return {corner: f"{value} {unit}" for corner, value in zip(CORNERS, values, strict=True)}


def ends(front: str, rear: str, unit: str = "psi") -> Told:
    return {"front": f"{front} {unit}", "rear": f"{rear} {unit}"}


@pytest.mark.parametrize(
    ("text", "cold", "hot"),
    [
        ("10.5 10.5 11 11", four("10.5", "10.5", "11", "11"), {}),
        ("front 10 rear 11", ends("10", "11"), {}),
        ("hot 13.2 all round", {}, ends("13.2", "13.2")),
        ("10.5 10.4 11 11.2 > 13 13.1 13.6 14", four("10.5", "10.4", "11", "11.2"), four("13", "13.1", "13.6", "14")),
        ("11 10.5 > 14.2 14", ends("11", "10.5"), ends("14.2", "14")),
        ("11.5", ends("11.5", "11.5"), {}),
        ("10.5 all round, hot 13 13 13.5 13.4", ends("10.5", "10.5"), four("13", "13", "13.5", "13.4")),
        ("fronts 10.5, rears 11 -> fronts 13, rears 14", ends("10.5", "11"), ends("13", "14")),
        ("fl 10.5 fr 10.6 rl 11 rr 11.1", four("10.5", "10.6", "11", "11.1"), {}),
        ("RF 10.6 LF 10.5 LR 11 RR 11.1", four("10.5", "10.6", "11", "11.1"), {}),
        ("front left 10.5 right 10.6 rear 11", four("10.5", "10.6", "11", "11"), {}),
        ("front 10.5 10.6 rear 11 11.1", four("10.5", "10.6", "11", "11.1"), {}),
        ("left 10.5 right 11", four("10.5", "11", "10.5", "11"), {}),
        ("10 front 11 rear", ends("10", "11"), {}),
        ("10 10.2 front, 11 11.1 rear", four("10", "10.2", "11", "11.1"), {}),
        ("rear left 11.5 hot", {"rear_left": "11.5 psi"}, {}),
        ("hot 13 cold 10", ends("10", "10"), ends("13", "13")),
        ("> 0,95 1,0", {}, ends("0.95", "1", "bar")),
        ("75 72 kpa hot 95 96", ends("75", "72", "kPa"), ends("95", "96", "kPa")),
        ("0.7bar", ends("0.7", "0.7", "bar"), {}),
        ("", {}, {}),
    ],
)  # fmt: skip
def test_pressures_as_people_write_them(text: str, cold: Told, hot: Told) -> None:
    assert pressures(text) == (cold, hot)


@pytest.mark.parametrize(
    ("text", "piece"),
    [
        ("11 11 11", "3 pressures: write one pressure"),
        ("soft", '"soft" is no pressure and no corner'),
        ("11 > 12 > 13", "cold or hot twice"),
        ("10.5/10.5 11/11", "cold or hot twice"),
        ("3.5", "are no tyre pressures; write psi, bar or kPa"),
        ("42 psi", "are no tyre pressures"),
        ("11,10.5", "is no pressure and no corner"),
        ("-11", "are no tyre pressures"),
        ("front 10 rear", "no pressures for the rear"),
        ("front 10 11 12", "3 pressures for the front"),
        ("front rear 11", '"front rear" is no corner'),
        ("front 10 fl 11", "the front left is told twice"),
        ("10 rear 11", "is told twice"),
    ],
)  # fmt: skip
def test_what_is_no_pressure_is_refused_with_how_to_write_it(text: str, piece: str) -> None:
    with pytest.raises(ValueError, match=r"pressure") as refused:
        pressures(text)
    assert piece in str(refused.value)


@given(st.text(alphabet="0123456789., />-hotcldfrontearigh:;", max_size=40))
def test_what_is_read_is_of_corners_and_reads_back_the_same(text: str) -> None:
    with suppress(ValueError):
        for told in pressures(text):
            assert set(told) <= {*CORNERS, *corners.ENDS}
            assert pressures(shown(told))[0] == told


def test_what_is_told_of_some_corners_leaves_the_others() -> None:
    assert over(ends("10", "11"), {"rear_left": "11.5 psi"}) == four("10", "10", "11.5", "11")
    assert over(four("10", "10.1", "11", "11"), {"front": "9.5 psi"}) == four("9.5", "9.5", "11", "11")
    assert over(ends("10", "11"), {"rear": "12 psi"}) == ends("10", "12")
    assert over(four("10", "10.1", "11", "11"), ends("9", "9")) == ends("9", "9")
    assert over({"rear_left": "11 psi"}, {}) == {"rear_left": "11 psi"}


def test_the_setup_has_both_sides_where_they_differ() -> None:
    assert as_setup(four("10.5", "10.5", "11", "11.2")) == {
        "tyre_pressure_front": "10.5 psi",
        "tyre_pressure_rear": {"left": "11 psi", "right": "11.2 psi"},
    }
    assert as_setup(ends("10", "11")) == {"tyre_pressure_front": "10 psi", "tyre_pressure_rear": "11 psi"}


def _run(laptop: Laptop, pressures: str, words: str = "good") -> None:
    done = laptop.wait(minutes=30)("diary", "--kart", "red", "--pressures", pressures, "--words", words)
    assert done.status == 0, done


def test_they_are_stored_shown_compared_and_written_out_by_corner(laptop: Laptop) -> None:
    _run(laptop, "10.5 11 > 13 14")
    _run(laptop, "10.5 10.5 11 11.5 > 13 13.1 13.6 14.2", "loose")
    shown = laptop("history", "--kart", "red").text
    assert "pressures: cold 10.5 11 psi, hot 13 14 psi (front, rear)" in shown
    assert (
        "pressures: cold 10.5 10.5 11 11.5 psi, hot 13 13.1 13.6 14.2 psi (front left, right, rear left, right)"
        in shown
    )
    good = laptop("history", "--good", "--kart", "red").text
    assert "cold rear right: 11 psi then, 11.5 psi now" in good
    assert "hot front left" not in good  # as it was
    assert "cold front" not in good
    assert "10.5 10.5 11 11.5" in laptop("history", "--trend", "--kart", "red").out
    table = list(csv.DictReader(io.StringIO(laptop("history", "--csv", "-").out)))
    assert (table[0]["pressures.cold rear"], table[1]["pressures.cold rear right"]) == ("11 psi", "11.5 psi")
    rows = json.loads(laptop("history", "--json", "-").out)
    assert rows[1]["pressures"]["hot rear right"] == "14.2 psi"
    assert rows[1]["setup"]["tyre_pressure_rear"] == "left 11 psi, right 11.5 psi"


def test_a_narrow_screen_holds_them(laptop: Laptop) -> None:
    laptop.width = 40
    _run(laptop, "10.5 10.5 11 11.5 > 13 13.1 13.6 14.2", "loose")
    for command in (("history",), ("history", "--trend")):
        assert max(map(len, laptop(*command).out.splitlines())) <= 40


def test_cold_by_corner_and_hot_by_end_are_shown_alike(laptop: Laptop) -> None:
    _run(laptop, "10.5 10.5 11 11.5, hot 13 14")
    shown = laptop("history").text
    assert "cold 10.5 10.5 11 11.5 psi, hot 13 13 14 14 psi (front left, right, rear left, right)" in shown


def test_a_sitting_on_a_note_takes_no_one_value_for_sides_that_differ(laptop: Laptop) -> None:
    """A step from 11 to 10.5 psi would be wrong for one of them; it is told as a step alone."""
    lines = ("dry 17", "", "10.5 10.5 11 11.5", "", "loose on entry", "", "g", "t", "2", "q")
    done = laptop.sits("diary", "--kart", "red", lines=lines)
    assert (done.status, done.err) == (0, "")
    with Journal(laptop.journal) as journal:
        (trial,) = trials(journal)
    setup = trial.case["setup"]
    assert setup["tyre_pressure_front"] == "10.5 psi"
    assert setup["tyre_pressure_rear"] == {"left": "11 psi", "right": "11.5 psi"}
