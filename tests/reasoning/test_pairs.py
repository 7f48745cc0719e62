"""Two causes at once, against every pair counted out."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import combinations

import pytest
from hypothesis import given

from advisor.inference.belief import believe
from advisor.inference.evidence import Evidence
from advisor.inference.pairs import weigh
from advisor.model.assumed import TWO_AT_ONCE
from advisor.model.case import Case
from advisor.reasoning.weighing import Mind, reason
from tests.reasoning.minds import patiently, shipped, small, some_evidence


def _all_pairs(mind: Mind, evidence: Evidence) -> dict[tuple[int, ...], float]:
    """Probability of every single cause and every pair, by products of likelihoods, no cause left out."""
    belief = believe(mind.tables, evidence)
    told = [[math.exp(t) for t in line] for line in belief.ledger.values()]
    size = len(belief.prior)
    weights: dict[tuple[int, ...], float] = {
        (i,): (1 - TWO_AT_ONCE) * belief.prior[i] * math.prod(line[i] for line in told) for i in range(size)
    }
    able = [i for i in range(size - 1) if belief.prior[i] > 0]
    every = sum(belief.prior[i] * belief.prior[j] for i, j in combinations(able, 2))
    for i, j in combinations(able, 2):
        weight = TWO_AT_ONCE * belief.prior[i] * belief.prior[j] / every
        for line in told:
            both = line[i] != 1 and line[j] != 1
            weight *= (line[i] + line[j]) / 2 if both else line[i] * line[j]
        weights[i, j] = weight
    total = sum(weights.values())
    return {causes: w / total for causes, w in weights.items()}


@patiently
@given(some_evidence(small))
def test_all_pairs_looked_at_are_what_counting_them_out_gives(evidence: Evidence) -> None:
    found = weigh(believe(small().tables, evidence), among=999)
    every = _all_pairs(small(), evidence)
    assert found.omitted == pytest.approx(0, abs=1e-9)
    for pair, p in found.pairs.items():
        assert p == pytest.approx(every[pair], abs=1e-9)
    shares = [sum(p / len(c) for c, p in every.items() if i in c) for i in range(len(found.shares))]
    assert found.shares == pytest.approx(shares, abs=1e-9)


def _missed(mind: Callable[[], Mind], evidence: Evidence, among: int) -> tuple[float, float]:
    """The weight of the pairs that were left out, and the bound on it."""
    found = weigh(believe(mind().tables, evidence), among)
    every = _all_pairs(mind(), evidence)
    return sum(p for c, p in every.items() if len(c) == 2 and c not in found.pairs), found.omitted


@patiently
@given(some_evidence(small))
def test_what_is_left_out_is_never_more_than_the_bound(evidence: Evidence) -> None:
    missed, bound = _missed(small, evidence, among=2)
    assert missed <= bound + 1e-9


COMPLAINTS = [
    "loose on entry, hops mid corner",
    "pushes on exit, tyres cold",
    "it bogs and the seat is loose",
]


@pytest.mark.parametrize("complaint", COMPLAINTS)
def test_the_bound_holds_in_the_shipped_book(complaint: str) -> None:
    missed, bound = _missed(shipped, reason(shipped(), Case(complaint=complaint)).evidence, among=12)
    assert missed <= bound < 1


@pytest.mark.parametrize("complaint", COMPLAINTS)
def test_shares_are_probabilities(complaint: str) -> None:
    found = reason(shipped(), Case(complaint=complaint)).together
    assert sum(found.shares) == pytest.approx(1)
    assert min(found.shares) >= 0
