"""What a one-shot command leaves undone, so that it starts fast; how long it takes is `start_up`'s business."""

from __future__ import annotations

import argparse
import gc
import os
import subprocess
import sys
from pathlib import Path

from advisor.cli import COMMANDS, parser, team
from advisor.reasoning.weighing import make_ready
from tests.benchmarks.start_up import CASE

UNUSED = (
    "advisor.cli.judge_options", "advisor.cli.whatif", "advisor.interview.steps", "advisor.journal.store",
    "advisor.karts.on_file", "advisor.sums", "difflib", "numpy", "prompt_toolkit", "pydantic", "rapidfuzz", "rich",
    "sqlite3",
)  # fmt: skip


def test_advice_loads_nothing_that_it_does_not_need(tmp_path: Path) -> None:
    case = tmp_path / "case.yaml"
    case.write_text(CASE, "utf-8")
    code = (
        "import sys; from advisor.cli import main; main(sys.argv[1:]); main(sys.argv[1:]);"
        f"print([name for name in {UNUSED} if name in sys.modules])"
    )
    environment = {
        "HOME": str(tmp_path),
        "XDG_CACHE_HOME": str(tmp_path),
        "PYTHONPATH": os.pathsep.join(sys.path),
    }
    run = [sys.executable, "-c", code, "advise", str(case)]
    subprocess.run(
        run, check=True, capture_output=True, env=environment
    )  # reads the files, which takes pydantic
    done = subprocess.run(run, check=True, capture_output=True, encoding="utf-8", env=environment)
    assert done.stdout.splitlines()[-1] == "[]"


def test_a_command_declares_its_options_when_it_is_chosen() -> None:
    top = parser()
    commands = next(a for a in top._actions if isinstance(a, argparse._SubParsersAction))._name_parser_map
    assert list(commands) == list(COMMANDS)
    before = {name: len(command._actions) for name, command in commands.items()}
    top.parse_args(["advise", "case.yaml", "--json"])
    top.parse_args(["advise", "case.yaml"])
    declared = {name for name, command in commands.items() if len(command._actions) > before[name]}
    assert declared == {"advise"}


def test_causes_of_one_group_share_what_only_the_group_says() -> None:
    mind = make_ready(team.book(argparse.Namespace()))
    rows = mind.tables.rows["machine"]
    assert len({id(row) for row in rows.values()}) < len(rows) / 2


def test_garbage_is_looked_for_again_once_all_is_loaded() -> None:
    assert gc.isenabled()
    team.mind(argparse.Namespace())
    assert gc.isenabled()
    assert gc.get_freeze_count() > 0
    gc.unfreeze()
