"""What every answer keeps to: probabilities are probabilities, one entry a lever, the same case the same answer."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.model.case import Case
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import reason
from tests.properties.random_cases import CASES, observed, patiently, quick, shipped

some = settings(patiently, max_examples=20)
MORE = st.deferred(observed)


@some
@given(CASES)
def test_chances_and_probabilities_are_such(case: Case) -> None:
    done, answer = reason(shipped(), case), quick(case)
    assert sum(done.belief.probabilities) == pytest.approx(1, abs=1e-9)
    assert all(0 <= p <= 1 for p in done.belief.probabilities)
    if answer.causes:
        assert sum(c.probability for c in answer.causes) == pytest.approx(1, abs=1e-9)
        assert "unknown" in {c.id for c in answer.causes}
    for entry in answer.advice:
        assert 0 <= entry.chance <= 1
        assert 0 <= entry.confidence <= 1
        assert entry.worth >= 0
    for ranked in done.ranked:
        assert 0 <= ranked.prospect.chance <= 1
        assert 0 <= ranked.prospect.confidence <= 1


@some
@given(CASES)
def test_entries_are_one_a_lever_and_ordered_by_worth(case: Case) -> None:
    answer = quick(case)
    levers = [a.lever for a in answer.advice]
    assert len(levers) == len(set(levers))
    worths = [a.worth for a in answer.advice]
    assert worths == sorted(worths, reverse=True)
    probabilities = [c.probability for c in answer.causes]
    assert probabilities == sorted(probabilities, reverse=True)
    withheld = {(w.lever, w.direction) for w in answer.withheld}
    assert withheld.isdisjoint((a.lever, a.direction) for a in answer.advice)


@settings(patiently, max_examples=12)
@given(CASES, CASES)
def test_asking_again_gives_the_same_answer_whatever_was_asked_between(case: Case, other: Case) -> None:
    first = advise(shipped(), case)
    advise(shipped(), other)
    assert advise(shipped(), case) == first


@settings(patiently, max_examples=12)
@given(CASES, MORE, st.sampled_from(["it hops too", "no grip", "not on entry", "asdf", "?!"]))
def test_one_more_fact_never_fails(case: Case, facts: dict[str, str], words: str) -> None:
    evidence = reason(shipped(), case).evidence
    for ident, answer in facts.items():
        evidence = evidence.answering(ident, answer)
        assert evidence.answered(ident)
    denied = {o: a for o, a in case.denied.items() if o not in facts}
    fuller = replace(
        case, complaint=f"{case.complaint} {words}", observed={**case.observed, **facts}, denied=denied
    )
    understood = quick(fuller).understood
    assert {i: understood[i] for i in facts} == facts  # a field outranks words and is always told


@some
@given(CASES)
def test_an_answer_that_is_ruled_out_is_no_longer_possible(case: Case) -> None:
    """`{not: [new]}` says something, whether or not the words speak of it."""
    evidence = reason(shipped(), case).evidence
    for ident, ruled_out in case.denied.items():
        left = set(shipped().book.observations[ident].answers) - set(ruled_out)
        if ident != "phase":
            assert evidence.told[ident] <= left or len(evidence.told[ident]) == 1
