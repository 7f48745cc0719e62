"""The interview under random answers: short, never asking twice, and able to go back and to be kept."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.interview.steps import (
    State,
    answered,
    begin,
    forget,
    limited,
    more_words,
    question,
    reasoning,
)
from advisor.karts.written import as_data, case_from_data
from advisor.model.case import Case
from tests.properties.random_cases import CASES, COMPLAINTS, patiently, shipped
from tests.properties.test_units import rewritten
from tests.properties.test_written import typed

# One number a question: 0 for "don't know", else which answer, wrapped around.
REPLIES = st.lists(st.integers(0, 6), min_size=8, max_size=8)
BARE = st.sampled_from(COMPLAINTS).map(lambda text: Case(complaint=text))
FULL = CASES.map(lambda case: rewritten(case, typed))


def interview(case: Case, replies: Sequence[int]) -> Iterator[tuple[State, str | None]]:
    """Every state with the question asked in it; the last one has none."""
    mind = shipped()
    state = begin(mind, case)
    for reply in (*replies, 0):
        asked = question(mind, state)
        yield state, asked.id if asked else None
        if asked is None:
            return
        answer = asked.answers[reply % len(asked.answers)] if reply else None
        state = answered(mind, state, asked, answer)


@settings(patiently, max_examples=12)
@given(BARE | FULL, REPLIES)
def test_no_question_is_put_twice_nor_one_that_is_answered(case: Case, replies: list[int]) -> None:
    steps = list(interview(case, replies))
    asked = [ident for _, ident in steps if ident]
    assert len(asked) == len(set(asked))
    known = begin(shipped(), case).gathered.evidence
    assert not any(known.answered(ident) for ident in asked)


def assert_settled(state: State) -> None:
    """The same belief from the fields alone, and from the fields as the journal keeps them."""
    case = state.case
    wanted = reasoning(shipped(), state).belief.probabilities
    assert reasoning(shipped(), begin(shipped(), case)).belief.probabilities == pytest.approx(
        wanted, abs=1e-9
    )
    kept = case_from_data(as_data(case), shipped().book)
    assert kept is not None
    assert reasoning(shipped(), begin(shipped(), kept)).belief.probabilities == pytest.approx(
        wanted, abs=1e-9
    )


@settings(patiently, max_examples=15)
@given(BARE | FULL, REPLIES)
def test_an_interview_settled_into_fields_gives_the_same_belief(case: Case, replies: list[int]) -> None:
    *_, (state, _) = interview(case, replies)
    assert_settled(state)


@pytest.mark.parametrize(
    "complaint",
    [
        "It slides at both ends, it is 5 °C today.",
        "I put the rear track wider and now it pushes.",
        "I raised the caster.",
        "It oversteers or maybe it hops.",
        "It hops on exit and pushes on entry.",
        "The rear slides, the track is not wet and the tyres are not new.",
        "It is not understeer.",
        "All weekend the same story: for six laps it is fine, then the back end gets greasy and he has to wait "
        "with the throttle. We changed the rear hubs on Saturday but it made no difference, the others do not have it.",
        "Since lunch it bogs when I come back on the power out of the hairpin, on the straight it pulls like always.",
    ],
)
def test_words_settled_into_fields_give_the_same_belief(complaint: str) -> None:
    assert_settled(begin(shipped(), Case(complaint=complaint)))


def test_history_settled_into_fields_gives_the_same_belief() -> None:
    history = ("hit the barrier in the last race", "changed the axle this morning", "brake_bias rear")
    case = Case(complaint="The rear slides mid corner.", history=history, kart_class="cadet")
    assert_settled(begin(shipped(), case))
    again = begin(shipped(), begin(shipped(), case).case).case
    assert again == replace(again, complaint="", kart_class="")


def test_a_correction_and_limits_keep_each_other() -> None:
    said = begin(shipped(), Case(complaint="The rear slides mid corner."))
    corrected = more_words(shipped(), said, "It hops on exit too")
    limits = limited(shipped(), corrected, 15.0, "exit traction")
    assert limits.case.minutes == 15
    assert limits.gathered.evidence.keep
    assert limits.case.observed == corrected.case.observed


@pytest.mark.parametrize(
    ("complaint", "ident"),
    [
        ("The rear slides mid corner on exit.", "balance"),
        ("The rear slides mid corner, the brake pedal is soft.", "pedal"),
        ("I put the rear track wider and now it pushes.", "changed"),
        ("It pushes. Should I go softer on the axle?", "idea"),
        ("Tomorrow it will rain, what do I prepare?", "preparing"),
        ("It slides at both ends, it is 5 °C today.", "weather"),
    ],
)
def test_what_is_forgotten_counts_no_more(complaint: str, ident: str) -> None:
    """The belief and the ranking are as if it had not been said, and settling does not bring it back."""
    state = begin(shipped(), Case(complaint=complaint))
    assert ident in state.gathered.understood
    without = forget(shipped(), state, ident)
    assert ident not in without.gathered.understood
    before, after = reasoning(shipped(), state), reasoning(shipped(), without)
    assert after.evidence != before.evidence
    assert ident not in begin(shipped(), without.case).gathered.understood
    told = {key: value for key, value in after.evidence.facts.items() if key.startswith("conditions.")}
    assert told == {}
