"""Whatever the setup, trailer, rules, minutes, wishes and trials: nothing is advised that they forbid."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import example, given, settings

from advisor.karts.written import case_from_data
from advisor.mechanics.known import ANSWERS
from advisor.model.advice import Advice, Answer, Withheld
from advisor.model.assumed import LEAST_STEP
from advisor.model.case import Case, Limit
from advisor.model.levers import Lever
from advisor.planning.ranking import minutes, side_effects
from advisor.planning.steps import window
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import Reasoning, reason
from advisor.units import UNITS, Quantity, parse
from tests.properties.random_cases import CASES, lever, patiently, quick, shipped
from tests.properties.turning import (
    BOTH_ENDS,
    ENDS,
    bounds,
    grain,
    missing_part,
    past,
    past_an_end,
    sign,
    step_in_si,
    target,
)

some = settings(patiently, max_examples=15)
PLAIN = Case(observed={"phase": "mid", "balance": "oversteer", "onset": "gradual"})


def advised(answer: Answer, ident: str) -> Advice | None:
    return next((a for a in answer.advice if a.lever == ident), None)


@some
@given(CASES)
def test_no_change_goes_past_a_stop_or_a_class_rule(case: Case) -> None:
    assert [text for a in quick(case).advice for text in past(case, a)] == []


@some
@given(CASES)
def test_all_four_pressures_respect_the_limits_of_each_end(case: Case) -> None:
    assert [text for a in quick(case).advice for text in past_an_end(case, a)] == []


@some
@given(CASES)
def test_no_change_needs_a_part_that_is_not_in_the_trailer(case: Case) -> None:
    missing = [(a.lever, a.direction, target(case, a)) for a in quick(case).advice if missing_part(case, a)]
    assert missing == []


@some
@given(CASES)
def test_no_change_takes_longer_than_the_minutes_left(case: Case) -> None:
    left = case.minutes
    too_long = [a.lever for a in quick(case).advice if left is not None and a.minutes > left]
    assert too_long == []


@some
@given(CASES)
def test_no_way_that_failed_is_advised_again(case: Case) -> None:
    failed = {(t.lever, t.direction) for t in case.tried if t.verdict != "better"}
    answer = quick(case)
    assert failed.isdisjoint((a.lever, a.direction) for a in answer.advice)
    told = {(w.lever, w.direction) for w in answer.withheld}
    assert failed <= told or len(answer.withheld) == 6 or not answer.causes


@some
@given(CASES)
def test_no_wish_is_spoilt_by_what_the_trade_is_surer_of_than_not(case: Case) -> None:
    evidence = reason(shipped(), case).evidence
    spoilt = [
        (a.lever, a.direction, effect)
        for a in quick(case).advice
        for effect, less, sure in side_effects(lever(a.lever), a.direction, evidence)
        if less and sure > 0.5 and effect in evidence.keep
    ]
    assert spoilt == []


# --- amounts ------------------------------------------------------------------------------------------


@some
@given(CASES)
@example(Case(observed={"balance": "oversteer"}, kart_class="cadet"))
def test_amounts_are_the_authored_step_or_lead_to_a_limit_on_the_way_or_the_nearest_length(
    case: Case,
) -> None:
    for advice in quick(case).advice:
        entry = lever(advice.lever)
        if entry.step is None or not sign(advice):
            assert advice.amount is None
            assert advice.to is None
            continue
        if entry.parts and advice.amount is None:
            assert advice.detail  # what each of its parts comes to
            continue
        assert advice.amount is not None
        assert advice.amount.per == entry.step.per
        if entry.dimension is None or entry.grades:
            value, unit = entry.step.amount.split()
            assert (advice.amount.unit, unit) in {("grade", "grade"), ("piece", "piece")}
            assert advice.amount.value == float(value) or entry.grades  # further grades are tested below
        else:
            _assert_length(case, advice)


def _assert_length(case: Case, advice: Advice) -> None:
    """The authored step, or the way to the nearest length in the trailer that lies in this direction.

    Where the kart is told, what does little on it is given one and a half or two steps (planning.sizes).
    """
    entry, now, to = lever(advice.lever), case.setup.get(advice.lever), target(case, advice)
    assert entry.step is not None
    step = parse(entry.step.amount)
    size = step.value * step.unit.factor
    assert advice.amount is not None
    off = grain(advice.amount.unit)
    if not isinstance(now, Quantity) or now.dimension != step.dimension:
        assert to is None
        assert any(step_in_si(advice) == pytest.approx(t * size, abs=off) for t in _times(case))
        return
    assert isinstance(to, Quantity)
    parts = _lengths_that_way(case, entry, now, sign(advice))
    end = _window_end(case, entry, now, sign(advice))
    ends = []
    for times in _times(case):
        full = now.si + sign(advice) * times * entry.step.counts * size if end is None else end
        wanted = parts or _limits_on_the_way(case, entry, now.si, full) or [full]
        ends.append(min(wanted, key=lambda x: abs(x - now.si)))
    assert any(to.si == pytest.approx(x, abs=1e-9) for x in ends)
    counts = 1 if parts else entry.step.counts
    assert counts * step_in_si(advice) == pytest.approx(abs(to.si - now.si), abs=counts * off)


def _times(case: Case) -> tuple[float, ...]:
    """What planning.sizes may multiply a step by."""
    told = {name.split()[0] for name in ANSWERS} & case.observed.keys()
    return (1, 1.5, 2) if told or case.driver_mass or case.setup or case.kart_class else (1,)


def _window_end(case: Case, entry: Lever, now: Quantity, way: int) -> float | None:
    """The nearer end of the window of the trade, where the value lies outside of it and this is the way in."""
    guide = window(entry, reason(shipped(), case).evidence.facts)
    if guide is None:
        return None
    end = parse(guide.low if way > 0 else guide.high)
    return end.si if way * (end.si - now.si) > 1e-9 else None


def _lengths_that_way(case: Case, entry: Lever, now: Quantity, way: int) -> list[float]:
    parts = (case.kit or {}).get(entry.id, ()) if entry.part else ()
    return [p.si for p in parts if isinstance(p, Quantity) and (p.si - now.si) * way > 1e-9]


def _limits_on_the_way(case: Case, entry: Lever, now: float, full: float) -> list[float]:
    """Limits inside of a full step, far enough off for a shorter step to be worth a run."""
    if entry.part:
        return []
    edges = [b.si for _, b in bounds(entry, case.rules.get(entry.id)) if isinstance(b, Quantity)]
    return [
        e
        for e in edges
        if min(now, full) < e < max(now, full) and abs(e - now) >= LEAST_STEP * abs(full - now)
    ]


@some
@given(CASES)
def test_as_many_grades_are_told_as_lie_between_now_and_then(case: Case) -> None:
    for advice in quick(case).advice:
        grades, now, to = lever(advice.lever).grades, case.setup.get(advice.lever), target(case, advice)
        if now in grades and to in grades and advice.amount is not None:
            assert advice.amount.value == abs(grades.index(str(to)) - grades.index(str(now)))


# --- what is withheld ---------------------------------------------------------------------------------


@some
@given(CASES)
@example(Case(observed={"owner": "hire", "air_change": "same"}))
def test_what_is_withheld_names_the_value_or_the_wish(case: Case) -> None:
    done = reason(shipped(), case)
    for withheld in quick(case).withheld:
        assert any(text in withheld.reason for text in _names(case, done, withheld)), withheld


def _names(case: Case, done: Reasoning, withheld: Withheld) -> list[str]:
    """Pieces one of which a reason must hold, by what kind of reason it is."""
    entry, reason_ = lever(withheld.lever), withheld.reason
    if reason_.startswith("already tried: "):
        turn = (withheld.lever, withheld.direction)
        if entry.ways[withheld.direction].look:  # what was looked at is not looked at again at once
            turns = {(t.lever, t.direction) for t in done.evidence.trials}
            whole = {turn, (withheld.lever, "check")} & turns
            return ["nothing found", "found and put right", "a new fault"] if whole else []
        verdicts = [t.verdict for t in done.evidence.trials if (t.lever, t.direction) == turn]
        return ["no change" if v == "same" else v for v in verdicts if v != "better"]
    if reason_ in _barred(done, entry.id):
        return [reason_]
    if "minutes and" in reason_:
        work = minutes(entry, withheld.direction)
        return [f"about {work} minutes and {case.minutes:g} are left"]
    if "you want to keep" in reason_:
        return [shipped().book.effects[e].name for e in done.evidence.keep]
    if "in the trailer" in reason_:
        parts = (case.kit or {}).get(entry.id, ())
        return [", ".join(str(p) for p in parts)] if parts else [entry.name]
    if "so already" in reason_:
        done_if = entry.ways[withheld.direction].done_if
        return [reason_] if done_if else []
    if "allows only" in reason_:
        return [", ".join(case.rules[entry.id].only)]
    now = case.setup.get(entry.id)
    together = (BOTH_ENDS, *ENDS) if entry.id in (BOTH_ENDS, *ENDS) else (entry.id,)
    lengths = [q for i in together if isinstance(q := case.setup.get(i), Quantity)]
    if lengths:
        return [str(q.within(u)) for q in lengths for u in UNITS.values() if u.dimension == q.dimension]
    return [
        f"{now:g}" if isinstance(now, int | float) else f'"{target_of(done, entry.id) or now}"',
        f'"{now}"',
    ]


def _barred(done: Reasoning, ident: str) -> list[str]:
    """What may be said of a hire kart, the only thing that bars every lever but a few."""
    bars = [bar.because for bar in shipped().book.bars.values() if ident not in bar.spared]
    return bars if "hire" in done.evidence.told.get("owner", ()) else []


def target_of(done: Reasoning, ident: str) -> str | None:
    """The grade that a withheld change would have led to."""
    move = next(r.move for r in done.ranked if r.prospect.lever == ident)
    return str(move.to.value) if move.to else None


# --- each of these was advised once, or withheld without need -------------------------------------------

HOT = Case(observed={"balance": "slide", "tyres": "hot"})
COLD = Case(observed={"balance": "slide", "tyres": "cold", "field": "only_us"})
FLAT = Case(
    observed={"balance": "bind", "phase": "mid"}, ideas=("rear_ride_height lower",)
)  # so that it is listed
PUSH = Case(complaint="It wont turn in.")
RAIN = Case(observed={"track": "wet", "tyre_kind": "slicks", "balance": "slide"})
SPIN = Case(complaint="The wheels spin on exit.")
HOP = Case(complaint="It hops under braking.")
SLIDE = Case(complaint="The rear slides mid corner.", observed={"onset": "gradual"})
SKATE = Case(
    complaint="It skates at both ends, all four tyres cool and shiny.", observed={"field": "only_us"}
)

FORBIDDEN = {
    "air out of all four where the class has the rears at their least": (
        replace(HOT, setup={"tyre_pressure_rear": parse("10 psi")},
                rules={"tyre_pressure_rear": Limit(least=parse("10 psi"))}), "tyre_pressure:down",
    ),
    "air into all four with the fronts at their stop": (
        replace(COLD, setup={"tyre_pressure_front": parse("30 psi")}), "tyre_pressure:up",
    ),
    "air out of the rears where the class has a least for all four": (
        replace(SLIDE, setup={"tyre_pressure_rear": parse("10 psi")},
                rules={"tyre_pressure": Limit(least=parse("10 psi"))}), "tyre_pressure_rear:down",
    ),
    "more toe-out where the class has the most, both in degrees": (
        replace(PUSH, setup={"toe": parse("0.5 deg")}, rules={"toe": Limit(most=parse("0.5 deg"))}), "toe:out",
    ),
    "a lower rear where the class has the least, both in millimetres": (
        replace(FLAT, setup={"rear_ride_height": parse("50 mm")},
                rules={"rear_ride_height": Limit(least=parse("50 mm"))}), "rear_ride_height:lower",
    ),
    "longer hubs where the class allows one length": (
        replace(SPIN, setup={"rear_hub_length": parse("75 mm")}, rules={"rear_hub_length": Limit(only=("75 mm",))}),
        "rear_hub_length:longer",
    ),
    "another axle where the class allows one grade": (
        replace(HOP, rules={"axle_stiffness": Limit(only=("medium",))}), "axle_stiffness:softer",
    ),
    "wets that are not in the trailer": (replace(RAIN, kit={"tyres": ("slick",)}), "tyres:wets"),
    "wets where the class allows slicks only": (replace(RAIN, rules={"tyres": Limit(only=("slick",))}), "tyres:wets"),
}  # fmt: skip
ALLOWED = {
    "a bar that is taken off needs no part": (
        replace(SKATE, setup={"front_torsion_bar": "soft"}, kit={}), "front_torsion_bar:remove",
    ),
    "a bar that is taken off needs no part, whatever else is there": (
        replace(SKATE, setup={"front_torsion_bar": "soft"}, kit={"front_torsion_bar": ("stiff",)}),
        "front_torsion_bar:remove",
    ),
    "a stay that is taken off needs no part": (
        replace(SKATE, setup={"seat_stays": 1}, kit={}), "seat_stays:remove",
    ),
    "tyres that are warmed are on the kart": (replace(COLD, kit={}), "tyres:warm"),
    "hubs of a length that the class allows in other words": (
        replace(SPIN, setup={"rear_hub_length": parse("75 mm")},
                rules={"rear_hub_length": Limit(only=("75mm", "9.5 cm"))}), "rear_hub_length:longer",
    ),
    "a width beyond the stop may come back": (
        replace(SLIDE, setup={"rear_track_width": parse("1450 mm")}), "rear_track_width:narrower",
    ),
    "air above what the class allows may be let out": (
        replace(SLIDE, setup={"tyre_pressure_rear": parse("14 psi")},
                rules={"tyre_pressure_rear": Limit(most=parse("12 psi"))}), "tyre_pressure_rear:down",
    ),
}  # fmt: skip


def turns(case: Case) -> set[str]:
    """What is advised by the book alone: what mechanics try first leaves what they seldom try out of the list."""
    mind = replace(shipped(), ear=None)
    return {
        f"{a.lever}:{a.direction}"
        for a in advise(mind, case, skipped=frozenset(mind.book.observations)).advice
    }


@pytest.mark.parametrize("name", FORBIDDEN)
def test_a_change_that_is_forbidden_is_not_advised(name: str) -> None:
    case, turn = FORBIDDEN[name]
    assert turn in turns(replace(case, setup={}, rules={}, kit=None)), "else it proves nothing"
    assert turn not in turns(case)


@pytest.mark.parametrize("name", ALLOWED)
def test_a_change_that_nothing_forbids_is_advised(name: str) -> None:
    case, turn = ALLOWED[name]
    assert turn in turns(case), [w for w in quick(case).withheld if w.lever == turn.partition(":")[0]]


def test_a_rule_in_degrees_is_not_read_as_millimetres() -> None:
    # 1 degree is 0.01745 rad: taken for metres it would be "17 mm"
    rule = {"toe": Limit(least=parse("1 deg"))}
    case = replace(PUSH, complaint="The rear kicks out when I turn in and it darts on the straight.")
    withheld = quick(replace(case, setup={"toe": parse("5 mm")}, rules=rule)).withheld
    assert not any("17 mm" in w.reason for w in withheld)


def test_a_sheet_with_a_value_for_each_side_still_tells_the_stop() -> None:
    data = {
        "observed": FLAT.observed,
        "setup": {"rear_ride_height": {"left": "low", "right": "low"}},
    }
    case = case_from_data(data, shipped().book)
    assert case is not None
    assert "rear_ride_height:lower" in turns(FLAT)
    assert "rear_ride_height:lower" not in turns(case)
