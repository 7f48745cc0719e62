"""Without a terminal the interview says in one sentence what to run instead."""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
from pathlib import Path

import pexpect
import pytest

from advisor.journal.store import Journal
from advisor.journal.trials import trials
from tests.hostile.command import Advisor
from tests.journal import rows
from tests.terminal.person import HANG


def points_to_advise(text: str) -> None:
    """One sentence, one line, that names the command for files."""
    assert len(text.strip().splitlines()) == 1
    assert "advisor advise" in text
    assert "Traceback" not in text


def test_without_any_terminal_the_status_is_2(advisor: Advisor) -> None:
    done = advisor()
    assert (done.status, done.out) == (2, "")
    points_to_advise(done.err)
    assert not advisor.journal.exists()


def test_a_complaint_on_a_pipe_is_not_taken_for_an_interview(advisor: Advisor) -> None:
    done = subprocess.run(
        advisor.argv(),
        input=b"loose on entry\n" * 20,
        env=advisor.environment,
        capture_output=True,
        timeout=HANG,
        check=False,
    )
    assert (done.returncode, done.stdout) == (2, b"")
    points_to_advise(done.stderr.decode())


def in_shell(advisor: Advisor, tail: str) -> tuple[str, int]:
    """Run the command on a terminal of which a part is turned away; what the terminal showed, and the status."""
    if os.name == "nt":
        pytest.skip("needs a pseudo-terminal")
    command = f"{shlex.quote(sys.executable)} -m advisor {tail}"
    child = pexpect.spawn(
        "/bin/sh",
        ["-c", command],
        cwd=str(advisor.folder),
        env=advisor.environment,
        timeout=HANG,
        encoding="utf-8",
    )
    child.expect(pexpect.EOF)
    shown = child.before or ""
    child.close()
    assert child.exitstatus is not None, "killed by a signal"
    return shown, child.exitstatus


@pytest.mark.parametrize("tail", ["> out.txt", "< /dev/null"])
def test_half_a_terminal_is_none(advisor: Advisor, tail: str) -> None:
    shown, status = in_shell(advisor, tail)
    assert status == 2
    points_to_advise(shown)


@pytest.mark.parametrize("tail", ["> out.txt", "< /dev/null"])
def test_an_outcome_cannot_be_asked_for_on_half_a_terminal(advisor: Advisor, tail: str) -> None:
    """It must not end as if all were well while nothing was asked and nothing written."""
    rows.write(advisor.journal, rows.trial())
    shown, status = in_shell(advisor, f"outcome {tail}")
    assert status == 2
    assert "better, same or worse" in shown
    with Journal(advisor.journal, read_only=True) as journal:
        assert [t.verdict for t in trials(journal)] == [None]


def test_a_verdict_can_be_told_while_the_advice_goes_to_a_file(advisor: Advisor, tmp_path: Path) -> None:
    rows.write(advisor.journal, rows.trial())
    shown, status = in_shell(advisor, "outcome worse --note rain > out.txt")
    assert (shown, status) == ("", 0)
    assert "What this taught" in (tmp_path / "out.txt").read_text("utf-8")
    with Journal(advisor.journal, read_only=True) as journal:
        assert [(t.verdict, t.note) for t in trials(journal)] == [("worse", "rain")]
