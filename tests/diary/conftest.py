"""One laptop of the invented club."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.diary.paddock import Laptop
from tests.hostile.fixtures import common_cache
from tests.terminal.conftest import start

__all__ = ["common_cache", "start"]


@pytest.fixture
def laptop(tmp_path: Path) -> Laptop:
    return Laptop(tmp_path / "one")


@pytest.fixture
def laptops(tmp_path: Path) -> Callable[[str], Laptop]:
    """Laptops by name."""
    return lambda name: Laptop(tmp_path / name)
