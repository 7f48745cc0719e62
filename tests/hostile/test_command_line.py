"""A wrong command line is status 2 with the usage; what cannot be used is status 1; never a traceback."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.hostile.command import Advisor

CASE = "complaint: loose on entry\n"


@pytest.mark.parametrize(
    "arguments",
    [
        ["advise"],
        ["advise", "case.yaml", "other.yaml"],
        ["advise", "case.yaml", "--jason"],
        ["advise", "case.yaml", "--journal"],
        ["advice", "case.yaml"],
        ["outcome", "bettr"],
        ["outcome", "better", "worse"],
        ["check", "--all"],
        ["demo", "slowly"],
        ["--no-such-option"],
        [""],
        ["--journal"],
    ],
)
def test_a_wrong_command_line_is_status_two_with_the_usage(advisor: Advisor, arguments: list[str]) -> None:
    advisor.write(CASE)
    done = advisor(*arguments)
    assert done.status == 2
    assert done.out == ""
    assert "usage: advisor" in done.err


def test_the_interview_without_a_terminal_says_what_to_do_instead(advisor: Advisor) -> None:
    done = advisor()
    assert done.status == 2
    assert "advisor advise" in done.err
    assert not advisor.journal.exists()


@pytest.mark.parametrize(
    "arguments", [["--help"], ["advise", "--help"], ["outcome", "-h"], ["check", "-h"], ["judge", "-h"]]
)
def test_help_is_no_error(advisor: Advisor, arguments: list[str]) -> None:
    done = advisor(*arguments)
    assert done.status == 0
    assert "usage: advisor" in done.out
    assert done.err == ""


def test_the_version_is_told_even_where_the_program_is_not_installed(advisor: Advisor) -> None:
    done = advisor("--version")
    assert done.status == 0
    assert done.out.startswith("advisor ")


@pytest.mark.parametrize("arguments", [["outcome"], ["outcome", "better"]])
def test_an_outcome_without_a_change_is_refused(advisor: Advisor, arguments: list[str]) -> None:
    done = advisor(*arguments)
    assert done.status == 1
    assert "No change is waiting" in done.err
    assert done.out == ""


@pytest.mark.parametrize("path", ["nowhere", "nowhere.yaml", "n" * 5000, "\n"])
def test_checking_what_is_not_there_is_told(advisor: Advisor, path: str) -> None:
    done = advisor("check", path)
    assert done.status == 1
    assert done.out + done.err


@pytest.mark.parametrize(
    "path", ["n" * 5000, "a/" * 3000 + "b", "~nobody_of_that_name/journal", "case.yaml/j"]
)
@pytest.mark.parametrize("command", [["outcome", "better"], ["advise", "case.yaml", "--json"]])
def test_a_journal_path_that_cannot_be_is_refused_in_a_sentence(
    advisor: Advisor, command: list[str], path: str
) -> None:
    advisor.write(CASE)
    done = advisor(*command, "--journal", path)
    assert done.status == 1
    assert done.out == ""
    assert len(done.err.splitlines()) == 1


@pytest.mark.parametrize(
    "name", ["umläut ñ 漢字.sqlite3", "a b#c?mode=memory&x=%20%41.sqlite3", ":memory:", "-"]
)
def test_any_file_name_will_do_for_a_journal(advisor: Advisor, name: str) -> None:
    done = advisor("outcome", "better", f"--journal={advisor.folder / name}")
    assert "No change is waiting" in done.err
    assert (advisor.folder / name).is_file()


@pytest.mark.parametrize(
    "changes",
    [
        {"TERM": "dumb"},
        {"TERM": "no-such-terminal", "COLORTERM": "truecolor"},
        {"COLUMNS": "1", "LINES": "1"},
        {"COLUMNS": "0"},
        {"COLUMNS": "100000"},
        {"COLUMNS": "many"},
        {"NO_COLOR": "1"},
        {"FORCE_COLOR": "0"},
        {"HOME": "/nonexistent"},
        {"LC_ALL": "no_SUCH.locale", "LANG": "no_SUCH.locale"},
        {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
        {"PYTHONOPTIMIZE": "2"},
        {"PYTHONWARNINGS": "error"},
        {"TZ": "nowhere"},
    ],
)
def test_an_odd_environment_is_no_obstacle(advisor: Advisor, changes: dict[str, str]) -> None:
    done = replace(advisor, changes=changes).advise(CASE)
    assert done.status == 0
    assert "Worth trying now" in done.out
    assert done.err == ""


def test_long_shots_do_not_fill_the_list(advisor: Advisor) -> None:
    case = "complaint: the engine will not start"
    out = advisor.advise(case).out
    assert "\n1. " in out
    assert "\n2. " not in out
    assert len(advisor.answer(case)["advice"]) > 3
