"""What history finds and writes out: runs by fault and lever, unfinished notes, every verdict, of all there are."""

from __future__ import annotations

import csv
import io
import json
from typing import Any

import pytest

from advisor.journal import lately
from advisor.journal.events import Event
from advisor.journal.notes import Note, note_event
from advisor.journal.store import Journal
from advisor.model.belonging import Belonging
from tests.diary.paddock import START, Laptop
from tests.journal import rows

LOOSE = {"balance": "oversteer", "phase": "entry", "track": "dry"}


def _notes(laptop: Laptop, *options: str) -> None:
    done = laptop.wait(minutes=20)("diary", "--kart", "red", *options)
    assert done.status == 0, done


@pytest.fixture
def day(laptop: Laptop) -> Laptop:
    """Four runs: two with a fault, one of them after a change; one with other pressures; a good one."""
    _notes(laptop, "--words", "loose on the way in", "--pressures", "11 11")
    _notes(laptop, "--words", "pushes mid corner", "--changed", "axle soft, caster 10 deg")
    _notes(laptop, "--words", "still pushing in the middle", "--pressures", "11 10.5")
    _notes(laptop, "--words", "very good now")
    return laptop


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--fault", "oversteer"], ["loose on the way in"]),
        (["--fault", "pushes"], ["pushes mid corner", "still pushing in the middle"]),
        (["--fault", "understeer mid"], ["pushes mid corner", "still pushing in the middle"]),
        (["--lever", "axle stiffness"], ["pushes mid corner"]),
        (["--lever", "tyre pressure rear"], ["still pushing in the middle"]),
        (["--lever", "caster", "--fault", "understeer"], ["pushes mid corner"]),
    ],
)
def test_runs_of_a_fault_and_after_a_change_are_kept(
    day: Laptop, options: list[str], said: list[str]
) -> None:
    assert [row["said"] for row in json.loads(day("history", "--json", "-", *options).out)] == said


def test_words_that_are_put_right_are_found_by_what_they_say_now(day: Laptop) -> None:
    entry = json.loads(day("history", "--json", "-").out)[0]["id"]
    day("diary", "--correct", entry, "--words", "pushes mid corner", "--changed", "front track 1190")
    assert day("history", "--fault", "oversteer").status == 1
    found = json.loads(day("history", "--json", "-", "--lever", "front track width").out)
    assert [row["id"] for row in found] == [entry]


@pytest.mark.parametrize("text", ["4.5.2024", "2024-13-01", "yesterday"])
def test_a_day_that_cannot_be_read_says_how_to_write_it(day: Laptop, text: str) -> None:
    done = day("history", "--day", text)
    assert done.status == 1
    assert f'--day: "{text}" is no date as it is written here; write it like 2024-05-04' in done.text


def test_a_note_that_was_left_in_the_middle_is_seen_when_another_run_follows(laptop: Laptop) -> None:
    where = Belonging(kart="red", driver="Mia", time=START.isoformat())
    left = Note("abcdef123456", where, open=True, answered=2, conditions={"air_temperature": "17 degC"})
    with Journal(laptop.journal) as journal:
        journal.append(note_event("n1", START.isoformat(timespec="microseconds"), left))
    _notes(laptop, "--words", "hops")
    shown = laptop("history").text
    assert "noted abcdef12 a run left in the middle; to go on: advisor diary --correct abcdef12" in shown
    assert [row["unfinished"] for row in json.loads(laptop("history", "--json", "-").out)] == [True, False]
    asked = laptop.sits("diary", "--kart", "red", lines=("",)).text
    assert (
        "A note of today 09:00 was left in the middle; to go on there: advisor diary --correct abcdef12"
        in asked
    )
    assert laptop("diary", "--correct", "abcdef12", "--words", "pushes").status == 0
    assert "--correct abcdef12" not in laptop("history").text


def test_the_export_tells_levers_and_every_verdict_with_who_gave_it(laptop: Laptop) -> None:
    ident = laptop.tries("red", LOOSE, "caster", "less", "loose")
    laptop.wait(minutes=20)("outcome", "better", "--driver", "Mia", "--note", "calm")
    laptop.wait(minutes=20)("outcome", "same", "--trial", ident, "--driver", "Ida")
    (row,) = json.loads(laptop("history", "--json", "-").out)
    assert (row["levers"], row["outcome"], row["by"]) == (["caster less"], "same", "Ida")
    assert [(v["verdict"], v["by"], v["note"], v["stands"]) for v in row["verdicts"]] == [
        ("better", "Mia", "calm", "replaced"),
        ("same", "Ida", "", "counts"),
    ]
    with Journal(laptop.journal) as journal:  # from another laptop, which knew of neither
        journal.append(rows.verdict("other", ident, "worse"))
    (row,) = json.loads(laptop("history", "--json", "-").out)
    assert sorted(v["stands"] for v in row["verdicts"]) == ["disputed", "disputed", "replaced"]
    (table,) = csv.DictReader(io.StringIO(laptop("history", "--csv", "-").out))
    assert table["levers"] == "caster less"
    assert "better Mia 2024-05-04T09:20:00+00:00 calm replaced; " in table["verdicts"]


def _season(path: Any, runs: int) -> None:
    """Runs of two karts, a minute each; the first is good and serviced, and no other is."""
    with Journal(path) as journal:
        events: list[Event] = []
        for i in range(runs):
            time = f"2023-{1 + i // 28 % 12:02}-{1 + i % 28:02}T{i // 336 % 24:02}:00:00+00:00"
            note = Note(
                f"e{i}", Belonging(kart=("red", "blue")[i % 2], time=time), laps=(60.0,), words="hops"
            )
            first = Note(note.entry, note.belongs, laps=(60.0,), good=True, service="engine")
            events.append(note_event(f"n{i}", time, first if i < 2 else note))
        journal.merge(events)


def test_the_last_good_run_is_found_however_many_follow(laptop: Laptop) -> None:
    _season(laptop.journal, 8000)  # more than were once looked through
    good = laptop("history", "--good").text
    assert good.count("Last good: ") == 2
    assert "Nothing here was ever good" not in good
    served = laptop("history", "--service", "--kart", "red").text
    assert "red, engine: 66.7 h of timed laps in 4000 runs" in served
    with Journal(laptop.journal, read_only=True) as journal:
        assert lately.karts(journal) == ["blue", "red"]


# --- by kart ----------------------------------------------------------------------------------------------


def test_the_advice_is_scored_by_kart(laptop: Laptop) -> None:
    for kart, verdict in (("red", "better"), ("red", "worse"), ("blue", "better")):
        laptop.judges(laptop.wait(days=1).tries(kart, LOOSE, "caster", "less"), verdict)  # type: ignore[arg-type]
    assert "3 trials with an outcome" in laptop("score").text
    assert "2 trials with an outcome" in laptop("score", "--kart", "Red").text
    assert "1 trial with an outcome" in laptop("score", "--kart", "blue").text
    assert laptop("score", "--kart", "green").status == 1


def test_a_fault_is_planned_for_the_kart_as_it_stands(laptop: Laptop) -> None:
    path = laptop.folder / "day.yaml"
    sessions = "sessions: {number: 9, minutes: 10, gap: 40}\nlap: 45\n"
    path.write_text(f"aims: [{{cure: pushes mid corner, try: 3}}]\n{sessions}", "utf-8")
    _notes(laptop, "--changed", "front track 1190", "--weather", "dry", "--words", "hops")
    told = {kart: laptop("plan", str(path), "--json", *kart).out for kart in ((), ("--kart", "red"))}
    assert "from 1190 to 1200 mm" not in told[()]
    assert "Widen the front track by 5 mm a side, from 1190 to 1200 mm" in told["--kart", "red"]


def test_half_characters_that_another_journal_brings_keep_nobody_out(laptop: Laptop) -> None:
    change = {**rows.CHANGE, "lever": "\ud800"}
    with Journal(laptop.journal) as journal:
        journal.merge([rows.trial("t1", change=change, case={**rows.TRIAL["case"], "kart_file": "red"})])
    _notes(laptop, "--words", "pushes")
    shown = laptop("history", "--kart", "red").text
    assert "narrow the rear track" in shown
    assert "pushes" in shown
    assert laptop("history", "--good").status == 0
