"""The order of changes: what the words say of ways moves it, and moves no chance."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor import units
from advisor.inference.belief import first_tries, left_to_answers, left_to_words
from advisor.inference.trials import Prospect
from advisor.model.assumed import SAID_MOST
from advisor.model.case import Case, Tried
from advisor.planning.ranking import as_heard
from advisor.reasoning.weighing import reason
from tests.reasoning.minds import shipped

CHANCES = st.lists(st.tuples(st.integers(1, 18), st.integers(-3, 3)), min_size=1, max_size=6)
SAID = 0.2  # of a step of the ones above: no factor meets its bound


@given(CHANCES)
def test_the_say_of_the_words_is_taken_against_its_mean(rows: list[tuple[int, int]]) -> None:
    found = [Prospect(f"l{i}", "on", p / 20, 1.0, 0) for i, (p, _) in enumerate(rows)]
    factors = as_heard(found, {f"l{i}:on": SAID * x for i, (_, x) in enumerate(rows)})
    logs = [(p.chance, math.log(factors[p.lever, p.way])) for p in found]
    assert sum(p * x for p, x in logs) == pytest.approx(0, abs=1e-9)
    assert [round((x - logs[0][1]) / SAID) for _, x in logs] == [x - rows[0][1] for _, x in rows]


def test_words_that_fields_repeat_say_less_and_without_words_nothing_is_said() -> None:
    found = [Prospect("a", "on", 0.2, 1.0, 0), Prospect("b", "on", 0.2, 1.0, 0)]
    assert as_heard(found, {}) == {}
    text = (
        "the tail steps out on the way in as soon as I brake and then it pushes wide all the way to the exit"
    )
    done = reason(shipped(), Case(complaint=text))
    alone = done.evidence
    beside = reason(shipped(), Case(complaint=text, observed={"tyre_heat_end": "rears"})).evidence
    assert left_to_words(beside) < 1 == left_to_words(alone)
    way = max(alone.tries, key=lambda w: alone.tries[w])
    assert first_tries(shipped().tables, done.belief, alone)[way] == alone.by_ear * alone.tries[way] > 0
    fewer = first_tries(shipped().tables, done.belief, replace(beside, tries=alone.tries, by_answers=0.0))
    assert 0 < fewer[way] < alone.tries[way] / 2
    assert first_tries(shipped().tables, done.belief, replace(alone, preparing=True)) == {}


def answers_count(case: Case) -> float:
    done = reason(shipped(), case)
    return left_to_answers(done.belief, done.evidence)


def test_what_is_tried_first_where_answers_are_known_counts_once_something_is_answered() -> None:
    words = Case(complaint="it is loose on the way in")
    told = Case(complaint="it is loose on the way in", observed={"corner_speed": "fast"})
    assert reason(shipped(), words).evidence.by_answers == 0, "what the words tell is no answer beside them"
    assert reason(shipped(), told).evidence.by_answers > 0
    assert 0 < answers_count(told) < 1


def test_what_is_tried_first_gives_way_to_the_sheet_to_trials_and_to_what_the_book_is_sure_of() -> None:
    felt = {"balance": "oversteer", "phase": "mid", "onset": "gradual"}
    plain = answers_count(Case(observed=felt))
    assert answers_count(Case(observed=felt, setup={"rear_track_width": units.parse("1400 mm")})) == 0
    tried = Tried("rear_track_width", "narrower", "same")
    assert 0 < answers_count(Case(observed=felt, tried=(tried,))) < plain
    done = reason(shipped(), Case(observed=felt))
    sure = replace(done.belief, probabilities=(0.9, *(0.0 for _ in done.belief.probabilities[2:]), 0.1))
    assert left_to_answers(sure, done.evidence) <= 0.1 < plain


def test_an_answer_that_the_examples_seldom_told_takes_the_say_of_what_is_tried_first() -> None:
    ear = shipped().ear
    assert ear is not None
    often = ear.tries((), {"balance": "oversteer", "phase": "mid"})[1]
    seldom = ear.tries((), {"balance": "oversteer", "phase": "mid", "rotation_arrow": "against"})[1]
    assert seldom < often
    assert ear.tries((), {"balance": "no such answer"})[1] == 0.0


def test_what_the_words_say_is_bounded() -> None:
    found = [Prospect("a", "on", 0.2, 1.0, 0), Prospect("b", "on", 0.2, 1.0, 0)]
    factors = as_heard(found, {"a:on": 9.0, "b:on": -9.0})
    assert list(factors.values()) == pytest.approx([SAID_MOST, 1 / SAID_MOST])


def test_which_way_a_lever_goes_that_was_tried_here_is_left_to_its_trials() -> None:
    found = [Prospect("a", way, 0.2, 1.0, 0) for way in ("up", "down")] + [Prospect("b", "on", 0.2, 1.0, 0)]
    ways = {"a:up": 0.3, "a:down": -0.6, "b:on": -0.3}
    fresh, tested = as_heard(found, ways), as_heard(found, ways, {"a"})
    assert fresh["a", "up"] > 1 > fresh["a", "down"]
    assert tested["a", "up"] == tested["a", "down"] == fresh["a", "up"]
    assert tested["b", "on"] == fresh["b", "on"]


def test_what_the_words_say_moves_the_order_and_no_chance() -> None:
    text = "the tail steps out on the way in, would a narrower rear help or should I take caster off?"
    heard = reason(shipped(), Case(complaint=text))
    assert heard.evidence.tries
    assert any(r.said > 1.2 for r in heard.ranked)
    assert all(0 < r.prospect.chance < 1 for r in heard.ranked)
