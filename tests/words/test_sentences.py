"""Complaints as drivers type them, with what a listener in the pits would take from each.

All but those of FOUND_LATER were written from the meaning of the words alone, before the program was
run on them and without reading the phrases of its observations and levers. Of those 74 ten were misread
at first. A sentence that is still misread is marked with the reason.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import pytest

from advisor.book import load
from advisor.reasoning.weighing import Mind, make_ready
from advisor.words.understand import Understanding, understand

Pair = tuple[str | None, str | None]


@dataclass(frozen=True)
class Says:
    """A sentence and what must be read from it; what is None or empty is not looked at.

    `feels`: all (phase, balance) pairs. `balances`, `phases`: all that are felt, wherever. `facts`:
    answers that must be read, alone. `silent`: observations of which nothing may be read. `wrong`:
    answers that may not be among those read. `changes`, `ideas`: all levers turned or asked about.
    """

    text: str
    feels: frozenset[Pair] | None = None
    balances: frozenset[str] | None = None
    phases: frozenset[str] | None = None
    facts: Mapping[str, str] = field(default_factory=dict)
    silent: tuple[str, ...] = ()
    wrong: Mapping[str, str] = field(default_factory=dict)
    changes: Mapping[str, str | None] | None = None
    ideas: Mapping[str, str | None] | None = None


def _faults(said: Says, read: Understanding) -> list[str]:
    """What was read otherwise than it was said, one line each."""
    answers = {ident: set(reading.answers) for ident, reading in read.facts.items()}
    faults = [
        f"{name}: {got} instead of {wanted}"
        for name, wanted, got in (
            ("feels", said.feels, frozenset(read.feels)),
            ("balances", said.balances, frozenset(b for _, b in read.feels if b)),
            ("phases", said.phases, frozenset(p for p, _ in read.feels if p)),
            ("changes", said.changes, dict(read.changes)),
            ("ideas", said.ideas, dict(read.ideas)),
        )
        if wanted is not None and got != wanted
    ]
    faults += [
        f"{o}: {answers.get(o)} instead of {a}" for o, a in said.facts.items() if answers.get(o) != {a}
    ]
    faults += [f"{o}: {answers[o]} where nothing was said" for o in said.silent if o in answers]
    faults += [f"{o}: {answers[o]} holds {a}" for o, a in said.wrong.items() if a in answers.get(o, ())]
    return faults


def said(name: str, text: str, xfail: str = "", **wanted: Any) -> Any:
    """One sentence as a parameter; `xfail` is the reason why it is known to be misread."""
    sets = {k: frozenset(v) for k, v in wanted.items() if k in ("feels", "balances", "phases")}
    marks = [pytest.mark.xfail(strict=True, reason=xfail)] if xfail else []
    return pytest.param(Says(text, **{**wanted, **sets}), id=name, marks=marks)


@cache
def mind() -> Mind:
    return make_ready(load.book(), load.ear())


def check(sentence: Says) -> None:
    faults = _faults(sentence, understand(sentence.text, mind().book, mind().lexicon))
    assert not faults, "\n".join((sentence.text, *faults))


MISSPELT = [
    said("a letter too many", "understeeer on corner entry", feels=[("entry", "understeer")]),
    said("two r", "oversteerring on the exit of evry corner", feels=[("exit", "oversteer")]),
    said("three p", "the kart is hoppping through the corners", balances=["hop"]),
    said(
        "breaking for braking",
        "the rear steps out under breaking",
        feels=[("entry", "oversteer")],
    ),
    said("swapped in a short word", "its loose on exti", feels=[("exit", "oversteer")]),
    said("letters left out", "pushs like a pig mid cornr", feels=[("mid", "understeer")]),
    said("tyers", "Tyers are overheatting after five laps", facts={"tyres": "hot"}),
    said(
        "tration",
        "no tration coming off the hairpins",
        phases=["exit"],
        facts={"corner_speed": "slow"},
        xfail='"coming off the hairpins" is no exit, though "coming off the corner" is',
    ),
]

SYNONYMS = [
    said(
        "washes out",
        "Front end washes out as soon as I turn the wheel",
        feels=[("entry", "understeer")],
    ),
    said("tail on the gas", "The tail comes round when I get on the gas", feels=[("exit", "oversteer")]),
    said("won't rotate", "It won't rotate at the apex", feels=[("mid", "understeer")]),
    said("rude word", "The arse end steps out under braking", feels=[("entry", "oversteer")]),
    said(
        "nose runs wide",
        "The nose keeps running wide in the hairpins",
        balances=["understeer"],
        facts={"corner_speed": "slow"},
    ),
    said(
        "chatters",
        "It chatters through the fast sweepers",
        balances=["hop"],
        facts={"corner_speed": "fast"},
    ),
    said(
        "glued to the floor",
        "Feels glued to the floor and the revs die in the corner",
        balances=["bind"],
        facts={"engine_note": "sags"},
    ),
    said("on ice", "All four wheels skate, like driving on ice", balances=["slide"]),
    said(
        "lively back end",
        "The back end is lively when I come off the brakes and turn in",
        feels=[("entry", "oversteer")],
    ),
    said("ploughs", "Ploughs straight on everywhere", balances=["understeer"]),
    said("capitals and a curly apostrophe", "KART WON’T TURN IN!!!", feels=[("entry", "understeer")]),
    said(
        "hyphens",
        "it pushes on corner-entry and it’s loose on corner-exit",
        feels=[("entry", "understeer"), ("exit", "oversteer")],
    ),
    said(
        "grows during the run",
        "Good for three laps and then the rear starts to slide more and more",
        balances=["oversteer"],
        facts={"when": "late"},
        xfail='"starts to slide more and more" after some laps is neither oversteer nor late in the run',
    ),
    said("one way round", "Only in right-handers the front pushes", facts={"direction": "right"}),
]

NEGATED = [
    said("no hop", "No hop, but it pushes on exit", feels=[("exit", "understeer")]),
    said("never lifts", "The inside rear never lifts", facts={"inside_rear": "never"}),
    said(
        "not here but there",
        "It is not loose on exit, it is loose on entry",
        feels=[("entry", "oversteer")],
    ),
    said("does not oversteer", "The kart doesn't oversteer at all", balances=[]),
    said(
        "no shake, no contact",
        "Understeer mid corner, no vibration and no contact",
        feels=[("mid", "understeer")],
        facts={"shake": "as_always", "contact": "no"},
    ),
    said("never on two wheels", "it never goes up on two wheels", facts={"two_wheels": "no"}),
    said("not bouncing any more", "it isn't bouncing any more", balances=[]),
    said("steering not heavy", "the steering isn't heavy", wrong={"steering_weight": "heavy"}),
    said(
        "not slow but fast",
        "It does not push in the slow corners, only in the fast ones",
        balances=["understeer"],
        facts={"corner_speed": "fast"},
    ),
    said(
        "neither nor",
        "Neither understeer nor oversteer, it just has no grip at all",
        balances=["slide"],
    ),
    said("nothing changed", "We have not changed anything, it pushes on entry", changes={}),
]

ORDERED = [
    said("pushes in, then snaps", "It pushes in, then snaps", facts={"front_first": "yes"}),
    said(
        "understeers and then lets go",
        "Understeers on turn-in and then the rear lets go suddenly",
        facts={"front_first": "yes"},
    ),
    said(
        "front first, then the back",
        "Front washes wide first, then the back comes round",
        facts={"front_first": "yes"},
    ),
    said(
        "after the apex",
        "first it pushes, and after the apex it snaps loose",
        facts={"front_first": "yes"},
    ),
    said(
        "rear straight away",
        "The rear goes straight away, the front never pushes first",
        wrong={"front_first": "yes"},
        balances=["oversteer"],
    ),
    said(
        "loose in, push out",
        "It oversteers on entry and then pushes on exit",
        feels=[("entry", "oversteer"), ("exit", "understeer")],
        wrong={"front_first": "yes"},
    ),
]

GOOD_NEWS_AND_HISTORY = [
    said(
        "had been easy on wets",
        "On wets it had been easy. Now on slicks the rear steps out at the apex.",
        feels=[("mid", "oversteer")],
        facts={"tyre_kind": "slicks"},
    ),
    said("mid is fine", "mid is fine but loose on exit", feels=[("exit", "oversteer")]),
    said(
        "great, good, but",
        "Turn-in is great, mid corner is good, but no drive off the corner",
        phases=["exit"],
    ),
    said(
        "last year it hopped",
        "Last year it hopped, this year it just pushes mid corner",
        feels=[("mid", "understeer")],
    ),
    said(
        "used to be loose",
        "It used to be loose on entry. Now it understeers on exit.",
        feels=[("exit", "understeer")],
    ),
    said(
        "the others hop",
        "Everyone else is hopping but mine only understeers in the middle",
        feels=[("mid", "understeer")],
    ),
    said(
        "brakes and engine are good",
        "Brakes work well and the engine pulls cleanly; it just won't turn in",
        feels=[("entry", "understeer")],
        wrong={"pedal": "changed"},
    ),
    said(
        "perfect this morning",
        "In the morning the balance was perfect, since lunch the rear slides on exit",
        feels=[("exit", "oversteer")],
    ),
    said(
        "a team mate's fault",
        "My team mate complains of oversteer, mine pushes on entry",
        feels=[("entry", "understeer")],
    ),
]

LOOK_ALIKES = [
    said(
        "tips are advice",
        "Any tips? It understeers at the apex",
        feels=[("mid", "understeer")],
        silent=("two_wheels", "grip_feel"),
    ),
    said("tips up", "It tips up onto two wheels at the hairpin", facts={"two_wheels": "yes"}),
    said(
        "new to this",
        "We are new to this. The rear is loose on entry",
        feels=[("entry", "oversteer")],
        silent=("tyre_age",),
    ),
    said(
        "wets are tyres",
        "We fitted wets and the front slides wide on the way in",
        feels=[("entry", "understeer")],
        facts={"tyre_kind": "wets"},
    ),
    said(
        "wet is the track",
        "The track was wet and the front would not bite",
        balances=["understeer"],
        facts={"track": "wet"},
    ),
    said(
        "it snapped",
        "It snapped on me at turn-in",
        feels=[("entry", "oversteer")],
        facts={"onset": "snap"},
    ),
    said(
        "a stud snapped",
        "A wheel stud snapped, now it pushes on entry",
        feels=[("entry", "understeer")],
        silent=("onset",),
    ),
    said(
        "slicks in the rain",
        "It rained, we went out on slicks and had no grip",
        facts={"tyre_kind": "slicks"},
        wrong={"track": "dry"},
    ),
    said(
        "the fast left is a place",
        "It pushes in the fast left by the pits",
        balances=["understeer"],
        silent=("direction",),
    ),
    said(
        "the inside kerb is a place",
        "It hops over the inside kerb",
        balances=["hop"],
        silent=("inside_rear",),
    ),
]

CHANGES_AND_IDEAS = [
    said(
        "longer hubs fitted",
        "Since I fitted longer rear hubs it pushes on exit",
        feels=[("exit", "understeer")],
        changes={"rear_hub_length": "longer"},
        ideas={},
    ),
    said(
        "softer axle asked",
        "should I go softer on the axle?",
        changes={},
        ideas={"axle_stiffness": "softer"},
    ),
    said(
        "rear raised",
        "We raised the rear ride height and now it hops",
        balances=["hop"],
        changes={"rear_ride_height": "raise"},
    ),
    said(
        "seat moved",
        "I moved the seat back 10 mm and the front has no bite",
        balances=["understeer"],
        changes={"seat_fore_aft": "back"},
    ),
    said(
        "caster asked",
        "Would it help to add caster? It won't turn in",
        feels=[("entry", "understeer")],
        changes={},
        ideas={"caster": "more"},
    ),
    said(
        "narrower rear asked",
        "Is it worth narrowing the rear track?",
        changes={},
        ideas={"rear_track_width": "narrower"},
    ),
    said(
        "rear pressures dropped",
        "I dropped the rear pressures by one psi and it got worse on exit",
        changes={"tyre_pressure_rear": "down"},
        ideas={},
    ),
    said(
        "stiffer axle put on",
        "Put on a stiffer axle, now it hops mid corner",
        feels=[("mid", "hop")],
        changes={"axle_stiffness": "stiffer"},
    ),
    said(
        "front bar asked",
        "Thinking about taking the front bar out",
        changes={},
        ideas={"front_torsion_bar": "remove"},
    ),
]

OFF_TOPIC = [
    said("letters", "asdf qwer zxcv", feels=[], changes={}, ideas={}),
    said(
        "a car's gearbox",
        "The second gear synchro of my car's gearbox grinds, how do I rebuild it?",
        feels=[],
        changes={},
        ideas={},
    ),
    said(
        "bread",
        "How long do I bake bread at 220 degrees so the crust isn't soft?",
        feels=[],
        changes={},
        ideas={},
    ),
    said("a table for four", "Book me a table for four on Saturday", feels=[], changes={}, ideas={}),
    said(
        "onions",
        "Slice the onions, heat the oil in a hot pan and let them go brown",
        feels=[],
        silent=("tyres", "weather"),
        changes={},
        ideas={},
    ),
    said("a bus", "The bus was late and its rear door would not close", feels=[], changes={}, ideas={}),
    said("nothing", "", feels=[], changes={}, ideas={}),
]


# Written after the program had been run on the others, where its answers gave reason to doubt.
FOUND_LATER = [
    said(
        "pushes in the sweepers",
        "It pushes in the sweepers",
        feels=[(None, "understeer")],
        facts={"corner_speed": "fast"},
    ),
    said(
        "in the fast ones",
        "It understeers in the fast ones",
        feels=[(None, "understeer")],
        facts={"corner_speed": "fast"},
        silent=("hop_start",),
    ),
    said("a loose seat", "The seat is loose", balances=[]),
    said(
        "a loose nut",
        "We found a loose wheel nut",
        balances=[],
        facts={"wheel_nuts": "loose"},
    ),
    said("a loose chain", "The chain was loose", balances=[]),
    said(
        "nothing is loose",
        "Nothing is loose on the kart, but it pushes",
        balances=["understeer"],
    ),
    said(
        "won't stop",
        "It won't stop pushing",
        balances=["understeer"],
    ),
    said(
        "never stops",
        "It never stops hopping",
        balances=["hop"],
    ),
    said("more no hop", "There is no more hop since we changed the axle", balances=[]),
    said(
        "not this but that",
        "Not oversteer but understeer on entry",
        feels=[("entry", "understeer")],
    ),
    said(
        "spun by hand",
        "The axle grinds when I spin it by hand",
        balances=[],
        facts={"brake_drag": "stiff"},
    ),
    said("only when cold", "Only loose on entry", feels=[("entry", "oversteer")]),
]


@pytest.mark.parametrize("sentence", MISSPELT)
def test_misspelt_words_are_read_as_meant(sentence: Says) -> None:
    check(sentence)


@pytest.mark.parametrize("sentence", SYNONYMS)
def test_other_words_for_the_same_are_read(sentence: Says) -> None:
    check(sentence)


@pytest.mark.parametrize("sentence", NEGATED)
def test_what_is_negated_is_no_fault(sentence: Says) -> None:
    check(sentence)


@pytest.mark.parametrize("sentence", ORDERED)
def test_which_end_goes_first_follows_from_the_order(sentence: Says) -> None:
    check(sentence)


@pytest.mark.parametrize("sentence", GOOD_NEWS_AND_HISTORY)
def test_good_news_others_and_the_past_are_not_the_fault(sentence: Says) -> None:
    check(sentence)


@pytest.mark.parametrize("sentence", LOOK_ALIKES)
def test_words_that_look_alike_are_told_apart(sentence: Says) -> None:
    check(sentence)


@pytest.mark.parametrize("sentence", CHANGES_AND_IDEAS)
def test_a_change_made_is_told_from_an_idea_asked_about(sentence: Says) -> None:
    check(sentence)


@pytest.mark.parametrize("sentence", OFF_TOPIC)
def test_words_about_something_else_yield_no_feel(sentence: Says) -> None:
    check(sentence)


@pytest.mark.parametrize("sentence", FOUND_LATER)
def test_sentences_that_gave_reason_to_doubt_are_read(sentence: Says) -> None:
    check(sentence)
