"""A logger's runs find their notes.

An invented export with a wrong clock, a missing run, midnight and a change of the clocks.
"""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from advisor.journal import notes
from advisor.journal.logger import FARTHEST, Logged, match, over_midnight
from advisor.journal.notes import Note
from advisor.journal.store import Journal
from advisor.model.belonging import Belonging
from tests.diary.paddock import Laptop

# The clocks of Central Europe go back on 27 October 2024 at 03:00 summer time (01:00 UTC): EU directive 2000/84/EC.
ZONE = "Europe/Berlin"
RUNS = (  # local time of the note, what was noted
    ("2024-10-26 23:20", "clear 9 12", "11 11 > 13.9 13.8", "axle soft", "pushes"),
    ("2024-10-26 23:50", "clear 8 11", "11 11 > 14 13.9", "", "pushes less"),
    ("2024-10-27 00:25", "clouds 8 10", "11.5 11.5 > 14.2 14", "rear track 1400", "loose on entry"),
    ("2024-10-27 03:40", "clouds 6 8", "11.5 11.5 > 14.1 14", "", "good"),  # the clocks went back between
)
# The logger knows no summer time and runs 1 h 57 min behind; its memory lost the run of 23:50.
SHEET = """\
date;clock;run;lap;lap time
26.10.2024;21:20:11;1;1;45.91
26.10.2024;21:20:57;1;2;45.80
26.10.2024;22:26:40;2;1;45.33
26.10.2024;22:27:25;2;2;45.41
27.10.2024;02:39:10;3;1;45.20
27.10.2024;02:39:55;3;2;45.22
"""


def _noted(laptop: Laptop) -> None:
    for time, weather, pressures, changed, words in RUNS:
        options = [
            "--time",
            time,
            "--zone",
            ZONE,
            "--weather",
            weather,
            "--pressures",
            pressures,
            "--words",
            words,
        ]
        assert (
            laptop("diary", "--kart", "red", *options, *(["--changed", changed] if changed else [])).status
            == 0
        )


def test_each_logged_run_finds_its_note_with_what_stands_beside_it(laptop: Laptop) -> None:
    _noted(laptop)
    sheet = laptop.folder / "logger.csv"
    sheet.write_text(SHEET, "utf-8")
    told = laptop("diary", "--clock", "2024-10-26 20:02=2024-10-26 21:59", "--zone", ZONE)
    assert "the clock of the logger is 1 h 57 min behind of local time on 2024-10-26" in told.text
    done = laptop("diary", "--match", str(sheet), "--kart", "red")
    assert done.status == 0, done
    each = [block.splitlines() for block in done.out.split("\n2024") if block.strip()]
    heads = [lines[0].removeprefix("2024") for lines in each]
    assert [head.split(", note")[0] for head in heads] == [
        "-10-26 23:17, run 1",
        "-10-26 23:50, no run",  # the logger lost it
        "-10-27 00:23, run 2",
        "-10-27 03:36, run 3",  # an hour more of the night went by than the clock on the wall shows
    ]
    first, lost, third, last = (" ".join(" ".join(lines).split()) for lines in each)
    assert "2 laps, best 45.80 s" in first
    assert "weather: clear, air 9 °C, track 12 °C" in first
    assert "pressures: 11 11 psi > 13.9 13.8 psi" in first
    assert "axle stiffness soft" in first
    assert "The logger has no run near this time." in lost
    assert "rear track width 1400 mm" in third
    assert "said: good" in last


def test_laps_go_into_the_notes_that_have_none_as_new_versions(laptop: Laptop) -> None:
    _noted(laptop)
    sheet = laptop.folder / "logger.csv"
    sheet.write_text(SHEET, "utf-8")
    laptop("diary", "--clock", "2024-10-26 20:02=2024-10-26 21:59", "--zone", ZONE)
    done = laptop("diary", "--match", str(sheet), "--keep-laps")
    assert "Laps written into 3 notes that had none." in done.out
    assert "Laps written into 0 notes" in laptop("diary", "--match", str(sheet), "--keep-laps").out
    table = laptop("history", "--trend").out
    assert "45.80" in table
    assert "45.20" in table


def test_laps_of_one_kart_never_come_into_the_notes_of_another(laptop: Laptop) -> None:
    laptop.wait(hours=2)
    for kart, time in (("blue", "10:01"), ("red", "10:12"), ("green", "06:00")):
        assert laptop("diary", "--kart", kart, "--time", time, "--words", "hops").status == 0
    sheet = laptop.folder / "red's.csv"
    sheet.write_text("clock,lap time\n10:02:00,45.3\n10:02:45,45.4\n", "utf-8")
    match = ("diary", "--match", str(sheet), "--date", "2024-05-04")
    before = len(laptop.events())
    for more in ((), ("--keep-laps",)):
        done = laptop(*match, *more)
        assert done.status == 1
        assert "several karts have notes in the time of this sheet (blue, red); say whose laps" in done.text
        assert "--kart blue" in done.text  # what to type; the quote in the name stands it
    assert len(laptop.events()) == before
    assert "Laps written into 1 note that had none." in laptop(*match, "--keep-laps", "--kart", "red").out
    with Journal(laptop.journal, read_only=True) as journal:
        assert {n.kart: n.laps for n in notes.runs(journal, 9)} == {
            "green": (),
            "blue": (),
            "red": (45.3, 45.4),
        }


def test_a_run_far_off_its_note_is_doubtful_and_its_laps_go_nowhere(laptop: Laptop) -> None:
    laptop.wait(hours=2)
    for time in ("09:50", "10:34"):
        assert laptop("diary", "--kart", "red", "--time", time, "--words", "hops").status == 0
    sheet = laptop.folder / "logger.csv"
    rows = "09:45:00,45.3", "09:45:45,45.4", "10:02:00,45.5", "10:02:45,45.6"
    sheet.write_text("\n".join(("clock,lap time", *rows)).replace("10:02:00", "\n10:02:00"), "utf-8")
    match = ("diary", "--match", str(sheet), "--date", "2024-05-04", "--keep-laps")
    done = laptop(*match)
    assert "Doubtful: the note is 30 min off this run, and may be of another." in done.text
    assert "Laps written into 1 note that had none. Not written: the laps of 1 doubtful run" in done.text
    with Journal(laptop.journal, read_only=True) as journal:
        near, far = notes.runs(journal, 9)
    assert (near.laps, far.laps) == ((45.3, 45.4), ())
    assert laptop("diary", "--correct", far.entry[:8], "--time", "10:10").status == 0
    done = laptop(*match)
    assert "Doubtful" not in done.text
    assert "Laps written into 1 note" in done.text


def test_where_one_kart_has_notes_near_the_sheet_nobody_is_asked(laptop: Laptop) -> None:
    laptop.wait(hours=2)("diary", "--kart", "red", "--time", "10:12", "--words", "hops")
    laptop("diary", "--kart", "blue", "--time", "06:00", "--words", "hops")
    sheet = laptop.folder / "logger.csv"
    sheet.write_text("clock,lap time\n10:02:00,45.3\n10:02:45,45.4\n", "utf-8")
    done = laptop("diary", "--match", str(sheet), "--date", "2024-05-04", "--keep-laps")
    assert "Laps written into 1 note that had none." in done.out


def test_without_the_offset_it_says_what_it_takes_the_clock_for(laptop: Laptop) -> None:
    laptop("diary", "--kart", "red", "--words", "hops")
    sheet = laptop.folder / "logger.csv"
    sheet.write_text("clock,lap time\n09:01:00,45.3\n09:01:45,45.4\n", "utf-8")
    assert "taken to show local time" in laptop("diary", "--match", str(sheet), "--date", "2024-05-04").text


@pytest.mark.parametrize(
    ("content", "piece"),
    [
        ("lap time\n45.3\n", "logger.csv:2:1: no column tells the time of day of each run"),
        ("clock,lap time\nnoon,45.3\n", 'logger.csv:2:1: "noon" is no time of day'),
        ("date,clock,lap time\nMonday,09:00,45.3\n", 'logger.csv:2:1: "Monday" is no date'),
        ("", "the sheet is empty"),
    ],
)
def test_a_sheet_that_cannot_be_matched_is_refused_with_its_place(
    laptop: Laptop, content: str, piece: str
) -> None:
    sheet = laptop.folder / "logger.csv"
    sheet.write_text(content, "utf-8")
    laptop("diary", "--kart", "red", "--words", "hops")
    done = laptop("diary", "--match", str(sheet))
    assert done.status == 1
    assert piece in done.text


@pytest.mark.parametrize("clock", ["10:02", "10:02=late", "=10:02", "2024-13-01 10:00=10:00"])
def test_a_clock_that_cannot_be_read_is_refused(laptop: Laptop, clock: str) -> None:
    assert laptop("diary", "--clock", clock).status == 1


# --- the alignment itself -----------------------------------------------------------------------------------


def _note(entry: str, minute: int) -> Note:
    time = datetime.fromisoformat("2024-05-04T10:00:00+00:00") + timedelta(minutes=minute)
    return Note(entry, Belonging(kart="red", time=time.isoformat()))


def _run(name: str, minute: int) -> Logged:
    return Logged(name, datetime(2024, 5, 4, 10) + timedelta(minutes=minute), (45.0,) * 8)  # noqa: DTZ001 (a logger's)


@pytest.mark.parametrize(
    ("runs", "noted", "mates"),
    [
        ((0, 30, 60), (8, 38, 70), [("0", "8"), ("30", "38"), ("60", "70")]),
        (
            (0, 60),
            (8, 38, 70),
            [("0", "8"), ("", "38"), ("60", "70")],
        ),  # by hand: 30 lies 24 min from 38, 60 none
        ((0, 30), (38,), [("0", ""), ("30", "38")]),
        ((0,), (120,), [("0", ""), ("", "120")]),
        ((), (8,), [("", "8")]),
    ],
)
def test_mates_lie_near_each_other_and_nobody_has_two(
    runs: tuple[int, ...], noted: tuple[int, ...], mates: list[tuple[str, str]]
) -> None:
    found = match([_run(str(m), m) for m in runs], 0.0, [_note(str(m), m) for m in noted])
    assert [(m.run.name if m.run else "", m.note.entry if m.note else "") for m in found] == mates


def test_nothing_is_matched_that_lies_too_far_apart() -> None:
    far = int(FARTHEST.total_seconds() / 60) + 1
    assert [m.note for m in match([_run("a", far)], 0.0, [_note("n", 0)]) if m.run] == [None]


def test_a_clock_that_begins_anew_has_passed_midnight() -> None:
    times = [datetime(2024, 5, 4, h, m) for h, m in ((23, 20), (23, 50), (0, 10), (0, 40))]  # noqa: DTZ001
    assert [t.day for t in over_midnight(times)] == [4, 4, 5, 5]
