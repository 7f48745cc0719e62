"""What all tests share: which of the many cases of a long table are run by default."""

from __future__ import annotations

import os
from collections import Counter

import pytest
from hypothesis import settings

# The same examples each time, so that a fault found comes of the change before it; `just shake` looks for new ones.
settings.register_profile("repeatable", derandomize=True)
settings.register_profile("shaken", derandomize=False)
settings.load_profile("repeatable")

# Tests that start a process for every case. By default every test function of these folders runs only so
# many of its first cases; ADVISOR_TEST_ALL=1 (`just test-all`) runs everything.
LONG = {
    "tests/terminal/test_front.py::test_leaving_anywhere": 3,
    "tests/hostile/": 1,
    "tests/journal/": 1,
    "tests/book/": 1,
    "tests/explain/test_command.py": 1,
    "tests/safety/test_safety.py::test_what": 12,
    "tests/optimum/test_regret.py::test_without": 2,
    "tests/optimum/test_regret.py::test_with_": 1,
    "tests/paddock/test_paddock.py::test_a_case_is_the_same": 0,
    "tests/own/test_story.py": 0,
    "tests/properties/test_moved.py::test_a_rarer": 0,
    "tests/app/test_screens.py::test_the_first_advice": 6,
    "tests/app/test_danger.py::test_danger_is_heard": 8,
    "tests/app/test_as_met.py": 9,
    "tests/app/test_previews.py": 12,
    "tests/app/": 4,
    "tests/terminal/": 1,
    "tests/own/test_falling.py::test_a_trusted_fix_falls": 1,
    "tests/own/test_falling.py::test_a_draft_says": 1,
    "tests/own/test_falling.py": 0,
    "tests/diary/test_diary.py::test_a_run_is_noted": 1,
    "tests/diary/test_diary.py::test_a_run_in_one_line": 1,
    "tests/diary/test_diary.py": 0,
    "tests/diary/test_belonging.py::test_where_several": 1,
    "tests/diary/test_belonging.py::test_a_kart_is": 4,
    "tests/diary/test_belonging.py::test_a_trial_of": 1,
    "tests/diary/test_belonging.py::test_a_sitting": 1,
    "tests/diary/test_belonging.py::test_two_verdicts": 1,
    "tests/diary/test_belonging.py": 0,
    "tests/diary/test_interleaved.py::test_the_same": 0,
    "tests/diary/test_history.py::test_what_is_asked": 2,
    "tests/diary/test_season.py": 0,
    "tests/reasoning/test_experience.py::test_better_same": 1,
    "tests/reasoning/test_experience.py::test_both_chances": 1,
    "tests/own/test_commands.py::test_a_draft_holds": 1,
    "tests/own/test_commands.py::test_an_existing_file": 1,
    "tests/own/test_commands.py::test_trust_changes": 1,
    "tests/own/test_commands.py::test_what_makes_no_fix": 2,
    "tests/own/test_commands.py": 0,
    "tests/own/test_carrying.py::test_of_two_texts": 1,
    "tests/own/test_carrying.py::test_what_is_no_fix": 1,
    "tests/own/test_carrying.py": 0,
    "tests/karts/test_interview_kart.py": 1,
    "tests/karts/test_writing_back.py": 9,
    "tests/karts/test_on_top.py": 99,
    "tests/karts/test_karts.py::test_the_earlier_option": 1,
    "tests/karts/": 0,
    "tests/mechanics/test_command.py::test_what_cannot": 2,
    "tests/mechanics/test_command.py::test_on_a_terminal": 0,
    "tests/mechanics/test_command.py::test_a_case": 0,
    "tests/mechanics/test_command.py::test_every_figure": 0,
    "tests/mechanics/test_command.py::test_the_corner": 0,
    "tests/mechanics/test_command.py": 1,
    "tests/mechanics/test_outlook.py::test_the_chain": 14,
    "tests/mechanics/test_outlook.py::test_the_other_way": 8,
}


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if os.environ.get("ADVISOR_TEST_ALL") or any("::" in a for a in config.args):
        return
    seen: Counter[str] = Counter()
    kept: list[pytest.Item] = []
    left: list[pytest.Item] = []
    for item in items:
        name = item.nodeid.split("[")[0]
        seen[name] += 1
        most = next((cases for folder, cases in LONG.items() if name.startswith(folder)), seen[name])
        (left if seen[name] > most else kept).append(item)
    if left:
        config.hook.pytest_deselected(items=left)
        items[:] = kept
