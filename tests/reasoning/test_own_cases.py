"""A team's own cases beside the trade's base rates."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.inference import cures
from advisor.inference.evidence import gather
from advisor.learning import own_cases
from advisor.learning.own_cases import LINE, base_rates
from advisor.model.assumed import FOUND, TRADE_WORTH
from advisor.model.case import Case, Past
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import reason
from tests.properties.seasons import seasons
from tests.reasoning.minds import patiently, shipped

LOOSE = Case(observed={"balance": "oversteer", "phase": "entry"}, kart_file="Red", kart_class="senior")
KART = {"kart": "Red", "class": "senior"}


def _table() -> cures.Links:
    mind = shipped()
    return cures.links(mind.book, gather(LOOSE, mind.book, mind.lexicon).evidence)


def _looks() -> list[tuple[str, str]]:
    book = shipped().book
    return [(lever.id, way) for lever in book.levers.values() for way, w in lever.ways.items() if w.look]


def _found(lever: str, way: str, days: float = 7.0, share: float = 1.0) -> Past:
    return Past(lever, way, "better", 0.2, 0.9, facts=KART, days=days, share=share)


def _count(past: list[Past]) -> own_cases.Counts:
    return own_cases.count(shipped().tables, _table(), past, KART)


def test_what_an_inspection_found_and_mended_is_a_case_of_what_it_answers() -> None:
    tables, table = shipped().tables, _table()
    for lever, way in _looks():
        answered = {i for i, link in table.get(lever, {}).items() if link.acts(way) and tables.prior[i] > 0}
        counts = _count([_found(lever, way)])
        assert set(counts) <= answered
        if answered:
            assert sum(counts.values()) == pytest.approx(FOUND * 2 ** (-7 / 365))


def test_the_base_rate_is_the_mean_of_a_dirichlet_distribution() -> None:
    tables = shipped().tables
    trade = tables.prior[3]
    before, after = base_rates({3: 4.0, 5: 6.0}, 3, tables)
    assert before == trade
    assert after == pytest.approx((TRADE_WORTH * trade + 4) / (TRADE_WORTH + 10))


def test_the_belief_is_that_of_the_moved_base_rates() -> None:
    past = [_found(*_looks()[0], days=d) for d in (3.0, 40.0, 90.0)]
    with_, without = reason(shipped(), replace(LOOSE, past=tuple(past))), reason(shipped(), LOOSE)
    line, tables = with_.belief.ledger[LINE], shipped().tables
    unknown = len(tables.hypotheses) - 1
    for i, cases in with_.cases.items():
        before, after = base_rates(with_.cases, i, tables)
        before_u, after_u = base_rates(with_.cases, unknown, tables)
        assert cases > 0
        assert line[i] == pytest.approx(math.log(after / before) - math.log(after_u / before_u), abs=1e-9)
    assert LINE not in without.belief.ledger


def test_cases_of_another_kart_and_older_ones_count_less() -> None:
    look = _looks()[0]
    mine = sum(_count([_found(*look)]).values())
    other = sum(_count([replace(_found(*look), facts={**KART, "kart": "Blue"})]).values())
    old = sum(_count([_found(*look, days=7 + 365)]).values())
    assert other == pytest.approx(mine / 2)
    assert old == pytest.approx(mine / 2)


def test_one_search_ends_in_one_cure_and_what_did_not_help_is_no_case() -> None:
    one, two = _looks()[:2]
    assert sum(_count([_found(*one), _found(*two, days=7.1)]).values()) <= 1
    assert _count([replace(_found(*one), verdict="same"), replace(_found(*two), verdict="worse")]) == {}


@settings(patiently, max_examples=30)
@given(st.permutations(range(5)))
def test_the_same_trials_give_the_same_cases_in_any_order(order: list[int]) -> None:
    past = [_found(*look, days=d) for look, d in zip(_looks(), (1.0, 1.2, 30.0, 31.0, 90.0), strict=False)]
    first = _count(past)
    again = _count([past[i] for i in order])
    assert again.keys() == first.keys()
    assert all(again[i] == pytest.approx(first[i], abs=1e-12) for i in first)


def test_a_moved_base_rate_explains_itself() -> None:
    answered = _table()["inspect_axle"]
    found = [
        _found("inspect_axle", link.way, days=d) for link in answered.values() for d in (2.0, 20.0, 50.0)
    ]
    lines = [
        line
        for advice in advise(shipped(), replace(LOOSE, past=tuple(found))).advice
        if advice.lever == "inspect_axle"
        for line in advice.why
    ]
    assert any(line.startswith("Of your own cases, worth ") for line in lines)


def test_a_team_unlike_the_trade_is_foretold_better_and_one_like_it_is_not_misled() -> None:
    """Three invented seasons of each; `python -m tests.properties.seasons` prints 300."""
    unlike, like = seasons(3, 1, 15.0), seasons(3, 1, None)
    assert (unlike.own - unlike.trade)[12:].mean() > 0.05
    assert (like.own - like.trade).mean() > -0.1
