"""A folder of karts for each test."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.hostile.command import Advisor
from tests.hostile.fixtures import advisor, common_cache, ordinary
from tests.karts.folder import Karts
from tests.terminal.conftest import start

__all__ = ["advisor", "common_cache", "ordinary", "start"]


@pytest.fixture
def karts(advisor: Advisor) -> Karts:
    """An empty folder of karts that the environment points to."""
    return Karts(replace(advisor, changes={"ADVISOR_KARTS": str(advisor.folder / "karts")}))
