"""Random cases over the shipped book: any setup, trailer, class rules, minutes, wishes, trials and words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st

from advisor import units
from advisor.book import load
from advisor.karts.values import SIGNED
from advisor.model.advice import Answer
from advisor.model.case import VERDICTS, Case, Limit, Tried, Value
from advisor.model.levers import Lever
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import Mind, make_ready
from advisor.units import UNITS, Quantity, Unit

COMPLAINTS = (
    "",
    "It hops mid corner, the inside rear lifts hard and drops.",
    "The rear slides mid corner.",
    "Loose on entry, all run, gets worse as the tyres come up.",
    "It wont turn in.",
    "It pushes on exit and the steering is heavy.",
    "It bogs mid corner, the inside rear never lifts.",
    "It slides at both ends, no grip, the tyres never get warm.",
    "It slides everywhere in the rain on slicks.",
    "The rear kicks out when I turn in and it darts on the straight.",
    "The wheels spin and the rear steps out on exit.",
    "The brake pedal goes soft and it hops under braking.",
    "I put the rear track wider and now it pushes.",
    "Should I go softer on the axle?",
    "Tomorrow it will rain, what do I prepare?",
    "The rear tyres wear into a cone.",
)
HISTORY = (
    "changed the axle this morning",
    "hit the barrier in the last race",
    "new tyres",
    "caster more",
    "tyre_pressure_rear down",
)
CLASSES = ("", "single-speed two-stroke", "cadet", "gearbox class, 125 cc")
MINUTES = (0.0, 3.0, 4.0, 7.5, 8.0, 10.0, 12.0, 15.0, 20.0, 35.0, 45.0, 600.0)
# Lever: unit, least, most (far beyond what is sensible), and values where the book or a stop bites.
LENGTHS_AND_SUCH: dict[str, tuple[str, float, float, tuple[float, ...]]] = {
    "tyre_pressure": ("psi", 0, 60, (4.5, 5, 5.5, 10, 29.5, 30, 30.5)),
    "tyre_pressure_front": ("psi", 0, 60, (4.5, 5, 5.5, 9, 11, 29.5, 30, 30.5)),
    "tyre_pressure_rear": ("psi", 0, 60, (4.5, 5, 5.5, 9, 11, 29.5, 30, 30.5)),
    "front_track_width": ("mm", 300, 2000, (1150, 1180, 1270, 1390, 1395, 1400)),
    "rear_track_width": ("mm", 300, 2000, (1360, 1370, 1380, 1390, 1395, 1400)),
    "caster": ("deg", -10, 60, (9, 12, 14, 23)),
    "camber": ("deg", -15, 15, (-2, -1, 0, 1)),
    "toe": ("mm", -40, 40, (-2, -1, 0, 1, 5)),
    "seat_fore_aft": ("mm", -100, 600, (130, 150, 195, 220)),
    "seat_height": ("mm", -100, 300, (0, 20)),
    "front_ride_height": ("mm", 0, 200, (40, 50)),
    "rear_ride_height": ("mm", 0, 200, (40, 50)),
    "front_rim_width": ("mm", 50, 400, (120, 130, 140)),
    "rear_rim_width": ("mm", 50, 400, (180, 200, 210)),
    "rear_hub_length": ("mm", 10, 300, (55, 75, 95, 115)),
    "axle_length": ("mm", 500, 1500, (1000, 1040)),
}
TEMPERATURES = ("air_temperature", "track_temperature", "tyre_temperature.front", "tyre_temperature.rear")

patiently = settings(
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    phases=(Phase.explicit, Phase.reuse, Phase.generate, Phase.shrink),
)  # a slow machine is no failure


@cache
def shipped() -> Mind:
    """The shipped book, made ready once."""
    return make_ready(load.book(), load.ear())


def lever(ident: str) -> Lever:
    return shipped().book.levers[ident]


@cache
def _all_questions() -> frozenset[str]:
    return frozenset(shipped().book.observations)


def quick(case: Case) -> Answer:
    """The answer without looking for the next question, which takes most of the time."""
    return advise(shipped(), case, skipped=_all_questions())


def unit_of(dimension: str) -> st.SearchStrategy[Unit]:
    return st.sampled_from([u for u in UNITS.values() if u.dimension == dimension])


def quantity(unit: str, low: float, high: float, telling: tuple[float, ...]) -> st.SearchStrategy[Quantity]:
    """A value in steps of a half, often one that tells, written in any unit of its dimension."""
    steps = st.sampled_from(telling) | st.integers(int(low * 2), int(high * 2)).map(lambda n: n / 2)
    exact = steps.map(lambda v: Quantity.of(v, UNITS[unit]))
    return st.builds(Quantity.within, exact, unit_of(UNITS[unit].dimension))


def value(ident: str) -> st.SearchStrategy[Value]:
    """What a setup sheet may hold for a lever."""
    entry = lever(ident)
    kinds: list[st.SearchStrategy[Any]] = []
    if ident in LENGTHS_AND_SUCH:
        kinds.append(quantity(*LENGTHS_AND_SUCH[ident]))
    if ident == "toe":
        kinds.append(quantity("deg", -3, 3, (0, 0.5)))
    if entry.grades:
        kinds.append(st.sampled_from(entry.grades))
    if ident == "seat_stays":
        kinds.append(st.integers(0, 6))
    return st.one_of(kinds)


def limit(ident: str) -> st.SearchStrategy[Limit]:
    """A class rule for a lever; where it has grades, the ones that are allowed."""
    entry = lever(ident)
    if entry.grades:
        return st.builds(Limit, only=_some(entry.grades))
    if ident == "seat_stays":
        return st.builds(Limit, st.none() | st.integers(0, 2), st.none() | st.integers(2, 6))
    bound = quantity(*LENGTHS_AND_SUCH[ident])
    return st.builds(Limit, st.none() | bound, st.none() | bound).map(_in_order)


def _in_order(rule: Limit) -> Limit:
    if isinstance(rule.least, Quantity) and isinstance(rule.most, Quantity) and rule.least.si > rule.most.si:
        return Limit(rule.most, rule.least)
    return rule


def _some(of: tuple[str, ...]) -> st.SearchStrategy[tuple[str, ...]]:
    return st.lists(st.sampled_from(of), min_size=1, max_size=len(of), unique=True).map(tuple)


def held() -> tuple[str, ...]:
    """The levers that a setup sheet holds a value for."""
    levers = shipped().book.levers
    return tuple(i for i in levers if i in LENGTHS_AND_SUCH or levers[i].grades or i == "seat_stays")


def subset(options: Mapping[str, st.SearchStrategy[Any]]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries({}, optional=dict(options))


def _kit() -> st.SearchStrategy[dict[str, tuple[Value, ...]] | None]:
    parts = [i for i in held() if lever(i).part]
    lists: dict[str, st.SearchStrategy[Any]] = {
        i: st.lists(value(i), max_size=4, unique_by=str).map(tuple) for i in parts
    }
    lists["tyres"] = st.sampled_from([(), ("slick",), ("wet",), ("slick", "wet")])
    lists["gearing"] = st.sampled_from([(), (80.0, 82.0)])
    return st.none() | subset(lists)


def _trials() -> st.SearchStrategy[tuple[Tried, ...]]:
    ways = [(e.id, way) for e in shipped().book.levers.values() for way in e.ways]
    one = st.builds(lambda w, v: Tried(w[0], w[1], v), st.sampled_from(ways), st.sampled_from(VERDICTS))
    return st.lists(one, max_size=4).map(tuple)


def _wishes() -> st.SearchStrategy[tuple[str, ...]]:
    words = [w for e in shipped().book.effects.values() for w in (e.id, *e.keep)]
    return st.lists(st.sampled_from(words), max_size=3, unique=True).map(tuple)


def observed() -> st.SearchStrategy[dict[str, str]]:
    """Up to five answers, each to another question."""
    pairs = [(o.id, a) for o in shipped().book.observations.values() for a in o.answers]
    return st.lists(st.sampled_from(pairs), max_size=5, unique_by=lambda p: p[0]).map(dict)


def _denied() -> st.SearchStrategy[dict[str, tuple[str, ...]]]:
    several = {o.id: tuple(o.answers) for o in shipped().book.observations.values() if len(o.answers) > 2}
    one = st.sampled_from(sorted(several)).flatmap(
        lambda o: st.tuples(st.just(o), st.sampled_from(several[o]).map(lambda a: (a,)))
    )
    return st.lists(one, max_size=2, unique_by=lambda p: p[0]).map(dict)


def _secondary() -> st.SearchStrategy[dict[str, str]]:
    answers = shipped().book.observations
    return subset({i: st.sampled_from(tuple(answers[i].answers)) for i in ("phase", "balance")})


def _conditions() -> st.SearchStrategy[dict[str, Quantity]]:
    return subset({name: quantity("degC", -20, 120, (5, 28, 52, 76)) for name in TEMPERATURES})


def _tyres() -> st.SearchStrategy[dict[str, str]]:
    return subset(
        {
            "kind": st.sampled_from(("slick", "wet")),
            "compound": st.sampled_from(("soft", "medium", "hard")),
            "laps": st.integers(0, 300).map(str),
        }
    )


def _build() -> st.SearchStrategy[Case]:
    cases = st.builds(
        Case,
        complaint=st.sampled_from(COMPLAINTS),
        observed=observed(),
        denied=_denied(),
        secondary=_secondary(),
        kart_class=st.sampled_from(CLASSES),
        driver_mass=st.none() | quantity("kg", 15, 150, (48, 72, 98)),
        setup=subset({i: value(i) for i in held()}),
        tyres=_tyres(),
        conditions=_conditions(),
        kit=_kit(),
        rules=subset({i: limit(i) for i in held()}),
        history=st.lists(st.sampled_from(HISTORY), max_size=2, unique=True).map(tuple),
        minutes=st.none() | st.sampled_from(MINUTES),
        tried=_trials(),
        keep=_wishes(),
        units=subset({d: unit_of(d).map(lambda u: u.name) for d in ("pressure", "length", "angle")}),
    )
    return st.builds(_tightened, cases.map(_clean), subset({i: _tightness() for i in LENGTHS_AND_SUCH}))


Tightness = tuple[int, int]


def _tightness() -> st.SearchStrategy[Tightness]:
    """Which side a rule bounds (1: a most, -1: a least), and how many steps it lies off the sheet's value."""
    return st.tuples(st.sampled_from((1, -1)), st.integers(-2, 2))


def _tightened(case: Case, rules: Mapping[str, Tightness]) -> Case:
    """The case with class rules that lie close to what the sheet says, where they bite."""
    tight = dict(case.rules)
    for ident, (side, steps) in rules.items():
        now, entry = case.setup.get(ident), lever(ident)
        step = units.parse(entry.step.amount) if entry.step and not entry.grades else None
        if not isinstance(now, Quantity):
            continue
        size = step.value * step.unit.factor if step and step.dimension == now.dimension else 0.005
        bound = Quantity(now.si + side * steps * size, unit_like(now))
        if bound.si < 0 and ident not in SIGNED:
            continue
        tight[ident] = Limit(most=bound) if side > 0 else Limit(least=bound)
    return replace(case, rules=tight)


def unit_like(quantity: Quantity) -> Unit:
    """Another unit for a quantity than its own, the next on the list."""
    alike = [u for u in UNITS.values() if u.dimension == quantity.dimension]
    return alike[(alike.index(quantity.unit) + 1) % len(alike)]


def _clean(case: Case) -> Case:
    """A case file says of one question either the answer or what is ruled out, and says something at all."""
    denied = {o: a for o, a in case.denied.items() if o not in case.observed}
    said = dict(case.observed)
    if not (case.complaint or said or denied):
        said["balance"] = "oversteer"
    return replace(case, denied=denied, observed=said)


CASES: st.SearchStrategy[Case] = st.deferred(_build)
