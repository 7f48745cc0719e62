"""Files of the knowledge base and scenarios can be read side by side: no line is longer than 120 letters."""

from __future__ import annotations

from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
LONGEST = 120


@pytest.mark.parametrize("folder", ["knowledge", "scenarios"])
def test_no_line_is_too_long(folder: str) -> None:
    files = sorted((ROOT / folder).rglob("*.yaml"))
    assert files
    long = [
        f"{path.relative_to(ROOT)}:{number}"
        for path in files
        for number, line in enumerate(path.read_text("utf-8").splitlines(), start=1)
        if len(line) > LONGEST
    ]
    assert long == []
