"""The transcripts of the README, of `advisor demo` and `advisor judge`; run as a module, it writes them there."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

README = Path(__file__).parents[2] / "README.md"
_BLOCK = re.compile(r"(?<=<!-- transcript -->\n).*?(?=<!-- /transcript -->)", re.DOTALL)
CUT = "[...]"
JUDGED = (
    "--a 45.52 45.38 45.41 45.35 45.44 46.90",
    "--b 45.21 45.10 45.18 45.09 45.24 45.15",
    "--a 45.49 45.37 45.30 45.43 45.36 45.40",
    "--driver better",
)  # laps of an invented junior
_JUDGE = re.compile(r"(?<=<!-- judge -->\n).*?(?=<!-- /judge -->)", re.DOTALL)


def transcript() -> str:
    """The demo up to its first change, and what the outcome taught up to the next first change."""
    lines = _demo().splitlines()
    first = _first_change(lines, 0)
    short, outcome = lines.index("In short"), lines.index("Six laps later")
    chosen = next(i for i in range(short, len(lines)) if not lines[i])
    after = lines[outcome : _first_change(lines, outcome)]
    kept = [*lines[:first], "", CUT, "", *lines[short:chosen], "", CUT, "", *after, "", CUT]
    return "```text\n" + "\n".join(kept) + "\n```\n"


def _first_change(lines: list[str], start: int) -> int:
    """The line after the first change that follows `start`."""
    place = next(i for i in range(start, len(lines)) if lines[i].startswith("1. "))
    return next(i for i in range(place, len(lines)) if not lines[i])


def judged() -> str:
    """The judge's example, command and answer."""
    typed = " \\\n    ".join(("$ advisor judge", *JUDGED))
    return f"```text\n{typed}\n{_run('judge', *' '.join(JUDGED).split())}```\n"


def _demo() -> str:
    return _run("demo", "--fast")


def _run(*arguments: str) -> str:
    environment = {**os.environ, "COLUMNS": "80", "TERM": "dumb", "PYTHONIOENCODING": "utf-8"}
    command = [sys.executable, "-m", "advisor", *arguments]
    return subprocess.run(command, check=True, capture_output=True, encoding="utf-8", env=environment).stdout


def block() -> str:
    """What the README shows now."""
    found = _BLOCK.search(README.read_text("utf-8"))
    assert found, "README.md has lost its transcript marks"
    return found[0]


def judge_block() -> str:
    """The judge's example that the README shows now."""
    found = _JUDGE.search(README.read_text("utf-8"))
    assert found, "README.md has lost its judge marks"
    return found[0]


if __name__ == "__main__":
    text = README.read_text("utf-8")
    text = _BLOCK.sub(lambda _: transcript(), text)
    README.write_text(_JUDGE.sub(lambda _: judged(), text), "utf-8")
