"""The shipped book and a small one, made ready once, and random evidence over them."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

from hypothesis import settings
from hypothesis import strategies as st

from advisor.book import load
from advisor.inference.evidence import Evidence
from advisor.model.feel import CELLS, by_question, cells
from advisor.model.knowledge import BALANCES, PHASES, Book
from advisor.reasoning.weighing import Mind, make_ready

SMALL_BOOK = Path(__file__).parent / "small_book"
patiently = settings(deadline=None)  # a slow machine is no failure


@cache
def shipped() -> Mind:
    return make_ready(load.book(), load.ear())


@cache
def small() -> Mind:
    loaded = load.load(SMALL_BOOK)
    assert loaded.book is not None, loaded.problems
    return make_ready(loaded.book)


def questions(book: Book) -> dict[str, tuple[str, ...]]:
    """The answers of every observation but phase and balance, which are felt together."""
    return {o.id: tuple(o.answers) for o in book.observations.values() if o.id not in ("phase", "balance")}


def evidence_of(
    answers: dict[str, frozenset[str]], felt: frozenset[str], second: frozenset[str] = frozenset()
) -> Evidence:
    """Evidence with its facts in place, as a case gives it; all cells tell nothing."""
    answers = {**answers, "feel": felt} if len(felt) < len(CELLS) else answers
    facts: dict[str, Any] = {f"observed.{q}": a for q, a in by_question(answers).items()}
    return Evidence(answers, facts, second if len(second) < len(CELLS) else frozenset())


def _some(of: tuple[str, ...]) -> st.SearchStrategy[frozenset[str]]:
    """One or more of the answers, but not all of them."""
    return st.frozensets(st.sampled_from(of), min_size=1, max_size=max(1, len(of) - 1))


FEELS = st.builds(cells, st.none() | _some(PHASES), st.none() | _some(BALANCES))


def some_evidence(mind: Callable[[], Mind]) -> st.SearchStrategy[Evidence]:
    """Random evidence: some observations answered, some of them with several answers left possible."""

    def build() -> st.SearchStrategy[Evidence]:
        asked = {o: _some(answers) for o, answers in questions(mind().book).items()}
        return st.builds(evidence_of, st.fixed_dictionaries({}, optional=asked), FEELS, FEELS)

    return st.deferred(build)
