"""The commands on journals that are missing, foreign, broken, locked or forbidden: one sentence, status 1."""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from tests.hostile.command import HANG, Advisor, Result
from tests.journal import rows
from tests.journal.test_store import FOREIGN, HOSTILE
from tests.journal.test_trials import WRONG

CASE = "complaint: loose on entry\n"
COMMANDS = {"outcome": ["outcome", "better"], "advise": ["advise", "case.yaml", "--json"]}


@pytest.fixture(params=list(COMMANDS))
def call(request: pytest.FixtureRequest, advisor: Advisor) -> Callable[..., Result]:
    """A command that reads the journal."""
    advisor.write(CASE)
    return lambda **limits: advisor(*COMMANDS[request.param], "--journal", str(advisor.journal), **limits)


def refused(done: Result, piece: str = "") -> None:
    """One sentence on standard error, nothing on standard output, status 1."""
    assert done.status == 1, done
    assert done.out == ""
    assert len(done.err.splitlines()) == 1, done.err
    assert piece in done.err


def one_trial(advisor: Advisor) -> None:
    rows.write(advisor.journal, rows.trial())


# --- what cannot be used ----------------------------------------------------------------------------


@pytest.mark.parametrize("make", FOREIGN, ids=lambda make: make.__name__)
def test_a_file_of_something_else_is_refused(
    advisor: Advisor, call: Callable[..., Result], make: Any
) -> None:
    make(advisor.journal)
    before = advisor.journal.read_bytes()
    refused(call(), "journal")
    assert advisor.journal.read_bytes() == before


@pytest.mark.parametrize("row", HOSTILE.values(), ids=HOSTILE)
def test_a_hostile_row_is_refused(
    advisor: Advisor, call: Callable[..., Result], row: tuple[Any, ...]
) -> None:
    rows.smuggle(
        advisor.journal, ("good", rows.AT, "trial", rows.body_with()), (row[0], row[1], row[2], row[3])
    )
    before = advisor.journal.read_bytes()
    refused(call(), "row 2")
    assert advisor.journal.read_bytes() == before


@pytest.mark.parametrize("body", WRONG.values(), ids=WRONG)
def test_a_trial_of_the_wrong_shape_is_refused(
    advisor: Advisor, call: Callable[..., Result], body: str
) -> None:
    rows.smuggle(advisor.journal, ("x", rows.AT, "trial", body))
    before = advisor.journal.read_bytes()
    refused(call(), "row 1")
    assert advisor.journal.read_bytes() == before


def test_a_newer_journal_is_refused(advisor: Advisor, call: Callable[..., Result]) -> None:
    one_trial(advisor)
    with closing(sqlite3.connect(advisor.journal)) as db:
        db.execute("PRAGMA user_version = 99")
    refused(call(), "newer version")


@pytest.mark.parametrize("left", [2, 99, 4096, 6000])
def test_a_truncated_journal_is_refused(advisor: Advisor, call: Callable[..., Result], left: int) -> None:
    rows.write(advisor.journal, *(rows.trial(f"t{i}") for i in range(60)))
    whole = advisor.journal.read_bytes()
    advisor.journal.write_bytes(whole[:left])
    refused(call(), "journal")
    assert advisor.journal.read_bytes()[:left] == whole[:left]


def test_a_folder_is_refused(advisor: Advisor, call: Callable[..., Result]) -> None:
    advisor.journal.mkdir()
    refused(call(), "folder")


def test_a_locked_journal_is_refused_and_nothing_is_lost(advisor: Advisor) -> None:
    """The lock is held for the whole run; the program waits for a while before it gives up."""
    one_trial(advisor)
    with closing(sqlite3.connect(advisor.journal, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        done = advisor("outcome", "better", limit=3 * HANG)
        other.execute("ROLLBACK")
    refused(done, "locked")
    assert rows.events(advisor.journal) == [rows.trial()]
    assert advisor("outcome", "better").status == 0
    assert len(rows.events(advisor.journal)) == 2


@pytest.mark.parametrize("command", COMMANDS.values(), ids=COMMANDS)
def test_a_journal_locked_against_reading_is_refused(advisor: Advisor, command: list[str]) -> None:
    """Without a write-ahead log an exclusive lock keeps readers out as well."""
    one_trial(advisor)
    advisor.write(CASE)
    with closing(sqlite3.connect(advisor.journal, isolation_level=None)) as other:
        other.execute("PRAGMA journal_mode = DELETE")
        other.execute("BEGIN EXCLUSIVE")
        done = advisor(*command, "--journal", str(advisor.journal), limit=3 * HANG)
        other.execute("ROLLBACK")
    refused(done, "locked")
    assert rows.events(advisor.journal) == [rows.trial()]


# --- permissions, as a user whom they bind -----------------------------------------------------------


def prepare(ordinary: Advisor) -> Path:
    """A journal with one trial in a folder of its own."""
    home = ordinary.folder / "pits"
    home.mkdir()
    path = rows.write(home / "journal.sqlite3", rows.trial())
    ordinary.write(CASE)
    return path


@pytest.mark.parametrize("command", COMMANDS.values(), ids=COMMANDS)
def test_an_unreadable_journal_is_refused(ordinary: Advisor, command: list[str]) -> None:
    path = prepare(ordinary)
    path.chmod(0)
    refused(ordinary(*command, "--journal", str(path)), str(path))
    path.chmod(0o600)
    assert rows.events(path) == [rows.trial()]


@pytest.mark.parametrize("command", COMMANDS.values(), ids=COMMANDS)
@pytest.mark.parametrize("mode", [0, 0o600])
def test_a_journal_in_a_closed_folder_is_refused(ordinary: Advisor, command: list[str], mode: int) -> None:
    path = prepare(ordinary)
    path.parent.chmod(mode)
    refused(ordinary(*command, "--journal", str(path)), str(path))
    path.parent.chmod(0o700)
    assert rows.events(path) == [rows.trial()]


def test_a_read_only_journal_is_refused_for_writing(ordinary: Advisor) -> None:
    path = prepare(ordinary)
    path.chmod(0o400)
    refused(ordinary("outcome", "better", "--journal", str(path)), "read-only")
    assert rows.events(path) == [rows.trial()]


def test_a_read_only_folder_is_refused_for_writing(ordinary: Advisor) -> None:
    path = prepare(ordinary)
    path.parent.chmod(0o500)
    refused(ordinary("outcome", "better", "--journal", str(path)), str(path))
    path.parent.chmod(0o700)
    assert rows.events(path) == [rows.trial()]


def test_a_read_only_folder_is_refused_for_a_new_journal(ordinary: Advisor) -> None:
    path = prepare(ordinary).with_name("new.sqlite3")
    path.parent.chmod(0o500)
    refused(ordinary("outcome", "better", "--journal", str(path)), str(path))
    refused(ordinary("outcome", "better", "--journal", str(path.parent / "a" / "b")), "folder")
    path.parent.chmod(0o700)
    assert not path.exists()


@pytest.mark.parametrize(("file", "folder"), [(0o400, 0o700), (0o400, 0o500), (0o600, 0o500)])
def test_a_read_only_journal_may_be_read(ordinary: Advisor, file: int, folder: int) -> None:
    """On a stick that is write-protected, or in somebody else's folder."""
    path = prepare(ordinary)
    path.chmod(file)
    path.parent.chmod(folder)
    done = ordinary("advise", "case.yaml", "--json", "--journal", str(path))
    path.parent.chmod(0o700)
    assert done.status == 0, done.err
    assert done.answer["advice"]


# --- what advise does with a journal ----------------------------------------------------------------


def names(done: Result) -> list[tuple[str, str]]:
    return [(a["lever"], a["direction"]) for a in done.answer["advice"]]


def test_advise_reads_a_journal_only_when_it_is_told_to(advisor: Advisor) -> None:
    alone = advisor.advise(CASE, "--json")
    lever, direction = names(alone)[1]
    change = {**rows.CHANGE, "lever": lever, "direction": direction}
    now = datetime.now(UTC).isoformat()
    events = rows.trial(change=change), rows.verdict(given="worse")
    rows.write(advisor.journal, *(replace(event, at=now) for event in events))
    assert names(advisor("advise", "case.yaml", "--json")) == names(alone)
    told = advisor("advise", "case.yaml", "--json", "--journal", advisor.journal.name)
    assert (lever, direction) not in names(told)


def test_trials_of_other_days_are_no_reason_to_leave_a_change_out_but_are_told(advisor: Advisor) -> None:
    alone = advisor.advise(CASE, "--json")
    lever, direction = names(alone)[1]
    change = {**rows.CHANGE, "lever": lever, "direction": direction}
    rows.write(advisor.journal, rows.trial(change=change), rows.verdict(given="worse"))  # two years ago
    told = advisor("advise", "case.yaml", "--json", "--journal", advisor.journal.name)
    mine = next(a for a in told.answer["advice"] if a["lever"] == lever)
    assert any("Your own trial" in line and "1 worse" in line for line in mine["why"])


def test_advise_does_not_even_look_at_the_journal_of_the_environment(advisor: Advisor) -> None:
    advisor.journal.write_text("no journal at all")
    assert advisor.advise(CASE, "--json").status == 0
    assert advisor.journal.read_text() == "no journal at all"


def test_advise_makes_no_journal(advisor: Advisor) -> None:
    assert advisor.advise(CASE).status == 0
    assert [path.name for path in advisor.folder.iterdir()] == ["case.yaml"]
    refused(advisor("advise", "case.yaml", "--journal", "none.sqlite3"), "no journal")
    assert [path.name for path in advisor.folder.iterdir()] == ["case.yaml"]


@pytest.mark.parametrize("verdicts", [[], ["better"], ["worse"]])
def test_advise_never_writes_to_the_journal_it_reads(advisor: Advisor, verdicts: list[str]) -> None:
    rows.write(advisor.journal, rows.trial(), *(rows.verdict(given=v) for v in verdicts))
    advisor.write(CASE)
    before = advisor.journal.read_bytes()
    assert advisor("advise", "case.yaml", "--journal", advisor.journal.name).status == 0
    assert advisor.journal.read_bytes() == before
    assert len(rows.events(advisor.journal)) == 1 + len(verdicts)


# --- what outcome does with a journal ---------------------------------------------------------------


@pytest.mark.parametrize("given", ["better", "same", "worse"])
def test_an_outcome_is_one_more_event(advisor: Advisor, given: str) -> None:
    one_trial(advisor)
    done = advisor("outcome", given, "--note", "six laps, 12 psi hot")
    assert done.status == 0, done.err
    first, second = rows.events(advisor.journal)
    assert first == rows.trial()
    belongs = second.body.pop("belongs")
    assert set(belongs) == {"time"}  # no kart is on file
    assert second.body == {"trial": "t1", "verdict": given, "note": "six laps, 12 psi hot"}
    assert advisor("outcome", given).status == 1  # nothing is waiting any more


ODD_CHANGES: dict[str, dict[str, Any]] = {
    "a lever of long ago": {"lever": "leaf_springs"},
    "a direction of long ago": {"direction": "sideways"},
    "a unit of long ago": {"to": {"value": 3.0, "unit": "furlong"}},
    "a wrong dimension": {"to": {"value": 3.0, "unit": "psi"}},
    "a grade of long ago": {"to": {"value": "squidgy", "unit": "grade"}},
    "a negative value": {"to": {"value": -3.0, "unit": "mm"}},
    "a tiny value": {"to": {"value": 1e-12, "unit": "mm"}},
    "a huge value": {"to": {"value": 1e300, "unit": "mm"}},
    "escape codes": {"say": "\x1b[31mred\x1b]0;t\x07", "feel_for": "\x1b[2J", "lever": "\x1b[31m"},
    "a lone surrogate": {"lever": "\ud800"},
}


@pytest.mark.parametrize("change", ODD_CHANGES.values(), ids=ODD_CHANGES)
@pytest.mark.parametrize("given", ["better", "worse"])
def test_an_outcome_of_an_odd_change_is_written_down_all_the_same(
    advisor: Advisor, change: dict[str, Any], given: str
) -> None:
    rows.smuggle(advisor.journal, ("t1", rows.AT, "trial", rows.body_with(**change)))
    done = advisor("outcome", given)
    assert done.status in (0, 1)
    assert [event.kind for event in rows.events(advisor.journal)] == ["trial", "verdict"]


ODD_CASES: list[dict[str, Any]] = [
    {},
    {"complaint": "\ud800 loose on entry"},
    {"complaint": "\x1b[31mloose on entry"},
    {"observed": {"phase": "lunch"}},
    {"setup": {"rear_track_width": 7}},
    {"k" * 3000: 1},
    {"complaint": "loose", "tried": [{"lever": "caster", "direction": "up", "verdict": "bad"}]},
]


@pytest.mark.parametrize("case", ODD_CASES)
def test_an_outcome_of_an_odd_case_is_written_down_all_the_same(
    advisor: Advisor, case: dict[str, Any]
) -> None:
    body = json.dumps({**rows.TRIAL, "case": case})
    rows.smuggle(advisor.journal, ("t1", rows.AT, "trial", body))
    done = advisor("outcome", "better")
    assert done.status in (0, 1)
    assert [event.kind for event in rows.events(advisor.journal)] == ["trial", "verdict"]


@pytest.mark.parametrize(
    "note",
    [
        "",
        "ü 漢字 \U0001f3ce",
        "\x1b[31m",
        "line\nbreak",
        "'; DROP TABLE event; --",
        "n" * 4001,
        os.fsdecode(b"\xff"),
    ],
    ids=["empty", "foreign", "escape", "lines", "SQL", "long", "no UTF-8"],
)
def test_any_note_is_kept_or_refused_and_the_journal_stays_readable(advisor: Advisor, note: str) -> None:
    one_trial(advisor)
    done = advisor("outcome", "same", "--note", note)
    if done.status:
        refused(done)
    else:
        # what sounds of danger waits behind it
        assert "same" in [event.body.get("verdict") for event in rows.events(advisor.journal)[-2:]]
    advisor.write(CASE)
    assert advisor("advise", "case.yaml", "--journal", advisor.journal.name).status == 0
