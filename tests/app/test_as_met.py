"""Fifteen faults that users met in the first version, the worst first, each tried once the way it was met.

What is behind them is tested at more length in the other files of this folder.
"""

from __future__ import annotations

import re

import pytest

from advisor.app.advising import Advising
from advisor.app.place import Place
from tests.app.play import HOPS, Play

ODDS = re.compile(r"\b\d+ to \d+\b|\[[A-Z]\d+\]|score")


def place(play: Play) -> Place:
    assert play.sitting.place is not None
    return play.sitting.place


def levers(play: Play) -> list[str]:
    """What is offered, in order."""
    found = place(play)
    assert isinstance(found, Advising), play.text
    return [a.lever for a in found.offered]


@pytest.mark.parametrize(
    ("words", "worse"),
    [
        ("it slides, turns right ok but not left", "left"),
        ("turns left fine but not right", "right"),
        ("lefts bad, rights ok", "left"),
        ("right handers great, left handers it three-wheels and slides", "left"),
    ],
)
def test_1_trouble_on_one_side_is_heard_the_right_way_round_and_is_looked_at_first(
    play: Play, words: str, worse: str
) -> None:
    play.start(words)
    assert worse in {play.known.get("turn_side"), play.known.get("direction")}
    assert {"left", "right"} - {worse} != {play.known.get("direction")}
    for _ in range(6):
        if play.place != "question":
            break
        play.types("" if "This one first" in play.text else "t")
    assert play.place == "stop" or "Look first" in play.text or "Level the rear axle" in play.text
    play.start("n" if play.place == "left" else "", "clipped the kerb, lefts bad, rights ok")
    assert play.known.get("contact") == "yes" or play.place == "stop"


@pytest.mark.parametrize(
    "words",
    [
        "bent after a kerb",
        "the throttle hung open",
        "a wheel nut was loose",
        "my ribs hurt",
        "smells of petrol",
    ],
)
def test_2_danger_in_plain_words_stops_or_is_asked_about_first(play: Play, words: str) -> None:
    play.start(words)
    assert play.place == "stop" or "This one first" in play.text


def test_3_after_a_stop_it_stays_with_its_subject_and_stays_cleared(play: Play) -> None:
    play.start("pedal getting longer", "brakes are sound", "t")
    while play.place == "stop":
        play.types("sound")
    found = place(play)
    assert isinstance(found, Advising)
    near = {a.lever for a in (*found.offered, *found.looks)}
    assert near & {"inspect_brakes", "brake_parts"}
    assert "throttle against" not in play.text
    assert play.start("").place != "stop"


@pytest.mark.parametrize("typed", ["tyres are fine i looked", "what do we do", "", "yes"])
def test_4_a_stop_swallows_no_answer_and_ends_nothing(play: Play, typed: str) -> None:
    play.start("pedal getting longer", typed)
    assert play.place == "stop"
    assert play.prompts[-1].page or play.news


def test_5_what_was_found_was_probably_it_and_is_not_called_no_change(play: Play) -> None:
    play.start("pedal getting longer", "found air in it, bled it")
    assert "That was probably it" in play.text
    play.types("still there")
    while play.place in ("stop", "question"):
        play.types("sound" if play.place == "stop" else "t")
    play.types("m")
    assert "already tried: no change" not in play.text


def test_6_an_inspection_is_not_passed_over_by_a_number(play: Play) -> None:
    play.start("the brake pedal goes to the floor")
    for typed in ("4", "99", "0", "-1", "1 3"):
        assert play.types(typed).place == "stop"


def test_7_half_a_second_since_the_sprocket_is_the_sprocket(play: Play) -> None:
    play.start("lost half a second since I changed the sprocket", "1", "t")
    assert levers(play)[0] in ("gearing", "put_back")
    assert "sprocket" in play.text


def test_8_wet_or_dry_is_asked_first_told_anywhere_and_fixed_now(play: Play) -> None:
    play.start("no grip anywhere")
    assert "What is the track like?" in play.text
    play.types("t", "its raining")
    assert play.known["track"] == "wet"
    assert play.types("f").place == "together"


@pytest.mark.parametrize(
    ("note", "question", "answer"),
    [
        ("worse, it dried during the race", "track", "dry"),
        ("better but hands heavy", "steering_weight", "heavy"),
        ("better, stays down now", "stop", None),
    ],
)
def test_9_a_note_is_not_turned_round(play: Play, note: str, question: str, answer: str | None) -> None:
    play.start(HOPS, "t", "1", note)
    assert play.place == "advice"
    assert play.known.get(question) == answer


def test_9_hop_gone_ends_it(play: Play) -> None:
    assert play.start(HOPS, "t", "1", "hop gone").place == "closed"


@pytest.mark.parametrize(("told", "way"), [("low", "up"), ("high", "down")])
def test_10_what_was_measured_is_not_contradicted(play: Play, told: str, way: str) -> None:
    play.start(f"the rear slides, all four pressures too {told}", "t")
    found = place(play)
    assert isinstance(found, Advising)
    assert (found.offered[0].lever, found.offered[0].direction) == ("tyre_pressure", way)
    assert not any(a.direction in {"up", "down"} - {way} for a in found.offered if "pressure" in a.lever)


def test_11_technique_says_what_to_do_and_a_long_shot_is_called_one(play: Play) -> None:
    technique = play.mind.book.levers["driver"]
    says = {way.say for way in technique.ways.values()}
    assert len(says) == len(technique.ways)
    assert not any("work on the driving" in say.lower() for say in says)
    play.start("kart is odd", "t")
    assert "I cannot tell yet" in play.text or "No change stands out" in play.text


@pytest.mark.parametrize(
    ("words", "question", "answer"),
    [
        ("since lunch", "last_good", "today"),
        ("was mint this morning", "earlier_today", "better"),
        ("good yesterday", "last_good", "yesterday"),
        ("at the end of a run", "when", "late"),
        ("only the last five laps", "when", "late"),
        ("from lap 8", "when", "late"),
    ],
)
def test_12_when_it_happens_is_heard(play: Play, words: str, question: str, answer: str) -> None:
    play.start(f"the rear slides, {words}")
    assert play.known.get(question) == answer


def test_13_a_step_back_a_past_and_first_words(play: Play) -> None:
    play.start("rear no grip", "b")
    assert play.place == "opening"
    play.types("rear no grip", "t", "1", "worse", "b", "better", "more of it comes on the exit")
    assert [t.verdict for t in play.trials()] == ["better"]
    play.types("o")
    assert "rear no grip" in play.text


def test_14_an_engine_that_bogs_is_no_matter_of_the_rear_width(play: Play) -> None:
    play.start("four stroke, bogs out of the hairpin, the carburettor is clean", "t")
    while play.place == "stop":
        play.types("sound")
    assert levers(play)[0] in ("gearing", "engine", "clutch", "chain")


def test_15_one_kind_of_number_in_an_order_that_is_told_and_set_as_people_set_it(play: Play) -> None:
    play.start(HOPS, "t")
    found = place(play)
    assert isinstance(found, Advising)
    assert not ODDS.search(play.text)
    assert "0.034" not in play.text
    for i, low in enumerate(found.offered):
        for high in found.offered[i + 1 :]:
            assert high.chance <= low.chance + 0.005 or "Likelier" in play.text


def test_what_was_tried_before_is_held_back_shown_and_taken_back(play: Play) -> None:
    play.start("loose on the way out, we tried the softer axle and it made no difference", "t")
    assert "already tried: no change" in play.text
    play.types("k")
    assert "tried before: fit the next softer axle (no change)" in play.text
    play.types("tried before")
    assert "Taken back: tried before." in play.text
    assert "tried" not in play.known
    play.types("")
    assert "already tried" not in play.text
