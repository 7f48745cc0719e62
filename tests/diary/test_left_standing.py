"""Danger told to the diary stands: whoever asks of that kart next is told, until somebody has seen to it."""

from __future__ import annotations

import pytest

from tests.diary.paddock import Laptop

PEDAL = "brake pedal goes to the floor"


def test_danger_that_was_noted_stands_for_its_kart(laptop: Laptop) -> None:
    assert "STOP" in laptop("diary", "--kart", "red", "--words", PEDAL).text
    laptop.wait(minutes=10)
    path = laptop.folder / "case.yaml"
    path.write_text("complaint: loose mid corner\n", "utf-8")
    said = laptop("advise", str(path), "--kart", "red").text
    assert said.lstrip().startswith("STOP: left standing")
    assert PEDAL in said
    assert PEDAL in laptop("diary", "--kart", "red", "--words", "good").text
    assert "STOP" not in laptop("advise", str(path), "--kart", "blue").text
    sitting = laptop.sits("--kart", "red", lines=("", "found a leak, new hose fitted", "1", "q")).text
    assert "STOP: do not drive it" in sitting
    assert "STOP" not in laptop.wait(minutes=10)("advise", str(path), "--kart", "red").text


@pytest.mark.parametrize(
    ("note", "said"),
    [
        ("brakes have gone", "STOP: do not drive it"),
        ("a knock from the back in turn three", "may mean danger: tell it to advisor before anybody drives"),
        ("pushes a bit still", ""),
    ],
)
def test_danger_told_beside_an_outcome_in_one_line_is_said_and_waits(
    laptop: Laptop, note: str, said: str
) -> None:
    """As at the prompt: nobody can be asked there, so it is asked of whoever comes next."""
    laptop.tries("red", {"balance": "understeer", "phase": "mid", "track": "dry"}, "caster", "more", "pushes")
    told = laptop.wait(minutes=20)("outcome", "better", "--note", note)
    assert said in told.text
    next_time = laptop.wait(minutes=5).sits("--kart", "red", lines=("", "q")).text
    if said:
        assert "STOP" in next_time or "This one first" in next_time
    else:
        assert "left in the middle" not in next_time
        assert "danger" not in told.text
