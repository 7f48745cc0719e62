"""What is dated in the future is told and does not count until then; times of day near midnight and changed clocks."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest

from advisor.cli import stamps
from advisor.journal import notes
from advisor.journal.store import Journal
from tests.diary.paddock import START, Laptop

LATE = "dated in the future"
LOOSE = {"balance": "oversteer", "phase": "entry", "track": "dry"}


def _runs(laptop: Laptop) -> list[notes.Note]:
    with Journal(laptop.journal, read_only=True) as journal:
        return notes.runs(journal, 99)


def test_a_note_of_a_time_to_come_says_so_and_carries_nothing_until_then(laptop: Laptop) -> None:
    near = laptop("diary", "--kart", "red", "--time", "09:04", "--words", "hops")
    assert LATE not in near.text  # two watches differ by as much
    told = ("--changed", "axle soft", "--driver", "Jo", "--track", "Hill", "--words", "good")
    done = laptop("diary", "--kart", "red", "--time", "12:00", *told)
    assert (
        "1 entry is dated in the future (red, today 12:00, still to come), and until then it does not count"
        in done.text
    )
    laptop.wait(minutes=30)("diary", "--kart", "red", "--words", "pushes")
    now = next(n for n in _runs(laptop) if n.words == "pushes")
    assert (now.aside, now.belongs.driver, now.belongs.track) == ({}, "Mia", "Lakeside")
    assert "axle" not in laptop.sits("--kart", "red", lines=("pushes", "q")).text
    good = laptop("history", "--good").text
    assert LATE in good
    assert "Nothing here was ever good" in good
    assert LATE in laptop("history").text
    laptop.wait(hours=3)
    assert LATE not in laptop("history").text
    assert "Last good: 4 May 2024, red, Hill, Jo, 12:00" in laptop("history", "--good").text
    laptop("diary", "--kart", "red", "--words", "as before")
    assert _runs(laptop)[-1].aside == {"axle_stiffness": "soft"}


def test_an_import_says_what_is_dated_in_the_future(laptops: Callable[[str], Laptop]) -> None:
    ours, theirs = laptops("ours"), laptops("theirs")
    theirs.ahead = timedelta(hours=2)
    theirs("diary", "--kart", "red", "--words", "good", "--changed", "axle soft")
    theirs("journal", "export", str(theirs.folder / "carried"))
    told = ours("journal", "import", str(theirs.folder / "carried")).text
    assert "Note: 1 entry is dated in the future (red, today 11:00, still to come)" in told
    ours("diary", "--kart", "red", "--words", "pushes")
    assert [n.aside for n in _runs(ours)] == [{}, {"axle_stiffness": "soft"}]


def test_a_waiting_trial_of_a_time_to_come_is_named_as_such(laptop: Laptop) -> None:
    laptop.ahead = timedelta(days=1)
    ident = laptop.tries("red", LOOSE, "caster", "less", "loose")
    laptop.ahead = timedelta()
    told = laptop("outcome", "better", "--kart", "blue").text
    assert f"(red, loose, 5 May 09:00, still to come, {ident[:8]})" in told
    assert "1 entry is dated in the future (red, 5 May 09:00, still to come)" in laptop("history").text


def _at(monkeypatch: pytest.MonkeyPatch, *time: int) -> None:
    monkeypatch.setattr(stamps, "now", lambda: datetime(*time, tzinfo=UTC))  # type: ignore[arg-type, misc]


@pytest.mark.parametrize(
    ("now", "typed", "meant"),
    [
        ((2024, 5, 5, 0, 30), "23:30", "2024-05-04T23:30:00+00:00"),  # last evening
        ((2024, 5, 5, 0, 30), "00:10", "2024-05-05T00:10:00+00:00"),
        ((2024, 5, 5, 0, 30), "2024-05-05 23:30", "2024-05-05T23:30:00+00:00"),  # with its date it is meant
        ((2024, 5, 4, 9, 0), "10:05", "2024-05-04T10:05:00+00:00"),
        ((2024, 5, 4, 9, 0), "08:50", "2024-05-04T08:50:00+00:00"),
    ],
)
def test_after_midnight_a_late_hour_is_last_evening(
    monkeypatch: pytest.MonkeyPatch, now: tuple[int, ...], typed: str, meant: str
) -> None:
    _at(monkeypatch, *now)
    assert stamps.local_at(typed, "UTC") == meant


def test_a_time_that_the_clocks_leave_out_is_refused(laptop: Laptop) -> None:
    # Clocks of Central Europe go forward on 31 March 2024 at 02:00 (01:00 UTC): EU directive 2000/84/EC.
    gap = ("diary", "--kart", "red", "--zone", "Europe/Berlin", "--words", "hops", "--time")
    done = laptop(*gap, "2024-03-31 02:30")
    assert done.status == 1
    assert '--time: "2024-03-31 02:30" is left out there, because the clocks go forward' in done.text
    assert not laptop.events()
    for fine in ("2024-03-31 01:59", "2024-03-31 03:00", "2024-10-27 02:30"):
        assert laptop(*gap, fine).status == 0
    assert [n.belongs.time for n in _runs(laptop)] == [
        "2024-03-31T01:59:00+01:00",
        "2024-03-31T03:00:00+02:00",
        "2024-10-27T02:30:00+02:00",  # it comes twice: the first
    ]


def test_a_logger_may_show_a_time_that_no_clock_on_the_wall_shows(laptop: Laptop) -> None:
    laptop.now = START.replace(month=4, day=1)
    told = ("--clock", "2024-03-31 02:30=2024-03-31 03:29", "--zone", "Europe/Berlin")
    assert "is 59 min behind of local time" in laptop("diary", *told).text
