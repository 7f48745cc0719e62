"""Hours since a service: of each kart and part, from the laps that were noted."""

from __future__ import annotations

import pytest

from tests.diary.paddock import Laptop


def _run(laptop: Laptop, kart: str, *more: str) -> None:
    done = laptop.wait(minutes=20)("diary", "--kart", kart, *more)
    assert done.status == 0, done


def test_hours_since_a_service_are_those_of_the_laps_noted_after_it(laptop: Laptop) -> None:
    ten = " ".join(["60.0"] * 10)
    _run(laptop, "red", "--laps", ten)  # before it
    _run(laptop, "red", "--service", "engine")
    _run(laptop, "red", "--laps", " ".join(["60.0"] * 60))
    _run(laptop, "red", "--laps", ten, "--service", "chain")
    _run(laptop, "red", "--words", "hops")
    _run(laptop, "blue", "--laps", ten)
    shown = laptop("history", "--service").text
    # 60 + 10 laps of a minute are 1.17 h; 10 are .17 h
    assert (
        "red, engine: 1.2 h of timed laps in 2 runs since 4 May 2024; 1 more without laps is not in it."
        in shown
    )
    assert (
        "red, chain: 0.2 h of timed laps in 1 run since 4 May 2024; 1 more without laps is not in it."
        in shown
    )
    assert "blue" not in shown
    _run(laptop, "red", "--service", "Engine")
    shown = laptop("history", "--service", "--kart", "red").text
    assert "red, Engine: 0.0 h of timed laps in 0 runs" in shown
    assert "serviced: Engine" in laptop("history").text
    assert "service" in laptop("history", "--csv", "-").out.splitlines()[0]


def test_a_correction_keeps_the_service_and_none_is_told_so(laptop: Laptop) -> None:
    _run(laptop, "red", "--words", "hops")
    assert "No service is noted yet" in laptop("history", "--service").text
    _run(laptop, "red", "--service", "brake pads")
    entry = laptop("history").out.split("noted ")[2][:8]
    assert laptop("diary", "--correct", entry, "--words", "new pads").status == 0
    assert "red, brake pads: 0.0 h" in laptop("history", "--service").text


@pytest.mark.parametrize("width", [40, 80])
def test_it_fits_the_width(laptop: Laptop, width: int) -> None:
    laptop.width = width
    _run(laptop, "red", "--laps", "45.3 45.4", "--service", "engine and clutch")
    assert max(map(len, laptop("history", "--service").out.splitlines())) <= width
