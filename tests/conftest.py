"""What all tests share: which of the many cases of a long table are run by default."""

from __future__ import annotations

import os
from collections import Counter

import pytest

# Folders whose tests start a process for every case; there every test function runs its first cases only,
# unless ADVISOR_TEST_ALL is set (`just test-all`). The tables stay whole for the next change.
LONG = ("tests/hostile/", "tests/journal/", "tests/book/", "tests/terminal/", "tests/garage/")
CASES = 5


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if os.environ.get("ADVISOR_TEST_ALL") or any("::" in a for a in config.args):
        return
    seen: Counter[str] = Counter()
    kept, left = [], []
    for item in items:
        name = item.nodeid.split("[")[0]
        seen[name] += 1
        many = name.startswith(LONG) and seen[name] > CASES
        (left if many else kept).append(item)
    if left:
        config.hook.pytest_deselected(items=left)
        items[:] = kept
