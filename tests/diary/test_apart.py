"""Two laptops put one note right, neither knowing of the other: what each put right counts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import permutations
from pathlib import Path
from uuid import uuid1

import pytest

from advisor.journal import notes
from advisor.journal.notes import Note, note_event
from advisor.journal.store import Event, Journal
from advisor.model.belonging import Belonging
from tests.diary.paddock import Laptop

Laptops = Callable[[str], Laptop]
RUN = ("--words", "pushes", "--tyres", "set 1, 10 laps", "--pressures", "11 11")


def _note(laptop: Laptop) -> Note:
    with Journal(laptop.journal, read_only=True) as journal:
        (note,) = notes.runs(journal, 9)
    return note


def _exported(laptop: Laptop) -> str:
    path = str(laptop.folder / f"{uuid1()}.jsonl")
    assert laptop("journal", "export", path).status == 0
    return path


def _exchanged(one: Laptop, other: Laptop) -> list[str]:
    """Each journal goes to the other laptop; what the imports said."""
    one.wait(minutes=1)
    paths = [_exported(laptop) for laptop in (one, other)]
    return [one("journal", "import", paths[1]).text, other("journal", "import", paths[0]).text]


@pytest.fixture
def both(laptops: Laptops) -> tuple[Laptop, Laptop]:
    """Two laptops that hold the same run."""
    one, other = laptops("awning"), laptops("grid")
    assert one("diary", "--kart", "red", *RUN).status == 0
    path = str(one.folder / "first.jsonl")
    one("journal", "export", path)
    other("journal", "import", path)
    one.wait(minutes=20)
    other.wait(minutes=30)
    return one, other


def _corrects(laptop: Laptop, *options: str) -> str:
    done = laptop("diary", "--correct", _note(laptop).entry[:8], *options)
    assert done.status == 0, done
    return done.text


def test_what_each_put_right_counts_where_it_is_of_different_things(both: tuple[Laptop, Laptop]) -> None:
    one, other = both
    _corrects(one, "--driver", "Jo", "--pressures", "11 11 > 14 14.2", "--laps", "45.1 45.2")
    _corrects(other, "--words", "loose in", "--changed", "caster 10 deg")
    said = _exchanged(one, other)
    assert not any("two ways" in text for text in said)
    for laptop in both:
        note = _note(laptop)
        assert (note.belongs.driver, note.words, note.laps) == ("Jo", "loose in", (45.1, 45.2))
        assert (note.hot["rear"], note.aside, note.turned) == ("14.2 psi", {"caster": "10 deg"}, ("caster",))
        assert note.fault.startswith("oversteer")
        assert "two ways" not in laptop("history").text
    assert one("history").out == other("history").out


def test_what_both_put_right_is_told_until_somebody_settles_it(both: tuple[Laptop, Laptop]) -> None:
    one, other = both
    _corrects(one, "--words", "loose in", "--driver", "Jo")
    _corrects(other, "--words", "hops")
    said = _exchanged(one, other)
    told = 'put right in two ways: words "hops" counts, "loose in" was told too; settle it with what is right'
    assert all(told in text for text in said)
    for laptop in both:
        assert told in laptop("history").text
        assert (_note(laptop).words, _note(laptop).belongs.driver) == ("hops", "Jo")
    assert told not in "".join(_exchanged(one, other))  # nothing new
    assert told in _corrects(one.wait(hours=1), "--words", "loose in, hops")
    assert told not in one("history").text
    _exchanged(one, other)
    for laptop, tyres in ((one, "set 2, 30 laps"), (other, "set 3, 0 laps")):
        _corrects(laptop.wait(hours=1 if laptop is one else 3), "--tyres", tyres)
    assert 'tyres "set 3, 0 laps" counts, "set 2, 30 laps" was told too' in _exchanged(one, other)[0]
    assert told not in other("history").text
    assert _note(other).words == "loose in, hops"


def test_a_note_that_one_moved_and_the_other_put_right_is_right_of_the_other_kart(
    both: tuple[Laptop, Laptop],
) -> None:
    one, other = both
    _corrects(one, "--kart", "blue")
    _corrects(other, "--changed", "caster 10 deg", "--words", "hops")
    _exchanged(one, other)
    for laptop in both:
        note = _note(laptop)
        assert (note.kart, note.belongs.driver, note.words) == ("blue", "Tom", "hops")
        assert note.aside == {"caster": "10 deg"}


def test_what_nobody_told_of_a_run_is_not_told_to_be_put_right_in_two_ways(laptops: Laptops) -> None:
    """Tyres and pressures that a run took over are those of whichever kart it goes to."""
    one, other = laptops("awning"), laptops("grid")
    one("diary", "--kart", "blue", "--pressures", "10 10", "--tyres", "set 2, 5 laps")
    one.wait(minutes=5)("diary", "--kart", "red", *RUN)
    one.wait(minutes=20)("diary", "--kart", "red", "--words", "hops")
    with Journal(one.journal, read_only=True) as journal:
        *_, note = notes.runs(journal, 9)
    assert note.carried
    other("journal", "import", _exported(one))
    for minutes, laptop, kart in ((5, one, "green"), (50, other, "blue")):
        assert laptop.wait(minutes=minutes)("diary", "--correct", note.entry[:8], "--kart", kart).status == 0
    said = _exchanged(one, other)
    assert all('kart "blue" counts, "green" was told too' in text for text in said)
    assert not any("pressures" in text or "tyres" in text for text in said)
    with Journal(one.journal, read_only=True) as journal:
        found = notes.read(journal, note.entry)
    assert (found.belongs.tyres, found.cold["rear"]) == ("set 2", "10 psi")


def test_laps_of_a_logger_settle_nothing(both: tuple[Laptop, Laptop]) -> None:
    one, other = both
    _corrects(one, "--words", "loose in")
    _corrects(other, "--words", "hops")
    _exchanged(one, other)
    sheet = one.folder / "logger.csv"
    sheet.write_text("clock,lap time\n08:55:00,45.3\n08:55:45,45.4\n", "utf-8")
    assert (
        "written into 1 note"
        in one("diary", "--match", str(sheet), "--date", "2024-05-04", "--keep-laps").text
    )
    assert _note(one).laps == (45.3, 45.4)
    assert "put right in two ways: words" in one("history").text


def _versions(folder: Path) -> list[Event]:
    """A note, two corrections of it made apart, and one of the first of them."""
    with Journal(folder / "made.sqlite3") as journal:
        day = Belonging(kart="red", driver="Mia", time="2024-05-04T09:00:00+00:00")
        first = notes.append(
            journal, "v1", "2024-05-04T09:00:00.000000+00:00", Note("e", day, words="hops", laps=(45.0,))
        )
        left = notes.append(journal, "v2", "2024-05-04T09:10:00.000000+00:00", replace(first, words="pushes"))
        notes.append(
            journal, "v3", "2024-05-04T09:20:00.000000+00:00", replace(first, words="loose", tyre_laps=4)
        )
        moved = replace(left, belongs=replace(day, kart="blue"), service="engine")
        notes.append(journal, "v4", "2024-05-04T09:15:00.000000+00:00", moved)
        return [event for _, event in journal.since()]


def test_versions_come_to_the_same_in_whatever_order_they_are_taken_in(tmp_path: Path) -> None:
    events, found = _versions(tmp_path), set()
    for place, order in enumerate(permutations(events)):
        with Journal(tmp_path / f"{place}.sqlite3") as journal:
            for event in order:
                journal.merge([event])
            note = notes.read(journal, "e")
            found.add(
                str(
                    (
                        note,
                        journal.ask("SELECT * FROM derived_note"),
                        journal.ask("SELECT * FROM derived_place"),
                    )
                )
            )
            assert (note.kart, note.words, note.service, note.tyre_laps) == ("blue", "loose", "engine", 4)
            assert [(d.what, d.counts, d.other) for d in note.differing] == [("words", "loose", "pushes")]
    assert len(found) == 1


def test_a_version_of_an_older_program_counts_whole(tmp_path: Path) -> None:
    with Journal(tmp_path / "old.sqlite3") as journal:
        note = Note(
            "e", Belonging(kart="red", time="2024-05-04T09:00:00+00:00"), words="hops", service="engine"
        )
        journal.append(note_event("v1", "2024-05-04T09:00:00.000000+00:00", note))
        journal.append(
            note_event("v2", "2024-05-04T09:10:00.000000+00:00", replace(note, words="pushes", service=""))
        )
        found = notes.read(journal, "e")
        assert (found.words, found.service, found.on, found.differing) == ("pushes", "", ("v2",), ())
