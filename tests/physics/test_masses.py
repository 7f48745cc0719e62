"""Corner weights, height of the centre of gravity and lead: published examples, statics by hand, exhaustive search."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from advisor.physics.ballast import OUT_COSTS, PLACE_COSTS, PLACES, ballast, bolts, placed
from advisor.physics.cg import cg, height
from advisor.physics.weights import weights

LOAD = st.floats(15, 70)


def test_a_published_corner_weight_example() -> None:
    """A public page on corner weights (seen): LF 694, RF 606, LR 670, RR 585, cross 1276, front 50.9 %."""
    found = weights(front_left=694, front_right=606, rear_left=670, rear_right=585)
    assert found.total == 1279 + 1276
    assert found.cross == pytest.approx(1276 / 2555)
    assert found.front == pytest.approx(0.509, abs=5e-4)
    assert found.left == pytest.approx(1364 / 2555)


@given(LOAD, LOAD, LOAD, LOAD)
def test_shares_add_up_and_turn_with_the_kart(fl: float, fr: float, rl: float, rr: float) -> None:
    one = weights(front_left=fl, front_right=fr, rear_left=rl, rear_right=rr, minimum=100, wheelbase=1.05)
    mirrored = weights(front_left=fr, front_right=fl, rear_left=rr, rear_right=rl)
    turned = weights(front_left=rr, front_right=rl, rear_left=fr, rear_right=fl)
    assert one.total == pytest.approx(fl + fr + rl + rr)
    assert mirrored.left == pytest.approx(1 - one.left)
    assert mirrored.cross == pytest.approx(1 - one.cross)
    assert turned.front == pytest.approx(1 - one.front)
    assert one.cg_to_axle == pytest.approx(1.05 * one.front)
    assert one.over_minimum == pytest.approx(one.total - 100)


# --- height of the centre of gravity ------------------------------------------------------------------


def test_the_arithmetic_of_a_published_calculator() -> None:
    """Seen: 11 in, 15 in, c 30 in, a 27 in, b 2.7 m, WF 150 kg, m 55 kg, 10 deg: 37.6154 m.

    Its numbers mean nothing (c and a do not add up to b), so the line of the axles is put in by hand; the sum
    itself refuses such a height.
    """
    b, c, a, m, wf = 2.7, 30 * 0.0254, 27 * 0.0254, 55.0, 150.0
    line = 11 * 0.0254 * c / b + 15 * 0.0254 * a / b
    lifted = height(0.0, 0.0, 0.0, b, m, (wf * b - m * c) / b, math.radians(10))
    assert line + lifted == pytest.approx(37.6154, abs=1e-4)
    with pytest.raises(ValueError, match="no kart is so"):
        cg(front_mass=30, rear_mass=25, low_mass=100, lifted="rear", lift=0.18, wheelbase=1.05, front_radius=0.13,
           rear_radius=0.14)  # fmt: skip


def weighed(h: float, to_rear: float, radius: float, lifted: str, lift: float, mass: float = 160) -> float:
    """Load of the low axle of a tilted rigid kart [kg], from a force balance in two dimensions (our own oracle)."""
    base = 1.05
    tilt = math.asin(lift / base)
    along = base - to_rear if lifted == "rear" else to_rear  # from the low axle to the centre of gravity
    over = along * math.cos(tilt) - (h - radius) * math.sin(tilt)
    return mass * (1 - over / (base * math.cos(tilt)))


@given(
    h=st.floats(0.15, 0.35), to_rear=st.floats(0.38, 0.5), lift=st.floats(0.2, 0.6),
    lifted=st.sampled_from(["front", "rear"]),
)  # fmt: skip
def test_the_height_of_a_kart_that_is_known_is_found(
    h: float, to_rear: float, lift: float, lifted: str
) -> None:
    front = 160 * to_rear / 1.05
    low = weighed(h, to_rear, 0.13, lifted, lift)
    found = cg(front_mass=front, rear_mass=160 - front, low_mass=low, lifted=lifted, lift=lift, wheelbase=1.05,
               front_radius=0.13, rear_radius=0.13)  # fmt: skip
    assert found.cg_height == pytest.approx(h, abs=1e-9)
    more = cg(front_mass=front, rear_mass=160 - front, low_mass=low + 0.5, lifted=lifted, lift=lift, wheelbase=1.05,
              front_radius=0.13, rear_radius=0.13)  # fmt: skip
    assert more.cg_height - h == pytest.approx(found.per_kilogram / 2)


@given(h=st.floats(0.15, 0.35), to_rear=st.floats(0.38, 0.5), lift=st.floats(0.2, 0.6))
def test_the_height_by_the_front_axle_as_a_book_has_it(h: float, to_rear: float, lift: float) -> None:
    """A printed text (seen, its equations 1 to 3), front raised: h = r + (b - L Rf1 / W) cot(theta)."""
    low = weighed(h, to_rear, 0.13, "front", lift)
    printed = 0.13 + (to_rear - 1.05 * (160 - low) / 160) / math.tan(math.asin(lift / 1.05))
    front = 160 * to_rear / 1.05
    ours = cg(front_mass=front, rear_mass=160 - front, low_mass=low, lifted="front", lift=lift, wheelbase=1.05,
              front_radius=0.13, rear_radius=0.13)  # fmt: skip
    assert ours.cg_height == pytest.approx(printed, abs=1e-9)


def test_the_centre_of_gravity_of_a_research_kart() -> None:
    """Public research code (seen): 0.72 m behind the front, 0.47 m before the rear axle, 39.5 % on the front."""
    found = weights(front_left=39.5, front_right=39.5, rear_left=60.5, rear_right=60.5, wheelbase=0.72 + 0.47)
    assert found.cg_to_axle == pytest.approx(0.47, abs=0.001)


def test_the_steps_of_the_published_corner_weights() -> None:
    """The same page (seen): the mean of 52.8 and 49.0 % is 50.9 %, so 1364 and 1191 want 694 and 585 at LF and RR."""
    found = weights(front_left=694, front_right=606, rear_left=670, rear_right=585)
    assert found.front == pytest.approx((0.528 + 0.490) / 2, abs=5e-4)
    assert (round(1364 * 0.509), round(1191 * 0.491)) == (694, 585)
    assert found.total * found.left == pytest.approx(1364)


def test_the_line_of_the_axles_where_the_wheels_differ() -> None:
    """Nothing gained by the low axle: the centre of gravity lies on the line, by hand 0.12 x 0.4 + 0.15 x 0.6."""
    assert height(0.12, 0.15, 0.42, 1.05, 160, 0, 0.3) == pytest.approx(0.12 * 0.4 + 0.15 * 0.6)


def test_the_small_angle_form_that_a_page_prints_is_not_ours() -> None:
    """Beside b (W' - W) / (M tan X) (R. Gray, seen) it prints b^2 (W' - W) / (h M), which lacks the factor cos X."""
    angle = math.radians(25)
    ours = height(0, 0, 0, 1.05, 160, 5, angle)
    assert ours == pytest.approx(1.05 * 5 / (160 * math.tan(angle)))
    printed = 1.05**2 * 5 / (1.05 * math.sin(angle) * 160)
    assert ours == pytest.approx(printed * math.cos(angle))


def test_a_lift_as_long_as_the_kart_is_refused() -> None:
    with pytest.raises(ValueError, match="as long as wheelbase"):
        cg(front_mass=70, rear_mass=90, low_mass=75, lifted="rear", lift=1.05, wheelbase=1.05, front_radius=0.13,
           rear_radius=0.14)  # fmt: skip


# --- lead ---------------------------------------------------------------------------------------------


def arms(front: float, left: float) -> list[tuple[float, float]]:
    return [(x / front, 0.5 + y / left) for _, x, y in PLACES]


def off(counts: tuple[int, ...], each: float, short: tuple[float, float]) -> float:
    """Distance of a placing from what front and left lack [kg]."""
    rows = arms(1.05, 1.13)
    return sum(
        abs(short[axis] - sum(n * each * row[axis] for n, row in zip(counts, rows, strict=True)))
        for axis in (0, 1)
    )


def cost(counts: tuple[int, ...], each: float, short: tuple[float, float]) -> float:
    """What is made least: the distance, and what places cost that are many or far from the middle."""
    out = sum(
        n * each * (abs(f - 0.5) + abs(s - 0.5)) for n, (f, s) in zip(counts, arms(1.05, 1.13), strict=True)
    )
    return off(counts, each, short) + PLACE_COSTS * sum(n > 0 for n in counts) + OUT_COSTS * out


@settings(max_examples=15, deadline=None)
@given(front=st.floats(-1, 6), left=st.floats(-1, 6), pieces=st.integers(1, 6), most=st.integers(2, 6))
def test_no_other_placing_comes_nearer(front: float, left: float, pieces: int, most: int) -> None:
    """Every placing there is, one by one."""
    found = tuple(placed(arms=arms(1.05, 1.13), short=(front, left), pieces=pieces, each=0.5, most=most))
    assert sum(found) == pieces
    assert max(found) <= most
    every = (c for c in itertools.product(range(most + 1), repeat=len(PLACES)) if sum(c) == pieces)
    best = min(cost(c, 0.5, (front, left)) for c in every)
    assert cost(found, 0.5, (front, left)) <= best + 0.005  # what the solver may miss


def test_fine_pieces_come_as_near_as_scipys_continuous_optimum() -> None:
    rows = np.array(arms(1.05, 1.13))
    short = np.array([1.1, 3.0])
    start = np.full(len(PLACES), 4.0 / len(PLACES))
    free = minimize(
        lambda m: float(np.sum((m @ rows - short) ** 2)),
        start,
        method="SLSQP",
        bounds=[(0, 5)] * len(PLACES),
        constraints={"type": "eq", "fun": lambda m: float(m.sum() - 4)},
    )
    found = placed(arms=arms(1.05, 1.13), short=(1.1, 3.0), pieces=40, each=0.1, most=50)
    assert off(tuple(found), 0.1, (1.1, 3.0)) <= math.sqrt(2 * free.fun) + PLACE_COSTS * 6 + 0.1


def test_near_the_middle_wins_a_tie() -> None:
    """Lead half in front of the middle and half behind it does what lead in the middle does (moments)."""
    spots = [(0.1, 0.5), (0.9, 0.5), (0.5, 0.5)]
    assert placed(arms=spots, short=(2.0, 2.0), pieces=4, each=1.0, most=4) == [0, 0, 4]


def test_four_kilos_go_forward_where_the_front_is_light() -> None:
    found = ballast(front_left=32, front_right=33, rear_left=49, rear_right=48, mass=4, wheelbase=1.05, track=1.13,
                    target_front=0.43, target_left=0.5, piece=0.5, place_limit=5, per_bolt=2.5)  # fmt: skip
    assert found.front_before < found.front <= 0.43
    assert sum(found.placing.values()) == pytest.approx(4)
    assert found.placing["nose"] >= 3  # by moments: 0.43 x 166 - 65 = 6.4 kg are lacking, the nose gives most
    assert found.total == pytest.approx(166)
    # moments by hand about the rear axle
    arm = {name: x for name, x, _ in PLACES}
    assert found.front * 166 == pytest.approx(65 + sum(m * arm[n] / 1.05 for n, m in found.placing.items()))


def test_lead_goes_to_the_light_side() -> None:
    """Moments by hand: 0.2 m left of the middle of 1.13 m puts 0.5 + 0.177 of it on the left wheels."""
    found = ballast(front_left=33, front_right=37, rear_left=44, rear_right=48, mass=4, wheelbase=1.05, track=1.13,
                    target_front=0.43, target_left=0.5, piece=0.5, place_limit=5, per_bolt=2.5)  # fmt: skip
    assert found.placing["seat left"] >= 3
    assert "seat right" not in found.placing
    on_left = sum(
        kg * (0.5 + (0.2 / 1.13 if name == "seat left" else 0)) for name, kg in found.placing.items()
    )
    assert found.left * found.total == pytest.approx(77 + on_left)


def test_bolts_by_the_strictest_of_the_rulebooks() -> None:
    """Rulebooks quoted by clubs (seen): over 3 kg more than one bolt; no more than 5 kg for two."""
    assert [bolts(m, 2.5) for m in (0.5, 2.5, 3.1, 5.0, 5.5)] == [1, 1, 2, 2, 3]


def test_lead_that_the_places_cannot_take_is_refused() -> None:
    with pytest.raises(ValueError, match="nothing stands"):
        ballast(front_left=0, front_right=0, rear_left=0, rear_right=0, mass=4, wheelbase=1.05, track=1.13,
                target_front=0.43, target_left=0.5, piece=0.5, place_limit=5, per_bolt=2.5)  # fmt: skip
    with pytest.raises(ValueError, match="larger piece"):
        ballast(front_left=30, front_right=30, rear_left=45, rear_right=45, mass=60, wheelbase=1.05, track=1.13,
                target_front=0.43, target_left=0.5, piece=0.05, place_limit=20, per_bolt=2.5)  # fmt: skip
    with pytest.raises(ValueError, match="place_limit"):
        placed(arms=[(0.5, 0.5)], short=(1, 1), pieces=11, each=0.5, most=10)
