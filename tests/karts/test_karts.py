"""Karts on file: made, listed, shown, copied and compared; names stay in the folder, files are never overwritten."""

from __future__ import annotations

import re
import shlex
from dataclasses import replace
from pathlib import Path

import pytest

from advisor.book import load
from advisor.karts import on_file
from advisor.model.case import Case
from tests.hostile.command import Result, problems
from tests.karts.folder import RED, Karts, one_sentence

# --- making and listing -----------------------------------------------------------------------------


def test_an_empty_folder_says_how_to_begin(karts: Karts) -> None:
    done = karts.kart("list")
    assert done.status == 0
    assert "advisor kart new" in done.out
    assert not karts.folder.exists()


def test_a_new_kart_is_listed_and_can_be_shown(karts: Karts) -> None:
    done = karts.kart("new", "red")
    assert (done.status, done.err) == (0, "")
    assert str(karts.path("red")) in done.out
    assert karts.kart("list").out == "red\n"
    assert karts.kart("show", "red").status == 0


def test_karts_are_listed_in_order_and_other_files_are_not(karts: Karts) -> None:
    for name in ("red", "blue", "wet kart"):
        karts.put(name, RED)
    karts.path("red").with_suffix(".txt").write_text("x")
    karts.put("van", "axle_stiffness: [soft]\n", "trailers")
    assert karts.kart("list").out == "blue\nred\nwet kart\n"


ENTRY = re.compile(r"( *)#((\w+): .+)")  # a remark has a blank after its #, an entry has none
OF_OTHER_FILES = ("trailer", "class_rules")
TEMPLATE = on_file.template().decode().splitlines()
ENTRIES = {found[3]: line for line in TEMPLATE if (found := ENTRY.fullmatch(line))}


def used(*keys: str) -> str:
    """The template with the first # of those entries taken out."""
    lines = [ENTRIES[key] for key in keys]
    return "\n".join(line.replace("#", "", 1) if line in lines else line for line in TEMPLATE)


def test_the_template_is_what_a_new_kart_begins_with(karts: Karts) -> None:
    karts.kart("new", "red")
    assert karts.path("red").read_text("utf-8").splitlines() == TEMPLATE
    assert set(karts.shown("red")) == {"nothing is written yet; fill it in"}


@pytest.mark.parametrize("key", [key for key in ENTRIES if key not in OF_OTHER_FILES])
def test_any_line_of_the_template_can_be_used_alone(karts: Karts, key: str) -> None:
    karts.put("red", used(key))
    kart = on_file.read(karts.folder, "red", load.book())
    assert kart.warnings == []
    assert kart != on_file.Kart("red", karts.path("red"), Case())


def test_the_template_shows_every_setting_that_a_kart_can_have() -> None:
    """A setting is what has a step, or is of several values; the rest of the levers are things to look at."""
    several = ("gearing", "corner_weights", "ballast_fore_aft", "ballast_side", "ballast_height", "tyres")
    settings = {ident for ident, lever in load.book().levers.items() if lever.step or ident in several}
    settings.remove("tyre_pressure")  # all four tyres are written front and rear
    assert settings == {key for key, line in ENTRIES.items() if line.startswith("  ")} - {
        "class",
        "driver_mass",
    }


def test_the_template_names_the_grades_of_each_setting() -> None:
    for lever in load.book().levers.values():
        if lever.grades:
            assert ", ".join(lever.grades) in ENTRIES[lever.id].rpartition("#")[2]


def test_every_line_of_the_template_can_be_used(karts: Karts) -> None:
    """Take out the # of every line that is an entry: the file must be sound and show what it says."""
    karts.put("red", used(*(key for key in ENTRIES if key not in OF_OTHER_FILES)))
    shown = karts.shown("red")
    assert shown["tyre pressure rear"] == "11 psi"
    assert shown["in the trailer, axle stiffness"] == "soft, medium"
    assert shown["class rule, rear track width"] == "at most 1400 mm"
    assert not {"look again", "nothing is written yet; fill it in"} & set(shown)
    assert len(shown) >= 40


def test_the_folder_can_be_named_in_the_command(karts: Karts, tmp_path: Path) -> None:
    other = tmp_path / "other"
    assert karts.kart("new", "red", "--karts", str(other)).status == 0
    assert (other / "karts" / "red.yaml").exists()
    assert not karts.folder.exists()


@pytest.mark.parametrize("arguments", [("list",), ("new", "red"), ("show", "blue")])
def test_what_to_type_next_is_for_the_same_folder(
    karts: Karts, tmp_path: Path, arguments: tuple[str, ...]
) -> None:
    """`list` of an empty folder, `new` and `show` of an empty file name a command: it must work there."""
    other = tmp_path / "my karts"
    if arguments[0] == "show":
        karts.kart("new", "blue", "--karts", str(other))
    done = karts.kart(*arguments, "--karts", str(other))
    command = shlex.split(re.findall(r"advisor (kart .+)", done.out)[0].replace("NAME", "green"))
    assert command[-2:] == ["--karts", str(other)]


def test_without_a_name_in_the_environment_the_users_own_folder_is_used(karts: Karts, tmp_path: Path) -> None:
    bare = replace(karts.advisor, changes={"XDG_DATA_HOME": str(tmp_path / "data")})
    assert bare("kart", "new", "red").status == 0
    assert list((tmp_path / "data").rglob("red.yaml"))


# --- nothing is overwritten, nothing leaves the folder ----------------------------------------------


def test_a_kart_is_never_overwritten(karts: Karts) -> None:
    karts.put("red", RED)
    karts.put("blue", RED.replace("12 psi", "14 psi"))
    before = karts.everything()
    for arguments in (("new", "red"), ("copy", "red", "blue"), ("copy", "red", "red")):
        one_sentence(karts.kart(*arguments), "on file already")
    assert karts.everything() == before


def test_a_broken_kart_is_not_overwritten_either(karts: Karts) -> None:
    karts.put("red", b"\xff\xfe half a file")
    one_sentence(karts.kart("new", "red"), "on file already")
    assert karts.path("red").read_bytes() == b"\xff\xfe half a file"


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
def test_a_name_that_is_no_plain_word_is_refused(karts: Karts, name: str) -> None:
    """One problem on one line, nothing is written; `--` keeps a name from being read as an option."""
    karts.put("red", RED)
    before = karts.everything()
    for arguments in (("new", "--", name), ("edit", "--", name), ("copy", "--", "red", name)):
        done = karts.kart(*arguments, EDITOR="touch")
        one_sentence(done, "is no name")
        assert len(problems(done.err)) == 1
    assert karts.everything() == before


@pytest.mark.parametrize("name", ["../outside", "../../outside", "..", "/etc/passwd", "../karts/red"])
def test_nothing_outside_the_folder_is_shown(karts: Karts, name: str) -> None:
    karts.put("red", RED)
    (karts.advisor.folder / "outside.yaml").write_text(RED)
    for arguments in (("show", name), ("compare", "red", name), ("copy", name, "blue")):
        one_sentence(karts.kart(*arguments), "is no name")


@pytest.mark.parametrize("name", ["red", "Red 2", "kart_1", "a-b", "7", "x" * 61])
def test_a_plain_word_is_a_name(karts: Karts, name: str) -> None:
    assert karts.kart("new", name).status == 0
    assert karts.kart("list").out == f"{name}\n"
    assert karts.kart("show", name).status == 0


def test_an_unknown_kart_gets_a_hint(karts: Karts) -> None:
    karts.put("red", RED)
    for arguments in (("show", "rad"), ("copy", "rad", "blue"), ("compare", "red", "rad")):
        done = karts.kart(*arguments)
        one_sentence(done, 'did you mean "red"?')
        assert "on file: red" in done.err
    assert karts.kart("list").out == "red\n"


def test_a_folder_that_is_a_file_is_told_so(karts: Karts) -> None:
    karts.folder.mkdir()
    (karts.folder / "karts").write_text("not a folder")
    for arguments in (("new", "red"), ("list",), ("show", "red"), ("edit", "red"), ("compare", "a", "b")):
        one_sentence(karts.kart(*arguments, EDITOR="true"), "is a file, and the folder of the kart files")


def test_a_file_in_place_of_the_whole_folder_is_told_so(karts: Karts) -> None:
    karts.folder.write_text("not a folder")
    for arguments in (("new", "red"), ("list",), ("show", "red")):
        one_sentence(karts.kart(*arguments), "is a file, and the folder of the kart files")


def test_a_folder_with_the_name_of_a_kart_is_no_kart(karts: Karts) -> None:
    karts.path("red").mkdir(parents=True)
    assert "red" not in karts.kart("list").out.splitlines()
    for arguments in (("show", "red"), ("edit", "red"), ("copy", "red", "blue")):
        one_sentence(karts.kart(*arguments, EDITOR="true"), "folder")


# --- showing ----------------------------------------------------------------------------------------


def test_everything_that_was_written_is_shown(karts: Karts) -> None:
    karts.put("red", RED)
    assert karts.shown("red") == {
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
        # by Gay-Lussac's law: (11 psi + 1 atm) x 328.15 / 301.15, less 1 atm; the rear likewise
        "front pressure when hot, expected": "13.3 psi (if set at 28 °C and 55 °C inside)",
        "rear pressure when hot, expected": "15.7 psi (if set at 28 °C and 70 °C inside)",
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
def test_a_value_is_shown_as_finely_as_it_was_written(karts: Karts, line: str, value: str) -> None:
    karts.put("red", f"setup: {{{line}}}\n")
    assert karts.shown("red")[line.partition(":")[0].replace("_", " ")] == value


LOOKED_AT = {
    "gearing: {engine: 11, axle: 78}": ("gearing", "78"),
    "ballast_side: [{mass: 2 kg, place: left of the seat}]": ("ballast side", "2 kg"),
    "corner_weights: [30 kg, 31 kg, 45 kg, 44 kg]": ("corner weights", "45 kg"),
    "camber: {left: -1 deg, right: -2 deg}": ("camber", "-2"),
}


@pytest.mark.parametrize("line", LOOKED_AT)
def test_a_value_that_no_step_is_worked_out_from_is_shown_too(karts: Karts, line: str) -> None:
    label, piece = LOOKED_AT[line]
    karts.put("red", f"setup: {{{line}}}\n")
    assert piece in karts.shown("red")[label]


def test_the_setup_is_shown_in_the_order_of_its_file(karts: Karts) -> None:
    setup = ["toe: 1 mm", "gearing: {engine: 11, axle: 80}", "caster: 12 deg", "camber: {left: -1 deg}"]
    karts.put("red", f"setup: {{{', '.join(setup)}}}\n")
    assert list(karts.shown("red"))[:4] == ["toe", "gearing", "caster", "camber"]


def test_trailer_class_and_units_are_shown_by_name(karts: Karts) -> None:
    karts.put("van", "axle_stiffness: [soft]\n", "trailers")
    karts.put("club", "toe: {max: 2 mm}\n", "classes")
    karts.put("red", "trailer: van\nclass_rules: club\nunits: {pressure: bar, temperature: degC}\n")
    shown = karts.shown("red")
    assert (shown["trailer"], shown["class rules"], shown["shown in"]) == ("van", "club", "bar, °C")


def test_a_piece_of_lead_and_a_side_are_shown_in_the_units_the_owner_likes(karts: Karts) -> None:
    """1 lb is 0.4536 kg, 1 in is 25.4 mm: NIST Special Publication 811 (2008), appendix B.8."""
    setup = "{ballast_side: [{mass: 2 kg, place: left}], rear_hub_length: {left: 75 mm, right: 95 mm}}"
    karts.put("red", f"setup: {setup}\nunits: {{mass: lb, length: in}}\n")
    shown = karts.shown("red")
    assert shown["ballast side"] == "left 4.4 lb"
    assert shown["rear hub length"] == "left 2.95 in, right 3.74 in"


def test_equal_sides_are_one_value(karts: Karts) -> None:
    karts.put("red", "setup: {rear_hub_length: {left: 75 mm, right: 7.5 cm}}\n")
    assert karts.shown("red")["rear hub length"] == "75 mm"


def test_unusual_values_are_told_of(karts: Karts) -> None:
    karts.put("red", "setup: {tyre_pressure_rear: 60 psi}\n")
    assert "60 psi is unusual" in karts.kart("show", "red").out


def test_a_kart_is_shown_where_only_ascii_can_be(karts: Karts) -> None:
    """The sign of the degree has something in its place."""
    karts.put("red", RED)
    karts.put("blue", RED.replace("28 degC", "9 degC"))
    for arguments in (("show", "red"), ("compare", "red", "blue")):
        done = karts.kart(*arguments, LC_ALL="C", PYTHONUTF8="0")
        assert (done.status, done.err) == (0, "")
        assert re.search(r"air temperature: 28 \S+C", done.out)


# --- copying and comparing --------------------------------------------------------------------------


def test_a_copy_is_the_same_text(karts: Karts) -> None:
    text = RED + "# a line of my own\n"
    karts.put("red", text)
    assert karts.kart("copy", "red", "blue").status == 0
    assert karts.path("blue").read_text("utf-8") == text
    done = karts.kart("compare", "red", "blue")
    assert "no difference" in done.out


def test_a_broken_kart_is_not_copied(karts: Karts) -> None:
    karts.put("red", "setup: {rear_track_width: 5 psi}\n")
    assert karts.kart("copy", "red", "blue").status == 1
    assert not karts.path("blue").exists()


def test_comparing_names_the_differences_and_nothing_else(karts: Karts) -> None:
    karts.put("red", RED)
    karts.put(
        "blue", RED.replace("12 psi", "13 psi").replace("medium", "soft").replace("  seat_stays: 1\n", "")
    )
    done = karts.kart("compare", "red", "blue")
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
def test_small_differences_are_differences(karts: Karts, one: str, other: str) -> None:
    karts.put("red", f"setup: {{{one}}}\n")
    karts.put("blue", f"setup: {{{other}}}\n")
    assert "no difference" not in karts.kart("compare", "red", "blue").out


SAME = [("1380 mm", "138 cm"), ("1380 mm", "1.38 m"), ("1380 mm", "1380.0 mm")]


@pytest.mark.parametrize(("one", "other"), SAME)
def test_the_same_value_in_another_unit_is_no_difference(karts: Karts, one: str, other: str) -> None:
    karts.put("red", f"setup: {{rear_track_width: {one}}}\n")
    karts.put("blue", f"setup: {{rear_track_width: {other}}}\n")
    assert "no difference" in karts.kart("compare", "red", "blue").out


def test_other_preferences_alone_are_no_difference_of_the_setup(karts: Karts) -> None:
    karts.put("red", RED)
    karts.put("blue", RED + "units: {pressure: bar, length: in}\n")
    assert "no difference" in karts.kart("compare", "red", "blue").out


ALIKE = [
    "kit: {axle_stiffness: [medium, soft]}\n",
    "setup: {ballast_side: [{mass: 1 kg, place: left}, {mass: 2 kg, place: right}]}\n",
    "setup: {corner_weights: [30 kg, 31 kg, 45 kg, 44 kg]}\n",
    "rules: {toe: {max: 2 mm}}\n",
    "conditions: {air_temperature: 28 degC}\n",
]
ALSO = [
    "kit: {axle_stiffness: [soft, medium]}\n",
    "setup: {ballast_side: [{mass: 2000 g, place: right}, {mass: 1 kg, place: left}]}\n",
    "setup: {corner_weights: [30 kg, 31000 g, 45 kg, 44 kg]}\n",
    "rules: {toe: {max: 0.2 cm}}\n",
    "conditions: {air_temperature: 82.4 degF}\n",
]


@pytest.mark.parametrize(("one", "other"), list(zip(ALIKE, ALSO, strict=True)))
def test_order_and_units_make_no_difference_anywhere(karts: Karts, one: str, other: str) -> None:
    karts.put("red", one)
    karts.put("blue", other)
    assert "no difference" in karts.kart("compare", "red", "blue").out


UNLIKE = [
    ("kit: {axle_stiffness: [soft]}\n", "kit: {axle_stiffness: [soft, soft]}\n"),
    ("kit: {axle_stiffness: []}\n", ""),
    (
        "setup: {corner_weights: [30 kg, 31 kg, 45 kg, 44 kg]}",
        "setup: {corner_weights: [31 kg, 30 kg, 45 kg, 44 kg]}",
    ),
    ("rules: {toe: {max: 2 mm}}\n", "rules: {toe: {min: 2 mm}}\n"),
    ("rules: {axle_stiffness: {only: [soft]}}\n", "rules: {axle_stiffness: {only: [soft, medium]}}\n"),
    ("keep: [exit traction]\n", "keep: [exit traction, braking]\n"),
    ("setup: {toe: 1 mm}\n", "setup: {toe: 1 deg}\n"),
    ("setup: {tyres: {laps: 60}}\n", "setup: {tyres: {laps: 61}}\n"),
]


@pytest.mark.parametrize(("one", "other"), UNLIKE)
def test_whatever_a_kart_says_can_differ(karts: Karts, one: str, other: str) -> None:
    karts.put("red", one)
    karts.put("blue", other)
    for pair in (("red", "blue"), ("blue", "red")):
        assert len(karts.kart("compare", *pair).out.splitlines()) == 2


def test_two_karts_are_compared_in_the_units_of_the_first(karts: Karts) -> None:
    """11 psi = 0.758 bar, 13 psi = 0.896 bar: 6.894 757 kPa each (NIST SP 811, appendix B.8)."""
    karts.put(
        "red", "setup: {rear_track_width: 1380 mm, tyre_pressure_rear: 11 psi}\nunits: {pressure: bar}\n"
    )
    karts.put("blue", "setup: {rear_track_width: 139 cm, tyre_pressure_rear: 13 psi}\nunits: {length: in}\n")
    assert karts.kart("compare", "red", "blue").out.splitlines()[1:] == [
        "  rear track width: 1380 mm | 1390 mm",
        "  tyre pressure rear: 0.76 bar | 0.90 bar",
    ]


def test_a_difference_never_looks_like_none(karts: Karts) -> None:
    """0.8274 bar is 12.0004 psi, which would be shown as 12 psi."""
    karts.put("red", "setup: {tyre_pressure_rear: 12 psi}\n")
    karts.put("blue", "setup: {tyre_pressure_rear: 0.8274 bar}\n")
    assert "tyre pressure rear: 12 psi | 0.8274 bar" in karts.kart("compare", "red", "blue").out


# --- the names of before ----------------------------------------------------------------------------


def _noted(done: Result, piece: str) -> None:
    """It works, with one line on standard error that says the new name."""
    assert (done.status, done.out) == (0, "red\n"), done
    assert len(done.err.splitlines()) == 1, done.err
    assert piece in done.err


def test_the_earlier_option_and_variable_are_still_read(karts: Karts) -> None:
    karts.put("red", RED)
    bare = replace(karts.advisor, changes={})
    _noted(bare("kart", "list", "--garage", str(karts.folder)), "--karts")
    earlier = replace(karts.advisor, changes={"ADVISOR_GARAGE": str(karts.folder)})
    _noted(earlier("kart", "list"), "ADVISOR_KARTS")
    done = earlier("advise", "--kart", "red", "--json", str(_case(karts)))
    assert done.answer["advice"]
    assert len(done.err.splitlines()) == 1


def _case(karts: Karts) -> Path:
    return karts.advisor.write("complaint: the rear slides\n")


def test_the_later_names_count_before_the_earlier_ones(karts: Karts, tmp_path: Path) -> None:
    karts.put("red", RED)
    both = {"ADVISOR_KARTS": str(karts.folder), "ADVISOR_GARAGE": str(tmp_path / "elsewhere")}
    done = replace(karts.advisor, changes=both)("kart", "list")
    assert (done.status, done.out, done.err) == (0, "red\n", "")


def test_the_earlier_folder_is_read_until_there_is_one_of_the_new_name(karts: Karts, tmp_path: Path) -> None:
    bare = replace(karts.advisor, changes={"XDG_DATA_HOME": str(tmp_path / "data")})
    assert bare("kart", "new", "red").status == 0
    (path,) = (tmp_path / "data").rglob("red.yaml")
    own = path.parents[1]
    assert own.name == "karts"
    own.rename(own.with_name("garage"))
    _noted(bare("kart", "list"), str(own))
    assert bare("kart", "new", "blue").status == 0
    assert sorted(p.name for p in own.with_name("garage").rglob("*.yaml")) == ["blue.yaml", "red.yaml"]
    own.mkdir()
    done = bare("kart", "list")
    assert "No kart is on file" in done.out
    assert "move them there" in done.err
