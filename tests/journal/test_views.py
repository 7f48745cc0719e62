"""What is derived and kept: brought up to date with each event, and the same when it is built anew."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from advisor.journal import trials, views
from advisor.journal.derived import View
from advisor.journal.store import Journal
from tests.journal import rows

# How many trials came out better, same or worse: a count that a correction must take back.
COUNTS = View(
    name="counts 1",
    fold=lambda db, state, number, event: None,  # the triggers do it
    tables=("derived_count",),
    make=(
        "CREATE TABLE {schema}.derived_count (verdict TEXT PRIMARY KEY, n INTEGER)",
        "INSERT INTO {schema}.derived_count "
        "SELECT verdict, count(*) FROM derived_trial WHERE verdict NOT NULL AND seq NOT NULL GROUP BY verdict",
        *(
            f"CREATE TRIGGER {{schema}}.derived_count_{when} AFTER {when} ON derived_trial BEGIN "
            + (
                "UPDATE derived_count SET n = n - 1 WHERE verdict = OLD.verdict AND OLD.seq NOT NULL; "
                if when == "UPDATE"
                else ""
            )
            + "INSERT INTO derived_count SELECT NEW.verdict, 1 WHERE NEW.verdict NOT NULL AND NEW.seq NOT NULL "
            "ON CONFLICT (verdict) DO UPDATE SET n = n + 1; END"
            for when in ("INSERT", "UPDATE")
        ),
    ),
)


@pytest.fixture
def counting(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(views, "VIEWS", (*views.VIEWS, COUNTS))


def counts(path: Path, *, read_only: bool = False) -> dict[str, int]:
    with Journal(path, read_only=read_only) as journal:
        return dict(journal.ask("SELECT verdict, n FROM derived_count WHERE n"))


EVENTS = [
    rows.verdict("v0", "t2", "same"),  # before its trial
    rows.trial("t1"),
    rows.verdict("v1", "t1", "better"),
    rows.trial("t2"),
    rows.trial("t3"),
    rows.verdict("v2", "t1", "worse"),  # a correction
    rows.verdict("v3", "t3", "worse"),
]
COUNTED = {"same": 1, "worse": 2}


@pytest.mark.usefixtures("counting")
def test_a_count_follows_each_event_and_takes_corrections_back(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite3"
    seen = []
    for event in EVENTS:
        rows.write(path, event)
        seen.append(counts(path))
    assert seen[2:6] == [
        {"better": 1},
        {"better": 1, "same": 1},
        {"better": 1, "same": 1},
        {"same": 1, "worse": 1},
    ]
    assert seen[-1] == COUNTED
    with Journal(path) as journal:
        journal.rebuild()
    assert counts(path) == COUNTED


def test_a_view_that_is_new_counts_what_was_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = rows.write(tmp_path / "journal.sqlite3", *EVENTS)
    monkeypatch.setattr(views, "VIEWS", (*views.VIEWS, COUNTS))
    before = path.read_bytes()
    assert counts(path, read_only=True) == COUNTED  # in memory
    assert path.read_bytes() == before
    assert counts(path) == COUNTED


@pytest.mark.usefixtures("counting")
def test_views_after_one_that_changed_are_built_anew_as_well(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its table is made anew, so that the triggers of the others on it are gone."""
    path = rows.write(tmp_path / "journal.sqlite3", *EVENTS)
    other = View("trials 2", trials.VIEW.fold, trials.VIEW.tables, trials.VIEW.make)
    monkeypatch.setattr(views, "VIEWS", (other, *views.VIEWS[1:]))
    rows.write(path, rows.verdict("v4", "t3", "better"))
    assert counts(path) == {"same": 1, "worse": 1, "better": 1}
    monkeypatch.undo()  # the older program again, which must not go on from where it was
    with Journal(path) as journal:
        assert [t.verdict for t in trials.latest(journal, 9, "judged")] == ["worse", "same", "better"]
        rows_before = journal.ask("SELECT * FROM derived_trial ORDER BY id")
        journal.rebuild()
        assert journal.ask("SELECT * FROM derived_trial ORDER BY id") == rows_before


def test_nothing_is_folded_twice(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[str] = []
    view = View("seen 1", lambda db, state, number, event: seen.append(event.id))
    monkeypatch.setattr(views, "VIEWS", (view,))
    path = rows.write(tmp_path / "journal.sqlite3", *EVENTS[:3])
    rows.write(path, *EVENTS[3:])
    assert seen == [event.id for event in EVENTS]
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("SELECT * FROM derived").fetchall() == [("seen 1", len(EVENTS), json.dumps({}))]
