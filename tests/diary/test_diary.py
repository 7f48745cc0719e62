"""The diary on a real pseudo-terminal: a run in under a minute, corrected, gone on with after a crash."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from advisor.journal import notes
from advisor.journal.store import Journal
from advisor.journal.trials import trials
from tests.diary.paddock import KART, Laptop
from tests.journal import rows
from tests.terminal.person import Person

Start = Callable[..., Person]

# The keystroke-level model: Card, Moran and Newell, The keystroke-level model for user performance time with
# interactive systems, Communications of the ACM 23(7), 1980: an average typist takes 0.28 s a key, somebody who types
# complex codes 0.75 s (here: cold hands), and a moment of thought 1.35 s.
KEY, COLD, THOUGHT = 0.28, 0.75, 1.35

RUN = ("18 27", "", "> 14.2 14", "", "pushes mid", "45.31 45.40 45.28 45.35")  # a line a prompt


@pytest.fixture
def karts(tmp_path: Path) -> Path:
    karts = tmp_path / "karts" / "karts"
    karts.mkdir(parents=True)
    (karts / "red.yaml").write_text(KART.format(driver="Mia"), "utf-8")
    return karts


def _runs(folder: Path) -> list[notes.Note]:
    with Journal(folder / "journal.sqlite3", read_only=True) as journal:
        return notes.runs(journal, 99)


def _a_first_run(person: Person) -> None:
    """The day's first: everything is told."""
    person.reads()
    for line in ("cloudy 17 24 dry", "set 2, 30 laps", "11 11 > 14 14", "", "loose on entry", "45.9 45.8"):
        person.types(line)
    assert person.leaves("")[0] == 0


@pytest.mark.usefixtures("karts")
def test_a_run_is_noted_in_under_a_minute(start: Start, tmp_path: Path) -> None:
    _a_first_run(start("diary"))
    person = start("diary", width=80)
    assert "red, Mia, Lakeside, today" in person.reads()
    keys = prompts = 0
    for line in RUN:
        person.types(line)
        keys, prompts = keys + len(line) + 1, prompts + 1
    status, _ = person.leaves("")
    keys, prompts = keys + 1, prompts + 1
    assert status == 0
    assert (keys, prompts) == (54, 7)
    assert keys * KEY + prompts * THOUGHT < 30  # 24.6 s
    assert keys * COLD + prompts * THOUGHT < 60  # 50.0 s, with cold hands
    first, second = _runs(tmp_path)
    assert (second.belongs.driver, second.belongs.track, second.belongs.tyres) == ("Mia", "Lakeside", "set 2")
    assert (second.belongs.weather, second.track_state, second.tyre_laps) == ("cloudy dry", "dry", 32)
    assert second.conditions == {"air_temperature": "18 degC", "track_temperature": "27 degC"}
    assert (second.cold, second.hot) == (first.cold, {"front": "14.2 psi", "rear": "14 psi"})
    assert (second.words, second.laps) == ("pushes mid", (45.31, 45.40, 45.28, 45.35))
    assert second.setup["rear_track_width"] == first.setup["rear_track_width"] == "1390 mm"


@pytest.mark.usefixtures("karts")
def test_a_crash_in_mid_note_loses_nothing_that_was_answered(start: Start, tmp_path: Path) -> None:
    person = start("diary")
    person.reads()
    person.types("sunny 25 40 dry")
    person.types("set 1, 5 laps")
    person.crashes()
    assert _runs(tmp_path) == []
    person = start("diary", "--kart", "red")
    assert "You were in the middle of a note: red, Mia, Lakeside, today" in person.reads()
    assert "Pressures cold > hot: all, front rear, or each corner" in person.types("")
    for line in ("11", "", "good", ""):
        person.types(line)
    assert person.leaves("")[0] == 0
    (note,) = _runs(tmp_path)
    assert (note.belongs.weather, note.belongs.tyres, note.tyre_laps, note.good) == (
        "sunny dry",
        "set 1",
        5,
        True,
    )


@pytest.mark.usefixtures("karts")
def test_what_cannot_be_read_is_asked_again_and_can_be_kept_as_words(start: Start, tmp_path: Path) -> None:
    person = start("diary", width=40)
    person.reads()
    for line in ("cloudy", "old", "11"):
        person.types(line)
    shown = person.types("moved the seat a bit")
    assert "is no setting" in shown
    assert all(len(row) <= 40 for row in person.lines)
    person.types("moved the seat a bit")
    person.types("hops")
    assert "laps: 45.3" not in person.types("45.3")
    assert person.leaves("")[0] == 0
    assert _runs(tmp_path)[0].changed == "moved the seat a bit"


def test_a_change_goes_into_the_kart_file_and_a_line_is_put_right(
    start: Start, tmp_path: Path, karts: Path
) -> None:
    person = start("diary")
    person.reads()
    for line in ("", "", "", "rear track 1400", "hops"):
        person.types(line)
    assert "Write it into the kart file red too (rear track width 1400 mm)?" in person.types("")
    assert "Enter: done" in person.types("")
    assert "rear_track_width: 1400 mm" in (karts / "red.yaml").read_text("utf-8")
    person.types("words")
    assert "words: hops on exit only" in person.types("hops on exit only")
    assert person.leaves("")[0] == 0
    (note,) = _runs(tmp_path)
    assert (note.words, note.aside) == ("hops on exit only", {})
    with Journal(tmp_path / "journal.sqlite3") as journal:  # the versions before it are all there
        said = [e.body.get("words") for _, e in journal.since() if e.kind == "note"]
    assert "hops" in said
    assert said[-1] == "hops on exit only"


@pytest.mark.usefixtures("karts")
def test_an_outcome_is_told_with_the_run(start: Start, tmp_path: Path) -> None:
    case = {"observed": {"balance": "oversteer", "phase": "entry"}, "kart_file": "red"}
    rows.write(
        tmp_path / "journal.sqlite3",
        rows.trial("t1", case=case),
        rows.trial("t2", case={**case, "kart_file": "blue"}),
    )
    person = start("diary")
    person.reads()
    for line in ("", "", "", "", "calm on the way in"):
        person.types(line)
    assert "Waits for an outcome: narrow the rear track (red, loose on entry, 4 May 2024)" in person.types("")
    assert "better" in person.types("better")
    assert person.leaves("")[0] == 0
    (note,) = _runs(tmp_path)
    with Journal(tmp_path / "journal.sqlite3") as journal:
        assert {t.id: (t.verdict, t.note) for t in trials(journal)} == {
            "t1": ("better", "calm on the way in"),
            "t2": (None, ""),
        }
    assert note.trial == "t1"


@pytest.mark.usefixtures("karts")
def test_an_entry_opens_a_sitting(start: Start) -> None:
    person = start("diary")
    person.reads()
    for line in ("", "", "", "", "loose on entry"):
        person.types(line)
    assert "g: what to change now" in person.types("")
    assert "the rear steps out" in person.types("g")  # what its words were understood as


# --- in one line ------------------------------------------------------------------------------------------


def _noted(laptop: Laptop) -> list[notes.Note]:
    return _runs(laptop.folder)


def test_a_run_in_one_line_and_a_new_version_of_it(laptop: Laptop) -> None:
    done = laptop(
        "diary",
        "--kart",
        "red",
        "--time",
        "10:05",
        "--weather",
        "cloudy 18",
        "--pressures",
        "11",
        "--words",
        "hops",
    )
    assert done.status == 0, done
    (note,) = _noted(laptop)
    assert note.entry[:8] in done.out
    assert note.belongs.time.startswith("2024-05-04T10:05:00")
    assert (
        laptop("diary", "--correct", note.entry[:8], "--words", "hops on exit", "--laps", "45.3").status == 0
    )
    (again,) = _noted(laptop)
    assert (again.entry, again.words, again.cold, again.laps) == (
        note.entry,
        "hops on exit",
        note.cold,
        (45.3,),
    )
    assert len(laptop.events()) == 2


@pytest.mark.parametrize(
    ("arguments", "piece"),
    [
        (["--words", "hops"], "which kart? Say it with --kart (on file: blue, green, red)"),
        (["--kart", "red", "--laps", "fast"], '--laps: lap 1: "fast" is no lap time'),
        (
            ["--kart", "red", "--pressures", "soft"],
            '--pressures: "soft" is no pressure and no corner: write one pressure',
        ),
        (["--kart", "red", "--time", "noon", "--words", "x"], '--time: "noon" is no time'),
        (["--kart", "red", "--zone", "Mars/Base", "--time", "10:00", "--words", "x"], "is no time zone"),
        (["--correct", "ffff", "--words", "x"], '"ffff" is no entry'),
        (
            ["--kart", "red", "--outcome", "better"],
            "No change is waiting for an outcome, so nothing was written down",
        ),
        (["--kart", "rod", "--words", "x"], 'no such kart; did you mean "red"?'),
    ],
)
def test_what_cannot_be_noted_is_refused_and_nothing_is_written(
    laptop: Laptop, arguments: list[str], piece: str
) -> None:
    done = laptop("diary", *arguments)
    assert done.status == 1
    assert piece in done.text
    with Journal(laptop.journal) as journal:
        assert list(journal.since()) == []


def test_without_a_terminal_and_without_a_word_it_says_how(laptop: Laptop) -> None:
    assert laptop("diary").status == 2


def test_a_note_from_a_hostile_row_is_told_nowhere(laptop: Laptop) -> None:
    laptop("diary", "--kart", "red", "--words", "hops")
    from advisor.journal.events import Event

    bad: list[dict[str, Any]] = [
        {"entry": 3},
        {"entry": "x", "laps": ["a"]},
        {"entry": "y", "belongs": []},
        {},
        {"entry": "z", "words": "a\x1b[2J"},
    ]
    with Journal(laptop.journal) as journal:
        for i, body in enumerate(bad):
            journal.append(Event(f"e{i}", "2024-05-04T09:30:00+00:00", "note", body))
    shown = laptop("history")
    assert shown.status == 0
    assert "\x1b" not in shown.out
    assert "hops" in shown.out


@pytest.mark.usefixtures("karts")
@pytest.mark.parametrize(
    "lines",
    [
        ("brakes failed",),
        ("cloudy 17 24 dry", "steering came loose"),
        ("cloudy 17 24 dry", "set 2", "brakes failed"),
        ("cloudy 17 24 dry", "set 2", "", "throttle sticks open"),
        ("cloudy 17 24 dry", "set 2", "", "", "the left wheel fell off", ""),
        ("cloudy 17 24 dry", "set 2", "", "", "good", "brakes failed"),
        ("cloudy 17 24 dry", "set 2", "", "", "good", "", "a tie rod snapped"),
    ],
    ids=["weather", "tyres", "pressures", "changed", "words", "laps", "at the end"],
)
def test_danger_told_in_any_line_stops(start: Start, tmp_path: Path, lines: tuple[str, ...]) -> None:
    person = start("diary")
    person.reads()
    shown = ""
    for line in lines:
        shown = person.types(line)
    assert "STOP: do not drive it" in shown
    assert person.leaves("q")[0] == 0
    (note,) = _runs(tmp_path)
    assert next(line for line in reversed(lines) if line) in note.words


@pytest.mark.usefixtures("karts")
def test_a_part_that_was_mended_is_a_change_and_no_danger(start: Start, tmp_path: Path) -> None:
    person = start("diary")
    person.reads()
    for line in ("cloudy 17 24 dry", "set 2", "", "replaced the cracked rear hub", "", "good", ""):
        person.types(line)
    assert person.leaves("")[0] == 0
    (note,) = _runs(tmp_path)
    assert "cracked" not in note.words


@pytest.mark.usefixtures("karts")
def test_danger_in_one_line_is_said(tmp_path: Path) -> None:
    done = Laptop(tmp_path)("diary", "--kart", "red", "--words", "brakes failed in turn one")
    assert done.status == 0
    assert "STOP: do not drive it" in done.out
