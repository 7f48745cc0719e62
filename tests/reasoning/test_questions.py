"""What a question foresees: the belief that each of its answers would bring."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from advisor.inference.belief import believe
from advisor.inference.evidence import Evidence
from advisor.model import assumed
from advisor.model.case import Case
from advisor.model.knowledge import Observation
from advisor.planning import questions, repair
from advisor.planning.repair import begin, told
from advisor.reasoning.weighing import reason
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
        then = told(questions.outlook(tables, observation, evidence, belief), belief)
        answers = [e.answer for e in questions.expected(tables, observation, evidence, belief)]
        assert sum(map(sum, then)) == pytest.approx(1, abs=1e-9)
        for answer, after in zip(answers, then, strict=True):
            brought = believe(tables, evidence.answering(observation.id, answer)).probabilities
            gap = max(abs(a / sum(after) - b) for a, b in zip(after, brought, strict=True))
            if gap > NEAR:
                far[f"{observation.id}: {answer}"] = gap
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
            then = told(questions.outlook(shipped().tables, observation, done.evidence, held), held)
            assert [sum(column) for column in zip(*then, strict=True)] == pytest.approx(held, abs=1e-9)


@pytest.mark.parametrize("case", CASES)
def test_the_question_asked_is_the_one_worth_most_a_minute_by_its_definition(case: Case) -> None:
    """Mutual information of answer and what to do, added up over the whole joint table, against the sparse sums."""
    done = reason(shipped(), case)
    held, plan = done.together.shares, done.plan
    aim = repair.aims(begin(plan, held, ()))
    minutes = repair.expected_cost(plan, held)
    worth = {}
    for observation in shipped().book.observations.values():
        if questions.askable(observation, done.evidence):
            query = questions.outlook(shipped().tables, observation, done.evidence, held)
            rate = assumed.ANSWERED[""][observation.effort]
            gain = rate * assumed.TELLS * minutes * _information(told(query, held), aim)
            worth[observation.id] = (gain - query.minutes) / query.minutes
    asked = questions.next_question(shipped().tables, plan, done.evidence, held, frozenset())
    assert asked is not None
    assert worth[asked.id] == pytest.approx(
        max(worth.values()), rel=0.05
    )  # dangers found count a little more


def _information(after: list[list[float]], aim: list[int]) -> float:
    joint = np.zeros((len(after), max(aim) + 2))
    for row, beliefs in zip(joint, after, strict=True):
        np.add.at(row, [a + 1 for a in aim], beliefs)
    alone = joint.sum(axis=1, keepdims=True) * joint.sum(axis=0, keepdims=True)
    seen = joint > 0
    return float((joint[seen] * np.log(joint[seen] / alone[seen])).sum())


def test_what_nobody_answered_lowers_the_hope_for_the_next_answer() -> None:
    done = reason(shipped(), CASES[0])
    tables, known = shipped().tables, done.evidence
    before = questions.answer_rates(tables, known, ())
    after = questions.answer_rates(tables, known, ("track", "tyres"))
    assert before == {o.id: assumed.ANSWERED[""][o.effort] for o in tables.book.observations.values()}
    assert all(after[question] < before[question] / 2 for question in before)
    told_one = known.answering("track", "dry").answering("tyres", "cold")
    assert questions.answer_rates(tables, told_one, ("track", "tyres"))["chain_look"] > before["chain_look"]


def _asked(observations: dict[str, Observation]) -> str | None:
    """The question that comes next in a book of which some observations are otherwise."""
    mind, done = shipped(), reason(shipped(), CASES[0])
    tables = replace(
        mind.tables, book=replace(mind.book, observations={**mind.book.observations, **observations})
    )
    found = questions.next_question(
        tables, done.plan, done.evidence, done.together.shares, frozenset(), reading=0
    )
    return found.id if found else None


def test_a_question_that_takes_long_or_that_hardly_anybody_can_answer_waits(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    first = _asked({})
    assert first is not None
    same = shipped().book.observations[first]
    assert _asked({first: replace(same, seconds=3600)}) != first
    rates = {"": {**assumed.ANSWERED[""], "measure": 0.01}}
    monkeypatch.setattr(assumed, "ANSWERED", rates)
    assert _asked({first: replace(same, effort="measure")}) != first


def test_of_two_questions_the_one_that_saves_more_a_minute_comes_first() -> None:
    change = repair.Action(5.0, 15.0, ((0, 0.5),))
    plan = repair.Repair((change,), 300.0)
    slow = repair.Query(10.0, ((),), (1.0,), 1.0, saves=15.0)  # 5 minutes for 10
    quick = repair.Query(1.0, ((),), (1.0,), 1.0, saves=4.0)  # 3 minutes for 1
    found = repair.next_query(plan, [slow, quick], [1.0])
    assert found is not None
    assert found[0] == 1
    assert found[1] == pytest.approx(3.0)
    assert repair.ranked_queries(plan, [slow, quick], [1.0]) == [1, 0]
