"""`advisor whatif` as a process and on a terminal: as a newcomer, a driver with a kart on file, and a program ask."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.hostile.command import Advisor
from tests.terminal.person import Person

KART = """\
kart: {driver_mass: 72 kg}
setup:
  front_track_width: 1180 mm
  rear_track_width: 1390 mm
  caster: 14 deg
  corner_weights: [33 kg, 34 kg, 47 kg, 48 kg]
"""


def test_a_newcomer_asks_without_a_kart(advisor: Advisor) -> None:
    done = advisor("whatif", "caster", "more", "2", "deg")
    assert (done.status, done.err) == (0, "")
    for said in (
        "What if: add caster, 2 deg",
        "BEFORE",
        "AFTER",
        "The inside rear becomes lighter",
        "12 for, 1 against",
        "nine karts of ten",
        "tighten the king-pin bolt",
    ):
        assert said in done.out, said
    assert "\x1b" not in done.out
    assert done.out.isascii()


@pytest.mark.parametrize("columns", [40, 80])
def test_it_fits_the_terminal(advisor: Advisor, columns: int) -> None:
    narrow = Advisor(advisor.folder, advisor.cache, {"COLUMNS": str(columns)})
    lines = narrow("whatif", "narrow the rear track").out.splitlines()
    assert all(len(line) < columns for line in lines)
    assert sum("BEFORE" in line for line in lines) == 1
    assert any("BEFORE" in line and "AFTER" in line for line in lines) == (columns == 80)


def test_on_a_terminal_it_looks_the_same(tmp_path: Path) -> None:
    person = Person(tmp_path, "whatif", "more caster", width=80)
    status, shown = person.ends()
    assert status == 0
    assert "BEFORE" in shown
    assert "How it comes about" in shown


def test_a_kart_on_file_narrows_the_answer(advisor: Advisor) -> None:
    path = advisor.folder / "red.yaml"
    path.write_text(KART, "utf-8")
    known = advisor("whatif", "more caster", "--kart", str(path), "--json").answer
    usual = advisor("whatif", "more caster", "--json").answer
    assert known["known"] == [
        "driver mass",
        "front track width",
        "rear track width",
        "caster",
        "corner weights",
    ]
    width = [
        found["figures"]["lifts_at"]["high"] - found["figures"]["lifts_at"]["low"] for found in (known, usual)
    ]
    assert width[0] < width[1]


def test_the_kart_stands_as_its_diary_left_it(advisor: Advisor) -> None:
    path = advisor.folder / "red.yaml"
    path.write_text("kart: {driver_mass: 72 kg}\n", "utf-8")
    before = advisor("whatif", "more caster", "--kart", str(path), "--json")
    assert (
        advisor("diary", "--kart", str(path), "--changed", "rear track 1360", "--words", "pushes").status == 0
    )
    after = advisor("whatif", "more caster", "--kart", str(path), "--json")
    assert (before.answer["known"], before.err) == (["driver mass"], "")
    assert after.answer["known"] == ["driver mass", "rear track width"]
    assert "rear track width 1360 mm" in after.err


def test_what_the_class_forbids_is_said(advisor: Advisor) -> None:
    path = advisor.folder / "red.yaml"
    path.write_text(KART + "rules: {rear_track_width: {max: 1390 mm}}\n", "utf-8")
    done = advisor("whatif", "widen the rear track", "--kart", str(path))
    assert done.status == 0
    assert "Note: rear track width: the class allows at most 1390 mm" in done.out


def test_a_case_counts_too(advisor: Advisor) -> None:
    path = advisor.folder / "day.yaml"
    path.write_text("complaint: it pushes\nobserved: {track: wet, direction: right}\n", "utf-8")
    found = advisor("whatif", "more caster", "--case", str(path), "--json").answer
    assert found["corner"]["turn"] == "right"
    assert found["corner"]["lateral"] < 1.0


def test_the_corner_may_be_told(advisor: Advisor) -> None:
    found = advisor("whatif", "more caster", "--radius", "10", "--lateral", "1.0", "--json").answer
    assert found["corner"] == {"turn": "left", "radius": 10.0, "lateral": 1.0}
    assert found["figures"]["rear_inner"]["sign"] == "less"
    assert {c["model"] for c in found["claims"]} <= {
        "agree",
        "disagree",
        "depends",
        "cannot tell",
        "not in the model",
    }


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "Say what to change"),
        (("wobble",), '"wobble" names no change'),
        (("caster",), "Which way"),
        (("more caster", "--radius", "1"), "--radius must lie between 4 and 200 metres"),
        (("more caster", "--radius", "nan"), "--radius must lie between"),
        (("more caster", "--lateral", "9"), "--lateral must lie between 0.1 and 4 g"),
        (("more caster", "--kart", "nobody"), "no such kart"),
        (("more caster", "--case", "nowhere.yaml"), "nowhere.yaml"),
    ],
)
def test_what_cannot_be_answered_is_one_sentence(
    advisor: Advisor, arguments: tuple[str, ...], said: str
) -> None:
    done = advisor("whatif", *arguments)
    assert done.status == 1
    assert done.out == ""
    assert said in done.err
    assert "Traceback" not in done.err


@pytest.mark.parametrize(("change", "felt"), [("caster more 0.3 deg", False), ("caster more 3 deg", True)])
def test_a_direction_that_nobody_would_feel_says_so(advisor: Advisor, change: str, felt: bool) -> None:
    said = " ".join(advisor("whatif", change).out.split())
    assert "towards oversteer" in said
    assert ("by less than you would feel" in said) is not felt


def test_every_figure_is_listed_with_its_source(advisor: Advisor) -> None:
    lines = advisor("whatif", "--figures").out.splitlines()
    assert any(line.startswith("height: 0.25 m (0.21 to 0.3), assumption") for line in lines)
    assert all(line.split(", ", 1)[1] for line in lines)


def test_a_lever_explained_quotes_the_model_and_where_it_differs(advisor: Advisor) -> None:
    done = advisor("explain", "rear track width").out
    assert "By the wheel loads of a usual kart, one step" in done
    assert "Left out there" in " ".join(done.split())
    assert "By the wheel loads" not in advisor("explain", "camber").out


def test_the_upshot_stands_last_where_a_screen_ends(advisor: Advisor) -> None:
    """What is left on a terminal of 24 lines is the answer, and whether people say otherwise."""
    done = advisor("whatif", "narrow the rear track by 10 mm")
    last = " ".join(line.strip() for line in done.out.rstrip().splitlines()[-5:])
    assert "In short Narrow the rear track, 10 mm in all, by the wheel loads: the front holds longer" in last
    assert "People say otherwise of" in last
    agreed = advisor("whatif", "caster more 1 deg").out.rpartition("In short")[2]
    assert "People say otherwise" not in agreed


@pytest.mark.parametrize(
    ("text", "say"),
    [
        ("front pressures up 1/2 psi", "raise the front pressures, 0.5 psi"),
        ("caster more 1½ deg", "add caster, 1.5 deg"),
        ("raise the seat by ½ inch", "raise the seat, 12.7 mm"),
        ("raise the seat three quarters of an inch", "raise the seat, 19 mm"),
        ("rear pressures up from 10 to 11.5", "raise the rear pressures, 1.5 psi"),
        ("take an inch out of the rear track", "narrow the rear track, 25.4 mm in all"),
    ],
)
def test_fractions_are_read(advisor: Advisor, text: str, say: str) -> None:
    assert advisor("whatif", text, "--json").answer["changes"][0]["say"] == say


def test_a_change_told_by_where_it_goes_needs_where_it_stands(advisor: Advisor) -> None:
    path = advisor.folder / "red.yaml"
    path.write_text(KART + "rules: {rear_track_width: {max: 1400 mm}}\n", "utf-8")
    found = advisor("whatif", "rear track to 1380 mm", "--kart", str(path), "--json").answer
    assert found["changes"][0]["amount"] == pytest.approx(-0.010)
    assert "from where?" in advisor("whatif", "rear track to 1380 mm").err
    over = advisor("whatif", "widen the rear track 30 mm", "--kart", str(path)).out
    assert "comes to 1420 mm, and the class allows at most" in " ".join(over.split())
