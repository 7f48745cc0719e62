"""Pipes given as files: one that nobody writes to gets a sentence and no endless wait, one with a writer is read."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from advisor import disk
from advisor.cli import main

pytestmark = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
CASE = b"complaint: it pushes mid corner\n"
SHEET = b"run,arm,time\n" + b"".join(
    f"{run},{arm},{45 + run / 10 + lap / 100:.2f}\n".encode()
    for run, arm in ((1, "A"), (2, "B"), (3, "A"))
    for lap in range(6)
)


@pytest.fixture
def pipe(tmp_path: Path) -> Path:
    os.mkfifo(tmp_path / "pipe.yaml")
    return tmp_path / "pipe.yaml"


@contextmanager
def written(pipe: Path, *parts: bytes, after: float = 0.0, between: float = 0.0) -> Iterator[None]:
    """Somebody writes these parts to the pipe."""

    def write() -> None:
        time.sleep(after)
        with pipe.open("wb", buffering=0) as stream:
            for part in parts:
                stream.write(part)
                time.sleep(between)

    writer = threading.Thread(target=write, daemon=True)
    writer.start()
    yield
    writer.join(10)
    assert not writer.is_alive()


@pytest.mark.parametrize(
    "words",
    [
        "advise {}",
        "check {}",
        "plan {}",
        "judge {}",
        "judge --baseline {} {}",
        "diary --match {}",
        "whatif --case {} caster",
        "--kart {} whatif caster",
        "kart show {}",
        "kart copy {} other",
        "compute mixture before=@{} after=@{}",
        "journal import {}",
        "--journal {} history",
        "--journal {} journal rescue {}",
    ],
)
def test_a_pipe_that_nobody_writes_to_gets_one_sentence(
    pipe: Path, words: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(disk, "PATIENCE", 0.1)
    done: list[int] = []
    run = threading.Thread(target=lambda: done.append(main(words.format(pipe, pipe).split())), daemon=True)
    run.start()
    run.join(20)
    assert not run.is_alive(), "it waits"
    out, err = capsys.readouterr()
    told = [line for line in (out + err).splitlines() if "pipe" in line]
    assert done == [1]
    assert any(
        "nobody writes to" in line or "must be a file" in line or "no journal" in line for line in told
    )
    assert "Traceback" not in err


@pytest.mark.parametrize(("after", "between"), [(0.0, 0.0), (0.4, 0.0), (0.0, 1.3)])
def test_a_pipe_with_a_writer_is_read_to_its_end(pipe: Path, after: float, between: float) -> None:
    """Also of one who comes later, or pauses for longer than an absent one would be waited for."""
    with written(pipe, CASE[:9], CASE[9:], after=after, between=between):
        assert disk.read(pipe, 1000) == CASE


def test_no_more_is_read_than_was_asked(pipe: Path) -> None:
    with written(pipe, b"x" * 500):
        assert disk.read(pipe, 7) == b"x" * 7


def test_commands_read_what_another_command_writes(pipe: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with written(pipe, CASE):
        assert main(["advise", str(pipe), "--json"]) == 0
    with written(pipe, SHEET):
        assert main(["judge", str(pipe), "--json"]) == 0
    assert "Traceback" not in capsys.readouterr().err


def test_an_anonymous_pipe_as_a_shell_gives_it() -> None:
    """`advisor advise <(command)`: the writer may be gone already."""
    if not Path("/dev/fd").is_dir():
        pytest.skip("no /dev/fd here")
    ours, theirs = os.pipe()
    os.write(theirs, CASE)
    os.close(theirs)
    try:
        assert disk.read(Path(f"/dev/fd/{ours}"), 1000) == CASE
    finally:
        os.close(ours)
