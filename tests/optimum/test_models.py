"""Models with known answers, to the digit that is known.

Labels beside the numbers: published, recalled (from memory of a publication, arithmetic verified) or
computed (by full enumeration, and here once more).
"""

from __future__ import annotations

from itertools import permutations
from math import log

import pytest

from advisor.model.assumed import TELLS
from advisor.planning.repair import (
    Action,
    Query,
    Repair,
    expected_cost,
    first,
    next_query,
    told,
)
from tests.optimum.exact import optimum, optimum_with_questions
from tests.optimum.models import Model, t1, t1b, t2, t4
from tests.optimum.regret import followed, in_turn, ours, sorted_once


def cost_of(model: Model, order: str) -> float:
    """Minutes of actions made in this order, one at a time, then giving up."""
    return followed(model.repair, model.belief, [model.letters.index(x) for x in order.split(",") if x])


def moves(model: Model) -> str:
    """The engine's moves, until nothing is left to cure or it gives up."""
    return model.spelled(ours(model.repair, model.belief))


def orders(model: Model) -> list[float]:
    return [cost_of(model, ",".join(order)) for order in permutations(model.letters)]


def least(model: Model) -> float:
    return optimum(model.repair, model.belief).values[0]


def test_independent_faults_are_tried_by_chance_over_minutes() -> None:
    model = t1()  # T1, computed
    assert cost_of(model, "d,c,b,a") == pytest.approx(10.60)
    assert cost_of(model, "a,b,c,d") == pytest.approx(12.35)
    assert max(orders(model)) == pytest.approx(12.35)
    assert sum(orders(model)) / 24 == pytest.approx(11.475)
    assert moves(model) == "d,c,b,a"
    assert expected_cost(model.repair, model.belief) == pytest.approx(10.60)
    assert least(model) == pytest.approx(10.60)


def test_giving_up_comes_after_the_last_action_that_pays() -> None:
    model = t1b()  # T1b, computed
    assert moves(model) == "d,b,c,a"
    assert cost_of(model, "d,b,c,a") == pytest.approx(14.52)
    assert expected_cost(model.repair, model.belief) == pytest.approx(14.52)
    assert least(model) == pytest.approx(14.52)
    assert cost_of(model, "") == 20.0  # calling first


@pytest.mark.parametrize(("give_up", "made"), [(19.9, None), (20.1, 0)])
def test_a_single_action_is_made_when_it_pays(give_up: float, made: int | None) -> None:
    """P(cure) / C > 1 / C(give up); computed here: .5 / 10 > 1 / 20."""
    repair = Repair((Action(10.0, 0.0, ((0, 0.5),)),), give_up)
    assert first(repair, [1.0]) == made


def test_two_actions_may_pay_where_neither_does_alone() -> None:
    """Computed here: 10 + .5 * 10 = 15 minutes, while each alone costs 10 + .5 * 19 > 19."""
    repair = Repair((Action(10.0, 0.0, ((0, 1.0),)), Action(10.0, 0.0, ((1, 1.0),))), 19.0)
    assert expected_cost(repair, [1.0, 1.0]) == pytest.approx(15.0)
    assert first(repair, [1.0, 1.0]) is not None


# T2: numbers recalled from a published running example, arithmetic verified
DEPENDENT = {"1,2,3": 1.70, "1,3,2": 1.55, "2,1,3": 1.50, "2,3,1": 1.55, "3,1,2": 1.45, "3,2,1": 1.65}


@pytest.mark.parametrize(("order", "cost"), DEPENDENT.items())
def test_orders_of_dependent_actions_cost_what_they_should(order: str, cost: float) -> None:
    assert cost_of(t2(), order) == pytest.approx(cost)


def test_dependent_actions_are_ordered_better_than_once_and_not_always_best() -> None:
    model = t2()
    once = sorted_once(model.repair, model.belief)
    assert model.spelled(once) == "2,3,1"
    assert in_turn(model.repair, model.belief, once) == pytest.approx(1.55)
    assert expected_cost(model.repair, model.belief) == pytest.approx(1.50)
    assert least(model) == pytest.approx(1.45)
    assert moves(model) == "2,1,3"


def test_a_question_is_worth_what_its_answers_save() -> None:
    model = t4()  # T4, computed
    repair, query = model.repair, model.queries[0]
    assert moves(model) == "3,2,1,4"
    assert expected_cost(repair, model.belief) == pytest.approx(11.20)
    yes, no = told(query, model.belief)
    assert sum(yes) == pytest.approx(0.61)
    assert [y / sum(yes) for y in yes] == pytest.approx([0.5902, 0.0984, 0.2623, 0.0492], abs=5e-5)
    assert [n / sum(no) for n in no] == pytest.approx([0.1026, 0.6154, 0.1026, 0.1795], abs=5e-5)
    assert expected_cost(repair, yes) == pytest.approx(9.6885, abs=5e-5)
    assert expected_cost(repair, no) == pytest.approx(7.2051, abs=5e-5)


def test_a_question_is_worth_a_share_of_the_minutes_for_what_it_tells() -> None:
    model = t4()  # T4, computed
    query = model.queries[0]
    yes, no = told(query, model.belief)
    # each hypothesis has a cure of its own there, so what is told about what to do is told about the cause
    nats = sum(
        a * log(a / (sum(after) * b)) for after in (yes, no) for a, b in zip(after, model.belief, strict=True)
    )
    found = next_query(model.repair, model.queries, model.belief)
    assert found is not None
    assert found[1] == pytest.approx(TELLS * 11.20 * nats)
    least = optimum_with_questions(model.repair, model.queries, model.belief)
    assert least <= 11.20 - 2.48 + 1e-9  # T4, computed


@pytest.mark.parametrize("asks", [True, False])
def test_a_question_is_asked_only_below_its_worth(asks: bool) -> None:
    model = t4()
    found = next_query(model.repair, model.queries, model.belief)
    assert found is not None
    price = found[1] + (-0.01 if asks else 0.01)
    query = Query(price, model.queries[0].rows, model.queries[0].usual)
    assert (next_query(model.repair, [query], model.belief) is not None) == asks


# T5, computed: minutes of a run, the least minutes and how
RUN_EACH = [
    (0.0, 10.60, "d,c,b,a"),
    (2.0, 16.00, "b,a,c,d"),
    (5.0, 21.85, "a,b,c,d"),
    (10.0, 31.35, None),
    (20.0, 50.35, None),
    (40.0, 88.35, None),
]


@pytest.mark.parametrize(("run", "cost", "order"), RUN_EACH)
def test_the_order_changes_as_the_run_gets_dear(run: float, cost: float, order: str | None) -> None:
    model = t1(run)
    assert least(model) == pytest.approx(cost)
    assert cost_of(model, moves(model)) == pytest.approx(cost)
    assert order is None or moves(model) == order


def test_what_was_done_is_not_made_again() -> None:
    model = t1b()
    for done in ([3], [3, 1], [0, 1, 2]):
        assert first(model.repair, model.belief, done) not in done
