"""How strong a step is on a light child's kart and a heavy senior's, and what it makes of the amount."""

from __future__ import annotations

from dataclasses import replace

import pytest

from advisor.mechanics import surface
from advisor.mechanics.known import known
from advisor.mechanics.outlook import Change, base, outlook
from advisor.mechanics.turns import TURNS, one_step
from advisor.model.advice import Advice
from advisor.model.case import Case, Limit
from advisor.model.knowledge import Book
from advisor.planning.sizes import MOST, TOLD, Size, sizes
from advisor.planning.steps import move
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import Mind, make_ready, reason
from advisor.units import parse

CHILD = Case(driver_mass=parse("30 kg"), observed={"machine": "cadet", "driver_mass": "light"})
SENIOR = Case(driver_mass=parse("100 kg"), observed={"driver_mass": "heavy"})
PUSHES = "it pushes on the way in, the front washes wide when I turn in"


@pytest.fixture(scope="module")
def mind(book: Book) -> Mind:
    return make_ready(book)


def tipping(share: float, track: float, height: float) -> float:
    """By how much less lateral acceleration [g] a kart tips for each metre that its driver sits higher.

    A rigid kart tips where m a h = m g t / 2 (Gillespie, Fundamentals of Vehicle Dynamics, 1992, ch. 9), so
    a / g = t / (2 h), and the mass rises by the driver's share of what he does.
    """
    return share * track / (2 * height**2)


def test_a_rigid_kart_by_hand_gives_the_same_ratio() -> None:
    """Masses, tracks and heights as the model has them for these karts; tracks weighed by the load of each end."""
    usual = tipping(0.42, 0.43 * 1.08 + 0.57 * 1.17, 0.25)
    child = tipping(30 / 92, 0.43 * 0.93 + 0.57 * 0.94, 0.24)
    senior = tipping(100 / 190, 0.43 * 1.08 + 0.57 * 1.17, 0.27)
    for case, by_hand in ((CHILD, child / usual), (SENIOR, senior / usual)):
        kart = known(case)
        share = kart.figures["driver_share"].usual
        assert surface.strength(kart, "seat_height", "two_wheel_calm") == pytest.approx(by_hand, rel=0.06), (
            share
        )


def test_lead_weighs_more_on_a_light_kart_by_hand() -> None:
    """Two kilograms raised alike raise the mass by 2 / m of it."""
    usual = tipping(2 / 165, 0.43 * 1.08 + 0.57 * 1.17, 0.25)
    child = tipping(2 / known(CHILD).figures["mass"].usual, 0.43 * 0.93 + 0.57 * 0.94, 0.24)
    found = surface.strength(known(CHILD), "ballast_height", "two_wheel_calm")
    assert found == pytest.approx(child / usual, rel=0.05)


@pytest.mark.parametrize(
    ("lever", "effect"), [("seat_fore_aft", "front_bite_entry"), ("caster", "inside_rear_lift")]
)
def test_the_whole_model_gives_the_same_ratio(book: Book, lever: str, effect: str) -> None:
    """As a share of the weight where it is a force; the usual grip and corner on both, because only the kart counts."""

    def step(case: Case) -> float:
        found = known(case).figures
        change = Change(lever, TURNS[lever].raises, one_step(book.levers[lever]))
        row = outlook(base(found), [change]).effects[effect]
        return row.middle / (found["mass"].usual if effect in surface.FORCES else 1.0)

    for case in (CHILD, SENIOR):
        exact = step(case) / step(Case())
        assert surface.strength(known(case), lever, effect) == pytest.approx(exact, rel=0.25)


def found(mind: Mind, case: Case, lever: str) -> Advice:
    return next(a for a in advise(mind, replace(case, complaint=PUSHES)).advice if a.lever == lever)


def test_a_light_child_moves_the_seat_further_than_a_heavy_senior(mind: Mind) -> None:
    """His weight is a smaller part of the kart, so one step moves less of it."""
    seat = {"seat_fore_aft": parse("175 mm")}
    child, senior = (found(mind, replace(c, setup=seat), "seat_fore_aft") for c in (CHILD, SENIOR))
    assert child.direction == senior.direction == "forward"
    assert child.to is not None
    assert senior.to is not None
    assert (senior.to.since, senior.to.value) == (175, 185)
    assert (child.to.since, child.to.value) == (175, 195)
    told = " ".join(child.why)
    assert "so it is 2 steps: 20 mm instead of 10." in told
    assert "what it gives on a usual one" not in " ".join(senior.why)


def test_it_is_never_less_than_one_step_nor_more_than_two(mind: Mind, book: Book) -> None:
    for case in (CHILD, SENIOR):
        done = reason(mind, replace(case, complaint=PUSHES))
        for ranked in done.ranked:
            assert 1 <= ranked.move.size.times <= MOST
            strength = ranked.move.size.strength
            assert strength == 1 or not 1 / TOLD < strength < TOLD
            if strength > 1:
                assert ranked.move.size.times == 1


def test_the_direction_stays_as_the_sources_state_it(mind: Mind) -> None:
    """Every way that is advised without the kart's figures is advised with them, and no other."""
    day = {"machine": "cadet", "driver_mass": "light"}
    case = Case(complaint=PUSHES, observed=day)
    with_them = {r.prospect.lever: r.prospect.way for r in reason(mind, case).ranked}
    plain = reason(mind, case)
    bare = sizes(mind.book, known(Case()), plain.links, [r.prospect for r in plain.ranked])
    assert bare == {}
    assert with_them == {r.prospect.lever: r.prospect.way for r in plain.ranked}


def test_where_the_loads_contradict_the_sources_they_say_nothing_of_the_size(mind: Mind, book: Book) -> None:
    kart = known(CHILD)
    claim = next(g for g in book.levers["rear_track_width"].gives if g.effect == "rear_release")
    assert surface.strength(kart, "rear_track_width", "rear_release") is not None
    assert not surface.Built.like(kart).agrees(book.levers["rear_track_width"], claim)


def test_rules_stops_and_windows_still_bound_what_is_scaled(book: Book) -> None:
    lever, twice = book.levers["rear_track_width"], Size(0.5, 2.0)
    case = Case(
        setup={"rear_track_width": parse("1390 mm")}, rules={"rear_track_width": Limit(most=parse("1400 mm"))}
    )
    wider = move(book, lever, "wider", case, {}, twice)
    narrower = move(book, lever, "narrower", case, {}, twice)
    assert wider.to is not None
    assert narrower.to is not None
    assert wider.to.value == 1400
    assert narrower.to.value == 1370
    assert narrower.amount is not None
    assert narrower.amount.value == 10


def test_parts_and_grades_are_not_divided_or_doubled(book: Book) -> None:
    from advisor.planning.sizes import _times

    for lever in ("axle_stiffness", "rear_hub_length", "seat_stays"):
        assert _times(book.levers[lever], 0.4) == 1
    assert _times(book.levers["caster"], 0.7) == 1.5
