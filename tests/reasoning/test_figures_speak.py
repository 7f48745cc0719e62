"""Corner weights, gearing and pressures of a sheet, and teeth in words, as evidence: the right cause rises.

And nothing moves without figures, it is told where it comes from, and it is taken back like any fact.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from advisor.inference import teeth
from advisor.inference.worked import worked_out
from advisor.interview import steps
from advisor.karts.cases import read_case
from advisor.karts.on_file import merged
from advisor.karts.written import as_data, case_from_data
from advisor.model.case import Case, Pieces, Value
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import Mind, reason
from advisor.sums import work
from advisor.units import Quantity, parse
from tests.reasoning.minds import shipped

CORNERS = ("front left", "front right", "rear left", "rear right")
STRAIGHT = {"subject": "straight"}
PUSHES_LEFT = {"direction": "left", "balance": "understeer"}


@pytest.fixture(scope="module")
def mind() -> Mind:
    return shipped()


def scales(*loads: str) -> dict[str, Pieces]:
    return {"corner_weights": tuple(zip(CORNERS, map(parse, loads), strict=True))}


def gearing(**drive: Value) -> dict[str, Pieces]:
    return {"gearing": tuple(drive.items())}


def chance(mind: Mind, case: Case, cause: str) -> float:
    return reason(mind, case).belief.probabilities[mind.tables.index(cause)]


# --- corner weights ---------------------------------------------------------------------------------------


def test_unequal_diagonals_raise_their_cause_and_equal_ones_lower_it(mind: Mind) -> None:
    bare, crossed, equal = (
        Case(observed=PUSHES_LEFT, pieces=pieces)
        for pieces in (
            {},
            scales("31 kg", "38 kg", "50 kg", "45 kg"),
            scales("35 kg", "36 kg", "47 kg", "46 kg"),
        )
    )
    chances = [chance(mind, case, "corner_weights_off") for case in (equal, bare, crossed)]
    assert chances[1] > 3 * chances[0]
    assert chances[2] > 3 * chances[1]
    miles = Case(observed=PUSHES_LEFT, pieces=scales("60 kg", "20 kg", "20 kg", "65 kg"))
    assert chance(mind, miles, "corner_weights_off") > chances[2]


def test_the_diagonals_are_those_of_the_sum() -> None:
    """Half of the total and half of what one diagonal has more, by `advisor compute weights`."""
    loads = ("31 kg", "38 kg", "50 kg", "45 kg")
    facts = dict(worked_out(Case(pieces=scales(*loads))))
    more = facts["setup.corner_weights.diagonal_more"]
    keys = (f"{name.replace(' ', '_')}={load}" for name, load in zip(CORNERS, loads, strict=True))
    figures = {f.name: f.value for f in work("weights", list(keys)).figures}
    assert isinstance(more, Quantity)
    assert (0.5 + more.si / 2 / 164) * 100 == pytest.approx(figures["cross"])


def test_on_an_oval_the_cross_weight_is_a_setting(mind: Mind) -> None:
    oval = Case(observed={**PUSHES_LEFT, "layout": "oval"}, pieces=scales("31 kg", "38 kg", "50 kg", "45 kg"))
    assert "diagonals" not in reason(mind, oval).evidence.told
    assert chance(mind, oval, "corner_weights_off") == chance(
        mind, replace(oval, pieces={}), "corner_weights_off"
    )


@pytest.mark.parametrize("pieces", [{}, scales("31 kg", "38 kg", "50 kg", "45 kg") | {"corner_weights": ()}])
def test_scales_that_are_not_whole_say_nothing(pieces: dict[str, Pieces]) -> None:
    assert list(worked_out(Case(pieces=pieces))) == []
    assert list(worked_out(Case(pieces={"corner_weights": (("front left", parse("31 kg")),)}))) == []


# --- gearing ----------------------------------------------------------------------------------------------


def test_revs_at_the_limit_raise_gearing_that_is_too_short(mind: Mind) -> None:
    bare = Case(observed=STRAIGHT, pieces=gearing(engine=11, axle=82, rpm=14450.0))
    over = Case(observed=STRAIGHT, pieces=gearing(engine=11, axle=82, rpm=14450.0, limit=14500.0))
    below = Case(observed=STRAIGHT, pieces=gearing(engine=11, axle=82, rpm=13800.0, limit=14500.0))
    far = Case(observed=STRAIGHT, pieces=gearing(engine=11, axle=82, rpm=11000.0, limit=14500.0))
    assert chance(mind, over, "gearing_too_short") > 3 * chance(mind, bare, "gearing_too_short")
    assert chance(mind, below, "gearing_too_short") == chance(mind, bare, "gearing_too_short")
    assert chance(mind, far, "gearing_too_short") < chance(mind, bare, "gearing_too_short") / 3


BOGS = "it bogs out of the hairpin"


@pytest.mark.parametrize(
    ("text", "axle"),
    [
        (f"{BOGS}, 82 teeth, the others have 83", None),
        (f"{BOGS}. The others have 83 teeth.", 81),
        (f"{BOGS}, we run 80 and everyone else runs 82 on the back", None),
        (f"{BOGS}, others run 11/84 and we have 12/84", None),
    ],
)
def test_fewer_teeth_than_the_others_raise_gearing_that_is_too_tall(
    mind: Mind, text: str, axle: int | None
) -> None:
    case = Case(complaint=text, pieces=gearing(engine=11, axle=axle) if axle else {})
    assert reason(mind, case).evidence.told["gearing_field"] == frozenset(("taller",))
    told, before = (chance(mind, c, "gearing_too_tall") for c in (case, Case(complaint=BOGS)))
    assert told / (1 - told) > 1.5 * before / (1 - before)


def test_more_teeth_than_the_others_raise_gearing_that_is_too_short(mind: Mind) -> None:
    text = "runs out of revs on the straight"
    case = Case(complaint=f"{text}, the others are on 80 teeth", pieces=gearing(engine=11, axle=83))
    assert chance(mind, case, "gearing_too_short") > chance(mind, Case(complaint=text), "gearing_too_short")


@pytest.mark.parametrize(
    ("text", "ours", "others"),
    [
        ("82 teeth, the others have 83", (None, 82), (None, 83)),
        ("the others run 11/84, we have 12/84", (12, 84), (11, 84)),
        ("geared 11 80 while the quick ones are on 11 78", (11, 80), (11, 78)),
        ("everybody has an 83 tooth sprocket", None, (None, 83)),
        ("82 kg and the others 83 kg, geared the same", None, None),
        ("the others do 62 km/h in the hairpin with our gearing", None, None),
        ("45.3 and the others 44.9, same sprocket", None, None),
        ("it pushes, the others have 83", None, None),
        ("14.2 psi on the rear, others 83", None, None),
        ("", None, None),
    ],
)
def test_teeth_in_words(text: str, ours: teeth.Pair | None, others: teeth.Pair | None) -> None:
    assert teeth.told(text) == teeth.Teeth(ours, others)


def test_the_others_alone_say_nothing(mind: Mind) -> None:
    assert (
        "gearing_field" not in reason(mind, Case(complaint=f"{BOGS}, the others have 83 teeth")).evidence.told
    )


# --- pressures --------------------------------------------------------------------------------------------


def warm(front: str, rear: str, **more: str) -> Case:
    conditions = {"air_temperature": parse("20 degC"), "tyre_temperature": parse("65 degC")}
    pressures = {"tyre_pressure_front": parse(front), "tyre_pressure_rear": parse(rear)}
    return Case(
        observed={"balance": "oversteer"}, setup=pressures, conditions=conditions,
        tyres={"kind": "slick", "compound": "medium", **more},
    )  # fmt: skip


def test_hot_pressures_follow_from_the_cold_ones_by_gay_lussac() -> None:
    """0.70 bar at 20 °C is 0.934 bar at 60 °C, counted with absolute pressures."""
    case = Case(
        setup={"tyre_pressure_rear": parse("0.70 bar")},
        conditions={"air_temperature": parse("20 degC"), "tyre_temperature": parse("60 degC")},
    )
    hot = dict(worked_out(case))["setup.tyre_pressure_rear.hot"]
    assert isinstance(hot, Quantity)
    assert hot.si == pytest.approx(0.93377e5, rel=1e-4)


@pytest.mark.parametrize(
    ("front", "rear", "answer", "cause"),
    [
        ("10.5 psi", "10.5 psi", "right", None),
        ("14 psi", "14 psi", "high", "pressure_start_high"),
        ("6 psi", "6 psi", "low", "pressure_low_all"),
        ("10.5 psi", "14 psi", "rears_high", "rear_pressure_high"),
        ("10.5 psi", "7 psi", "rears_low", "rear_pressure_low"),
        ("14 psi", "10.5 psi", "fronts_high", "front_pressure_high"),
        ("7 psi", "10.5 psi", "fronts_low", "front_pressure_low"),
    ],
)
def test_hot_pressures_out_of_the_window_raise_their_cause(
    mind: Mind, front: str, rear: str, answer: str, cause: str | None
) -> None:
    case = warm(front, rear)
    assert reason(mind, case).evidence.told["hot_pressure"] == frozenset((answer,))
    if cause:
        without = replace(case, refused=("hot_pressure",))
        assert chance(mind, case, cause) > 1.5 * chance(mind, without, cause)


def test_without_a_temperature_or_a_compound_nothing_is_said_of_hot_pressures(mind: Mind) -> None:
    case = warm("14 psi", "14 psi")
    for bare in (replace(case, conditions={}), replace(case, tyres={}), replace(case, tyres={"kind": "wet"})):
        assert "hot_pressure" not in reason(mind, bare).evidence.told


def test_two_sides_of_a_sheet_speak(mind: Mind) -> None:
    sides: Pieces = (("left", parse("11 psi")), ("right", parse("12 psi")))
    case = Case(observed={"direction": "left"}, pieces={"tyre_pressure_rear": sides})
    bare = replace(case, pieces={})
    cause = "tyre_left_right_pressure"
    assert chance(mind, case, cause) > 3 * chance(mind, bare, cause)
    heights: Pieces = (("left", "low"), ("right", "high"))
    tilted = replace(case, pieces={"rear_ride_height": heights})
    cause = "rear_heights_unequal"
    assert chance(mind, tilted, cause) > 3 * chance(mind, bare, cause)


# --- where it comes from, and taking it back ---------------------------------------------------------------

CROSSED = Case(complaint="it pushes in left-handers", pieces=scales("31 kg", "38 kg", "50 kg", "45 kg"))


def test_it_is_told_as_following_from_the_figures(mind: Mind) -> None:
    found = advise(mind, CROSSED)
    assert found.understood["diagonals"] == "unequal"
    assert "diagonals" in found.follows
    assert "direction" not in found.follows


def test_it_is_taken_back_like_any_fact_and_stays_so_when_resumed(mind: Mind) -> None:
    state = steps.forget(mind, steps.begin(mind, CROSSED), "diagonals")
    assert "diagonals" not in state.gathered.evidence.told
    kept = case_from_data(as_data(state.case), mind.book)
    assert kept is not None
    assert kept.pieces == CROSSED.pieces
    assert "diagonals" not in steps.begin(mind, kept).gathered.evidence.told


def test_what_was_answered_counts_before_the_figures(mind: Mind) -> None:
    case = replace(CROSSED, observed={"diagonals": "equal"})
    evidence = reason(mind, case).evidence
    assert evidence.told["diagonals"] == frozenset(("equal",))
    assert "diagonals" not in evidence.follows


def test_settings_of_several_values_survive_the_journal(mind: Mind) -> None:
    pieces: dict[str, Pieces] = {
        **scales("31 kg", "38.5 kg", "50 kg", "45 kg"),
        "gearing": (
            ("engine", 11),
            ("axle", 82),
            ("rpm", 14450.0),
            ("limit", 14500.0),
            ("rollout", parse("867 mm")),
        ),
        "tyre_pressure_rear": (("left", parse("11 psi")), ("right", parse("12 psi"))),
        "ballast_side": (("left of the seat", parse("1 kg")), ("", parse("2 kg"))),
    }
    kept = case_from_data(as_data(Case(complaint="it pushes", pieces=pieces)), mind.book)
    assert kept is not None
    assert kept.pieces == pieces


def test_a_case_of_the_day_replaces_the_sheet_setting_by_setting() -> None:
    sides: Pieces = (("left", parse("11 psi")), ("right", parse("12 psi")))
    kart = Case(setup={"caster": parse("10 deg")}, pieces={"tyre_pressure_rear": sides})
    both = merged(kart, Case(setup={"tyre_pressure_rear": parse("11 psi")}))
    assert both.pieces == {}
    again = merged(
        Case(setup={"tyre_pressure_rear": parse("11 psi")}), Case(pieces={"tyre_pressure_rear": sides})
    )
    assert "tyre_pressure_rear" not in again.setup
    assert again.pieces == {"tyre_pressure_rear": sides}


def test_a_rev_limit_stands_in_a_file_and_a_bad_one_is_told(mind: Mind, tmp_path: Path) -> None:
    file = tmp_path / "case.yaml"
    file.write_text(
        "complaint: slow\nsetup:\n  gearing: {engine: 11, axle: 82, rpm: 14450, limit: 14500}\n", "utf-8"
    )
    read = read_case(file, mind.book)
    assert read.case is not None
    assert dict(read.case.pieces["gearing"])["limit"] == 14500
    file.write_text("complaint: slow\nsetup:\n  gearing: {engine: 11, axle: 82, limit: fast}\n", "utf-8")
    (problem,) = read_case(file, mind.book).problems
    assert "limit is a whole number" in str(problem)
    assert ":3:" in str(problem)
