"""Out and in laps: by what a sheet says of them in many languages, and by their place in the runs of a day."""

from __future__ import annotations

import random

import pytest

from advisor.laps.ends import set_aside, slow_ends
from advisor.laps.marks import aside
from advisor.laps.sheet import Lap, Run, read


@pytest.mark.parametrize(
    ("remark", "what"),
    [
        ("Out lap, tyres cold", "out lap"),
        ("outlap", "out lap"),
        ("OUT", "out lap"),
        ("Einführungsrunde", "out lap"),
        ("tour de chauffe", "out lap"),
        ("vuelta de salida", "out lap"),
        ("giro di uscita (gomme fredde)", "out lap"),
        ("volta de saída", "out lap"),
        ("uitronde", "out lap"),
        ("utvarv", "out lap"),
        ("lämmittelykierros", "out lap"),
        ("okrążenie wyjazdowe", "out lap"),
        ("in lap", "in lap"),
        ("Auslaufrunde", "in lap"),
        ("tour de rentrée", "in lap"),
        ("giro di rientro", "in lap"),
        ("box", "in lap"),
        ("traffic in turn 3", ""),
        ("slid out at the hairpin", ""),
        ("started to hop", ""),
        ("pitched sideways", ""),
        ("", ""),
    ],
)
def test_a_remark_says_what_lap_it_was(remark: str, what: str) -> None:
    assert aside(remark) == what


@pytest.mark.parametrize(
    "sheet",
    [
        "lap,time,remarks\n1,48.0,Out lap - cold\n2,45.1,\n3,45.2,traffic in T3\n4,45.0,\n5,47.0,in lap\n",
        "Runde;Zeit;Bemerkungen\n1;48,0;Einführungsrunde\n2;45,1;\n3;45,2;\n4;45,0;\n5;47,0;Auslaufrunde\n",
        "lap,time\nOUT,48.0\n1,45.1\n2,45.2\n3,45.0\nIN,47.0\n",
        "lap,time,whatever\n1,48.0,out lap\n2,45.1,\n3,45.2,\n4,45.0,\n5,47.0,in lap\n",
    ],
)
def test_a_sheet_that_says_so_is_believed(sheet: str) -> None:
    found = read(sheet.encode(), "laps.csv")
    assert found.problems == []
    assert [[lap.seconds for lap in run.laps] for run in found.runs] == [[45.1, 45.2, 45.0]]
    assert [text.split(": ")[1] for text in found.runs[0].aside] == ["out lap", "in lap"]


@pytest.mark.parametrize("laps", [4, 5, 6, 8, 12])
def test_out_laps_are_known_by_their_place_even_in_runs_of_four(laps: int) -> None:
    chance = random.Random(laps)
    days = [
        [[45 + chance.gauss(0, 0.2) + 2.5 * (n == 0) for n in range(laps)] for _ in "ABA"] for _ in range(60)
    ]
    assert sum(slow_ends(day) == [(True, False)] * 3 for day in days) >= 57


@pytest.mark.parametrize("laps", [4, 6, 8])
def test_runs_without_out_laps_keep_theirs(laps: int) -> None:
    chance = random.Random(laps)
    days = [[[45 + chance.gauss(0, 0.2) for _ in range(laps)] for _ in "ABA"] for _ in range(200)]
    assert sum(slow_ends(day) == [(False, False)] * 3 for day in days) >= 196


def test_one_slow_first_lap_of_three_may_be_traffic() -> None:
    day = [[48.0, 45.1, 45.2, 45.0], [45.1, 45.0, 45.2, 45.1], [45.2, 45.1, 45.0, 45.2]]
    assert slow_ends(day) == [(False, False)] * 3


def test_two_laps_always_remain() -> None:
    assert slow_ends([[48.0, 45.0, 47.5]] * 3) == [(True, False)] * 3
    assert slow_ends([[48.0, 45.0]] * 3) == [(False, False)] * 3
    assert slow_ends([]) == []
    assert slow_ends([[45.0]]) == [(False, False)]


def test_what_is_set_aside_is_told() -> None:
    runs = [
        Run(str(i), "A", laps=[Lap(n, s) for n, s in enumerate((48.0, 45.1, 45.2, 45.0, 47.9), 1)])
        for i in (1, 2)
    ]
    set_aside(runs)
    assert [lap.seconds for lap in runs[1].laps] == [45.1, 45.2, 45.0]
    assert runs[1].aside == ["lap 1 (48.00): out lap by its place", "lap 5 (47.90): in lap by its place"]
