"""What moves between two books is found, and nothing else."""

from __future__ import annotations

import re
import shutil
from collections import Counter
from pathlib import Path

import pytest

from advisor.book import load
from tests.properties.moved import Seen, complaints_by, knowledge, main, mind_of, moved
from tests.properties.random_cases import shipped


def test_only_what_differs_is_told() -> None:
    old = {"a": Seen("x", "1, 2", "passes"), "b": Seen("x", "1", "passes"), "only old": Seen("x", "1")}
    new = {"a": Seen("x", "2, 1", "fails"), "b": Seen("x", "1", "passes"), "only new": Seen("x", "1")}
    assert list(moved(old, new)) == [("a", [("changes", "1, 2", "2, 1"), ("passes", "passes", "fails")])]


def test_a_folder_is_taken_as_it_is_or_by_the_knowledge_in_it(tmp_path: Path) -> None:
    with knowledge(str(load.shipped())) as folder:
        assert folder == load.shipped()
    (tmp_path / "knowledge").mkdir()
    with knowledge(str(tmp_path)) as folder:
        assert folder == tmp_path / "knowledge"


def test_what_is_neither_folder_nor_revision_is_refused_in_a_sentence() -> None:
    with pytest.raises(SystemExit, match=r"is neither a folder nor a revision|git cannot be run"):
        main(["no-such-revision"])


def test_a_rarer_cause_moves_its_complaints(tmp_path: Path) -> None:
    now = complaints_by(shipped())
    seen_by = Counter(seen.cause for seen in now.values())
    cause = sorted((n, c) for c, n in seen_by.items() if c in shipped().book.causes and n > 2)[-1][1]
    old = tmp_path / "knowledge"
    shutil.copytree(load.shipped(), old)
    path = next(old.glob(f"causes/*/{cause}.yaml"))
    text, changed = re.subn(r"(?m)^base: .*$", "base: hardly ever", path.read_text(encoding="utf-8"))
    assert changed == 1
    path.write_text(text, encoding="utf-8")
    found = dict(moved(complaints_by(mind_of(old)), now))
    told = [name for name, seen in now.items() if seen.cause == cause]
    assert told
    assert not set(told).isdisjoint(found)
    assert len(found) < len(now) / 4  # the others stay
