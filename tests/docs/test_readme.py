"""The README tells the truth: its transcript, its commands and its first paragraph."""

from __future__ import annotations

import re

import pytest

from advisor.cli import parser
from tests.docs.readme import BLOCKS, README, block


@pytest.mark.parametrize("name", BLOCKS)
def test_what_is_shown_is_what_the_program_prints(name: str) -> None:
    assert block(name) == BLOCKS[name](), "run: just readme"


def test_every_command_of_the_program_is_told_in_the_readme() -> None:
    text = README.read_text("utf-8")
    commands = next(a.choices for a in parser()._actions if a.dest == "command")
    assert commands
    for command in commands:
        assert f"`advisor {command}" in text


def test_the_first_paragraph_states_the_job() -> None:
    first = README.read_text("utf-8").split("\n\n")[1]
    assert "proven, recorded fix" in " ".join(first.split())


def test_no_path_of_any_machine_stands_in_the_documents() -> None:
    for name in ("README.md", "DEVELOPERS.md"):
        text = (README.parent / name).read_text("utf-8")
        assert not re.search(r"(/home/|/root/|/Users/|/tmp/|C:\\\\)", text), name
