"""What a new note carries on: from the run that was driven last before it, whenever notes were written or corrected."""

from __future__ import annotations

from advisor.journal import notes
from advisor.journal.notes import Note
from advisor.journal.store import Journal
from tests.diary.paddock import Laptop


def _notes(laptop: Laptop, *options: str) -> None:
    done = laptop("diary", "--kart", "red", *options)
    assert done.status == 0, done


def _runs(laptop: Laptop) -> list[Note]:
    with Journal(laptop.journal, read_only=True) as journal:
        return notes.runs(journal, 99)


def _two_runs(laptop: Laptop) -> str:
    """A run, and one after it on a softer axle and other tyres; the entry of the first."""
    _notes(laptop, "--words", "hops", "--pressures", "11 11", "--tyres", "set 1, 20 laps")
    changed = ("--changed", "front track 1190, axle soft", "--tyres", "set 2, 0 laps", "--pressures", "12 12")
    _notes(laptop.wait(minutes=30), *changed, "--laps", "45.1 45.2")
    return _runs(laptop)[0].entry


def test_a_correction_of_an_older_run_does_not_bring_its_setup_back(laptop: Laptop) -> None:
    first = _two_runs(laptop)
    done = laptop.wait(minutes=5)("diary", "--correct", first, "--pressures", "11 11 > 14.2 14.5")
    assert done.status == 0, done
    _notes(laptop.wait(minutes=25), "--words", "pushes")
    one, two, three = _runs(laptop)
    assert one.hot == {"front": "14.2 psi", "rear": "14.5 psi"}
    assert three.aside == two.aside == {"front_track_width": "1190 mm", "axle_stiffness": "soft"}
    assert three.cold == {"front": "12 psi", "rear": "12 psi"}
    assert (three.belongs.tyres, three.tyre_laps) == ("set 2", 2)
    assert "setup since" not in laptop("history", "--last", "1").text.partition("pushes")[2]


def test_a_run_that_is_noted_later_carries_what_stood_when_it_was_driven(laptop: Laptop) -> None:
    _two_runs(laptop)
    _notes(laptop.wait(minutes=60), "--time", "09:20", "--words", "between the two")
    between = next(n for n in _runs(laptop) if n.words == "between the two")
    assert (between.belongs.tyres, between.tyre_laps, between.aside) == ("set 1", 20, {})
    _notes(laptop.wait(minutes=1), "--words", "now")
    assert _runs(laptop)[-1].belongs.tyres == "set 2"


def test_a_note_of_yesterday_does_not_wipe_the_driver_the_place_and_the_weather_of_today(
    laptop: Laptop,
) -> None:
    today = ("--driver", "Jo", "--track", "Hill", "--session", "heat 1", "--weather", "sunny 24 41 dry")
    _notes(laptop, *today, "--words", "hops")
    _notes(laptop.wait(minutes=30), "--time", "2024-05-03 15:00", "--words", "forgotten", "--driver", "Tom")
    _notes(laptop.wait(minutes=30), "--words", "hops again")
    yesterday, _, now = _runs(laptop)
    assert (yesterday.belongs.driver, yesterday.belongs.track, yesterday.conditions) == (
        "Tom",
        "Lakeside",
        {},
    )
    here = now.belongs
    assert (here.driver, here.track, here.session, here.weather) == ("Jo", "Hill", "heat 1", "sunny dry")
    assert now.conditions == {"air_temperature": "24 degC", "track_temperature": "41 degC"}
    assert now.track_state == "dry"


def test_who_drives_today_is_known_of_a_run_of_this_morning_that_is_noted_at_noon(laptop: Laptop) -> None:
    _notes(laptop.wait(hours=3), "--driver", "Jo", "--words", "hops")
    _notes(laptop.wait(minutes=5), "--time", "10:00", "--words", "first run")
    assert [n.belongs.driver for n in _runs(laptop)] == ["Jo", "Jo"]
