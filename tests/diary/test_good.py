"""When it was last good: what the driver calls good, and how the kart stood then, with what made it good."""

from __future__ import annotations

import pytest

from advisor.journal import notes
from advisor.journal.store import Journal
from tests.diary.paddock import Laptop

PUSHES = "pushes mid corner, dry"


def _good(laptop: Laptop) -> str:
    done = laptop("history", "--good", "--kart", "red")
    assert done.status == 0, done
    return done.text


def _narrowed(laptop: Laptop, verdict: str, keep: str) -> None:
    """The front track narrowed from 1180 to 1170 mm in a sitting, its outcome, and whether it goes into the file."""
    idea = ("loose on the way in", "t", "should i narrow the front track", "narrow the front track", "q")
    laptop.sits("--kart", "red", lines=idea)
    laptop.wait(minutes=20).sits("outcome", "--kart", "red", lines=(verdict, "", keep, "q"))


def test_the_change_that_made_it_good_is_not_blamed(laptop: Laptop) -> None:
    _narrowed(laptop, "better", "y")
    assert "front_track_width: 1170 mm" in (laptop.folder / "karts" / "karts" / "red.yaml").read_text("utf-8")
    assert "Nothing that was written down differs since then" in _good(laptop)
    assert laptop.wait(minutes=20)("diary", "--kart", "red", "--words", "pushes a bit").status == 0
    shown = _good(laptop)
    assert "narrow the front track to 1170 mm" in shown
    assert "1180 mm" not in shown
    laptop.wait(minutes=20)("diary", "--kart", "red", "--changed", "front track 1180", "--words", "loose")
    assert "front track width: 1170 mm then, 1180 mm now" in _good(laptop)


def test_another_driver_is_told_as_a_driver(laptop: Laptop) -> None:
    laptop("diary", "--kart", "red", "--words", "good")
    laptop.wait(days=1)("diary", "--kart", "red", "--words", "pushes", "--driver", "Jo")
    assert " driver: Mia then, Jo now" in _good(laptop)


def test_what_did_not_help_is_put_back_and_is_no_change_since(laptop: Laptop) -> None:
    laptop("diary", "--kart", "red", "--words", "good")
    laptop.wait(minutes=30)
    _narrowed(laptop, "worse", "")
    assert "front track width" not in _good(laptop).partition("Compared with")[2]


@pytest.mark.parametrize(
    ("words", "good"),
    [
        ("good", True),
        ("good, nothing to complain", True),
        ("very good now", True),
        ("Spot on!", True),
        ("all fine, no complaints", True),
        ("good, no hop any more", True),
        ("driver is happy", True),
        ("not good", False),
        ("no good", False),
        ("not so good", False),
        ("good on entry, pushes mid", False),
        ("good but tail happy", False),
        ("good, chain loose", False),
        ("good. brakes failed", False),
        ("good rear grip, no front", False),
        ("fine, engine a bit flat", False),
        ("could be better", False),
        ("loose right now", False),
    ],
)
def test_good_is_heard_in_a_drivers_own_words(laptop: Laptop, words: str, good: bool) -> None:
    laptop("diary", "--kart", "red", "--words", words)
    with Journal(laptop.journal, read_only=True) as journal:
        assert [n.good for n in notes.runs(journal, 9)] == [good]


def test_the_same_value_in_another_unit_is_no_difference(laptop: Laptop) -> None:
    laptop("diary", "--kart", "red", "--words", "good", "--pressures", "0.8 0.8 bar")
    laptop.wait(minutes=20)("diary", "--kart", "red", "--words", "hops", "--pressures", "80 80 kPa")
    assert "Nothing that was written down differs" in _good(laptop)
