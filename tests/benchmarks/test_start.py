"""What a one-shot command leaves undone, so that it starts fast; how long it takes is `start_up`'s business."""

from __future__ import annotations

import argparse

from advisor.cli import COMMANDS, parser, team
from advisor.reasoning.weighing import make_ready


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
