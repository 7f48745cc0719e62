"""Collect scenarios/*.yaml as tests: one for each entry, named by its sentence, failing at its line."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from advisor.book import load
from advisor.reasoning.weighing import Mind, make_ready
from advisor.replay.scenario import Scenario, play, read_scenarios


@cache
def mind() -> Mind:
    """The shipped book, compiled once for all scenarios."""
    return make_ready(load.book(), load.ear())


def pytest_collect_file(parent: pytest.Collector, file_path: Path) -> pytest.Collector | None:
    if (
        file_path.suffix == ".yaml" and file_path.parent.name == "scenarios"
    ):  # what lies deeper belongs to a story
        return ScenarioFile.from_parent(parent, path=file_path)
    return None


class ScenarioFile(pytest.File):
    def collect(self) -> Iterator[pytest.Item]:
        scenarios, problems = read_scenarios(self.path, mind().book)
        if problems:
            raise self.CollectError("\n".join(str(p) for p in problems))
        for scenario in scenarios:
            yield ScenarioItem.from_parent(self, name=scenario.name, scenario=scenario)


class ScenarioItem(pytest.Item):
    def __init__(self, *, scenario: Scenario, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.scenario = scenario

    def runtest(self) -> None:
        found = play(mind(), self.scenario)
        if found:
            raise ScenarioError(found)

    def repr_failure(self, excinfo: pytest.ExceptionInfo[BaseException], style: Any = None) -> str:
        if isinstance(excinfo.value, ScenarioError):
            head = f"{self.scenario.file}:{self.scenario.line}: {self.scenario.name}"
            return "\n  ".join((head, *excinfo.value.found))
        return str(super().repr_failure(excinfo))

    def reportinfo(self) -> tuple[Path, int, str]:
        return self.path, self.scenario.line - 1, self.name


class ScenarioError(AssertionError):
    def __init__(self, found: list[str]) -> None:
        super().__init__("; ".join(found))
        self.found = found
