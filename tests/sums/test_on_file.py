"""A kart on file is shown with what follows from its numbers."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.book import load
from advisor.cli import main
from advisor.karts.on_file import read
from advisor.karts.written import as_data, case_from_data

Capture = pytest.CaptureFixture[str]
WEIGHED = """\
setup:
  tyre_pressure_front: 0.7 bar
  tyre_pressure_rear: 10 psi
  corner_weights: [30 kg, 31 kg, 45 kg, 44 kg]
  gearing: {engine: 11, axle: 81, rpm: 13900, rollout: 34.125 in}
conditions: {air_temperature: 20 degC, tyre_temperature: {front: 60 degC}}
"""


def show(folder: Path, capsys: Capture, text: str) -> tuple[int, dict[str, str], str]:
    place = folder / "karts"
    place.mkdir(exist_ok=True)
    (place / "red.yaml").write_text(text, "utf-8")
    status = main(["kart", "show", "red", "--karts", str(folder)])
    out, err = capsys.readouterr()
    rows = [line.strip().partition(": ") for line in out.splitlines()[1:]]
    return status, {label: value for label, _, value in rows}, err


def test_shares_speed_and_hot_pressure_are_worked_out(tmp_path: Path, capsys: Capture) -> None:
    """By hand: 61 and 75 of 150; 61 mph, 98.2 km/h, is a published speed (seen); 0.93 bar is a regression."""
    _, shown, _ = show(tmp_path, capsys, WEIGHED)
    assert shown["corner weights, worked out"] == "total 150 kg, front 40.7 %, left 50 %, cross 50.7 %"
    assert shown["gearing, worked out"] == "ratio 7.364, per turn 4.63 in, speed 98.2 km/h"
    assert shown["front pressure when hot, expected"] == "0.93 bar (if set at 20 °C and 60 °C inside)"
    assert "rear pressure when hot, expected" not in shown  # its temperature is not known


def test_values_are_shown_in_the_units_that_its_owner_likes(tmp_path: Path, capsys: Capture) -> None:
    _, shown, _ = show(tmp_path, capsys, f"{WEIGHED}units: {{pressure: psi, mass: lb, temperature: degF}}\n")
    assert shown["front pressure when hot, expected"] == "13.5 psi (if set at 68 °F and 140 °F inside)"
    assert shown["corner weights, worked out"].startswith("total 330.7 lb")  # 150 kg by NIST SP 811


def test_what_is_not_known_is_not_worked_out(tmp_path: Path, capsys: Capture) -> None:
    text = "setup:\n  gearing: {engine: 11, axle: 80, rpm: 13900}\n  tyre_pressure_front: 11 psi\n"
    _, shown, _ = show(tmp_path, capsys, text)
    assert shown["gearing, worked out"] == "ratio 7.273"
    assert not any("expected" in label for label in shown)


def test_revs_and_rollout_that_cannot_be_are_refused_with_their_place(
    tmp_path: Path, capsys: Capture
) -> None:
    for value, column, piece in (("rpm: fast", 46, "1 to 30000"), ("rollout: 80 kg", 50, "is a mass")):
        text = f"setup: {{gearing: {{engine: 11, axle: 80, {value}}}}}\n"
        status, _, err = show(tmp_path, capsys, text)
        assert status == 1
        assert f"red.yaml:1:{column}: " in err
        assert piece in err


def test_the_least_weight_of_a_class_is_held_against_the_scales(tmp_path: Path, capsys: Capture) -> None:
    """By hand: 30 + 31 + 45 + 44 is 150, eight below 158."""
    classes = tmp_path / "classes"
    classes.mkdir()
    (classes / "club.yaml").write_text("weight: {min: 158 kg}\n", "utf-8")
    _, shown, _ = show(tmp_path, capsys, f"{WEIGHED}class_rules: club\n")
    assert shown["class rule, weight"] == "at least 158 kg"
    assert shown["corner weights, worked out"].endswith("over minimum -8 kg")
    assert "150 kg, and the class asks for at least 158 kg" in shown["look again"]
    light = WEIGHED.replace("45 kg, 44 kg", "49 kg, 48 kg")
    _, shown, _ = show(tmp_path, capsys, f"{light}class_rules: club\n")
    assert shown["corner weights, worked out"].endswith("over minimum 0 kg")
    assert "look again" not in shown


@pytest.mark.parametrize(
    "rule",
    [
        "{max: 170 kg}", "158", "{min: 158 mm}", "{min: 158 kg, max: 170 kg}", "{min: }",
        "{min: 0 kg}", "{min: 15 kg}", "{min: 1580 kg}", "{min: 1e9 kg}",
    ],
)  # fmt: skip
def test_a_rule_of_weight_is_a_least_mass(tmp_path: Path, capsys: Capture, rule: str) -> None:
    status, _, err = show(tmp_path, capsys, f"rules: {{weight: {rule}}}\n")
    assert status == 1
    assert "red.yaml:1:" in err
    assert "mass" in err or "kg" in err


def test_the_rule_is_kept_with_the_case(tmp_path: Path) -> None:
    book = load.book()
    (tmp_path / "red.yaml").write_text("rules: {weight: {min: 158 kg}}\n", "utf-8")
    case = read(tmp_path, str(tmp_path / "red.yaml"), book).case
    assert case.rules
    kept = case_from_data(as_data(case), book)
    assert kept is not None
    assert kept.rules == case.rules
