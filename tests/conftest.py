"""What all tests share: which of the many cases of a long table are run by default."""

from __future__ import annotations

import os
from collections import Counter

import pytest

# Tests that start a process for every case. By default every test function of LONG runs its first CASES
# only, and FULL_ONLY not at all; ADVISOR_TEST_ALL=1 (`just test-all`) runs everything.
LONG = ("tests/hostile/", "tests/journal/", "tests/book/", "tests/terminal/")
FULL_ONLY = (
    "tests/garage/",
    "tests/terminal/test_asking.py",
    "tests/terminal/test_keys.py",
    "tests/terminal/test_leaving.py",
    "tests/terminal/test_resuming.py",
    "tests/terminal/test_screens.py",
    "tests/terminal/test_session.py",
)
CASES = 3


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if os.environ.get("ADVISOR_TEST_ALL") or any("::" in a for a in config.args):
        return
    seen: Counter[str] = Counter()
    kept: list[pytest.Item] = []
    left: list[pytest.Item] = []
    for item in items:
        name = item.nodeid.split("[")[0]
        seen[name] += 1
        many = name.startswith(LONG) and seen[name] > CASES
        (left if many or name.startswith(FULL_ONLY) else kept).append(item)
    if left:
        config.hook.pytest_deselected(items=left)
        items[:] = kept
