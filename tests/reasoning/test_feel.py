"""Phase and balance as one observation: what is told on one axis, taken back, and told again."""

from __future__ import annotations

import pytest

from advisor.inference.evidence import Evidence
from advisor.model.feel import AXES, CELLS, NONE_TOLD, axes, cells, told, turned

NOTHING = Evidence({}, {})
NOT_HOP = frozenset(AXES["balance"]) - {"hop"}


def test_the_cells_are_every_phase_with_every_balance() -> None:
    assert len(CELLS) == len(AXES["phase"]) * len(AXES["balance"]) == 20
    assert cells(None, None) == CELLS.keys()
    assert cells(("exit",), NOT_HOP) == {"exit understeer", "exit oversteer", "exit bind", "exit slide"}


def test_an_axis_of_which_nothing_is_told_has_no_answers() -> None:
    felt = cells(None, NOT_HOP)
    assert told(felt, "phase") is None
    assert axes(felt) == {"balance": NOT_HOP}
    assert axes(NONE_TOLD) == axes(cells(None, None)) == {}


@pytest.mark.parametrize("axis", AXES)
def test_an_axis_taken_back_leaves_the_other(axis: str) -> None:
    (other,) = AXES.keys() - {axis}
    felt = cells(("mid",), ("hop",))
    assert axes(turned(felt, axis, None)).keys() == {other}
    assert turned(turned(felt, axis, None), other, None) == NONE_TOLD


def test_an_answer_stands_for_the_one_before_and_leaves_the_other_question() -> None:
    evidence = NOTHING.answering("phase", "entry").answering("balance", "hop").answering("phase", "mid")
    assert evidence.answers == {"feel": {"mid hop"}}
    assert dict(evidence.facts) == {f"observed.{q}": left for q, left in evidence.told.items()}
    assert evidence.leaving("phase", None).told == {"balance": {"hop"}}
    assert evidence.leaving("phase", None).leaving("balance", None) == NOTHING


def test_a_balance_is_asked_for_until_one_is_left_and_a_phase_until_anything_is_told() -> None:
    evidence = NOTHING.leaving("balance", NOT_HOP).leaving("phase", frozenset(("mid", "exit")))
    assert not evidence.answered("balance")
    assert evidence.answered("phase")
    assert evidence.answering("balance", "slide").answered("balance")
