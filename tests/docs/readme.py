"""The transcript of the README, made from `advisor demo`; run as a module, it writes it there."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

README = Path(__file__).parents[2] / "README.md"
_BLOCK = re.compile(r"(?<=<!-- transcript -->\n).*?(?=<!-- /transcript -->)", re.DOTALL)
CUT = "[...]"


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


def _demo() -> str:
    environment = {**os.environ, "COLUMNS": "80", "TERM": "dumb", "PYTHONIOENCODING": "utf-8"}
    command = [sys.executable, "-m", "advisor", "demo", "--fast"]
    return subprocess.run(command, check=True, capture_output=True, encoding="utf-8", env=environment).stdout


def block() -> str:
    """What the README shows now."""
    found = _BLOCK.search(README.read_text("utf-8"))
    assert found, "README.md has lost its transcript marks"
    return found[0]


if __name__ == "__main__":
    text = README.read_text("utf-8")
    README.write_text(_BLOCK.sub(lambda _: transcript(), text), "utf-8")
