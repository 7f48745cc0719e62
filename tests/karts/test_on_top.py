"""A case on top of its kart, value by value: what the case says counts, and what it leaves open the kart tells."""

from __future__ import annotations

from typing import Any

import pytest

from advisor.karts.on_file import merged
from advisor.model.case import Case, Limit
from advisor.units import parse

MASS, WIDE, NARROW = parse("72 kg"), parse("1400 mm"), parse("1380 mm")
KART = Case(
    kart_file="red",
    kart_class="junior",
    driver_mass=MASS,
    setup={"rear_track_width": WIDE, "axle_stiffness": "soft"},
    tyres={"kind": "slick", "compound": "hard"},
    conditions={"air_temperature": parse("20 degC")},
    kit={"axle_stiffness": ("soft",)},
    rules={"rear_track_width": Limit(most=WIDE)},
    keep=("light steering",),
)


@pytest.mark.parametrize(
    ("name", "said", "counts"),
    [
        ("kart_class", "senior", "senior"),
        ("driver_mass", parse("60 kg"), parse("60 kg")),
        ("setup", {"rear_track_width": NARROW}, {"rear_track_width": NARROW, "axle_stiffness": "soft"}),
        ("tyres", {"kind": "wet"}, {"kind": "wet", "compound": "hard"}),
        ("conditions", {"air_temperature": parse("5 degC")}, {"air_temperature": parse("5 degC")}),
        ("kit", {"axle_stiffness": ("hard",)}, {"axle_stiffness": ("hard",)}),
        ("kit", {}, {}),
        ("rules", {"rear_track_width": Limit(most=NARROW)}, {"rear_track_width": Limit(most=NARROW)}),
        ("keep", ("exit traction",), ("exit traction", "light steering")),
    ],
)
def test_what_the_case_says_counts_before_the_kart(name: str, said: Any, counts: Any) -> None:
    assert getattr(merged(KART, Case(**{name: said})), name) == counts


def test_what_the_case_leaves_open_the_kart_tells() -> None:
    whole = merged(KART, Case(complaint="it hops", minutes=15))
    assert (whole.complaint, whole.minutes) == ("it hops", 15)
    for name in (
        "kart_file",
        "kart_class",
        "driver_mass",
        "setup",
        "tyres",
        "conditions",
        "kit",
        "rules",
        "keep",
    ):
        assert getattr(whole, name) == getattr(KART, name)
