"""The knowledge base before the kart model: what contradicts it is explained to whoever reads of the lever."""

from __future__ import annotations

from functools import cache

import pytest

from advisor.book import load
from advisor.mechanics.claims import Judged, judge, judged
from advisor.mechanics.outlook import Change, base, outlook
from advisor.mechanics.rows import Row
from advisor.mechanics.turns import TURNS, one_step, sign_of
from advisor.model.levers import Gives
from advisor.physics.figures import Figure

from .signs import line, report

FEW = 100  # karts, to be quick; with ten times as many the same claims disagree


@cache
def all_claims() -> tuple[Judged, ...]:
    return tuple(judged(load.book(), FEW))


def test_every_disagreement_is_explained_in_the_lever_s_record() -> None:
    unexplained = [line(j) for j in all_claims() if j.verdict == "disagree" and j.gives.statics is None]
    assert not unexplained, unexplained


def test_an_explanation_stands_only_where_the_model_has_a_direction() -> None:
    """One that outlived its disagreement would mislead; two conflicts between sources are settled where it agrees."""
    settled = {
        ("rear_track_width", "inside_rear_lift"),
        ("seat_fore_aft", "rear_side_bite"),
        ("ballast_fore_aft", "rear_side_bite"),
    }
    for j in all_claims():
        if j.gives.statics is not None:
            agrees = j.verdict == "agree" and (j.lever, j.gives.effect) in settled
            assert j.verdict == "disagree" or agrees, line(j)


def test_every_explanation_names_mechanism_and_regimes() -> None:
    for j in all_claims():
        if (told := j.gives.statics) is not None:
            for text in (told.says, told.left_out, told.sources, told.loads):
                assert len(text.split()) >= 4, (j.lever, text)


def test_plain_statics_never_contradict_the_model() -> None:
    """Claims marked as geometry (tipping) must agree, or one of both is wrong."""
    told = [j for j in all_claims() if j.gives.geometry]
    assert len(told) >= 3
    assert all(j.verdict == "agree" for j in told)


def test_the_model_s_levers_and_ways_are_those_of_the_book() -> None:
    book = load.book()
    for name, turn in TURNS.items():
        lever = book.levers[name]
        assert turn.raises in lever.ways, name
        assert sign_of(lever, turn.raises) == 1
        assert one_step(lever) > 0
        assert lever.step is None or lever.step.raises == turn.raises, name


def test_the_report_tells_every_claim_that_has_a_verdict() -> None:
    text = "\n".join(report(all_claims()))
    assert all(line(j) in text for j in all_claims() if j.row)


ROW = Row(1.0, 1.0, 0.0, 0.0, 0.0, 0.1)


@pytest.mark.parametrize(
    ("up", "down", "verdict"),
    [
        (0.95, 0.0, "agree"),
        (0.0, 0.9, "disagree"),
        (0.5, 0.4, "depends"),
        (0.3, 0.0, "cannot tell"),
        (0.0, 0.0, "cannot tell"),
        (0.85, 0.12, "depends"),
    ],
)
def test_verdicts(up: float, down: float, verdict: str) -> None:
    from dataclasses import replace

    assert judge(replace(ROW, up=up, down=down), more=True) == verdict
    turned = {"agree": "disagree", "disagree": "agree"}.get(verdict, verdict)
    assert judge(replace(ROW, up=up, down=down), more=False) == turned


def rear_in_hand(way_back: float, **corner: float) -> Row:
    figures = {name: Figure(value, value, value, "test") for name, value in corner.items()}
    return outlook(base(figures, karts=FEW), [Change("seat_fore_aft", "back", way_back)]).effects[
        "rear_side_bite"
    ]


def test_weight_moved_back_steadies_the_tail_by_the_locked_axle_alone(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What the record says of the second conflict: the sign turns when the axle is free, and in fast sweepers."""
    from dataclasses import replace

    from advisor.physics import handling

    assert rear_in_hand(-0.01, radius=12.0).low > 0
    assert rear_in_hand(-0.01, radius=60.0).middle < 0.2
    locked = handling.rear_axle
    monkeypatch.setattr(handling, "rear_axle", lambda *a: replace(locked(*a), spread=0.0))
    assert rear_in_hand(-0.01, radius=12.0).middle < 0


def test_the_bend_of_a_longer_free_axle_is_smaller_than_the_broader_base() -> None:
    """What the record says of the first conflict: a rear track that grows on a rigid axle lifts later by as much."""
    wider = [Change("rear_track_width", "wider", 0.01)]
    bending = outlook(base({}, karts=FEW), wider).effects["inside_rear_lift"]
    rigid = outlook(base({"axle_stiffness": Figure(1e9, 1e9, 1e9, "test")}, karts=FEW), wider).effects[
        "inside_rear_lift"
    ]
    assert bending.high < 0
    assert rigid.high < 0
    assert abs(rigid.middle - bending.middle) < 0.35 * abs(rigid.middle)


def test_a_claim_without_a_figure_is_told_apart() -> None:
    assert {j.reason for j in all_claims() if j.verdict == "not in the model"} == {
        "effect",
        "lever",
        "regime",
    }
    assert isinstance(all_claims()[0].gives, Gives)
