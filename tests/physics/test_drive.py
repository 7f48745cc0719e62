"""Gearing, chain and clearance: published examples, catalogue sizes, trade facts and inverses."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import brentq

from advisor.physics.chain import (
    chain,
    distance_for,
    links_for,
    outside_diameter,
    pitch_diameter,
)
from advisor.physics.clearance import clearance
from advisor.physics.gearing import gearing, nearest, same_ratio, usual

INCH, MPH = 0.0254, 0.44704
P219, P35 = 7.774e-3, 9.525e-3  # pitches as three shops print them (seen)


def rpm(value: float) -> float:
    return value * 2 * math.pi / 60


def test_a_published_speed_of_a_kart() -> None:
    """A public page on speeds (seen): 11/81, 34.125 in, 13,900 rpm: 7.36, 4.64 in, 61.08 mph (rounded steps)."""
    found = gearing(engine_teeth=11, axle_teeth=81, rollout=34.125 * INCH, rpm=rpm(13_900))
    assert found.ratio == pytest.approx(7.36, abs=0.005)
    assert found.per_turn == pytest.approx(4.64 * INCH, abs=0.01 * INCH)
    assert found.speed is not None
    assert found.speed == pytest.approx(61.08 * MPH, rel=2e-3)
    assert found.speed / MPH == pytest.approx(13_900 * 60 * 34.125 * 11 / 81 / 63_360)  # by hand: 61.000


def test_a_kart_guide_has_a_wrong_number_of_turns_in_a_mile_and_we_do_not() -> None:
    """It takes 907.7 turns a mile for 69.08 in round, where 63360 / 69.08 = 917.2: 45.76 mph printed, 45.29 is right.

    Its ratio and revs are those that give 45.76 with its own turns.
    """
    axle_turns = 45.76 * 907.7 / 60
    found = gearing(engine_teeth=10, axle_teeth=60, rollout=69.08 * INCH, rpm=rpm(axle_turns * 6))
    assert found.speed is not None
    assert found.speed / MPH == pytest.approx(45.29, abs=0.01)


def test_a_published_gearbox_kart() -> None:
    """Second-hand: 75/18, 23/22, 20/20 at 14,000 rpm is 166.6 km/h; 130 km/h with 25/27 instead is 9,676 rpm.

    The tyre is not printed: what the first line implies, the second must bear out.
    """
    first = gearing(engine_teeth=18 * 22, axle_teeth=75 * 23, rollout=1.0, rpm=rpm(14_000))
    assert first.speed is not None
    around = 166.6 / 3.6 / first.speed
    second = gearing(engine_teeth=18 * 27, axle_teeth=75 * 25, rollout=around, speed=130 / 3.6)
    assert second.rpm == pytest.approx(rpm(9_676), rel=5e-4)


def test_equal_ratios_as_printed() -> None:
    """A public page (seen): 9/81 and 10/90 are both 9 to 1; 77/11 equals 70/10 (a gearing guide, seen)."""
    assert gearing(engine_teeth=9, axle_teeth=81).ratio == 9 == gearing(engine_teeth=10, axle_teeth=90).ratio
    assert same_ratio(11, 77) == {"10/70": 7.0, "12/84": 7.0}
    assert "are the same" in gearing(engine_teeth=11, axle_teeth=77, compare=[(10, 70)]).compared


@pytest.mark.parametrize(
    ("pair", "good"),
    [((12, 80), True), ((12, 81), True), ((11, 80), True), ((12, 86), True), ((13, 85), True), ((13, 88), True),
     ((13, 82), False), ((12, 75), False)],
)  # fmt: skip
def test_pairs_that_people_fit(pair: tuple[int, int], good: bool) -> None:
    """Common practice, no source: 12 with 80, 81 or 86, 11 with 80; a 13 in front needs about 85 or more behind."""
    assert (usual(*pair) == "") == good


TEETH, AXLE = st.integers(8, 20), st.integers(60, 100)


@given(n=TEETH, m=AXLE, around=st.floats(0.6, 1.2), turns=st.floats(1000, 20_000))
def test_revs_and_speed_are_inverse(n: int, m: int, around: float, turns: float) -> None:
    there = gearing(engine_teeth=n, axle_teeth=m, rollout=around, rpm=rpm(turns))
    back = gearing(engine_teeth=n, axle_teeth=m, tyre_diameter=around / math.pi, speed=there.speed)
    assert back.rpm == pytest.approx(rpm(turns))
    assert there.per_turn is not None
    assert there.per_turn * there.ratio == pytest.approx(around)


@given(n=TEETH, m=AXLE)
def test_more_axle_teeth_are_shorter(n: int, m: int) -> None:
    assert "longer" in gearing(engine_teeth=n, axle_teeth=m, compare=[(n, m + 1)]).compared
    assert "shorter" in gearing(engine_teeth=n, axle_teeth=m, compare=[(n + 1, m)]).compared


@given(
    ratio=st.floats(5, 10),
    engine=st.sets(TEETH, min_size=1, max_size=4),
    axle=st.sets(AXLE, min_size=1, max_size=8),
)
def test_the_nearest_pair_of_a_kit_is_the_nearest_of_all(
    ratio: float, engine: set[int], axle: set[int]
) -> None:
    found = list(nearest(ratio, engine, axle).values())
    best = min(abs(math.log(m / n / ratio)) for n in engine for m in axle)
    assert abs(math.log(found[0] / ratio)) == pytest.approx(best)
    away = [abs(math.log(value / ratio)) for value in found]
    assert away == sorted(away)


def test_revs_without_a_tyre_are_refused() -> None:
    with pytest.raises(ValueError, match="rollout or tyre_diameter"):
        gearing(engine_teeth=11, axle_teeth=80, rpm=rpm(10_000))


# --- chain ------------------------------------------------------------------------------------------


def test_shigleys_example() -> None:
    """Example 17-5, from memory: 17 and 34 teeth, 30 pitches apart: 85.74 pitches of chain."""
    assert links_for(30, 17, 34) == pytest.approx(85.74, abs=0.005)


def test_a_shops_rule_of_thumb() -> None:
    """A public page (seen): links are about the sum of the teeth and 10. The distance is a regression."""
    found = chain(pitch=P219, engine_teeth=12, axle_teeth=82)
    assert found.links == 104
    assert "rule of thumb" in found.chain_note
    assert found.centre_distance == pytest.approx(203.09e-3, abs=1e-5)


def exact_links(pitches: float, n: int, m: int) -> float:
    """The exact length: two straight runs and two arcs on the pitch circles (geometry, independent of the formula)."""
    r, big = (1 / (2 * math.sin(math.pi / t)) for t in sorted((n, m)))
    angle = math.asin((big - r) / pitches)
    arcs = (math.pi - 2 * angle) / (2 * math.pi) * min(n, m) + (math.pi + 2 * angle) / (2 * math.pi) * max(
        n, m
    )
    return 2 * pitches * math.cos(angle) + arcs


@given(pitches=st.floats(20, 60), n=TEETH, m=AXLE)
def test_links_against_the_geometry(pitches: float, n: int, m: int) -> None:
    assume(pitches > 0.18 * (n + m))
    short = exact_links(pitches, n, m) - links_for(pitches, n, m)
    assert -1e-9 <= short < 0.6
    if m - n <= 75 and pitches > 26:  # as on a kart
        assert short < 0.1


@given(pitches=st.floats(20, 60), n=TEETH, m=AXLE)
def test_distance_is_the_inverse_of_links(pitches: float, n: int, m: int) -> None:
    assume(pitches > 0.18 * (n + m))
    links = links_for(pitches, n, m)
    assert distance_for(links, n, m) == pytest.approx(pitches)
    assert distance_for(links, m, n) == pytest.approx(pitches)
    root = brentq(lambda c: links_for(c, n, m) - links, pitches / 1.5, pitches * 2)  # scipy, as an oracle
    assert root == pytest.approx(pitches)


@given(distance=st.floats(0.19, 0.4), n=TEETH, m=AXLE)
def test_the_chain_is_even_and_reaches(distance: float, n: int, m: int) -> None:
    found = chain(pitch=P219, engine_teeth=n, axle_teeth=m, centre_distance=distance)
    assert found.links % 2 == 0
    assert found.links_exact <= found.links < found.links_exact + 2
    assert found.shorter_distance < distance + 1e-9 <= found.centre_distance + 2e-9


@pytest.mark.parametrize(
    ("pitch", "teeth", "printed"),
    # A public catalogue (seen), inches over the tips, made to within 0.03 in. The formula is from memory.
    [(P35, 78, 9.530), (P35, 79, 9.650), (P35, 80, 9.760), (P35, 81, 9.880), (P35, 82, 9.995),
     (P219, 91, 9.025), (P219, 95, 9.425), (P219, 99, 9.825), (P219, 100, 9.925)],
)  # fmt: skip
def test_diameters_of_a_catalogue(pitch: float, teeth: int, printed: float) -> None:
    assert outside_diameter(teeth, pitch) / INCH == pytest.approx(printed, abs=0.03)


@pytest.mark.parametrize(
    ("teeth", "mm"), [(10, 25.157), (11, 27.594), (12, 30.036), (80, 198.014), (82, 202.962)]
)
def test_pitch_diameters(teeth: int, mm: float) -> None:
    """Regressions, computed once; the oracle is a polygon whose sides are the pitch."""
    assert pitch_diameter(teeth, P219) * 1e3 == pytest.approx(mm, abs=5e-4)
    radius = pitch_diameter(teeth, P219) / 2
    assert math.dist(
        (radius, 0), [radius * f(2 * math.pi / teeth) for f in (math.cos, math.sin)]
    ) == pytest.approx(P219)


def test_sprockets_that_touch_and_chains_too_short_are_refused() -> None:
    with pytest.raises(ValueError, match="touch"):
        chain(pitch=P219, engine_teeth=12, axle_teeth=82, centre_distance=0.1)
    with pytest.raises(ValueError, match="too short"):
        chain(pitch=P219, engine_teeth=12, axle_teeth=82, links=50)
    assert "odd" in chain(pitch=P219, engine_teeth=12, axle_teeth=82, links=105).chain_note


# --- clearance --------------------------------------------------------------------------------------


def low(teeth: int, tyre: float = 0.28) -> float:
    return clearance(
        axle_teeth=teeth, pitch=P219, tyre_diameter=tyre, squash=0.003, kerb=0.025
    ).chain_clearance


def test_clearance_by_hand() -> None:
    """140 - 3 - 202.962 / 2 - 0.475 x 7.774 mm, with the pitch diameter above."""
    assert low(82) * 1e3 == pytest.approx(137 - 202.962 / 2 - 0.475 * 7.774, abs=1e-3)


@given(st.integers(60, 90))
def test_a_bigger_sprocket_and_a_lower_tyre_run_nearer_the_ground(teeth: int) -> None:
    """Common practice, no source: the bigger sprocket of one ratio runs nearer the ground."""
    assert low(teeth + 1) < low(teeth)
    assert low(teeth, 0.275) < low(teeth)
    found = clearance(axle_teeth=teeth, pitch=P219, tyre_diameter=0.28, squash=0.003, kerb=0.025)
    assert found.chain_clearance < found.sprocket_clearance  # the chain stands over the tips
    assert (found.kerb_warning == "") == (found.chain_clearance >= 0.025)


def test_a_chain_that_drags_is_refused() -> None:
    with pytest.raises(ValueError, match="drag"):
        low(110, 0.26)
