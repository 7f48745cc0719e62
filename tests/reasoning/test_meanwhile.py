"""What is done as well while a part is open: its shared work is paid once."""

from __future__ import annotations

from advisor.model.case import Case
from advisor.planning.bundles import meanwhile
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import reason
from tests.reasoning.minds import shipped


def test_with_the_rear_wheels_off_the_hubs_take_only_what_is_their_own() -> None:
    book = shipped().book
    done = reason(shipped(), Case(complaint="the rear hops mid corner"))
    width = next(r for r in done.ranked if r.prospect.lever == "rear_track_width")
    others = meanwhile(book, done.ranked, width)
    assert others
    for other, minutes in others:
        lever = book.levers[other.prospect.lever]
        assert lever.job == book.levers["rear_track_width"].job == "rear_hubs"
        assert minutes == lever.minutes - book.jobs["rear_hubs"].minutes


def test_it_is_told_beside_the_change_and_names_no_part_that_is_not_open() -> None:
    found = advise(shipped(), Case(complaint="the rear hops mid corner"))
    width = next(a for a in found.advice if a.lever == "rear_track_width")
    assert width.meanwhile
    pressure = next(a for a in found.advice if a.lever.startswith("tyre_pressure"))
    assert pressure.meanwhile == ()  # no job: nothing is open
