"""What was asked and answered in the sittings of a journal: counted once a sitting, in whatever order it came."""

from __future__ import annotations

import itertools
from pathlib import Path
from typing import Any

import pytest

from advisor.journal.events import Event
from advisor.journal.sittings import asked
from advisor.journal.store import Journal
from advisor.model.case import Asked
from tests.journal import rows


def _sitting(ident: str, sitting: str, number: int, unanswered: Any, answers: Any = (), **more: Any) -> Event:
    """How far a sitting had come, `number` minutes after nine."""
    case = {"who": "driver", "unanswered": unanswered, **more.pop("case", {})}
    body = {"sitting": sitting, "case": case, "asked": number, "answers": list(answers), **more}
    return Event(ident, f"2024-05-04T09:{number:02d}:00+00:00", "sitting", body)


EVENTS = [
    _sitting("a0", "A", 0, []),
    _sitting("a1", "A", 1, [], [["track", "dry"]]),
    _sitting("a2", "A", 2, ["plug"], [["track", "dry"]], case={"who": "both"}),
    _sitting("a9", "A", 9, ["plug"], case={"who": "both", "denied": {"tyres": ["cold"]}}),  # after a run
    _sitting("b0", "B", 0, ["plug"]),  # brought along, nobody was asked
    _sitting("b1", "B", 1, ["plug", "tyres"], case={"who": "driver", "denied": {"tyres": ["cold"]}}),
]
COUNTED = (Asked("plug", "both", 1, 0), Asked("track", "driver", 1, 1), Asked("tyres", "driver", 1, 1))


def _asked(path: Path, but: str = "") -> tuple[Asked, ...]:
    with Journal(path, read_only=True) as journal:
        return asked(journal, 200, but)


def test_each_question_counts_once_a_sitting_for_those_it_was_put_to(tmp_path: Path) -> None:
    path = rows.write(tmp_path / "j", *EVENTS)
    assert _asked(path) == COUNTED
    assert _asked(path, but="A") == (Asked("tyres", "driver", 1, 1),)
    with Journal(path) as journal:
        journal.rebuild()
    assert _asked(path) == COUNTED


@pytest.mark.parametrize("order", list(itertools.permutations(range(len(EVENTS))))[::97])
def test_the_order_of_rows_makes_no_difference(tmp_path: Path, order: tuple[int, ...]) -> None:
    assert _asked(rows.write(tmp_path / "j", *(EVENTS[i] for i in order))) == COUNTED


HOSTILE: list[dict[str, Any]] = [
    {"case": {"unanswered": "track"}},
    {"case": {"unanswered": [7, None]}},
    {"case": {"unanswered": ["x" * 5000]}},
    {"answers": [["track"]]},
    {"answers": [["track", "dry"]], "case": []},
    {"answers": [["track", "dry"]], "asked": -1},
    {"answers": [["track", "dry"]], "sitting": "s" * 500},
]


@pytest.mark.parametrize("body", HOSTILE)
def test_rows_of_no_sense_leave_it_unmoved(tmp_path: Path, body: dict[str, Any]) -> None:
    whole = {"sitting": "H", "case": {}, "asked": 3, "answers": [], **body}
    bad = Event("h", "2024-05-04T09:30:00+00:00", "sitting", whole)
    assert _asked(rows.write(tmp_path / "j", *EVENTS, bad)) == COUNTED


def test_who_answered_is_one_of_those_who_may_or_nobody_said(tmp_path: Path) -> None:
    strange = [_sitting("c", "C", 4, ["weather"], case={"who": ["driver"], "observed": "weather"})]
    assert Asked("weather", "", 1, 0) in _asked(rows.write(tmp_path / "j", *strange))
