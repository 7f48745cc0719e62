"""A case as the journal keeps it: written as data and read back, it is the same case."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.interview import steps
from advisor.karts.written import as_data, case_from_data
from advisor.model.case import Case
from advisor.reasoning.weighing import reason
from advisor.units import Quantity, parse
from tests.properties.random_cases import CASES, patiently, shipped
from tests.properties.test_units import rewritten

some = settings(patiently, max_examples=20)
LOOSE = Case(complaint="The rear slides mid corner.")


def typed(quantity: Quantity) -> Quantity:
    """The quantity as a person would type it: six decimal places in its unit."""
    return parse(f"{format(Decimal(repr(round(quantity.value, 6))), 'f')} {quantity.unit.name}")


def read_back(case: Case) -> Case:
    again = case_from_data(as_data(case), shipped().book)
    assert again is not None
    return again


@some
@given(CASES)
def test_a_case_is_read_back_as_it_was_written(case: Case) -> None:
    case = rewritten(case, typed)
    assert read_back(case) == case


@some
@given(CASES)
def test_a_case_read_back_gives_the_same_belief_and_ranking(case: Case) -> None:
    case = rewritten(case, typed)
    before, after = reason(shipped(), case), reason(shipped(), read_back(case))
    assert after.belief.probabilities == pytest.approx(before.belief.probabilities, abs=1e-12)
    assert [r.prospect.lever for r in after.ranked] == [r.prospect.lever for r in before.ranked]


WORDS = st.text(max_size=60)


@settings(patiently, max_examples=60)
@given(WORDS, WORDS, st.lists(WORDS, max_size=2), st.lists(WORDS, max_size=2))
def test_any_words_survive_writing(complaint: str, kind: str, history: list[str], keep: list[str]) -> None:
    data = {"complaint": f"hop {complaint}", "kart": {"class": kind}, "history": history, "keep": keep}
    first = case_from_data(data, shipped().book)
    if first is not None:
        assert read_back(first) == first


def test_an_empty_trailer_is_kept_as_an_empty_trailer() -> None:
    assert read_back(replace(LOOSE, kit={})).kit == {}


@pytest.mark.parametrize("text", ["0.00005 m", "0.00002 m", "-0.00001 cm"])
def test_small_values_are_written_so_that_they_can_be_read(text: str) -> None:
    case = replace(LOOSE, setup={"toe": parse(text)})
    assert read_back(case).setup == case.setup


@pytest.mark.parametrize(
    "case",
    [
        Case(history=("caster more",)),
        Case(secondary={"phase": "exit", "balance": "hop"}),
        Case(setup={"caster": parse("12 deg")}),
    ],
)
def test_a_case_that_says_only_half_is_read_back_too(case: Case) -> None:
    """An interview that has just begun is kept like any other."""
    assert read_back(case) == case


@pytest.mark.parametrize(
    "odd",
    [
        {"spoken": 5},
        {"spoken": {"text": ["loose"]}},
        {"spoken": {"text": "x" * 100_000, "of": [1, None, "balance", "no question"], "beside": -7}},
        {"spoken": {"text": "\x1b[2Jloose", "of": "balance", "alone": "yes", "beside": 1e99}},
        {"who": ["driver"]},
        {"who": "nobody"},
        {"unanswered": {"balance": 1}},
        {"unanswered": ["balance", "no question", 7, "\x1b[2J"]},
    ],
    ids=str,
)
def test_what_was_said_is_read_back_from_a_journal_of_anybody(odd: dict[str, object]) -> None:
    """A row is hostile until it is validated: what makes no sense is left out, and the case is still answered."""
    back = case_from_data({"observed": {"balance": "oversteer"}, **odd}, shipped().book)
    assert back is not None
    assert back.who == ""
    assert set(back.unanswered) <= {"balance"}
    if back.spoken:
        assert len(back.spoken.text) <= 8000
        assert set(back.spoken.of) <= {"balance"}
        assert back.spoken.beside == 0
    assert steps.answer(shipped(), steps.begin(shipped(), back)).advice
