"""What was changed, told in the history of a case: by words, by ids, and as the interview writes it down."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from advisor.book import load
from advisor.inference.evidence import Evidence, gather
from advisor.interview.steps import begin
from advisor.model.case import Case
from advisor.reasoning.weighing import Mind, make_ready


@cache
def mind() -> Mind:
    return make_ready(load.book(), load.ear())


def _evidence(case: Case) -> Evidence:
    return gather(case, mind().book, mind().lexicon).evidence


def _missed(line: str, turn: tuple[str, str]) -> Any:
    reason = "the way stands behind the lever, and only the lever is read"
    return pytest.param(line, turn, marks=pytest.mark.xfail(strict=True, reason=reason))


@pytest.mark.parametrize(
    ("line", "turn"),
    [
        ("fitted a softer axle", ("axle_stiffness", "softer")),
        ("raised the rear", ("rear_ride_height", "raise")),
        ("rear ride height raised", ("rear_ride_height", "raise")),
        ("changed the axle this morning", ("axle_stiffness", None)),
        ("front bar removed", ("front_torsion_bar", "remove")),
        ("rear hubs longer", ("rear_hub_length", "longer")),
        _missed("seat moved forward", ("seat_fore_aft", "forward")),
        ("more caster", ("caster", "more")),
    ],
)
def test_a_line_of_history_names_the_lever_and_its_way(line: str, turn: tuple[str, str | None]) -> None:
    assert _evidence(Case(history=(line,))).changes == (turn,)


def test_every_lever_and_way_can_be_told_by_their_ids() -> None:
    lost = {}
    for lever in mind().book.levers.values():
        for way in (name for name, w in lever.ways.items() if w.opposite):
            changes = _evidence(Case(history=(f"{lever.id} {way}",))).changes
            if changes != ((lever.id, way),):
                lost[f"{lever.id} {way}"] = changes
    assert not lost


@pytest.mark.parametrize(
    "complaint",
    [
        "We raised the rear ride height and now it hops",
        "Since I fitted longer rear hubs it pushes on exit",
        "I moved the seat back 10 mm and the front has no bite",
        "Put on a stiffer axle, now it hops mid corner",
    ],
)
def test_a_settled_case_remembers_the_change_that_its_words_told(complaint: str) -> None:
    state = begin(mind(), Case(complaint=complaint))
    told = state.gathered.evidence.changes
    assert told
    assert told[0][1] is not None
    assert _evidence(state.case).changes == told


@pytest.mark.parametrize("line", ["contact", "a shunt in the heat", "hit the kerb hard"])
def test_contact_in_the_history_is_a_fact(line: str) -> None:
    assert _evidence(Case(history=(line,))).answers["contact"] == {"yes"}
