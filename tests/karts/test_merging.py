"""A kart, its trailer and its class under a case: what each adds, and which of them counts where they differ."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
import yaml

from advisor.book import load
from advisor.karts import on_file
from advisor.karts.written import as_data, case_from_data
from tests.hostile.command import problems
from tests.karts.folder import RED, Karts, one_sentence, row, withheld

HOP = "observed: {phase: mid, balance: hop}\n"
VAN = "axle_stiffness: [soft, medium]\nrear_hub_length: [75 mm, 95 mm]\n"
CLUB = "rear_track_width: {min: 1380 mm, max: 1380 mm}\ntyre_pressure_rear: {min: 8 psi}\n"


def idea(what: str) -> str:
    """A case that asks about a change, so that the answer speaks of it wherever it stands."""
    return f"complaint: should i {what}? it hops in the middle of the corner\n"


@pytest.fixture
def red(karts: Karts) -> Karts:
    """The red kart with its trailer and its class on file."""
    karts.put("red", RED + "trailer: van\nclass_rules: club\n")
    karts.put("van", VAN, "trailers")
    karts.put("club", CLUB, "classes")
    return karts


# --- trailer and class ------------------------------------------------------------------------------


def test_trailer_and_class_are_shown_with_the_kart(red: Karts) -> None:
    shown = red.shown("red")
    assert shown["in the trailer, axle stiffness"] == "soft, medium"
    assert shown["in the trailer, rear hub length"] == "75 mm, 95 mm"
    assert shown["class rule, rear track width"] == "at least 1380 mm, at most 1380 mm"
    assert shown["class rule, tyre pressure rear"] == "at least 8 psi"


@pytest.mark.parametrize("change", ["widen the rear track", "narrow the rear track"])
def test_a_class_rule_withholds_a_lever_and_names_the_value(red: Karts, change: str) -> None:
    reason = withheld(red.answer(idea(change), "red"), "rear_track_width")
    assert "the class allows" in reason
    assert reason.count("1380 mm") == 2, "the limit, and where it stands"


def test_without_the_class_the_same_lever_is_advised(red: Karts) -> None:
    red.put("red", RED)
    answer = red.answer(idea("widen the rear track"), "red")
    assert withheld(answer, "rear_track_width") == ""
    assert row(answer, "rear_track_width")["to"]["unit"] == "mm"


def test_a_part_that_is_not_in_the_trailer_withholds_its_lever(red: Karts) -> None:
    answer = red.answer(idea("fit stiffer rear hubs"), "red")
    assert withheld(answer, "hub_stiffness").endswith("is in the trailer")
    assert not any(entry["lever"] == "hub_stiffness" for entry in answer["advice"])


def test_a_grade_that_is_not_in_the_trailer_is_named(karts: Karts) -> None:
    """Only the grade that is on the kart lies in the trailer, so neither way can be gone."""
    karts.put("red", RED + "trailer: van\n")
    karts.put("van", "axle_stiffness: [medium]\n", "trailers")
    reason = withheld(karts.answer(idea("fit a softer axle"), "red"), "axle_stiffness")
    assert reason.endswith("is not in the trailer (there: medium)")
    assert reason.startswith(("soft", "stiff"))


def test_a_part_in_the_trailer_sets_the_step(red: Karts) -> None:
    """The hub on the kart measures 95 mm and only one of 75 mm lies in the trailer."""
    red.put("red", RED.replace("setup:\n", "setup:\n  rear_hub_length: 95 mm\n") + "trailer: van\n")
    red.put("van", "rear_hub_length: [75 mm]\n", "trailers")
    answer = red.answer(idea("fit shorter rear hubs"), "red")
    if withheld(answer, "rear_hub_length"):
        assert "not in the trailer" in withheld(answer, "rear_hub_length")
    else:
        advice = row(answer, "rear_hub_length")
        assert (advice["direction"], advice["to"]) == ("shorter", {"value": 75.0, "unit": "mm"})
        assert advice["amount"]["value"] == 20.0


def test_an_empty_trailer_file_tells_nothing_and_one_with_no_parts_tells_that(karts: Karts) -> None:
    karts.put("red", RED + "trailer: van\n")
    karts.put("van", "axle_stiffness: []\n", "trailers")
    assert "in the trailer" in withheld(karts.answer(idea("fit a softer axle"), "red"), "axle_stiffness")
    karts.put("van", "# nothing written yet\n", "trailers")
    assert withheld(karts.answer(idea("fit a softer axle"), "red"), "axle_stiffness") == ""


def test_a_rule_of_the_kart_file_outranks_that_of_the_class(red: Karts) -> None:
    red.put("red", red.path("red").read_text("utf-8") + "rules: {rear_track_width: {max: 1400 mm}}\n")
    shown = red.shown("red")
    assert shown["class rule, rear track width"] == "at most 1400 mm"
    assert shown["class rule, tyre pressure rear"] == "at least 8 psi"


def test_a_part_of_the_kart_file_is_not_lost_beside_a_trailer(red: Karts) -> None:
    """What the file itself lists is there, whatever else lies in the trailer."""
    red.put("red", red.path("red").read_text("utf-8") + "kit: {rear_torsion_bar: [soft, stiff]}\n")
    shown = red.shown("red")
    assert shown["in the trailer, axle stiffness"] == "soft, medium"
    assert "in the trailer, rear torsion bar" in shown


def test_parts_of_one_lever_are_joined_and_none_stands_twice(red: Karts) -> None:
    kit = "{rear_hub_length: [9.5 cm, 105 mm], axle_stiffness: [stiff, soft]}"
    red.put("red", red.path("red").read_text("utf-8") + f"kit: {kit}\n")
    shown = red.shown("red")
    assert shown["in the trailer, rear hub length"] == "75 mm, 95 mm, 105 mm"
    assert shown["in the trailer, axle stiffness"] == "soft, medium, stiff"


KIT = """\
rear_hub_length: [{left: 75 mm, right: 95 mm}, 105 mm]
gearing: [78, {engine: 11, axle: 80}]
ballast_side: [{mass: 2 kg, place: 2nd hole}]
tyres: [wet]
"""


def test_parts_of_several_values_are_parts_too_and_survive_the_journal(karts: Karts) -> None:
    """A pair of unlike hubs is two hubs; what cannot be a value is kept as a word."""
    karts.put("red", "trailer: van\n")
    karts.put("van", KIT, "trailers")
    shown = karts.shown("red")
    assert shown["in the trailer, rear hub length"] == "75 mm, 95 mm, 105 mm"
    assert shown["in the trailer, gearing"] == "78, engine 11 and axle 80"
    assert shown["in the trailer, ballast side"] == "lead 2 kg"
    assert "look again" not in shown
    case = on_file.read(karts.folder, "red", load.book()).case
    assert case_from_data(as_data(case), load.book()) == case


@pytest.mark.parametrize(("key", "room"), [("trailer", "trailers"), ("class_rules", "classes")])
@pytest.mark.parametrize("name", ["vna", "../red", "/etc/passwd", "..", "[van]", "5"])
def test_a_trailer_or_class_that_is_not_on_file_is_told_at_its_place(
    karts: Karts, key: str, room: str, name: str
) -> None:
    karts.put("van", VAN if room == "trailers" else CLUB, room)
    text = f"note: x\n{key}: {name}\n"
    path = karts.put("red", text)
    done = karts.kart("show", "red")
    ((file, line, column, message),) = problems(done.err)
    assert (done.status, done.out) == (1, "")
    assert (file, line, column) == (str(path), 2, len(key) + 3)
    assert "on file" in message
    if name == "vna":
        assert 'did you mean "van"?' in message


# --- case and kart ----------------------------------------------------------------------------------


def by_hand(case: str, *files: str) -> dict[str, Any]:
    """One case with everything in it, put together here, the case on top."""
    whole: dict[str, Any] = {}
    for text in (*files, case):
        for key, value in yaml.safe_load(text).items():
            if isinstance(value, dict):
                whole[key] = {**whole.get(key, {}), **value}
            else:
                whole[key] = value
    return whole


@pytest.mark.parametrize(
    "case",
    [
        HOP,
        "complaint: the rear steps out on entry\nminutes: 15\n",
        "complaint: it hops\nsetup: {rear_track_width: 1350 mm, toe: 1 mm}\nkeep: [exit traction]\n",
        "complaint: it pushes\nconditions: {air_temperature: 5 degC}\nkart: {driver_mass: 95 kg}\n",
        "complaint: it pushes\nkit: {axle_stiffness: [stiff]}\nrules: {toe: {max: 2 mm}}\n",
        "complaint: it slides\nsetup: {tyres: {kind: wet}}\nhistory: [contact]\n",
    ],
)
def test_a_case_on_a_kart_is_answered_like_one_file_with_all_of_it(red: Karts, case: str) -> None:
    whole = by_hand(case, RED, yaml.safe_dump({"kit": yaml.safe_load(VAN), "rules": yaml.safe_load(CLUB)}))
    whole.pop("note")
    if "kit" in yaml.safe_load(case):
        whole["kit"] = yaml.safe_load(case)["kit"]
    if "tyres" in yaml.safe_load(case).get("setup", {}):
        whole["setup"]["tyres"] = {
            **yaml.safe_load(RED)["setup"]["tyres"],
            **yaml.safe_load(case)["setup"]["tyres"],
        }
    alone = red.advisor.answer(yaml.safe_dump(whole, sort_keys=False))
    assert red.answer(case, "red") == alone


def test_a_value_of_the_case_outranks_that_of_the_file(red: Karts) -> None:
    red.put("red", RED)
    stands = row(red.answer(idea("widen the rear track"), "red"), "rear_track_width")
    moved = row(
        red.answer(idea("widen the rear track") + "setup: {rear_track_width: 1300 mm}\n", "red"),
        "rear_track_width",
    )
    assert abs(stands["to"]["value"] - 1380) <= 10
    assert abs(moved["to"]["value"] - 1300) <= 10


def test_the_kit_of_the_case_outranks_the_trailer(red: Karts) -> None:
    case = idea("fit a softer axle") + "kit: {rear_hub_length: [75 mm]}\n"
    assert (
        withheld(red.answer(case, "red"), "axle_stiffness")
        == "no part for the axle stiffness is in the trailer"
    )


def test_a_rule_of_the_case_outranks_that_of_the_class(red: Karts) -> None:
    case = idea("widen the rear track") + "rules: {rear_track_width: {max: 1400 mm}}\n"
    assert withheld(red.answer(case, "red"), "rear_track_width") == ""


def test_the_file_itself_stays_as_it_is(red: Karts) -> None:
    before = {k: v for k, v in red.everything().items() if k.startswith("karts")}
    red.answer(HOP + "setup: {rear_track_width: 1300 mm}\n", "red")
    assert {k: v for k, v in red.everything().items() if k.startswith("karts")} == before


def test_a_kart_can_be_named_by_the_path_of_its_file(red: Karts) -> None:
    other = red.advisor.folder / "elsewhere.yaml"
    other.write_text(red.path("red").read_text("utf-8"), "utf-8")
    assert red.answer(HOP, str(other)) == red.answer(HOP, "red")


def test_a_kart_alone_is_no_complaint(red: Karts) -> None:
    done = red.advise("minutes: 15\n", "red", "--json")
    one_sentence(done, "says neither a complaint nor anything observed")


def test_an_unknown_kart_is_told_with_a_hint(red: Karts) -> None:
    done = red.advise(HOP, "rde", "--json")
    one_sentence(done, 'did you mean "red"?')


def test_an_unusual_value_of_the_kart_is_warned_of_in_the_advice(karts: Karts) -> None:
    """It bears on the advice as much as one that stands in the case."""
    karts.put("red", "setup: {tyre_pressure_rear: 60 psi}\n")
    alone = karts.advisor.answer(HOP + "setup: {tyre_pressure_rear: 60 psi}\n")
    assert any("60 psi is unusual" in text for text in alone["warnings"])
    assert any("60 psi is unusual" in text for text in karts.answer(HOP, "red")["warnings"])


WARNED = [
    ("setup: {tyre_pressure_rear: 60 psi}", "60 psi is unusual"),
    ("setup: {tyres: {laps: 9000}}", "9000 laps"),
    ("kart: {driver_mass: 170 kg}", "170 kg is unusual"),
    ("conditions: {air_temperature: 55 degC}", "55 °C is unusual"),
    ("rules: {toe: {min: 2 mm, max: 1 mm}}", "allows nothing"),
    ("kit: {axle_stiffness: [green]}", '"green" is none of'),
]
PUT_RIGHT = [
    "setup: {tyre_pressure_rear: 12 psi}",
    "setup: {tyres: {laps: 90}}",
    "kart: {driver_mass: 70 kg}",
    "conditions: {air_temperature: 25 degC}",
    "rules: {toe: {max: 1 mm}}",
    "kit: {axle_stiffness: [soft]}",
]


@pytest.mark.parametrize(
    ("text", "piece", "right"), [(*w, r) for w, r in zip(WARNED, PUT_RIGHT, strict=True)]
)
def test_a_value_that_the_case_puts_right_is_not_warned_of(
    karts: Karts, text: str, piece: str, right: str
) -> None:
    karts.put("red", f"{text}\n")
    assert piece in karts.shown("red")["look again"]
    assert any(piece in warning for warning in karts.answer(HOP, "red")["warnings"])
    assert not any(piece in warning for warning in karts.answer(f"{HOP}{right}\n", "red")["warnings"])


def test_an_odd_trailer_or_class_is_told_of_with_the_kart(red: Karts) -> None:
    red.put("van", "axle_stiffness: [green]\n", "trailers")
    red.put("club", "caster: {min: 3 deg, max: 1 deg}\n", "classes")
    out = red.kart("show", "red").out
    assert '"green" is none of' in out
    assert "allows nothing" in out


BREACHES = {
    "rear_track_width: {min: 1390 mm}": "rear_track_width stands at 1380 mm, and the class allows at least 1390 mm",
    "rear_track_width: {max: 137 cm}": "stands at 1380 mm, and the class allows at most 137 cm",
    "seat_stays: {max: 0}": "seat_stays stands at 1, and the class allows at most 0",
    "axle_stiffness: {only: [soft]}": "axle_stiffness is medium, and the class allows only soft",
}


@pytest.mark.parametrize("rule", BREACHES)
def test_a_kart_that_its_class_does_not_allow_is_told_of(red: Karts, rule: str) -> None:
    red.put("club", f"{rule}\n", "classes")
    assert BREACHES[rule] in red.shown("red")["look again"]
    told = [w for w in red.answer(HOP, "red")["warnings"] if BREACHES[rule] in w]
    assert len(told) == 1


def test_a_breach_of_the_case_is_told_once_in_the_units_of_the_kart(karts: Karts) -> None:
    """13 psi = 0.896 bar, 12 psi = 0.827 bar: 6.894 757 kPa each (NIST SP 811, 2008, appendix B.8)."""
    karts.put("red", "units: {pressure: bar}\n")
    case = "setup: {tyre_pressure_rear: 13 psi}\nrules: {tyre_pressure_rear: {max: 12 psi}}\n"
    told = [w for w in karts.answer(HOP + case, "red")["warnings"] if "the class allows" in w]
    assert told == [
        "tyre_pressure_rear stands at 0.90 bar, and the class allows at most 0.83 bar: put that right first"
    ]


def test_a_rule_that_measures_otherwise_is_not_compared(karts: Karts) -> None:
    """1 cm of toe is no more than 0.2 degrees, nor less."""
    karts.put("red", "setup: {toe: 9 mm}\nrules: {toe: {max: 0.2 deg}}\n")
    assert "look again" not in karts.shown("red")


def test_unlike_sides_in_the_case_outrank_the_value_of_the_file(karts: Karts) -> None:
    """No step starts from the value of the file, which does not hold any more."""
    karts.put("red", "setup: {rear_track_width: 1380 mm, rear_hub_length: 95 mm}\n")
    case = idea("fit shorter rear hubs")
    assert row(karts.answer(case, "red"), "rear_hub_length")["to"] is not None
    case += "setup: {rear_hub_length: {left: 75 mm, right: 95 mm}}\n"
    assert row(karts.answer(case, "red"), "rear_hub_length")["to"] is None


def test_faults_of_all_files_are_told_at_once_each_in_its_own(karts: Karts) -> None:
    red = karts.put("red", "setup: {toe: 5 psi}\ntrailer: van\nclass_rules: club\n")
    van = karts.put("van", "axle_stiffness: [soft]\nrear_track: [1 mm]\n", "trailers")
    club = karts.put("club", "# rules\ntoe: {maximum: 2 mm}\n", "classes")
    done = karts.advise(HOP, "red", "--json")
    assert (done.status, done.out) == (1, "")
    found = {(file, line, column) for file, line, column, _ in problems(done.err)}
    assert found == {(str(red), 1, 14), (str(van), 2, 1), (str(club), 2, 7)}


def test_the_same_case_gets_the_same_answer_in_every_process(red: Karts) -> None:
    """Python orders sets anew in each process unless told how; nothing of that may show in the answer."""
    case = "complaint: it hops\nsetup: {rear_track_width: 1350 mm, toe: 1 mm}\nkeep: [exit traction]\n"
    answers = set()
    for seed in range(12):
        again = replace(red.advisor, changes={**red.advisor.changes, "PYTHONHASHSEED": str(seed)})
        answers.add(Karts(again).advise(case, "red", "--json").out)
    assert len(answers) == 1
