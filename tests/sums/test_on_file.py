"""A kart on file is shown with what follows from its numbers."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.cli import main

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
