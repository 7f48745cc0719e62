"""`advisor plan`: files, refusals with their places, widths, JSON, lost sessions."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.karts.plan_files import EXAMPLE

Told = tuple[int, str, str]
Plan = Callable[..., Told]
SMALL = (
    "aims: [{lever: axle_stiffness, values: [medium, soft]}]\n"
    "sessions: {number: 4, minutes: 10, gap: 40}\n"
    "lap: 45\n"
)


LEVERS = SMALL.replace(
    "{lever: axle_stiffness, values: [medium, soft]}",
    "{levers: {tyre_pressure: [11 psi, 10 psi], camber: [0 deg, 1 deg]}}",
)


SEEDS = ("", *(f"seed: {seed}\n" for seed in (1, 0, 2, 3, 4, 5)))


@pytest.fixture
def plan(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Plan:
    monkeypatch.setenv("ADVISOR_JOURNAL", str(tmp_path / "none.sqlite3"))

    def run(text: str, *options: str, width: int = 80) -> Told:
        monkeypatch.setenv("COLUMNS", str(width))
        path = tmp_path / "day.yaml"
        path.write_text(text, "utf-8")
        status = main(["plan", str(path), *options])
        return status, *capsys.readouterr()

    return run


def test_the_example_is_a_plan(plan: Plan, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", "--example"]) == 0
    assert capsys.readouterr().out == EXAMPLE
    status, out, err = plan(EXAMPLE)
    assert (status, err) == (0, "")
    for text in (
        "Aim 2: rear tyre pressure",
        "Session 10",
        "the baseline",
        "Take with you",
        "axle",
        "Write down",
    ):
        assert text in out


@pytest.mark.parametrize("width", [40, 80])
def test_it_fits_the_width(plan: Plan, width: int) -> None:
    out = plan(EXAMPLE, "--lost", "3", "--done", "4", width=width)[1]
    assert max(map(len, out.splitlines())) <= width


def test_as_data_it_tells_runs_work_tyres_and_what_is_seen(plan: Plan) -> None:
    found = json.loads(plan(EXAMPLE, "--json")[1])
    assert [run["run"] for run in found["runs"]] == list(range(1, len(found["runs"]) + 1))
    assert all(run["work_minutes"] <= run["minutes_for_work"] for run in found["runs"] if run["work_minutes"])
    assert {run["tyres"] for run in found["runs"]} <= {"set 1", "set 2"}
    assert all(each["seconds"] > 0 for aim in found["aims"] for each in aim["sees"])
    assert found["runs"][0]["arm"] == "A"


def test_what_the_last_run_leaves_on_the_kart_is_told(plan: Plan) -> None:
    long = SMALL.replace("number: 4", "number: 10")
    assert "A-B-B-A-B-A-A-B" in plan(long)[1]
    told = " ".join(plan(long)[1].split())
    assert "After the last run it still stands on B: back to medium, unless it is kept." in told
    assert "After the last run" not in plan(SMALL)[1]


def test_where_pairs_and_their_seed_stand_is_shown_and_every_seed_counts(
    plan: Plan, capsys: pytest.CaptureFixture[str]
) -> None:
    paired = SMALL.replace("soft]}", "soft], pairs: true}").replace("number: 4", "number: 14")
    orders = [json.loads(plan(f"{paired}{seed}", "--json")[1])["aims"][0]["order"] for seed in SEEDS]
    assert orders[0] == orders[1]
    assert len(set(orders)) > 3
    assert main(["plan", "--help"]) == 0
    for told in (EXAMPLE, " ".join(capsys.readouterr().out.split())):
        assert "pairs: true" in told
        assert "seed: 7" in told


def test_a_lost_session_by_option_and_in_the_file_is_the_same_and_is_driven_around(plan: Plan) -> None:
    by_option = plan(SMALL, "--lost", "2", "--json")
    assert by_option == plan(SMALL + "lost: [2]\n", "--json")
    assert 2 not in [run["session"] for run in json.loads(by_option[1])["runs"]]
    assert "lost" in plan(SMALL, "--lost", "2")[1]


def test_a_driver_who_scatters_more_is_told_a_larger_difference(plan: Plan) -> None:
    sees = []
    for scatter in (0.05, 0.25):
        sees.append(
            json.loads(plan(f"{SMALL}scatter: {scatter}\n", "--json")[1])["aims"][0]["sees"][0]["seconds"]
        )
    assert sees[0] < 0.6 * sees[1]


def test_the_best_axle_then_pressure_and_camber_one_at_a_time(plan: Plan) -> None:
    """Common practice, no source: three grades first to see the trend, the rest on the best of them."""
    levers = "{levers: {tyre_pressure: [11 psi, 10.5 psi], camber: [0 deg, -0.5 deg]}}"
    first = "{lever: axle_stiffness, values: [medium, soft, stiff]}"
    day = f"aims: [{first}, {levers}]\nsessions: {{number: 10, minutes: 10, gap: 40}}\nlap: 45\n"
    found = json.loads(plan(day, "--json")[1])
    runs = [run for run in found["runs"] if run["aim"] == 2]
    assert "".join(run["arm"] for run in runs) == "ABACA"
    assert found["aims"][1]["values"][1:] == ["pressure of all four tyres 10.5 psi", "camber -0.5 °"]
    assert [run["work_minutes"] for run in runs] == [35, 4, 4, 15, 15]
    out = plan(day)[1]
    assert "put back what was changed" in out
    assert "driver's word" not in out.split("The sheet")[0]


def test_a_fault_is_planned_with_the_first_changes_and_a_danger_stops(plan: Plan) -> None:
    rest = "sessions: {number: 9, minutes: 15, gap: 30}\nlap: 50\n"
    status, out, _ = plan(f"aims: [{{cure: the rear slides out at the exit of every corner}}]\n{rest}")
    assert status == 0
    assert "driver's word" in " ".join(out.split())
    status, out, _ = plan(f"aims: [{{cure: the brake pedal goes to the floor}}]\n{rest}")
    assert status == 1
    assert "[ ] Run" not in out
    assert out.strip()


@pytest.mark.parametrize(
    ("text", "where", "says"),
    [
        ("", "1:1", "must hold aims, sessions and lap"),
        ("aims: []\nsessions: {minutes: 10}\nlap: 45\n", "1:7", "one aim or 2"),
        (SMALL.replace("axle_stiffness", "axle_stifness"), "1:16", 'did you mean "axle_stiffness"'),
        (SMALL.replace("[medium, soft]", "[medium]"), "1:40", "two to 4 values"),
        (SMALL.replace("[medium, soft]", "[medium, medium]"), "1:49", "stands here twice"),
        (SMALL.replace("lap: 45", "lap: 4x"), "3:6", "is no lap time"),
        (SMALL.replace("lap: 45\n", ""), "1:1", '"lap" is missing'),
        (SMALL.replace("gap: 40", "gap: long"), "2:41", "gap is a plain number"),
        (SMALL.replace("number: 4", "nunber: 4"), "2:12", 'unknown key "nunber"'),
        (LEVERS.replace("camber: [0 deg, 1 deg]", "camber: [0 mm, 1 mm]"), "1:60", "camber is an angle"),
        (LEVERS.replace(", camber: [0 deg, 1 deg]", ""), "1:17", "two or more"),
        (LEVERS.replace("[11 psi, 10 psi]", "[11 psi, 10 psi, 9 psi, 8 psi]"), "1:17", "more than 3 changes"),
        (SMALL + "lost: [9]\n", "4:8", "is no session"),
        (SMALL + "tyres: [{name: one}]\n", "4:9", "the laps that it is still good for"),
        (SMALL + "laps: 2.5\n", "4:7", "laps"),
        (SMALL + "open_pit: perhaps\n", "4:11", "true or false"),
        (SMALL.replace("minutes: 10", "minutes: 2"), "1:1", "no session holds"),
        (
            "aims: [{lever: tyre_pressure, values: [11 psi, 99 psi]}]\nsessions: [{minutes: 9}]\nlap: 45\n",
            "1:48",
            "99 psi",
        ),
        ("aims: [{lever: tyre_pressure, cure: hop}]\nsessions: [{minutes: 9}]\nlap: 45\n", "1:8", "needs one of"),
        ("a: [1\n", "2:1", "not valid YAML"),
        (SMALL + "pairs: true\n", "4:1", "pairs belongs into an aim"),
        (SMALL.replace("soft]}", "soft], seed: 3}"), "1:56", "seed is of the whole day; it stands beside aims"),
        (SMALL.replace("soft]}", "soft, stiff], pairs: true}"), "1:70", "randomised pairs are of two values"),
        (LEVERS.replace("deg]}}", "deg]}, pairs: true}"), "1:83", "randomised pairs are of two values"),
        ("aims: [{cure: hop, pairs: true}]\nsessions: [{minutes: 9}]\nlap: 45\n", "1:27", "try: 1"),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_told_with_its_place(plan: Plan, text: str, where: str, says: str) -> None:
    status, out, err = plan(text)
    assert (status, out) == (1, "")
    assert f"day.yaml:{where}:" in err
    assert says in err


@pytest.mark.parametrize(
    ("options", "status", "says"),
    [
        (["--lost", "x"], 2, "names no sessions"),
        (["--lost", "0"], 1, "is no session"),
        (["--done", "1,2"], 2, "is not one number"),
    ],
)
def test_options_that_cannot_be_used_are_told(plan: Plan, options: list[str], status: int, says: str) -> None:
    found = plan(SMALL, *options)
    assert found[0] == status
    assert says in found[2]


def test_days_that_were_kept_tell_the_scatter(
    plan: Plan, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    journal = str(tmp_path / "j.sqlite3")
    for day in range(4):  # runs that differ by half a second, on days whose laps differ
        laps = [[f"{45 + day / 10 + off + lap / 50:.2f}" for lap in range(5)] for off in (0, 0.5, -0.3, 0.4)]
        typed = [part for arm, row in zip("abba", laps, strict=True) for part in (f"--{arm}", *row)]
        assert main(["judge", *typed, "--keep", "--journal", journal]) == 0
    capsys.readouterr()
    kept = json.loads(plan(SMALL, "--json", "--journal", journal)[1])["scatter"]
    assert kept["days"] == 4
    assert kept["run"] > 0.2
    other = json.loads(plan(SMALL, "--json", "--journal", journal, "--who", "somebody else")[1])["scatter"]
    assert other["days"] == 0
