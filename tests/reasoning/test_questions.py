"""What a question foresees: the belief that each of its answers would bring."""

from __future__ import annotations

import math

import pytest

from advisor.model.case import Case
from advisor.reasoning import advise, questions
from advisor.reasoning.advise import reason
from advisor.reasoning.belief import believe
from advisor.reasoning.evidence import Evidence
from tests.reasoning.minds import shipped

CASES = [
    Case(observed={"balance": "oversteer"}),
    Case(observed={"balance": "slide", "tyres": "cold"}),
    Case(observed={"balance": "understeer", "phase": "entry", "shake": "grows"}),
]
NEAR = 1e-9  # of probability: foreseeing is the same arithmetic, done on what an answer touches


def _unforeseen(evidence: Evidence, belief: tuple[float, ...], only_plain: bool) -> dict[str, float]:
    """How far the belief after an answer lies from the one foreseen, where it is far."""
    book, tables = shipped().book, shipped().tables
    looked_at = {p.removeprefix("observed.") for c in book.causes.values() for o in c.odds for p in o.where}
    far = {}
    for observation in book.observations.values():
        plain = not observation.overlaps and observation.id not in looked_at
        if plain is not only_plain or not questions.askable(observation, evidence):
            continue
        shifts = questions.outlook(tables, observation, evidence, belief)
        assert sum(s.p for s in shifts) == pytest.approx(1, abs=1e-9)
        for shift in shifts:
            brought = believe(tables, evidence.answering(observation.id, shift.answer)).probabilities
            gap = max(abs(a - b) for a, b in zip(shift.belief(belief), brought, strict=True))
            if gap > NEAR:
                far[f"{observation.id}: {shift.answer}"] = gap
    return far


@pytest.mark.parametrize("case", CASES)
def test_a_plain_question_foresees_the_belief_that_its_answers_bring(case: Case) -> None:
    done = reason(shipped(), case)
    assert _unforeseen(done.evidence, done.belief.probabilities, only_plain=True) == {}


@pytest.mark.parametrize("case", CASES)
def test_a_question_with_overlaps_or_circumstances_foresees_it_too(case: Case) -> None:
    done = reason(shipped(), case)
    assert _unforeseen(done.evidence, done.belief.probabilities, only_plain=False) == {}


@pytest.mark.parametrize("case", CASES)
def test_the_beliefs_foreseen_average_to_the_belief_held(case: Case) -> None:
    # conservation of expected evidence: a theorem of probability
    done = reason(shipped(), case)
    held = done.belief.probabilities
    tables = shipped().tables
    for observation in shipped().book.observations.values():
        if observation.overlaps or observation.id in tables.stirred:
            continue  # weighed by hand, not by a joint distribution, so the theorem does not bind them
        if questions.askable(observation, done.evidence):
            shifts = questions.outlook(shipped().tables, observation, done.evidence, held)
            then = [(s.p, s.belief(held)) for s in shifts]
            means = [sum(p * after[i] for p, after in then) for i in range(len(held))]
            assert means == pytest.approx(held, abs=1e-9)


def _in_full(shift: questions.Shift, held: tuple[float, ...]) -> float:
    return sum(a * math.log(a / b) for a, b in zip(shift.belief(held), held, strict=True) if a > 0 and b > 0)


@pytest.mark.parametrize("case", CASES)
def test_what_is_added_up_sparsely_is_what_the_whole_belief_gives(case: Case) -> None:
    """Information and the chances of every option, against the same sums over all hypotheses."""
    done = reason(shipped(), case)
    held, space = done.belief.probabilities, advise.space(shipped(), done)
    _, chances = questions.best_option(space, held)
    for observation in shipped().book.observations.values():
        if not questions.askable(observation, done.evidence):
            continue
        for shift in questions.outlook(shipped().tables, observation, done.evidence, held):
            then = shift.belief(held)
            assert shift.information(held) == pytest.approx(_in_full(shift, held), abs=1e-9)
            whole = [sum(then[i] * r for i, r in rates) for rates in space.rates]
            sparse = [c / shift.total for c in questions.shifted(space, held, chances, shift)]
            assert sparse == pytest.approx(whole, abs=1e-12)
