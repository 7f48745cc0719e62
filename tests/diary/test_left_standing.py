"""Danger told to the diary stands: whoever asks of that kart next is told, until somebody has seen to it."""

from __future__ import annotations

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
