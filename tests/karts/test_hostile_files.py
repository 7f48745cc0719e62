"""Kart files, trailers and classes that are broken, foreign, huge or meant ill: each problem in its place, no harm."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from tests.hostile.command import MARK, Advisor, problems
from tests.karts.folder import RED, Karts, one_sentence, refused

HOP = "observed: {phase: mid, balance: hop}\n"

KARTS = {
    "unknown key": ("«setpu: {toe: 1 mm}\n", 'did you mean "setup"?'),
    "key of another file": ("«axle_stiffness: soft\n", "unknown key"),
    "unknown lever": ("setup: {«rear_trak_width: 1390 mm}\n", 'did you mean "rear_track_width"?'),
    "wrong dimension": ("setup: {rear_track_width: «12 psi}\n", "is a length"),
    "unknown unit": ("setup: {toe: «1 furlong}\n", "unknown unit"),
    "no unit": ("setup: {toe: «1}\n", "with its unit"),
    "negative pressure": ("setup: {tyre_pressure_rear: «-1 psi}\n", "cannot be negative"),
    "below absolute zero": ("conditions: {air_temperature: «-300 degC}\n", "below absolute zero"),
    "negative driver": ("kart: {driver_mass: «-70 kg}\n", "cannot be negative"),
    "unknown key below": ("kart: {«klass: senior}\n", 'did you mean "class"?'),
    "section of the wrong type": ("setup: «[toe]\n", "must be a mapping"),
    "not a mapping": ("«- a\n- b\n", "must be a mapping"),
    "only a word": ("«kart\n", "must be a mapping"),
    "a key twice": ("note: a\n«note: b\n", "stands here again"),
    "an alias": ("note: «&a x\nkart: {class: *a}\n", "uses an anchor"),
    "a tag": ("note: «!!python/object/apply:os.system [ls]\n", "uses the tag"),
    "two documents": ("note: a\n«---\nnote: b\n", "second document"),
    "not YAML": ("setup: {toe: 1 mm\n«", "is not valid YAML"),
    "control code": ("note: a«\x07b\n", "control code 0x07"),
    "deep nesting": ("note: " + "[" * 23 + "«" + "[" * 9 + "]" * 32 + "\n", "nested deeper"),
}


@pytest.mark.parametrize("content", KARTS.values(), ids=list(KARTS))
def test_a_wrong_kart_file_is_refused_at_its_place(karts: Karts, content: tuple[str, str]) -> None:
    text, piece = content
    path = karts.put("red", text)
    before = path.read_bytes()
    refused(karts.kart("show", "red"), path, text, piece)
    refused(karts.advise(HOP, "red", "--json"), path, text, piece)
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    "line",
    [
        "complaint: it hops",
        "observed: {phase: mid}",
        "minutes: 5",
        "history: [contact]",
        "tried: []",
        "secondary: {}",
    ],
)
def test_what_belongs_to_a_day_is_refused_in_a_kart_file(karts: Karts, line: str) -> None:
    """A complaint in a kart file would be heard by the interview and passed over by `advise`."""
    path = karts.put("red", f"note: x\n{line}\n")
    refused(karts.kart("show", "red"), path, f"note: x\n«{line}\n", "belongs to a day, not to the kart")


@pytest.mark.parametrize("line", ["note: «[a, b]", "note: «{a: b}"])
def test_a_note_is_a_text(karts: Karts, line: str) -> None:
    path = karts.put("red", f"{line}\n")
    refused(karts.kart("show", "red"), path, line, "text")


TEETH, LEAD = "such as {engine: 11, axle: 80}", "mass: 2 kg, place: seat back}"
CORNERS = "front left, front right, rear left and rear right"
FORMS = {
    "gearing: «80/11": TEETH,
    "gearing: «11:80": TEETH,
    "gearing: «[80, 11]": TEETH,  # which is which must be said
    "gearing: «80": TEETH,
    "gearing: «short": TEETH,
    "ballast_side: «6 kg": LEAD,
    "ballast_side: «6": LEAD,
    "ballast_side: «left": LEAD,
    "ballast_side: [«6 kg]": LEAD,
    "ballast_side: [«{mass: }]": LEAD,
    "ballast_side: [{mass: 1 kg, place: «[left]}]": "short text",
    "corner_weights: «30 kg": CORNERS,
    "corner_weights: «[30 kg, 31 kg, 45 kg]": CORNERS,
    "seat_stays: «two": "takes a count",
    "camber: {left: «[-1 deg]}": "takes an angle with its unit",
}


@pytest.mark.parametrize("line", FORMS)
def test_a_setting_of_several_values_in_a_wrong_form_is_told_the_right_one(karts: Karts, line: str) -> None:
    text = f"setup:\n  {line}\n"
    path = karts.put("red", text)
    refused(karts.kart("show", "red"), path, text, FORMS[line])


def test_teeth_the_wrong_way_round_are_unusual(karts: Karts) -> None:
    karts.put("red", "setup: {gearing: {engine: 80, axle: 11}}\n")
    assert "is it right?" in karts.shown("red")["look again"]
    karts.put("red", "setup: {gearing: {engine: 11, axle: 80}}\n")
    assert "look again" not in karts.shown("red")


BLANKS = {
    "setup:\n  toe: 1 mm\n   caster«: 12 deg\n": "too many blanks before this line",
    "setup:\n  toe: 1 mm\n «caster: 12 deg\n": "further left or right",
    "setup:\n«\ttoe: 1 mm\n": "blanks instead of a tab",
    "setup: {toe: 1 mm\nrules«: {}\n": "a bracket is not closed",
}


@pytest.mark.parametrize("text", BLANKS)
def test_a_slip_of_the_editor_is_named_in_plain_words(karts: Karts, text: str) -> None:
    path = karts.put("red", text)
    refused(karts.kart("show", "red"), path, text, BLANKS[text])


TRAILERS = {
    "unknown lever": ("axle_stiffness: [soft]\n«rear_hubs: [75 mm]\n", "unknown lever"),
    "wrong dimension": ("axle_stiffness: [soft]\nrear_hub_length: [75 mm, «5 psi]\n", "is a length"),
    "not a mapping": ("«- soft\n", "must be a mapping"),
    "a whole case": ("«kit: {axle_stiffness: [soft]}\n", "unknown lever"),
}
CLASSES = {
    "unknown lever": ("# the rules\n«rear_track: {max: 1400 mm}\n", 'did you mean "rear_track_width"?'),
    "unknown key": ("rear_track_width: {«maximum: 1400 mm}\n", "unknown key"),
    "wrong dimension": ("toe: {max: 1 mm}\nrear_track_width:\n  max: «12 psi\n", "is a"),
    "no mapping": ("rear_track_width: «1400 mm\n", "a rule is a mapping"),
    "grade as a bound": ("axle_stiffness: {max: «medium}\n", "can be compared"),
}


@pytest.mark.parametrize("content", TRAILERS.values(), ids=list(TRAILERS))
def test_a_wrong_trailer_file_is_refused_at_its_place(karts: Karts, content: tuple[str, str]) -> None:
    text, piece = content
    karts.put("red", RED + "trailer: van\n")
    path = karts.put("van", text, "trailers")
    refused(karts.kart("show", "red"), path, text, piece)


@pytest.mark.parametrize("content", CLASSES.values(), ids=list(CLASSES))
def test_a_wrong_class_file_is_refused_at_its_place(karts: Karts, content: tuple[str, str]) -> None:
    text, piece = content
    karts.put("red", RED + "class_rules: club\n")
    path = karts.put("club", text, "classes")
    refused(karts.kart("show", "red"), path, text, piece)


@pytest.mark.parametrize(("key", "room"), [("trailer", "trailers"), ("class_rules", "classes")])
def test_a_list_of_trailers_or_classes_is_refused(karts: Karts, key: str, room: str) -> None:
    karts.put("van", "toe: {max: 2 mm}\n" if room == "classes" else "axle_stiffness: [soft]\n", room)
    text = f"{key}: «[van]\n"
    path = karts.put("red", text)
    refused(karts.kart("show", "red"), path, text, f"{key} is the name of one")


def test_a_key_that_stands_twice_hides_no_other_fault(karts: Karts) -> None:
    text = "toe: {max: 1 mm}\n«toe: {max: 2 mm}\ncaster: {max: «3 mm}\ncamber: {max: 1 deg}\n"
    karts.put("red", "class_rules: club\n")
    path = karts.put("club", text, "classes")
    refused(karts.kart("show", "red"), path, text, "stands here again", "caster is an angle")


def test_a_check_of_the_folder_tells_every_fault_once(karts: Karts) -> None:
    """Two karts share the trailer and the class."""
    texts = {
        ("red", "karts"): "setup: {toe: «5 psi}\ntrailer: van\nclass_rules: club\n",
        ("blue", "karts"): "«colour: blue\ntrailer: van\nclass_rules: club\n",
        ("van", "trailers"): "axle_stiffness: [soft]\n«rear_hubs: [75 mm]\n",
        ("club", "classes"): "toe: {«maximum: 2 mm}\n",
    }
    files = {karts.put(name, text, room): text for (name, room), text in texts.items()}
    done = karts.advisor("check", str(karts.folder))
    assert done.status == 1
    for path, text in files.items():
        line, column = next(
            (i, row.index(MARK) + 1) for i, row in enumerate(text.splitlines(), start=1) if MARK in row
        )
        assert done.out.count(f"{path}:") == 1
        assert f"{path}:{line}:{column}: " in done.out


# --- files that are no text at all ------------------------------------------------------------------

ROOMS = {"karts": "red", "trailers": "van", "classes": "club"}
NO_TEXT: dict[str, tuple[bytes, str]] = {
    "binary": (bytes(range(256)), "not UTF-8"),
    "zeros": (b"\x00" * 100, "control code"),
    "another encoding": ("note: rot, l\u00e4uft".encode("utf-16"), "not UTF-8"),
    "huge": (b"note: x\n" + b"# " + b"x" * 1_200_000, "is larger than"),
    "a picture": (b"\x89PNG\r\n\x1a\n" + b"\x00" * 64, "not UTF-8"),
}


@pytest.mark.parametrize("room", ROOMS)
@pytest.mark.parametrize("content", NO_TEXT.values(), ids=list(NO_TEXT))
def test_a_file_that_is_no_text_is_refused(karts: Karts, room: str, content: tuple[bytes, str]) -> None:
    karts.put("red", RED + "trailer: van\nclass_rules: club\n")
    karts.put("van", "axle_stiffness: [soft]\n", "trailers")
    karts.put("club", "toe: {max: 2 mm}\n", "classes")
    data, piece = content
    path = karts.put(ROOMS[room], data, room)
    for done in (karts.kart("show", "red"), karts.advise(HOP, "red", "--json")):
        one_sentence(done, piece)
        assert problems(done.err)[0][0] == str(path)
    assert path.read_bytes() == data


def folder_in_place(path: Path) -> None:
    path.mkdir(parents=True)


def loop(path: Path) -> None:
    path.parent.mkdir(parents=True)
    path.symlink_to(path)


@pytest.mark.parametrize("make", [folder_in_place, loop], ids=lambda make: make.__name__)
def test_what_is_no_file_is_refused(karts: Karts, make: Callable[[Path], None]) -> None:
    make(karts.path("red"))
    one_sentence(karts.kart("show", "red"))


def test_a_file_that_may_not_be_read_is_told_so(ordinary: Advisor) -> None:
    karts = Karts(replace(ordinary, changes={"ADVISOR_KARTS": str(ordinary.folder / "karts")}))
    karts.put("red", RED).chmod(0)
    one_sentence(karts.kart("show", "red"), "cannot be read")


def test_a_folder_that_may_not_be_written_is_told_so(ordinary: Advisor) -> None:
    karts = Karts(replace(ordinary, changes={"ADVISOR_KARTS": str(ordinary.folder / "karts")}))
    karts.put("red", RED)
    karts.path("red").parent.chmod(0o500)
    for arguments in (("new", "blue"), ("copy", "red", "blue")):
        one_sentence(karts.kart(*arguments), "cannot be written")


# --- odd, but good ----------------------------------------------------------------------------------

GOOD = [
    "",
    "# only a comment\n",
    "setup:\nkart:\n",
    "note:\n",
    "\ufeffnote: with a byte order mark\n",
    "note: x\r\n",
]


@pytest.mark.parametrize("text", GOOD)
def test_a_file_that_says_little_is_a_kart(karts: Karts, text: str) -> None:
    karts.put("red", text)
    assert karts.kart("show", "red").status == 0
    assert karts.answer(HOP, "red")["advice"]


def test_codes_in_a_note_do_not_reach_the_terminal(karts: Karts) -> None:
    """YAML can write an escape code in letters; the helper that runs the command looks for any."""
    karts.put("red", 'note: "\\e[31mred\\e[0m \\u202eevil"\nkart: {class: "\\e]0;title\\a"}\n')
    done = karts.kart("show", "red")
    assert done.status == 0
    assert "red" in done.out
