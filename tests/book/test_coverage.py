"""`advisor check --coverage`: the table is counted here again, from the files themselves."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest
import yaml

from advisor.book import load
from advisor.model.knowledge import BALANCES, PHASES
from advisor.reasoning.weighing import make_ready
from advisor.replay.coverage import Cell, coverage, table, unseen

OFTEN = {"very unlikely", "unlikely", "about as likely as not", "likely", "very likely"} | {
    "extremely likely",
    "virtually certain",
}


@cache
def cells() -> dict[tuple[str, str], Cell]:
    found = coverage(make_ready(load.book(), load.ear()), load.shipped("scenarios"))
    return {(c.balance, c.phase): c for c in found}


@cache
def causes() -> tuple[dict[str, Any], ...]:
    paths = sorted(load.shipped().glob("causes/*/*.yaml"))
    return tuple(yaml.safe_load(p.read_text(encoding="utf-8")) for p in paths)


def felt(balance: str, phase: str) -> list[dict[str, Any]]:
    return [c for c in causes() if c.get("feel", {}).get(balance, {}).get(phase) in OFTEN]


@pytest.mark.parametrize("balance", BALANCES)
@pytest.mark.parametrize("phase", PHASES)
def test_causes_are_counted_where_they_are_felt(balance: str, phase: str) -> None:
    assert cells()[balance, phase].causes == len(felt(balance, phase))


def test_causes_that_speak_for_rain_are_counted_under_it() -> None:
    """Usually wet is "extremely unlikely" (track.yaml); a word above "very unlikely" speaks for it."""
    often = OFTEN - {"very unlikely"}
    rainy = [
        c
        for c in felt("oversteer", "exit")
        if any(s["ask"] == "track" and s["answers"].get("wet") in often for s in c.get("signs", ()))
    ]
    assert cells()["oversteer", "exit"].own["wet"] == len(rainy) > 0


def test_no_complaint_is_without_causes_fixes_and_a_scenario() -> None:
    assert {place: cell.thin for place, cell in cells().items() if cell.thin} == {}


def test_what_is_missing_is_named() -> None:
    poor = Cell("hop", "exit", causes=1, fixes=9, sources=3, scenarios=0, own={})
    assert poor.thin == "causes, scenarios"
    assert "causes, scenarios" in list(table([poor]))[1]


def test_every_cause_is_named_by_some_scenario() -> None:
    assert unseen(make_ready(load.book(), load.ear()), load.shipped("scenarios")) == []
