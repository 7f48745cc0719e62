"""Closed pipes, closed or full outputs, and Ctrl-C: a sane status, a sane message, no traceback."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.hostile.command import HANG, Advisor, Result, result

CASE = "complaint: loose on entry\n"
POSIX = pytest.mark.skipif(os.name == "nt", reason="POSIX streams and signals")
FULL = Path("/dev/full")


def commands() -> list[list[str]]:
    return [
        ["advise", "case.yaml"],
        ["advise", "case.yaml", "--json"],
        ["check", *(f"nowhere{i}" for i in range(3000))],
        ["demo", "--fast"],
        ["--help"],
    ]


def ended(process: subprocess.Popen[bytes]) -> Result:
    """The result of a process, which must end by itself."""
    try:
        out, err = process.communicate(timeout=2 * HANG)  # the demo plays a whole day
    finally:
        process.kill()
    return result(process.returncode, out or b"", err or b"")


@POSIX
@pytest.mark.parametrize("command", commands(), ids=lambda c: " ".join(c[:3]))
def test_a_reader_that_leaves_after_one_line_is_no_error(advisor: Advisor, command: list[str]) -> None:
    """`advisor ... | head -1`: the reader takes a line and closes the pipe."""
    advisor.write(CASE)
    process = subprocess.Popen(
        advisor.argv(*command),
        cwd=advisor.folder,
        env={**advisor.environment, "PYTHONUNBUFFERED": "1"},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert process.stdout is not None
    assert process.stdout.readline()
    process.stdout.close()
    process.stdout = None
    done = ended(process)
    assert done.err == ""
    assert done.status in (0, 1, 141)  # 1: `check` had found errors; 141: the shell's word for SIGPIPE


@POSIX
@pytest.mark.parametrize("command", commands(), ids=lambda c: " ".join(c[:3]))
def test_a_reader_that_was_never_there_is_no_error(advisor: Advisor, command: list[str]) -> None:
    advisor.write(CASE)
    read, write = os.pipe()
    os.close(read)
    process = subprocess.Popen(
        advisor.argv(*command),
        cwd=advisor.folder,
        env=advisor.environment,
        stdout=write,
        stderr=subprocess.PIPE,
    )
    os.close(write)
    done = ended(process)
    assert done.err == ""
    assert done.status in (0, 1, 141)


def shell(advisor: Advisor, redirection: str, *arguments: str) -> Result:
    """Run the command by a shell that closes or redirects streams."""
    line = ["sh", "-c", f'exec "$@" {redirection}', "sh", *advisor.argv(*arguments)]
    process = subprocess.Popen(
        line, cwd=advisor.folder, env=advisor.environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    return ended(process)


@POSIX
@pytest.mark.parametrize("command", [*commands(), ["outcome", "better"], []], ids=lambda c: " ".join(c[:3]))
@pytest.mark.parametrize("closed", [">&-", "2>&-", "<&-", ">&- 2>&-", "<&- >&- 2>&-"])
def test_closed_streams_are_no_reason_to_crash(advisor: Advisor, command: list[str], closed: str) -> None:
    advisor.write(CASE)
    assert shell(advisor, closed, *command).status in (0, 1, 2)


@POSIX
@pytest.mark.parametrize("closed", [">&-", "2>&-"])
def test_a_closed_stream_does_not_change_a_refusal(advisor: Advisor, closed: str) -> None:
    advisor.write("complant: loose\n")
    assert shell(advisor, closed, "advise", "case.yaml").status == 1


@pytest.mark.skipif(not FULL.exists(), reason="no full device here")
@pytest.mark.parametrize("command", [["advise", "case.yaml"], ["advise", "case.yaml", "--json"], ["check"]])
def test_a_full_disk_is_told_in_a_sentence(advisor: Advisor, command: list[str]) -> None:
    """Output that could not be written must not look like success."""
    advisor.write(CASE)
    done = shell(advisor, f"> {FULL}", *command)
    assert done.status == 1
    assert len(done.err.splitlines()) == 1
    assert "space" in done.err


def _hears_ctrl_c() -> None:
    """A job that a shell runs in the background inherits Ctrl-C as ignored: a user's window does not."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@POSIX
@pytest.mark.parametrize("options", [[], ["--json"]])
def test_ctrl_c_during_advise_leaves_with_a_sentence(advisor: Advisor, options: list[str]) -> None:
    """A named pipe as case file shows when the program reads: its writer is let in, then the signal comes."""
    advisor.advise(CASE)  # the cache is filled, so that nothing is written when the signal comes
    pipe = advisor.folder / "pipe.yaml"
    os.mkfifo(pipe)
    process = subprocess.Popen(
        advisor.argv("advise", pipe.name, *options),
        cwd=advisor.folder,
        env=advisor.environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        preexec_fn=_hears_ctrl_c,
    )
    with pipe.open("wb"):
        process.send_signal(signal.SIGINT)
        done = ended(process)
    assert done.status == 130
    assert done.out == ""
    assert len(done.err.strip().splitlines()) == 1
    assert "lost" in done.err


@POSIX
def test_a_case_may_come_through_a_pipe(advisor: Advisor) -> None:
    pipe = advisor.folder / "pipe.yaml"
    os.mkfifo(pipe)
    process = subprocess.Popen(
        advisor.argv("advise", pipe.name, "--json"),
        cwd=advisor.folder,
        env=advisor.environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    with pipe.open("wb") as stream:
        stream.write(CASE.encode())
    assert ended(process).answer["understood"]["phase"] == "entry"


@pytest.mark.skipif(sys.platform == "win32", reason="standard input has no path there")
def test_a_case_may_come_from_standard_input(advisor: Advisor) -> None:
    path = advisor.write(CASE)
    with path.open("rb") as stream:
        done = advisor("advise", "/dev/stdin", "--json", stdin=stream.fileno())
    assert done.answer["understood"]["phase"] == "entry"
