"""What a question foresees: the belief that each of its answers would bring."""

from __future__ import annotations

import pytest

from advisor.model.case import Case
from advisor.reasoning import questions
from advisor.reasoning.advise import reason
from advisor.reasoning.belief import believe
from advisor.reasoning.evidence import Evidence
from tests.reasoning.minds import shipped

CASES = [
    Case(observed={"balance": "oversteer"}),
    Case(observed={"balance": "slide", "tyres": "cold"}),
    Case(observed={"balance": "understeer", "phase": "entry", "vibration": "yes"}),
]
NEAR = 0.02  # of probability


def _unforeseen(evidence: Evidence, belief: tuple[float, ...], only_plain: bool) -> dict[str, float]:
    """How far the belief after an answer lies from the one foreseen, where it is far."""
    book, tables = shipped().book, shipped().tables
    looked_at = {p.removeprefix("observed.") for c in book.causes.values() for o in c.odds for p in o.where}
    far = {}
    for observation in book.observations.values():
        plain = not observation.overlaps and observation.id not in looked_at
        if plain is not only_plain or not questions.askable(observation, evidence):
            continue
        split = questions._split(tables, observation, evidence, belief)
        assert sum(p for p, _ in split.values()) == pytest.approx(1, abs=1e-9)
        for answer, (_, foreseen) in split.items():
            brought = believe(tables, evidence.answering(observation.id, answer)).probabilities
            gap = max(abs(a - b) for a, b in zip(foreseen, brought, strict=True))
            if gap > NEAR:
                far[f"{observation.id}: {answer}"] = round(gap, 3)
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
            split = questions._split(shipped().tables, observation, done.evidence, held)
            means = [sum(p * then[i] for p, then in split.values()) for i in range(len(held))]
            assert means == pytest.approx(held, abs=1e-9)
