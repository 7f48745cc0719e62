"""`advisor judge`: options, sheets, refusals, widths, JSON, and the terminal.

Most run inside this process, because loading scipy takes longer than all they do.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pexpect
import pytest

from advisor.cli import main
from tests.hostile.command import Advisor, Result, result

SHEETS = Path(__file__).parents[1] / "laps" / "sheets"
TYPED = [
    *("--a", "45.31", "45,40", "45.28", "0:45.37"),
    *("--b", "45.02", "45.11", "45.08", "44.98"),
    *("--a", "45.35", "45.30", "45.42", "45.38"),
]


class Inside:
    """Runs the command in this process, in a folder with all lap sheets."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str], patch: pytest.MonkeyPatch) -> None:
        self.folder, self.capsys, self.patch = folder, capsys, patch

    def __call__(self, *arguments: str, width: int = 80) -> Result:
        self.patch.setenv("COLUMNS", str(width))
        status = main(["judge", *arguments])
        out, err = self.capsys.readouterr()
        return result(status, out.encode(), err.encode())


@pytest.fixture
def judge(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Inside:
    for sheet in SHEETS.iterdir():
        shutil.copy(sheet, tmp_path)
    monkeypatch.chdir(tmp_path)
    return Inside(tmp_path, capsys, monkeypatch)


def test_typed_laps_are_judged_in_the_order_typed(judge: Inside) -> None:
    found = judge(*TYPED, "--json", "--driver", "better").answer
    assert found["design"] == "A-B-A"
    # by hand: the runs' middles are near 45.34, 45.05 and 45.36
    assert found["effect"]["seconds"] == pytest.approx(-0.31, abs=0.03)
    assert found["driver"] == {"says": "better", "laps": "agree"}
    assert sum(found["chances"].values()) == pytest.approx(1, abs=1e-5)
    assert sum(found["likelihoods"].values()) == pytest.approx(1, abs=1e-5)


def test_commas_between_typed_laps_part_them_and_within_one_are_its_point(judge: Inside) -> None:
    plain = judge("--a", "45.31", "45.40", "45.28", "--b", "45.02", "45.11", "45.08")
    commas = judge("--a", "45,31, 45.40,", "45,28,", "--b", "45,02 ,", "45.11, 45.08")
    assert (commas.status, commas.out) == (plain.status, plain.out)


def test_a_sheet_tells_the_same_as_the_laps_typed(judge: Inside) -> None:
    from_sheet = judge("plain.csv", "--json").answer
    typed = judge(
        *("--a", "45.31", "45.40", "45.28", "--b", "45.02", "45.11", "45.08"),
        *("--a", "45.35", "45.30", "45.42", "--json"),
    ).answer
    assert from_sheet["effect"] == typed["effect"]


def test_a_file_a_run_needs_the_order(judge: Inside) -> None:
    files = ["one_column.csv", "thousandths.csv", "units_row.csv"]
    refused = judge(*files)
    assert refused.status == 1
    assert "--order ABA" in refused.err
    found = judge(*files, "--order", "a-b-a", "--json").answer
    assert [(run["name"], run["arm"]) for run in found["runs"]] == list(zip(files, "ABA", strict=True))


def test_tyres_that_changed_with_the_kart_are_named(judge: Inside) -> None:
    done = judge("german.csv")
    assert done.status == 0
    assert "The laps cannot say" in done.out
    assert "Confounder, tyres" in done.out
    on_purpose = judge("german.csv", "--changed", "tyres")
    assert "Confounder" not in on_purpose.out
    assert "A-B alone is weak" in on_purpose.out


@pytest.mark.parametrize("width", [40, 80])
@pytest.mark.parametrize("arguments", [TYPED, ["--plan"], ["german.csv", "--driver", "same"]])
def test_everything_fits_the_width(judge: Inside, width: int, arguments: list[str]) -> None:
    done = judge(*arguments, width=width)
    assert done.status == 0, done.err
    assert max(map(len, done.out.splitlines())) <= width


def test_a_day_that_moved_between_like_runs_is_told(judge: Inside) -> None:
    pace = {"A1": 45.0, "B1": 45.3, "A2": 45.9}
    rows = [f"{run},{p + lap % 3 / 50:.2f}" for run, p in pace.items() for lap in range(6)]
    (judge.folder / "moved.csv").write_text("run,time\n" + "\n".join(rows) + "\n")
    assert "Runs as it was differ by 0.90 s" in judge("moved.csv").out
    assert "differ by" not in judge("plain.csv").out


def test_the_plan_states_the_rule_and_the_power(judge: Inside) -> None:
    done = judge("--plan", "--effect", "0,5")
    assert "accepted when it is better with a probability above 95 %" in " ".join(done.out.split())
    assert "A-B-A-B-A, 5 runs" in done.out


@pytest.mark.parametrize(
    ("arguments", "status", "words"),
    [
        ([], 2, "Give the laps"),
        (["--a", "45.3", "4x", "45.4"], 1, 'run 1 (--a), lap 2: "4x" is no lap time'),
        (["--a", "45.3", "45.3", "45.4"], 1, "there is no run B"),
        (["--a", "45.3", "45.3", "45.4", "--b", "45", "45"], 1, "has 2 laps that count"),
        (["nowhere.csv"], 1, "nowhere.csv:1:1: cannot be read"),
        (["."], 1, "cannot be read"),
        (["broken_words.csv"], 1, "broken_words.csv:3:6:"),
        (["plain.csv", "--order", "AB"], 1, "names 2 runs, but there are 3: A1, B1, A2"),
        (["plain.csv", "--order", "ABC"], 2, "no order of runs"),
        (["plain.csv", "--column", "colour=1"], 2, "names no column"),
        (["plain.csv", "--scatter", "nan"], 2, "no number of seconds"),
        (["plain.csv", "--scatter", "-1"], 2, "no number of seconds"),
        (["--plan", "--laps", "1"], 2, "no number of laps"),
        (["plain.csv", "--baseline", "one_column.csv"], 1, "needs two runs of 3 laps or more"),
    ],
)
def test_what_cannot_be_used_is_told(judge: Inside, arguments: list[str], status: int, words: str) -> None:
    done = judge(*arguments)
    assert (done.status, done.out) == (status, "")
    assert words in done.err


def test_a_heading_cannot_drive_the_terminal(judge: Inside) -> None:
    (judge.folder / "odd.csv").write_text("run,time\n\x1b[31mred,45.3\nB1,45.2\n")
    done = judge("odd.csv")
    assert done.status == 1
    assert "\x1b" not in done.err


def test_a_day_without_a_change_teaches_the_scatter(judge: Inside) -> None:
    rows = [
        f"{run},{lap},{45 + (run % 2) * 0.6 + lap / 100:.2f}" for run in range(1, 7) for lap in range(1, 6)
    ]
    (judge.folder / "before.csv").write_text("run,lap,time\n" + "\n".join(rows) + "\n")
    usual = judge("plain.csv", "--json").answer
    taught = judge("plain.csv", "--json", "--baseline", "before.csv").answer
    assert taught["scatter"]["run"] > 1.5 * usual["scatter"]["run"]


def whole(folder: Path) -> Advisor:
    return Advisor(folder, folder / "cache", {"COLUMNS": "80"})


def test_as_a_whole_process_without_a_terminal(tmp_path: Path) -> None:
    found = whole(tmp_path)("judge", *TYPED, "--json", limit=60).answer
    assert found["design"] == "A-B-A"


def test_advice_does_not_load_what_only_the_judge_needs(tmp_path: Path) -> None:
    advisor = whole(tmp_path)
    case = advisor.write("complaint: loose on entry\n")
    code = f"import sys; from advisor.cli import main; main(['advise', {str(case)!r}]); "
    code += "sys.exit(any(m.split('.')[0] in ('scipy', 'numpy') for m in sys.modules))"
    done = subprocess.run(
        [sys.executable, "-c", code],
        env=advisor.environment,
        cwd=tmp_path,
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr


def test_the_laps_are_asked_for_on_a_terminal(tmp_path: Path) -> None:
    advisor = whole(tmp_path)
    command, *arguments = advisor.argv("judge")
    environment = {**advisor.environment, "TERM": "dumb"}
    child = pexpect.spawn(
        command,
        arguments,
        cwd=str(tmp_path),
        env=environment,
        encoding="utf-8",
        timeout=60,
        dimensions=(50, 80),
    )
    for prompt, answer in (
        (r"Run 1, as it was \(A\)", "45.31 45.40 x"),
        (r"Three laps at least.*Run 1, as it was \(A\)", "45.31 45.40 45.28"),
        (r"Run 2, with the change \(B\)", "45,02 45,11 45,08"),
        (r"Run 3, as it was \(A\)", "b 45.05 45.10 45.07"),
        (r"Run 4, as it was \(A\)", "45.35 45.30 45.42"),
        (r"Run 5, with the change \(B\)", ""),
        ("What does the driver say", "better"),
    ):
        child.expect(prompt)
        child.sendline(answer)
    for shown in ("Did it help.*A-B-B-A", "the laps agree", pexpect.EOF):
        child.expect(shown)
    child.close()
    assert child.exitstatus == 0


def test_a_minute_too_much_is_asked_about_and_json_holds_no_nan(judge: Inside) -> None:
    typed = [text.replace("44.98", "1:44.98").replace("45.", "1:45.") for text in TYPED[6:10]]
    for more in ([], ["--json"]):
        done = judge(*TYPED[:5], "--b", *typed[:4], *TYPED[-5:], *more)
        assert (done.status, done.out) == (1, "")
        assert "a minute apart: is a minute mistyped?" in done.err


def test_days_that_are_kept_teach_the_scatter_once_each(judge: Inside) -> None:
    journal = ["--journal", str(judge.folder / "j.sqlite3")]
    wild = ["--a", "45.0", "45.1", "45.0", "--b", "45.7", "45.6", "45.7", "--b", "44.3", "44.2", "44.3"]
    wild += ["--a", "45.9", "45.8", "45.9", "--b", "45.1", "45.2", "45.1"]
    before = judge(*TYPED, *journal, "--json").answer
    for _ in range(2):
        assert judge(*wild, *journal, "--keep").status == 0
    after = judge(*TYPED, *journal, "--json").answer
    assert (before["days_learnt_from"], after["days_learnt_from"]) == (0, 1)
    assert after["scatter"]["before"] > before["scatter"]["before"]
    assert (
        judge(*wild, *journal, "--json").answer["days_learnt_from"] == 0
    )  # a day does not teach about itself
    assert judge(*TYPED, *journal, "--who", "another", "--json").answer["days_learnt_from"] == 0
    assert "learnt from one other day of yours" in " ".join(judge(*TYPED, *journal).out.split())


def test_new_tyres_by_the_remarks_leave_it_open(judge: Inside) -> None:
    rows = []
    for run, arm in enumerate("ABABA", 1):
        base, remark = (45.0, "new tyres") if arm == "B" else (45.4, "")
        rows += [f"{run},{arm},{base + lap / 100:.2f},{remark}" for lap in range(6)]
    sheet = judge.folder / "remarks.csv"
    for head, decision in (("remark", "open"), ("temper", "accept")):
        sheet.write_text("\n".join((f"run,arm,time,{head}", *rows)), "utf-8")
        assert f'"decision": "{decision}"' in judge(str(sheet), "--json").out
