"""Trials as the journal tells them, and cases as it keeps them."""

from __future__ import annotations

import json
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.book import load
from advisor.book.marked import parse
from advisor.journal.store import Event, Journal, JournalError
from advisor.journal.trials import Trial, pending, trial_event, trials, verdict_event
from advisor.karts.cases import from_document
from advisor.karts.written import as_data, case_from_data
from advisor.model.case import Case
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import make_ready
from tests.journal import rows


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "journal.sqlite3"


def told(path: Path) -> list[Trial]:
    with Journal(path, read_only=True) as journal:
        return trials(journal)


def test_a_trial_is_told_as_it_was_advised(path: Path) -> None:
    mind = make_ready(load.book(), load.ear())
    case = case_of("observed: {phase: entry, balance: oversteer}\nsetup: {rear_track_width: 1390 mm}\n")
    for i, advice in enumerate(advise(mind, case).advice):
        rows.write(path, trial_event(f"t{i:03}", rows.AT, "loose on entry", as_data(case), advice))
    for advice, trial in zip(advise(mind, case).advice, told(path), strict=True):
        assert (trial.change.lever, trial.change.direction) == (advice.lever, advice.direction)
        assert trial.change.chance == advice.chance
        assert trial.change.feel_for == advice.feel_for
        assert (trial.change.to is None) == (advice.to is None)
        assert trial.verdict is None


def test_the_latest_verdict_corrects_the_earlier_one(path: Path) -> None:
    first, second = rows.verdict("v1", given="better"), rows.verdict("v2", given="worse", note="on new tyres")
    rows.write(path, rows.trial(), first, second)
    (trial,) = told(path)
    assert (trial.verdict, trial.note) == ("worse", "on new tyres")
    assert len(rows.events(path)) == 3


def test_a_verdict_of_no_trial_is_passed_over(path: Path) -> None:
    rows.write(path, rows.verdict("v1", of="somebody else's"), rows.trial())
    assert [t.verdict for t in told(path)] == [None]


def test_an_event_of_a_kind_to_come_is_passed_over(path: Path) -> None:
    later: Any = "laps"
    rows.write(path, Event("l", rows.AT, later, {"laps": [61.2]}), rows.trial())
    assert [t.id for t in told(path)] == ["t1"]


@given(verdicts=st.lists(st.sampled_from([None, "better", "same", "worse"]), max_size=5))
@settings(max_examples=30, deadline=None)
def test_the_latest_trial_without_a_verdict_is_waiting(verdicts: list[str | None]) -> None:
    with TemporaryDirectory(dir=rows.IN_MEMORY) as folder, Journal(Path(folder) / "j") as journal:
        for i, given_verdict in enumerate(verdicts):
            journal.append(rows.trial(f"t{i}"))
            if given_verdict:
                journal.append(rows.verdict(f"v{i}", f"t{i}", given_verdict))
        waiting = pending(journal)
    expected = [f"t{i}" for i, v in enumerate(verdicts) if v is None]
    assert (waiting.id if waiting else None) == (expected[-1] if expected else None)


@pytest.mark.parametrize("length", [3999, 4000, 4001, 100_000])
def test_a_long_note_does_not_make_the_journal_unreadable(path: Path, length: int) -> None:
    """Events cannot be taken back: one that may be written must be readable for ever."""
    rows.write(path, rows.trial(), verdict_event("v", rows.AT, "t1", "same", "n" * length))
    assert told(path)[0].verdict == "same"


def test_a_long_complaint_does_not_make_the_journal_unreadable(path: Path) -> None:
    advice = advise(
        make_ready(load.book(), load.ear()), Case(observed={"phase": "entry", "balance": "hop"})
    ).advice[0]
    rows.write(path, trial_event("t1", rows.AT, "loose " * 2000, {}, advice))
    assert [t.id for t in told(path)] == ["t1"]


WRONG: dict[str, str] = {
    "no change": json.dumps({"case": {}}),
    "no case": json.dumps({"change": rows.CHANGE}),
    "a change of text": json.dumps({"case": {}, "change": "wider"}),
    "a chance above 1": rows.body_with(chance=1.5),
    "a chance that is none": rows.body_with(chance=float("nan")),
    "a chance of text": rows.body_with(chance="0.3"),
    "lone surrogates": rows.body_with(say="\ud800"),
    "a lever of number": rows.body_with(lever=7),
    "no lever": rows.body_with(lever=None),
    "an amount of text": rows.body_with(amount="5 mm"),
    "a value that is none": rows.body_with(to={"value": None, "unit": "mm"}),
    "an endless value": rows.body_with(to={"value": float("inf"), "unit": "mm"}),
    "a value that is no number": rows.body_with(to={"value": float("nan"), "unit": "mm"}),
    "a case of list": json.dumps({"case": [], "change": rows.CHANGE}),
}


@pytest.mark.parametrize("body", WRONG.values(), ids=WRONG)
def test_a_trial_of_the_wrong_shape_is_told_with_its_row(path: Path, body: str) -> None:
    rows.smuggle(path, ("good", rows.AT, "trial", rows.body_with()), ("x", rows.AT, "trial", body))
    with pytest.raises(JournalError, match="row 2") as refusal:
        told(path)
    assert "\n" not in str(refusal.value)


@pytest.mark.parametrize("body", ["{}", '{"trial": 1, "verdict": "same"}', '{"trial": "t", "verdict": "ok"}'])
def test_a_verdict_of_the_wrong_shape_is_told_with_its_row(path: Path, body: str) -> None:
    rows.smuggle(path, ("x", rows.AT, "verdict", body))
    with pytest.raises(JournalError, match="row 1"):
        told(path)


# --- cases as the journal keeps them ----------------------------------------------------------------


def case_of(text: str) -> Case:
    read = from_document(parse(text, "case"), load.book())
    assert read.case is not None, read.problems
    return read.case


KEPT = [
    "complaint: loose on entry\n",
    "complaint: \"it is: {loose} 'on' # entry -- [no]\\n\\tand \\\\ hops\"\n",
    'complaint: "カート ü \\u2028 \\u00a0 \U0001f3ce"\n',
    "observed: {phase: entry, balance: oversteer, contact: no}\n",
    "observed: {phase: {not: [entry, mid]}, balance: hop}\n",
    "complaint: hops\nsecondary: {phase: exit, balance: bind}\n",
    "complaint: hops\nkart: {class: junior two-stroke, driver_mass: 51.5 kg}\n",
    "complaint: hops\nsetup: {rear_track_width: 54.75 in, tyre_pressure_rear: 0.83 bar, seat_stays: 0, toe: -1.5 mm}\n",
    "complaint: hops\nsetup: {axle_stiffness: medium, third_bearing: no, tyres: {kind: wet, laps: 0}}\n",
    "complaint: hops\nconditions: {air_temperature: -3 degC, tyre_temperature: {front: 120.5 degF, rear: 60 degC}}\n",
    "complaint: hops\nkit: {axle_stiffness: [soft, medium], rear_hub_length: [75 mm, 95.5 mm], tyres: [wet]}\n",
    "complaint: hops\nkit: {}\n",
    "complaint: hops\nkit: {axle_stiffness: []}\n",
    "complaint: hops\nrules: {rear_track_width: {min: 1300 mm, max: 1400 mm}, axle_stiffness: {only: [soft]}}\n",
    "complaint: hops\nrules: {seat_stays: {max: 0}}\n",
    "complaint: hops\nhistory: [contact, changed the axle]\nkeep: [exit traction]\nminutes: 0\n",
    "complaint: hops\ntried: [{lever: caster, direction: more, verdict: same}]\n",
    "complaint: hops\nsetup: {tyre_pressure_rear: 0.0000001 bar}\n",
    "complaint: hops\nsetup: {rear_track_width: 99999999999999999999 mm}\n",
]


@pytest.mark.parametrize("text", KEPT)
def test_a_kept_case_is_read_back_as_it_was(text: str) -> None:
    case = case_of(text)
    kept = json.loads(json.dumps(as_data(case)))
    again = case_from_data(kept, load.book())
    assert again is not None
    assert again == case


@pytest.mark.parametrize(
    "data",
    [
        {},
        {"complaint": ""},
        {"complaint": 3, "observed": []},
        {"observed": {"phase": "lunch"}},
        {"complaint": "x", "no such key": 1},
        {"complaint": "\ud800"},
        {"complaint": "x", "\udfff": 1},
        {"complaint": "\x1b[31m"},
        {"complaint": "x", "setup": {"caster": {"a": {"b": {"c": 1}}}}},
        {"complaint": "x", "k" * 5000: 1},
    ],
)
def test_data_that_is_no_case_is_none_or_a_case_but_no_crash(data: dict[str, Any]) -> None:
    found = case_from_data(data, load.book())
    assert found is None or isinstance(found, Case)
