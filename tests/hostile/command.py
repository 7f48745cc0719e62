"""Run the real command in a clean environment, and judge how it refuses.

Texts mark with « every place where a problem is expected; the marks are taken out before the file is
written, so that no line or column has to be counted by hand.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
HANG = 20.0  # seconds until a run counts as hanging; no measure of speed
MARK = "«"
ESCAPES = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
PROBLEM = re.compile(r"(?P<file>[^\n]*?):(?P<line>\d+):(?P<column>\d+): (?P<message>\S[^\n]*)")
KEPT = ("PATH", "SYSTEMROOT", "TEMP", "TMP")  # what a process cannot start without


@dataclass(frozen=True, slots=True)
class Result:
    """What a run left: its status and the texts of both streams."""

    status: int
    out: str
    err: str

    @property
    def answer(self) -> dict[str, Any]:
        """The JSON object on standard output: one, strict, and nothing else there."""
        assert self.status == 0, self.err
        found = json.loads(self.out, object_pairs_hook=_unique, parse_constant=_no_constant)
        assert isinstance(found, dict)
        return found


def _unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    assert len(found) == len(pairs), "an object names a key twice"
    return found


def _no_constant(name: str) -> None:
    raise AssertionError(f"{name} is no JSON")


@dataclass(frozen=True, slots=True)
class Advisor:
    """The command, run in a folder of its own. `cache` serves many runs, so that most runs start fast."""

    folder: Path
    cache: Path
    changes: Mapping[str, str] = field(default_factory=dict)
    root: Path = ROOT
    before: Callable[[], None] | None = None  # called in the new process before the command

    @property
    def journal(self) -> Path:
        return self.folder / "journal.sqlite3"

    @property
    def environment(self) -> dict[str, str]:
        """Nothing of the caller's environment but what a process needs to start."""
        return {
            **{name: os.environ[name] for name in KEPT if name in os.environ},
            "HOME": str(self.folder),
            "PYTHONPATH": str(self.root),
            "PYTHONUTF8": "1",
            "ADVISOR_JOURNAL": str(self.journal),
            "XDG_CACHE_HOME": str(self.cache),
            **self.changes,
        }

    def argv(self, *arguments: str) -> list[str]:
        return [sys.executable, "-m", "advisor", *arguments]

    def __call__(self, *arguments: str, stdin: int = subprocess.DEVNULL, limit: float = HANG) -> Result:
        done = subprocess.run(
            self.argv(*arguments),
            cwd=self.folder,
            env=self.environment,
            stdin=stdin,
            capture_output=True,
            timeout=limit,
            check=False,
            preexec_fn=self.before,
        )
        return result(done.returncode, done.stdout, done.stderr)

    def write(self, content: str | bytes, name: str = "case.yaml") -> Path:
        """Write a file into the folder; marks are left out of a text."""
        path = self.folder / name
        path.write_bytes(content if isinstance(content, bytes) else content.replace(MARK, "").encode())
        return path

    def advise(self, content: str | bytes, *options: str) -> Result:
        """Advice for a case of that content, written as case.yaml."""
        self.write(content)
        return self("advise", "case.yaml", *options)

    def answer(self, content: str) -> dict[str, Any]:
        """The JSON answer to a case that can be used."""
        return self.advise(content, "--json").answer


def result(status: int, out: bytes, err: bytes) -> Result:
    """A run's result; whatever it was given, it shows no traceback and no control code."""
    found = Result(status, out.decode(errors="backslashreplace"), err.decode(errors="backslashreplace"))
    assert "Traceback" not in found.err, found.err
    assert not ESCAPES.search(found.out), ascii(found.out)
    assert not ESCAPES.search(found.err), ascii(found.err)
    return found


def marks(text: str) -> list[tuple[int, int]]:
    """Line and column, from 1, of every mark of a text as it stands without its marks."""
    places = []
    for number, line in enumerate(text.split("\n"), start=1):
        pieces = line.split(MARK)
        for i in range(1, len(pieces)):
            places.append((number, sum(map(len, pieces[:i])) + 1))
    return places


def problems(text: str) -> list[tuple[str, int, int, str]]:
    """The problems of a stream; each of its lines must be `file:line:column: message`."""
    found = []
    for line in text.splitlines():
        match = PROBLEM.fullmatch(line)
        assert match, f"no problem with its place: {line!r}"
        found.append((match["file"], int(match["line"]), int(match["column"]), match["message"]))
    return found


def refused(done: Result, text: str, *pieces: str | Sequence[str]) -> None:
    """The case is refused with a problem at every mark, in order, that holds its piece; and with no other."""
    assert done.status == 1, done
    assert done.out == ""
    found = problems(done.err)
    assert {file for file, *_ in found} == {"case.yaml"}
    assert [(line, column) for _, line, column, _ in found] == marks(text), done.err
    for piece, (*_, message) in zip(pieces, found, strict=True):
        for words in (piece,) if isinstance(piece, str) else piece:
            assert words in message
