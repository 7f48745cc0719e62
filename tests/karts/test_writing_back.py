"""One value of a kart file put in place of another: all else stays, and what cannot be done safely is not done."""

from __future__ import annotations

import pytest

from advisor.karts.on_file import write_value
from tests.karts.folder import Karts

DONE = {
    "setup:\n  toe: 1 mm # out\n  caster: 12 deg\n": "setup:\n  toe: 2 mm # out\n  caster: 12 deg\n",
    "setup: {toe: 1 mm, caster: 12 deg}\n": "setup: {toe: 2 mm, caster: 12 deg}\n",
    'setup: {toe: "1 mm"}\nnote: x\n': "setup: {toe: 2 mm}\nnote: x\n",
    "setup:\r\n  toe: '1 mm'\r\n": "setup:\r\n  toe: 2 mm\r\n",
}


@pytest.mark.parametrize(("before", "after"), DONE.items())
def test_only_the_value_changes(karts: Karts, before: str, after: str) -> None:
    path = karts.put("red", before)
    assert write_value(path, "toe", "2 mm")
    assert path.read_bytes() == after.encode()
    assert list(path.parent.iterdir()) == [path]


LEFT = [
    "setup: {caster: 12 deg}\n",
    "setup:\n",
    "note: x\n",
    "",
    "setup: {toe: {left: 1 mm, right: 2 mm}}\n",
    "setup: {toe: [1 mm]}\n",
    "setup:\n  toe: >\n    1 mm\n",
    'setup: {toe: "1\\u0020mm"}\n',
    "setup: {toe: 1 mm, toe: 3 mm}\n",
    "setup: {toe: 1 mm\n",
]


@pytest.mark.parametrize("text", LEFT)
def test_what_is_no_plain_value_is_left_alone(karts: Karts, text: str) -> None:
    path = karts.put("red", text)
    assert not write_value(path, "toe", "2 mm")
    assert path.read_bytes() == text.encode()
    assert list(path.parent.iterdir()) == [path]


def test_a_value_that_would_break_the_file_is_not_written(karts: Karts) -> None:
    path = karts.put("red", "setup: {toe: 1 mm}\n")
    assert not write_value(path, "toe", "2 mm, caster: 1 deg}\n# {")
    assert path.read_text("utf-8") == "setup: {toe: 1 mm}\n"
