"""The expected cost of a search, which values the questions, against models with a known answer.

Tables and figures computed by full enumeration, as the comments beside them say.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.model.assumed import GIVE_UP
from advisor.planning import repair
from advisor.planning.repair import Repair, expected_cost
from tests.reasoning.minds import patiently

Action = tuple[float, Mapping[int, float]]  # cost, and how often it cures each fault


def _problem(actions: Sequence[Action]) -> Repair:
    """The options as the search for questions lays them out."""
    return Repair(tuple(repair.Action(cost, 0.0, tuple(cures.items())) for cost, cures in actions), GIVE_UP)


def _by_order(actions: Sequence[Action], belief: Sequence[float]) -> float:
    """Expected cost of trying perfect actions in this order: each is paid while the fault is still there."""
    left, total = dict(enumerate(belief)), 0.0
    for cost, cures in actions:
        total += cost * sum(left.values())
        left = {i: p for i, p in left.items() if i not in cures}
    return total


def test_independent_actions_cost_what_the_best_order_costs() -> None:
    # chances .45, .30, .15, .10 at 9, 5, 2, 1: the best order (by chance over cost) 10.60, computed
    actions: list[Action] = [(9, {0: 1.0}), (5, {1: 1.0}), (2, {2: 1.0}), (1, {3: 1.0})]
    belief = (0.45, 0.30, 0.15, 0.10)
    assert expected_cost(_problem(actions), belief) == pytest.approx(10.60, abs=1e-9)
    assert min(_by_order(order, belief) for order in permutations(actions)) == pytest.approx(10.60, abs=1e-9)


def test_dependent_actions_cost_what_updating_after_each_failure_costs() -> None:
    # after Ottosen's example (figures from memory, arithmetic computed): sorted once 1.55, updating 1.50, best 1.45
    actions: list[Action] = [(1, {0: 1.0, 1: 1.0}), (1, {1: 1.0, 2: 1.0}), (1, {2: 1.0, 3: 1.0})]
    belief = (0.20, 0.25, 0.40, 0.15)
    assert expected_cost(_problem(actions), belief) == pytest.approx(1.50, abs=1e-9)
    assert min(_by_order(order, belief) for order in permutations(actions)) == pytest.approx(1.45, abs=1e-9)


def test_a_question_is_worth_what_its_answers_are_expected_to_save() -> None:
    # prior .4, .3, .2, .1, costs 8, 5, 3, 2, P(yes) .9, .2, .8, .3: 11.20 without, 9.6885 and 7.2051 after; computed
    actions: list[Action] = [(8, {0: 1.0}), (5, {1: 1.0}), (3, {2: 1.0}), (2, {3: 1.0})]
    prior, yes = (0.4, 0.3, 0.2, 0.1), (0.9, 0.2, 0.8, 0.3)
    search = _problem(actions)
    said_yes = sum(p * y for p, y in zip(prior, yes, strict=True))
    after_yes = [p * y / said_yes for p, y in zip(prior, yes, strict=True)]
    after_no = [p * (1 - y) / (1 - said_yes) for p, y in zip(prior, yes, strict=True)]
    assert said_yes == pytest.approx(0.61, abs=1e-12)
    assert expected_cost(search, prior) == pytest.approx(11.20, abs=1e-9)
    costs = expected_cost(search, after_yes), expected_cost(search, after_no)
    assert costs == pytest.approx((9.6885, 7.2051), abs=5e-5)
    worth = 11.20 - said_yes * costs[0] - (1 - said_yes) * costs[1]
    assert worth == pytest.approx(2.48, abs=5e-3)


@st.composite
def _perfect_actions(draw: st.DrawFn) -> tuple[list[Action], list[float]]:
    faults = draw(st.integers(2, 5))
    weights = draw(st.lists(st.integers(1, 20), min_size=faults, max_size=faults))
    sets = [frozenset((i,)) for i in range(faults)]  # every fault can be cured
    extra = st.frozensets(st.integers(0, faults - 1), min_size=2)
    sets[: draw(st.integers(0, 1))] = []
    sets += draw(st.lists(extra, max_size=5 - len(sets) + 1))
    costs = draw(st.lists(st.integers(1, 10), min_size=len(sets), max_size=len(sets)))
    actions: list[Action] = [(float(c), dict.fromkeys(s, 1.0)) for c, s in zip(costs, sets, strict=True)]
    return actions, [w / sum(weights) for w in weights]


@patiently
@given(_perfect_actions())
def test_the_greedy_search_costs_at_most_four_times_the_best_order(
    problem: tuple[list[Action], list[float]],
) -> None:
    # Feige, Lovasz, Tetali, Approximating min sum set cover, Algorithmica 40, 2004: greedy is a 4-approximation
    actions, belief = problem
    if {i for _, cures in actions for i in cures} != set(range(len(belief))):
        return
    best = min(_by_order(order, belief) for order in permutations(actions))
    greedy = expected_cost(_problem(actions), belief)
    assert greedy <= 4 * best + 1e-9
