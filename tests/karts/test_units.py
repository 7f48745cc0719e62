"""Units are for the eye: they change what is shown and never which change is advised.

Factors: NIST Special Publication 811 (2008), appendix B.8: psi 6.894 757 kPa, inch 25.4 mm, pound 0.453 592 4 kg.
"""

from __future__ import annotations

import re
from typing import Any

import pytest

from tests.karts.folder import RED, Karts, refused

PSI, INCH, POUND = 6.894757, 25.4, 0.4535924  # kPa, mm, kg
TO_SI = {
    "psi": PSI * 1e3,
    "kPa": 1e3,
    "bar": 1e5,
    "mm": 1e-3,
    "cm": 1e-2,
    "in": INCH * 1e-3,
    "deg": 1.0,
    "grade": 1.0,
    "piece": 1.0,
    "kg": 1.0,
    "lb": POUND,
}
WISHES = [
    "{pressure: psi, length: mm, temperature: degC, mass: kg}",
    "{pressure: kPa, length: cm, temperature: K, mass: g}",
    "{pressure: bar, length: in, temperature: degF, mass: lb}",
    "{pressure: kpa, length: inch, temperature: celsius, mass: lbs}",
]
CASES = [
    "observed: {phase: mid, balance: hop}\n",
    "complaint: the rear steps out on entry\nminutes: 15\nkeep: [exit traction]\n",
    "complaint: it pushes on exit\nrules: {tyre_pressure_front: {max: 11 psi}}\nkit: {rear_hub_length: [75 mm]}\n",
]


def decisions(answer: dict[str, Any]) -> list[Any]:
    """All of an answer that must not hang on units: which changes, in which order, how likely, and the causes."""
    keys = ("lever", "direction", "minutes", "chance", "confidence", "cautions", "sources")
    return [
        [[entry[key] for key in keys] for entry in answer["advice"]],
        [[entry["lever"], entry["direction"]] for entry in answer["withheld"]],
        answer["causes"],
        answer["understood"],
        answer["next_question"],
    ]


def sizes(answer: dict[str, Any]) -> list[tuple[str, float, float]]:
    """Steps and results in SI, by lever."""
    found = []
    for entry in answer["advice"]:
        for part in (entry["amount"], entry["to"]):
            if part and isinstance(part["value"], int | float):
                found.append((entry["lever"], part["value"] * TO_SI[part["unit"]], TO_SI[part["unit"]]))
    return found


@pytest.mark.parametrize("wish", WISHES)
@pytest.mark.parametrize("case", CASES)
def test_units_never_change_what_is_advised(karts: Karts, case: str, wish: str) -> None:
    karts.put("plain", RED)
    karts.put("wishing", f"{RED}units: {wish}\n")
    plain, wishing = karts.answer(case, "plain"), karts.answer(case, "wishing")
    assert decisions(plain) == decisions(wishing)
    for (lever, one, _), (other_lever, other, unit) in zip(sizes(plain), sizes(wishing), strict=True):
        assert lever == other_lever
        # shown values may be rounded, to a tenth of what the unit is shown with
        assert one == pytest.approx(other, rel=2e-2, abs=0.01 * unit)


@pytest.mark.parametrize("pressure", ["kPa", "bar"])
def test_the_unit_of_the_sheet_changes_no_advice_either(karts: Karts, pressure: str) -> None:
    """The same pressures in another unit, to a part in a million; not at 12 psi, where the book draws lines."""
    factor = PSI * 1e3 / TO_SI[pressure]
    psi = RED.replace("11 psi", "11.3 psi").replace("12 psi", "12.3 psi")
    karts.put("psi", psi)
    karts.put("other", re.sub(r"(\d+\.\d) psi", lambda m: f"{float(m[1]) * factor:.6f} {pressure}", psi))
    one, other = karts.answer(CASES[0], "psi"), karts.answer(CASES[0], "other")
    assert decisions(one) == decisions(other)


# 12 psi = 82.737 kPa = 0.82737 bar; 1380 mm = 54.331 in; 72 kg = 158.73 lb; 28 degC = 82.4 degF
SHOWN = {
    "{pressure: psi}": ("tyre pressure rear", 12.0, "psi"),
    "{pressure: kPa}": ("tyre pressure rear", 12 * PSI, "kPa"),
    "{pressure: bar}": ("tyre pressure rear", 12 * PSI / 100, "bar"),
    "{length: in}": ("rear track width", 1380 / INCH, "in"),
    "{length: cm}": ("rear track width", 138.0, "cm"),
    "{mass: lb}": ("driver mass", 72 / POUND, "lb"),
    "{temperature: degF}": ("air temperature", 28 * 9 / 5 + 32, "°F"),
    "{temperature: K}": ("air temperature", 28 + 273.15, "K"),
}


@pytest.mark.parametrize("wish", SHOWN)
def test_a_kart_is_shown_in_the_units_its_owner_likes(karts: Karts, wish: str) -> None:
    label, value, unit = SHOWN[wish]
    karts.put("red", f"{RED}units: {wish}\n")
    number, _, shown_unit = karts.shown("red")[label].partition(" ")
    assert shown_unit == unit
    assert float(number) == pytest.approx(value, rel=6e-3)


SLIDES = "observed: {phase: mid, balance: oversteer}\n"
LIKED = {"bar": "psi|kPa", "kPa": "psi|bar", "psi": "kPa|bar"}


@pytest.mark.parametrize("unit", LIKED)
def test_advice_is_given_in_the_units_the_owner_likes(karts: Karts, unit: str) -> None:
    karts.put("red", f"{RED}units: {{pressure: {unit}, length: in}}\n")
    answer = karts.answer(SLIDES, "red")
    levers = {entry["lever"]: entry for entry in answer["advice"]}
    pressures = [e for lever, e in levers.items() if lever.startswith("tyre_pressure")]
    lengths = [e for lever, e in levers.items() if lever in ("rear_track_width", "seat_fore_aft", "toe")]
    assert pressures
    assert lengths
    told = {part["unit"] for e in pressures for part in (e["amount"], e["to"]) if part}
    assert told <= {unit}
    assert told or any(f" {unit}" in (e["detail"] or "") for e in pressures)
    assert {part["unit"] for e in lengths for part in (e["amount"], e["to"]) if part} == {"in"}


# Values so far out that they are named as reasons.
TELLING = """\
kart: {driver_mass: 72 kg}
setup:
  tyre_pressure_rear: 24 psi
  rear_track_width: 1330 mm
  seat_fore_aft: 100 mm
  tyres: {kind: slick, compound: hard}
conditions: {air_temperature: 31 degC}
"""
# 24 psi = 1.6547 bar, 1330 mm = 52.362 in, 31 degC = 87.8 degF, 72 kg = 158.73 lb
LIKED_VALUES = {"24 psi": "1.65 bar", "1330 mm": "52.36 in", "31 °C": "87.8 °F", "72 kg": "158.7 lb"}


def reasons(karts: Karts, kart: str) -> str:
    """All reasons of the advice for some faults."""
    faults = [("mid", "oversteer"), ("mid", "bind"), ("mid", "hop"), ("entry", "understeer")]
    answers = [karts.answer(f"observed: {{phase: {p}, balance: {b}}}\n", kart) for p, b in faults]
    return "\n".join(text for answer in answers for entry in answer["advice"] for text in entry["why"])


def test_reasons_name_the_values_of_the_kart_in_the_units_its_owner_likes(karts: Karts) -> None:
    karts.put("plain", TELLING)
    karts.put("red", f"{TELLING}units: {{pressure: bar, length: in, temperature: degF, mass: lb}}\n")
    plain, liked = reasons(karts, "plain"), reasons(karts, "red")
    named = [value for value in LIKED_VALUES if value in plain]
    assert len(named) >= 2, "the values are hardly named at all, so nothing is tested"
    for value in named:
        assert value not in liked
        assert LIKED_VALUES[value] in liked


def test_limits_are_named_in_the_units_the_owner_likes(karts: Karts) -> None:
    text = f"{RED}rules: {{rear_track_width: {{min: 1380 mm, max: 1380 mm}}}}\nunits: {{length: in}}\n"
    karts.put("red", text)
    answer = karts.answer("complaint: should i widen the rear track? it hops\n", "red")
    (reason,) = [r["reason"] for r in answer["withheld"] if r["lever"] == "rear_track_width"]
    assert reason.count("54.33 in") == 2


@pytest.mark.parametrize("wish", WISHES[1:])
def test_numbers_for_people_carry_no_noise(karts: Karts, wish: str) -> None:
    """Nobody sets a pressure to the tenth of a millibar: three decimals at most."""
    karts.put("red", f"{RED}units: {wish}\n")
    for case in CASES:
        out = karts.advise(case, "red").out
        assert "by " in out
        assert re.findall(r"\d+\.\d{4,}", out) == []


def test_a_step_in_another_unit_is_not_rounded_away(karts: Karts) -> None:
    """Half a psi is 3.4 kPa, 0.034 bar; it is never shown as nothing."""
    for unit in ("kPa", "bar", "psi"):
        karts.put("red", f"{RED}units: {{pressure: {unit}}}\n")
        for entry in karts.answer(SLIDES, "red")["advice"]:
            if entry["lever"].startswith("tyre_pressure") and entry["amount"]:
                assert entry["amount"]["value"] * TO_SI[unit] == pytest.approx(0.5 * PSI * 1e3, rel=0.1)


WRONG = {
    "another dimension": ("units: {pressure: «mm}\n", "is no unit of pressure"),
    "no unit": ("units: {pressure: «stone}\n", "(known: psi, kPa, bar)"),
    "no dimension": ("units: {«presure: bar}\n", 'did you mean "pressure"?'),
    "a list": ("units: «[bar, mm]\n", "units is a mapping"),
    "a word": ("units: «metric\n", "units is a mapping"),
    "a number": ("units: {pressure: «5}\n", "is no unit of pressure"),
}


@pytest.mark.parametrize("content", WRONG.values(), ids=list(WRONG))
def test_a_wrong_wish_is_told_at_its_place(karts: Karts, content: tuple[str, str]) -> None:
    text, piece = content
    path = karts.put("red", text)
    refused(karts.kart("show", "red"), path, text, piece)
