"""`advisor score`: what was expected of the changes in a journal, and what came of them."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.cli import main
from advisor.model.assumed import VERDICT_IF
from tests.journal import rows

# of each trial of rows.py: chance .3, direction .8 sure, so .075 to hurt; by hand from VERDICT_IF
EXPECTED = sum(p * VERDICT_IF[s]["better"] for s, p in (("cured", 0.3), ("hurt", 0.075), ("nothing", 0.625)))


def _journal(path: Path, *verdicts: str) -> Path:
    events = []
    for n, given in enumerate(verdicts):
        events += [rows.trial(f"t{n:02}"), rows.verdict(f"v{n:02}", of=f"t{n:02}", given=given)]
    return rows.write(path, *events)


def test_what_was_expected_stands_beside_what_came(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = _journal(tmp_path / "j.sqlite3", "better", "worse", "same", "better")
    assert main(["score", "--journal", str(path)]) == 0
    shown = capsys.readouterr().out
    assert "4 trials with an outcome" in shown
    told = " ".join(shown.split())
    assert "Better: 50 %. The advice had given a cure 30 %" in told  # the chance of rows.CHANGE
    assert f"that makes {100 * EXPECTED:.0f} % expected." in told
    assert f"Brier score {(2 * EXPECTED**2 + 2 * (1 - EXPECTED) ** 2) / 4:.3f}" in shown
    assert "oversteer entry" in shown
    assert "2024-05" in shown
    assert "Too few trials" in shown


def test_chances_that_were_too_high_are_owned_up_to(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = _journal(tmp_path / "j.sqlite3", *["worse"] * 14)
    assert main(["score", "--journal", str(path)]) == 0
    assert "have been too high" in " ".join(capsys.readouterr().out.split())


def test_no_line_is_wider_than_a_narrow_terminal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    path = _journal(tmp_path / "j.sqlite3", *["better", "same"] * 8)
    main(["score", "--journal", str(path)])
    assert max(map(len, capsys.readouterr().out.splitlines())) <= 40


def test_without_an_outcome_there_is_nothing_to_score(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = rows.write(tmp_path / "j.sqlite3", rows.trial())
    assert main(["score", "--journal", str(path)]) == 1
    assert "nothing to score" in capsys.readouterr().err
