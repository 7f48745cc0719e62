"""Karts on file: made, listed, shown, copied and compared; names stay in the folder, files are never overwritten."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from tests.garage.shed import RED, Shed, one_sentence
from tests.hostile.command import problems

# --- making and listing -----------------------------------------------------------------------------


def test_an_empty_garage_says_how_to_begin(shed: Shed) -> None:
    done = shed.kart("list")
    assert done.status == 0
    assert "advisor kart new" in done.out
    assert not shed.folder.exists()


def test_a_new_kart_is_listed_and_can_be_shown(shed: Shed) -> None:
    done = shed.kart("new", "red")
    assert (done.status, done.err) == (0, "")
    assert str(shed.path("red")) in done.out
    assert shed.kart("list").out == "red\n"
    assert shed.kart("show", "red").status == 0


def test_karts_are_listed_in_order_and_other_files_are_not(shed: Shed) -> None:
    for name in ("red", "blue", "wet kart"):
        shed.put(name, RED)
    shed.path("red").with_suffix(".txt").write_text("x")
    shed.put("van", "axle_stiffness: [soft]\n", "trailers")
    assert shed.kart("list").out == "blue\nred\nwet kart\n"


def test_every_line_of_the_template_can_be_used(shed: Shed) -> None:
    """Take out the # of every line that is an entry: the file must be sound and show what it says."""
    shed.kart("new", "red")
    lines = []
    for line in shed.path("red").read_text("utf-8").splitlines():
        entry = re.match(r"(\s*)# (\w+: .+)$", line)
        if entry and not entry[2].startswith(("trailer", "class_rules")):
            line = entry[1] + entry[2]
        lines.append(line)
    shed.put("red", "\n".join(lines))
    shown = shed.shown("red")
    assert shown["tyre pressure rear"] == "11 psi"
    assert shown["in the trailer, axle stiffness"] == "soft, medium"
    assert shown["class rule, rear track width"] == "at most 1400 mm"
    assert len(shown) >= 12


def test_the_garage_can_be_named_in_the_command(shed: Shed, tmp_path: Path) -> None:
    other = tmp_path / "other"
    assert shed.kart("new", "red", "--garage", str(other)).status == 0
    assert (other / "karts" / "red.yaml").exists()
    assert not shed.folder.exists()


def test_without_a_name_in_the_environment_the_users_own_folder_is_used(shed: Shed, tmp_path: Path) -> None:
    bare = replace(shed.advisor, changes={"XDG_DATA_HOME": str(tmp_path / "data")})
    assert bare("kart", "new", "red").status == 0
    assert list((tmp_path / "data").rglob("red.yaml"))


# --- nothing is overwritten, nothing leaves the folder ----------------------------------------------


def test_a_kart_is_never_overwritten(shed: Shed) -> None:
    shed.put("red", RED)
    shed.put("blue", RED.replace("12 psi", "14 psi"))
    before = shed.everything()
    for arguments in (("new", "red"), ("copy", "red", "blue"), ("copy", "red", "red")):
        one_sentence(shed.kart(*arguments), "on file already")
    assert shed.everything() == before


def test_a_broken_kart_is_not_overwritten_either(shed: Shed) -> None:
    shed.put("red", b"\xff\xfe half a file")
    one_sentence(shed.kart("new", "red"), "on file already")
    assert shed.path("red").read_bytes() == b"\xff\xfe half a file"


ESCAPES = [
    "../red",
    "../../red",
    "a/b",
    "/red",
    "..",
    ".",
    "",
    ".hidden",
    "a\\b",
    "a:b",
    "x.yaml",
    "-",
    "x" * 99,
]
ODD = ["r\u00e9d", "red\n", "red\x1b[31m", "~", "$HOME", "red;ls", "*"]


@pytest.mark.parametrize("name", ESCAPES + ODD)
def test_a_name_that_is_no_plain_word_is_refused(shed: Shed, name: str) -> None:
    """One problem on one line, nothing is written; `--` keeps a name from being read as an option."""
    shed.put("red", RED)
    before = shed.everything()
    for arguments in (("new", "--", name), ("edit", "--", name), ("copy", "--", "red", name)):
        done = shed.kart(*arguments, EDITOR="touch")
        one_sentence(done, "is no name")
        assert len(problems(done.err)) == 1
    assert shed.everything() == before


@pytest.mark.parametrize("name", ["../outside", "../../outside", "..", "/etc/passwd", "../karts/red"])
def test_nothing_outside_the_garage_is_shown(shed: Shed, name: str) -> None:
    shed.put("red", RED)
    (shed.advisor.folder / "outside.yaml").write_text(RED)
    for arguments in (("show", name), ("compare", "red", name), ("copy", name, "blue")):
        one_sentence(shed.kart(*arguments), "is no name")


@pytest.mark.parametrize("name", ["red", "Red 2", "kart_1", "a-b", "7", "x" * 61])
def test_a_plain_word_is_a_name(shed: Shed, name: str) -> None:
    assert shed.kart("new", name).status == 0
    assert shed.kart("list").out == f"{name}\n"
    assert shed.kart("show", name).status == 0


def test_an_unknown_kart_gets_a_hint(shed: Shed) -> None:
    shed.put("red", RED)
    for arguments in (("show", "rad"), ("copy", "rad", "blue"), ("compare", "red", "rad")):
        done = shed.kart(*arguments)
        one_sentence(done, 'did you mean "red"?')
        assert "on file: red" in done.err
    assert shed.kart("list").out == "red\n"


def test_a_garage_that_is_a_file_is_told_so(shed: Shed) -> None:
    shed.folder.mkdir()
    (shed.folder / "karts").write_text("not a folder")
    done = shed.kart("new", "red")
    one_sentence(done)
    assert "on file already" not in done.err


# --- showing ----------------------------------------------------------------------------------------


def test_everything_that_was_written_is_shown(shed: Shed) -> None:
    shed.put("red", RED)
    assert shed.shown("red") == {
        "class": "125 cc single-speed two-stroke",
        "driver mass": "72 kg",
        "tyre pressure front": "11 psi",
        "tyre pressure rear": "12 psi",
        "rear track width": "1380 mm",
        "axle stiffness": "medium",
        "caster": "12 °",
        "seat stays": "1",
        "seat fore aft": "175 mm",
        "tyres, kind": "slick",
        "tyres, compound": "hard",
        "tyres, laps": "60",
        "air temperature": "28 °C",
        "tyre temperature, front": "55 °C",
        "tyre temperature, rear": "70 °C",
        "note": "the red one",
    }


FINE = {
    "toe: 0.5 mm": "0.5 mm",
    "toe: -1.5 mm": "-1.5 mm",
    "tyre_pressure_rear: 11.25 psi": "11.25 psi",
    "tyre_pressure_rear: 82.7 kPa": "82.7 kPa",
    "tyre_pressure_rear: 0.825 bar": "0.825 bar",
    "rear_track_width: 1390.5 mm": "1390.5 mm",
}


@pytest.mark.parametrize(("line", "value"), FINE.items())
def test_a_value_is_shown_as_finely_as_it_was_written(shed: Shed, line: str, value: str) -> None:
    shed.put("red", f"setup: {{{line}}}\n")
    assert shed.shown("red")[line.partition(":")[0].replace("_", " ")] == value


LOOKED_AT = {
    "gearing: {engine: 11, axle: 78}": ("gearing", "78"),
    "ballast_side: [{mass: 2 kg, place: left of the seat}]": ("ballast side", "2 kg"),
    "corner_weights: [30 kg, 31 kg, 45 kg, 44 kg]": ("corner weights", "45 kg"),
    "camber: {left: -1 deg, right: -2 deg}": ("camber", "-2"),
}


@pytest.mark.parametrize("line", LOOKED_AT)
def test_a_value_that_no_step_is_worked_out_from_is_shown_too(shed: Shed, line: str) -> None:
    label, piece = LOOKED_AT[line]
    shed.put("red", f"setup: {{{line}}}\n")
    assert piece in shed.shown("red")[label]


def test_unusual_values_are_told_of(shed: Shed) -> None:
    shed.put("red", "setup: {tyre_pressure_rear: 60 psi}\n")
    assert "60 psi is unusual" in shed.kart("show", "red").out


def test_a_kart_is_shown_where_only_ascii_can_be(shed: Shed) -> None:
    """The sign of the degree has something in its place."""
    shed.put("red", RED)
    shed.put("blue", RED.replace("28 degC", "9 degC"))
    for arguments in (("show", "red"), ("compare", "red", "blue")):
        done = shed.kart(*arguments, LC_ALL="C", PYTHONUTF8="0")
        assert (done.status, done.err) == (0, "")
        assert re.search(r"air temperature: 28 \S+C", done.out)


# --- copying and comparing --------------------------------------------------------------------------


def test_a_copy_is_the_same_text(shed: Shed) -> None:
    text = RED + "# a line of my own\n"
    shed.put("red", text)
    assert shed.kart("copy", "red", "blue").status == 0
    assert shed.path("blue").read_text("utf-8") == text
    done = shed.kart("compare", "red", "blue")
    assert "no difference" in done.out


def test_a_broken_kart_is_not_copied(shed: Shed) -> None:
    shed.put("red", "setup: {rear_track_width: 5 psi}\n")
    assert shed.kart("copy", "red", "blue").status == 1
    assert not shed.path("blue").exists()


def test_comparing_names_the_differences_and_nothing_else(shed: Shed) -> None:
    shed.put("red", RED)
    shed.put(
        "blue", RED.replace("12 psi", "13 psi").replace("medium", "soft").replace("  seat_stays: 1\n", "")
    )
    done = shed.kart("compare", "red", "blue")
    assert done.out.splitlines() == [
        "red | blue",
        "  tyre pressure rear: 12 psi | 13 psi",
        "  axle stiffness: medium | soft",
        "  seat stays: 1 | -",
    ]


SMALL = [
    ("toe: 0.6 mm", "toe: 1.4 mm"),
    ("rear_track_width: 1380.2 mm", "rear_track_width: 1379.8 mm"),
    ("tyre_pressure_rear: 82.6 kPa", "tyre_pressure_rear: 83.4 kPa"),
    ("gearing: {engine: 11, axle: 78}", "gearing: {engine: 11, axle: 80}"),
    ("camber: {left: -1 deg, right: -2 deg}", "camber: {left: -1 deg, right: -1 deg}"),
]


@pytest.mark.parametrize(("one", "other"), SMALL)
def test_small_differences_are_differences(shed: Shed, one: str, other: str) -> None:
    shed.put("red", f"setup: {{{one}}}\n")
    shed.put("blue", f"setup: {{{other}}}\n")
    assert "no difference" not in shed.kart("compare", "red", "blue").out


SAME = [("1380 mm", "138 cm"), ("1380 mm", "1.38 m")]


@pytest.mark.parametrize(("one", "other"), SAME)
def test_the_same_value_in_another_unit_is_no_difference(shed: Shed, one: str, other: str) -> None:
    shed.put("red", f"setup: {{rear_track_width: {one}}}\n")
    shed.put("blue", f"setup: {{rear_track_width: {other}}}\n")
    assert "no difference" in shed.kart("compare", "red", "blue").out


def test_other_preferences_alone_are_no_difference_of_the_setup(shed: Shed) -> None:
    shed.put("red", RED)
    shed.put("blue", RED + "units: {pressure: bar, length: in}\n")
    assert "no difference" in shed.kart("compare", "red", "blue").out
