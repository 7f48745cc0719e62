"""A garage for each test."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.garage.shed import Shed
from tests.hostile.command import Advisor
from tests.hostile.fixtures import advisor, common_cache, ordinary
from tests.terminal.conftest import start

__all__ = ["advisor", "common_cache", "ordinary", "start"]


@pytest.fixture
def shed(advisor: Advisor) -> Shed:
    """An empty garage that the environment points to."""
    return Shed(replace(advisor, changes={"ADVISOR_GARAGE": str(advisor.folder / "garage")}))
