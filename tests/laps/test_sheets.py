"""Lap sheets of many shapes, good and broken. The broken ones are told with file, line, column and what to do."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.laps.conditions import differences
from advisor.laps.sheet import MAX_LINES, Run, read
from advisor.laps.times import missing, seconds

SHEETS = Path(__file__).parent / "sheets"
THREE = [(1, 45.31), (2, 45.40), (3, 45.28)]

GOOD: dict[str, list[tuple[str, str | None, list[tuple[int, float]]]]] = {
    # commas, the runs named A1, B1, A2
    "plain.csv": [
        ("A1", "A", THREE),
        ("B1", "B", [(1, 45.02), (2, 45.11), (3, 45.08)]),
        ("A2", "A", [(1, 45.35), (2, 45.30), (3, 45.42)]),
    ],
    # semicolons, decimal commas, minutes, a title above, a row of units, before and after, a best lap below
    "german.csv": [
        ("1", "A", [(1, 62.345), (2, 62.1), (3, 62.21)]),
        ("2", "B", [(1, 61.9), (2, 61.874), (3, 61.93)]),
    ],
    # byte order mark, accents, out laps
    "french_bom.csv": [
        ("1", "A", [(2, 48.31), (3, 48.20), (4, 48.25)]),
        ("2", "B", [(2, 48.01), (3, 47.99), (4, 48.10)]),
    ],
    # UTF-16 and tabs, the time of day beside the lap time, a gap
    "utf16_tabs.csv": [("1", None, THREE), ("2", None, [(1, 45.02), (3, 45.11), (4, 45.08)])],
    "utf16_no_mark.csv": [("1", None, THREE)],
    "one_column.csv": [("1", None, [*THREE, (4, 47.90)])],  # decimal commas and nothing else
    # blanks between the columns, no headings; the laps begin again
    "blanks_no_headings.txt": [("1", None, THREE), ("2", None, [(1, 45.02), (2, 45.11), (3, 45.08)])],
    "thousandths.csv": [("1", None, THREE)],  # bars, milliseconds by the heading
    "units_row.csv": [("1", None, THREE)],  # milliseconds by the row of units
    "quotes.csv": [
        ("1", "A", [(1, 45.31), (2, 45.40), (3, 62.345), (5, 44.98)])
    ],  # commas within, 1'02"345, a gap
    # a column a run, of unlike length, below the line that a spreadsheet writes
    "a_column_a_run.csv": [
        ("A1", "A", THREE),
        ("B1", "B", [(1, 45.02), (3, 45.11), (4, 45.08)]),
        ("A2", "A", [(1, 45.35), (2, 45.30), (3, 45.42)]),
    ],
    # a blank line between the runs, and a comment
    "blocks.txt": [("1", None, THREE), ("2", None, [(1, 45.02), (2, 45.11), (3, 45.08)])],
    # the run is told once, an out lap has the number 0, an empty row of tabs
    "merged_cells.csv": [("A1", "A", THREE), ("B1", "B", [(1, 45.02), (2, 45.11), (3, 45.08)])],
    "in_and_out.csv": [("base", "A", [(2, 45.31), (3, 45.40), (4, 45.28)])],
}
BROKEN = {
    "broken_words.csv": [
        '3:6: "fourty-five" is no lap time; write it like 45.31 or 1:02.345',
        '4:4: "x" is no lap number; write a whole number, or nothing',
        '5:6: "4:65.02" has 65.02 seconds after its minutes; they go up to 59.999',
    ],
    "broken_no_time.csv": [
        '1:1: no column is the lap time; the columns are: "lap", "speed", "gap".'
        " Say which: --column time=NAME, or a number from 1"
    ],
    "broken_two_times.csv": [
        '1:1: "Zeit" and "time" may both be the time; say which: --column time=NAME, or a number from 1'
    ],
    "broken_comma.csv": [
        f"{line}:6: this row has 3 values under 2 headings; a comma stands between the columns here,"
        ' so write 45.31 with a point, or "45,31" in quotes'
        for line in (2, 3)
    ],
    "broken_thousandths.csv": [
        '2:3: "45310" is longer than ten minutes, which is no lap; if these are thousandths,'
        ' write "time (ms)" above them, or leave it empty',
        '3:3: "4.5" is shorter than 5 s, which is no lap; correct it, or leave it empty',
    ],
    "broken_arm.csv": [
        '3:9: "soft" is neither A nor B; write A for as it was, B for with the change',
        "4:9: A or B is missing; write A for as it was, B for changed",
    ],
    "broken_comes_back.csv": [
        '4:1: run "1" comes back later, or is both A and B; give each run a name of its own'
    ],
    "broken_short_row.csv": ["3:5: this row ends before the lap time; add it, or a - where none was taken"],
    "broken_empty.csv": ["1:1: the sheet is empty; it needs one lap time a line"],
    "broken_only_headings.csv": ["1:1: there is no lap time in this sheet; it needs one a line"],
    "broken_picture.csv": ["1:1: this is no text file; save the sheet as CSV and give that file"],
    "broken_no_headings.csv": [
        "1:1: there are no headings, and which column is the lap time cannot be told (it may be: 1 and 2);"
        " write one lap a line, with headings, or say --column time=2"
    ],
}


def test_every_sheet_is_tested() -> None:
    assert {path.name for path in SHEETS.iterdir()} == {*GOOD, *BROKEN}


@pytest.mark.parametrize("name", GOOD)
def test_a_good_sheet_gives_its_runs(name: str) -> None:
    found = read((SHEETS / name).read_bytes(), name)
    assert found.problems == []
    assert [(run.name, run.arm) for run in found.runs] == [(run, arm) for run, arm, _ in GOOD[name]]
    for run, (_, _, laps) in zip(found.runs, GOOD[name], strict=True):
        assert {lap.number: lap.seconds for lap in run.laps} == pytest.approx(dict(laps))


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_sheet_is_told_to_the_letter(name: str) -> None:
    found = read((SHEETS / name).read_bytes(), name)
    assert [str(problem) for problem in found.problems] == [f"{name}:{text}" for text in BROKEN[name]]


def test_in_and_out_laps_and_gaps_are_set_aside_and_told() -> None:
    (run,) = read((SHEETS / "in_and_out.csv").read_bytes(), "x.csv").runs
    assert run.aside == ["lap 1: out lap", "lap 5: in lap"]
    (_, second) = read((SHEETS / "utf16_tabs.csv").read_bytes(), "x.csv").runs
    assert second.aside == ["lap 2: no time"]


def test_laps_numbered_through_the_day_still_count_from_the_start_of_their_run() -> None:
    sheet = read(b"run,lap,time\nA1,1,45.3\nA1,2,45.4\nB1,3,45.1\nB1,4,45.2\n", "day.csv")
    assert [run.first for run in sheet.runs] == [1, 3]


@pytest.mark.parametrize(("chosen", "laps"), [({"time": "2"}, [44.8, 44.9]), ({"time": "1"}, [45.31, 45.40])])
def test_a_column_may_be_told_by_its_number(chosen: dict[str, str], laps: list[float]) -> None:
    found = read((SHEETS / "broken_no_headings.csv").read_bytes(), "x.csv", chosen)
    assert [lap.seconds for lap in found.runs[0].laps] == laps


def test_a_column_may_be_told_by_its_heading() -> None:
    found = read((SHEETS / "broken_two_times.csv").read_bytes(), "x.csv", {"time": "zeit"})
    assert [lap.seconds for lap in found.runs[0].laps] == [45.31]
    wrong = read((SHEETS / "broken_two_times.csv").read_bytes(), "x.csv", {"time": "Zeiten"})
    assert "there is no column" in wrong.problems[0].message


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("45.31", 45.31),
        ("45,31 s", 45.31),
        ("0:45.310", 45.31),
        ("1:02,4", 62.4),
        ("00:01:02.400", 62.4),
        ("1'02\"345", 62.345),
        ("1:02:345", 62.345),
        ("1.02.345", 62.345),
        ("45310 ms", 45.31),
        (" 45. ", 45.0),
    ],
)
def test_lap_times_as_people_write_them(text: str, value: float) -> None:
    assert seconds(text) == pytest.approx(value)


@pytest.mark.parametrize("text", ["", "-", "--:--.---", "n/a", "DNF"])
def test_signs_for_no_time(text: str) -> None:
    assert missing(text)


@pytest.mark.parametrize("text", ["abc", "1:2:3:4", "45.31.2", "-45", "1e3", "nan", "inf", "45 31", "٤٥"])
def test_what_is_no_time_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="no lap"):
        seconds(text)


@given(st.floats(5, 599.9), st.sampled_from([".", ","]))
def test_any_lap_survives_being_written_with_minutes(value: float, sign: str) -> None:
    written = f"{int(round(value, 3) // 60)}:{round(value, 3) % 60:06.3f}".replace(".", sign)
    assert seconds(written) == pytest.approx(round(value, 3), abs=1e-9)


@settings(max_examples=300)
@given(
    st.one_of(
        st.binary(max_size=200), st.text("0123456789.,;:\t |\"'AB\nlaptimerun-", max_size=200).map(str.encode)
    )
)
def test_no_bytes_break_the_reader(data: bytes) -> None:
    found = read(data, "x.csv")
    lines = max(1, len(data) + 1)
    assert found.problems or any(run.laps for run in found.runs)
    assert all(1 <= p.line <= lines and p.column >= 1 for p in found.problems)


def test_a_sheet_without_end_is_refused() -> None:
    found = read(b"45.31\n" * (MAX_LINES + 1), "x.csv")
    assert "no day's laps" in found.problems[0].message
    wide = read(b"45.31," * 200_000, "x.csv")
    assert "is no lap" in wide.problems[0].message


def runs(*told: tuple[str, str]) -> list[Run]:
    return [Run(str(i), arm, conditions={"tyres": [tyres]}) for i, (arm, tyres) in enumerate(told, start=1)]


def test_a_condition_that_goes_with_the_change_is_a_confounder() -> None:
    assert differences(runs(("A", "old"), ("B", "New"), ("A", "old"))) == [
        'tyres: "old" as it was, "New" with the change; the laps cannot tell the two apart'
    ]


def test_a_condition_that_differs_otherwise_is_named_with_its_runs() -> None:
    assert differences(runs(("A", "old"), ("B", "old"), ("A", "new"))) == [
        'tyres: "old" in run 1, "old" in run 2, "new" in run 3'
    ]


def remarked(*rows: tuple[str, list[str]]) -> list[Run]:
    return [Run(str(i), arm, remarks=remarks) for i, (arm, remarks) in enumerate(rows, start=1)]


@pytest.mark.parametrize(
    "remarks", [["new tyres"] * 3, ["out lap", "new tyres", ""], ["new tyres", "", "traffic"]]
)
def test_a_remark_on_the_tyres_of_a_run_is_a_confounder(remarks: list[str]) -> None:
    runs = remarked(("A", ["", "traffic", ""]), ("B", remarks), ("A", [""] * 3))
    assert differences(runs) == ['tyres, by the remarks: "new tyres" in run 2']
    assert differences(runs, changed=["tyres"]) == []


def test_a_remark_on_a_lap_on_the_change_or_on_every_run_is_none() -> None:
    assert differences(remarked(("A", [""]), ("B", ["", "slid, cold tyres", ""]))) == []
    assert differences(remarked(("A", [""]), ("B", ["narrow rear track"] * 3))) == []
    assert differences(remarked(("A", ["Old tyres"]), ("B", ["old tyres"] * 3))) == []


def test_conditions_alike_or_changed_on_purpose_are_none() -> None:
    assert differences(runs(("A", "0,80"), ("B", "0.80"))) == []
    assert differences(runs(("A", "old"), ("B", "new")), changed=["tyres"]) == []
