"""A verdict, an inspection and news in a person's own words."""

from __future__ import annotations

import pytest

from advisor.app import after_run, hear
from advisor.app.after_run import Came


@pytest.mark.parametrize(
    ("text", "verdict", "gone", "note"),
    [
        ("better", "better", False, ""),
        ("Better!", "better", False, ""),
        ("bit better", "better", False, ""),
        ("more good", "better", False, ""),
        ("yes", "better", False, ""),
        ("better but hands heavy", "better", False, "hands heavy"),
        ("better, not gone", "better", False, "not gone"),
        ("better, 45.2 45.3", "better", False, "45.2 45.3"),
        ("less hop", "better", False, ""),
        ("gone", "better", True, ""),
        ("hop gone", "better", True, ""),
        ("no more hop", "better", True, ""),
        ("it went away, thanks", "better", True, "thanks"),
        ("hop is gone but pushes now", "better", False, "pushes now"),
        ("nope", "same", False, ""),
        ("no", "same", False, ""),
        ("not better", "same", False, ""),
        ("not gone", "same", False, ""),
        ("no worse", "same", False, ""),
        ("still hops", "same", False, ""),
        ("it did nothing", "same", False, ""),
        ("no difference at all", "same", False, ""),
        ("worse", "worse", False, ""),
        ("much worse", "worse", False, ""),
        ("not good", "worse", False, ""),
        ("more bad", "worse", False, ""),
        ("slower", "worse", False, ""),
    ],
)
def test_a_verdict_in_own_words(text: str, verdict: str, gone: bool, note: str) -> None:
    assert after_run.came(text) == Came(verdict, gone, note)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "text", ["", "hmm", "it dried during the race", "worse at first, then better", "7", "the nut was loose"]
)
def test_no_verdict_is_made_up(text: str) -> None:
    assert after_run.came(text) is None


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("tyres are fine i looked", "sound"),
        ("all ok", "sound"),
        ("looked", None),
        ("yes", None),
        ("looked and the fluid is low", "lost"),
        ("no leaks but the pads are worn", "lost"),
        ("something wrong with the caliper", "lost"),
        ("nothing was loose or bent", "sound"),
        ("all good, not worn", "sound"),
        ("found nothing", "sound"),
        ("looked, no cracks", "sound"),
        ("found a cracked stub and changed it", "mended"),
        ("it was loose, tightened", "mended"),
        ("bled it", "mended"),
        ("what do we do", "why"),
        ("why", "why"),
        ("?", "why"),
        ("cannot look now", "cannot"),
        ("no tools here", "cannot"),
        ("it is cracked", "lost"),
        ("not ok", "lost"),
        ("found a crack", "lost"),
        ("not fixed", "lost"),
        ("i didn't say that", "wrong"),
        ("", None),
        ("the blue one", None),
    ],
)
def test_what_came_of_an_inspection(text: str, meant: str | None) -> None:
    assert hear.found(text) == meant


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("20 min left", 20),
        ("8 minutes", 8),
        ("half an hour", 30),
        ("we have 12 min", 12),
        ("dry, 20 min", 20),
        ("ten minutes", 10),
        ("an hour and a half left", 90),
        ("20", None),
        ("", None),
        ("it dies after 10 minutes", None),
        ("changed the chain an hour ago", None),
    ],
)
def test_minutes_are_told_with_their_unit(text: str, left: float | None) -> None:
    """A bare number is an answer, never minutes; nor are those left that the kart ran."""
    assert hear.minutes(text) == left


@pytest.mark.parametrize(
    ("text", "ticked"),
    [("1 3", (0, 2)), ("1, 2 and 3", (0, 1, 2)), ("2", (1,)), ("0", ()), ("4", ()), ("1 x", ()), ("", ())],
)
def test_ticks_of_a_list(text: str, ticked: tuple[int, ...]) -> None:
    assert hear.ticks(text, 3) == ticked


@pytest.mark.parametrize(
    "text",
    [
        "tyres have gone off", "gone dry", "the grip has gone", "rears are gone", "gone wet now", "has gone soft",
        "gone to wets", "pressures gone up 2 psi", "no more laps", "no more grip", "right now it pushes",
        "fixed the exhaust bracket", "we fixed the chain",
    ],
)  # fmt: skip
def test_what_has_gone_and_is_no_fault_is_no_cure(text: str) -> None:
    assert after_run.came(text) is None


@pytest.mark.parametrize(
    ("text", "gone"),
    [
        ("the slide has gone", True),
        ("gone in turn three", True),
        ("no more hop", True),
        ("fixed the push", True),
        ("it is right now", True),
        ("hop gone, tyres gone off", True),
        ("gone on entry, still there on exit", False),
        ("better, tyres gone off", False),
    ],
)
def test_what_has_gone_and_is_the_fault_is_cured(text: str, gone: bool) -> None:
    came = after_run.came(text)
    assert came
    assert (came.verdict, came.gone) == ("better", gone)
