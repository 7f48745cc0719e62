"""A small book written for these tests, against numbers worked out by hand and against another library."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import cache
from itertools import product

import pytest
from hypothesis import given

from advisor.book import load
from advisor.inference.belief import believe
from advisor.inference.evidence import Evidence
from advisor.inference.tables import Tables
from advisor.model.feel import cells
from advisor.model.knowledge import BALANCES, PHASES
from tests.reasoning.minds import SMALL_BOOK, evidence_of, patiently, questions, small, some_evidence
from tests.reasoning.networks import gum


def test_it_loads_without_an_error_or_a_weakness() -> None:
    loaded = load.load(SMALL_BOOK)
    assert loaded.problems == []
    assert loaded.book is not None
    sizes = len(loaded.book.observations), len(loaded.book.causes), len(loaded.book.levers)
    assert sizes == (3, 4, 3)


def test_its_words_become_the_numbers_worked_out_by_hand() -> None:
    tables = small().tables
    # base rates 1, 2, 4 and 8 of 15 share what `unknown` (8 %) leaves
    wanted = [0.92 * 1 / 15, 0.92 * 2 / 15, 0.92 * 4 / 15, 0.92 * 8 / 15, 0.08]
    assert tables.hypotheses == ("bent_part", "cold_rubber", "light_front", "light_rear", "unknown")
    assert tables.prior == pytest.approx(wanted, abs=1e-12)
    # usual: unlikely .33, about as likely as not .50, very unlikely .10, made to add up to 1
    assert tables.usual["tyres"] == pytest.approx({"cold": 33 / 93, "ok": 50 / 93, "hot": 10 / 93})
    # play is very likely (.90) under a bent part; 2 % of measured answers are mistaken and fall as usual (.10)
    assert tables.rows["play"][0]["play"] == pytest.approx(0.98 * 0.90 + 0.02 * 0.10)
    # 8 % of remembered answers are mistaken; usual is 1/3 against 2/3
    assert tables.rows["inside_rear"][2]["never"] == pytest.approx(0.92 * 0.90 + 0.08 / 3)
    # what the author left out (cold) shares the rest as usual; 5 % of looks are mistaken
    assert tables.rows["tyres"][3]["cold"] == pytest.approx(0.95 * (1 - 0.33 - 0.66) + 0.05 * 33 / 93)
    # 17 cells left out are exceptional (.01), the others .66, .66 and .50; 5 % of tellings are mistaken
    cell = 0.66 / (0.66 + 0.66 + 0.50 + 0.17)
    assert tables.rows["feel"][3]["entry oversteer"] == pytest.approx(
        0.95 * cell + 0.05 * tables.usual["feel"]["entry oversteer"]
    )


class Naive:
    """The tables as a naive-Bayes network: the cause, its answers, and the cell that is felt."""

    def __init__(self, tables: Tables) -> None:
        self.tables = tables
        self.net = gum.BayesNet()
        self._add("cause", tables.hypotheses)
        self._fill("cause", {}, tables.prior)
        for ident, usual in tables.usual.items():
            self._add(ident, tuple(usual))
            self.net.addArc("cause", ident)
            for i, cause in enumerate(tables.hypotheses):
                row = tables.rows.get(ident, {}).get(i, usual)
                self._fill(ident, {"cause": cause}, [row[a] for a in usual])
        self.engine = gum.LazyPropagation(self.net)

    def _add(self, name: str, states: Sequence[str]) -> None:
        self.net.add(gum.LabelizedVariable(name, "", list(states)))

    def _fill(self, name: str, parents: dict[str, str], row: Iterable[float]) -> None:
        table = self.net.cpt(name)
        if parents:
            table[parents] = list(row)
        else:
            table.fillWith(list(row))

    def posterior(self, evidence: Evidence) -> list[float]:
        seen = {
            o: [float(a in answers) for a in self.tables.usual[o]] for o, answers in evidence.answers.items()
        }
        self.engine.setEvidence(seen)
        self.engine.makeInference()
        posterior = self.engine.posterior("cause")
        return [float(posterior[{"cause": h}]) for h in self.tables.hypotheses]


@cache
def naive() -> Naive:
    return Naive(small().tables)


def _every_evidence() -> Iterable[Evidence]:
    choices = [[None, *answers] for answers in questions(small().book).values()]
    for picked in product(*choices, [None, *PHASES], [None, *BALANCES]):
        *answered, phase, balance = picked
        named = zip(questions(small().book), answered, strict=True)
        answers = {o: frozenset((a,)) for o, a in named if a is not None}
        yield evidence_of(answers, cells(*((x,) if x else None for x in (phase, balance))))


def test_every_combination_of_answers_and_none_agrees_with_another_library() -> None:
    count = 0
    for evidence in _every_evidence():
        count += 1
        ours = believe(small().tables, evidence).probabilities
        assert ours == pytest.approx(naive().posterior(evidence), abs=1e-6), evidence
    assert count == 4 * 3 * 3 * 5 * 6  # each observation or none of its answers, and each phase and balance


@patiently
@given(some_evidence(small))
def test_answers_left_open_agree_with_another_library(evidence: Evidence) -> None:
    first_only = replace(evidence, second=frozenset())
    ours = believe(small().tables, first_only).probabilities
    assert ours == pytest.approx(naive().posterior(first_only), abs=1e-6)
