"""Figures told beside the figures wanted."""

from __future__ import annotations

import pytest

from advisor.model.case import Case
from advisor.reasoning.advise import advise
from advisor.words.compared import hot_pressure
from tests.properties.random_cases import shipped


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("9.8 hot, window 12 to 13", "low"),
        ("Hot 14 psi all round, target 12", "high"),
        ("fronts 14 hot rears 12.5 window is 12-13", "fronts_high"),
        ("came off at 12.4 front and 10,5 rear, we want 12 to 13", "rears_low"),
        ("hot pressures 12.5, window 12 to 13", "right"),
        ("1.1 bar hot, should be 0.8 bar", "high"),
    ],
)
def test_figures_against_the_window_told(text: str, answer: str) -> None:
    assert hot_pressure(text) == answer


@pytest.mark.parametrize(
    "text",
    [
        "came in at 11.2 front and 13.9 rear, we want 12 to 13",  # one too low, one too high: no such answer
        "set 9 cold, 12 hot, want 12",  # which figure is meant is not sure
        "it's hot, 30 degrees, aim for 11 psi",  # of the day
        "hot in 3 laps, target 55 degrees",
        "we are 12 on 78, should be 11 on 80",
        "left rear 10, others 12.5 hot, target 12.5",  # one corner is not all of them
        "12.5 hot",
        "",
    ],
)
def test_what_is_not_compared(text: str) -> None:
    assert hot_pressure(text) is None


def test_pressures_told_too_low_are_raised_and_not_lowered() -> None:
    answer = advise(shipped(), Case(complaint="It slides everywhere, pressures 9.8 hot, window 12 to 13."))
    turns = [(a.lever, a.direction) for a in answer.advice]
    assert turns[0] == ("tyre_pressure", "up")
    assert ("tyre_pressure", "down") not in turns


def test_a_long_text_of_nothing_else_is_answered_too() -> None:
    assert hot_pressure("window 12 to 13 " + "hot 11 " * 1100) == "low"
