"""A sitting and one-shot advice begin from the kart as it stands by the diary, and do not ask what was noted today."""

from __future__ import annotations

import json
from typing import Any

import pytest

from advisor.journal import notes
from advisor.journal.store import Journal
from advisor.journal.trials import trials
from tests.diary.paddock import Laptop

IDEA = "should i {} the front track"
CASE = "observed: {balance: understeer, phase: mid}\n"
FRONT = "front_track_width"


def _notes(laptop: Laptop, *options: str) -> None:
    done = laptop("diary", "--kart", "red", *options)
    assert done.status == 0, done


def _asked(laptop: Laptop, way: str, words: str = "pushes mid corner") -> str:
    """What a new sitting says to a complaint and an idea of one's own."""
    return laptop.sits("--kart", "red", lines=("n", words, "t", IDEA.format(way), "q")).text


def _advice(laptop: Laptop, case: str = CASE, *options: str) -> dict[str, Any]:
    path = laptop.folder / "case.yaml"
    path.write_text(case, "utf-8")
    done = laptop("advise", str(path), "--kart", "red", "--json", *options)
    assert done.status == 0, done
    found: dict[str, Any] = json.loads(done.out)
    return found


def _wider(found: dict[str, Any]) -> list[float]:
    """What the front track is to be widened to, where that is advised."""
    return [a["to"]["value"] for a in found["advice"] if (a["lever"], a["direction"]) == (FRONT, "wider")]


def _writes(laptop: Laptop, old: str, new: str) -> None:
    path = laptop.folder / "karts" / "karts" / "red.yaml"
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new), "utf-8")


def test_it_advises_from_the_value_that_stands_now(laptop: Laptop) -> None:
    assert "from 1180 to 1190 mm" in _asked(laptop, "widen")
    _notes(laptop.wait(minutes=10), "--changed", "front track 1190", "--words", "pushes")
    said = _asked(laptop.wait(minutes=10), "widen")
    assert "Note: from the diary (today 09:10): front track width 1190 mm." in said
    assert "from 1180" not in said
    assert "from 1190 to 1200 mm" in said
    assert "from 1190 to 1200 mm" in _asked(laptop.wait(days=3), "widen")  # setup is carried from day to day
    assert (
        "from 1180 to 1190 mm"
        in laptop.sits("--kart", "blue", lines=("pushes mid corner", "t", IDEA.format("widen"), "q")).text
    )


def test_a_sitting_that_was_left_goes_on_with_what_was_noted_since(laptop: Laptop) -> None:
    laptop.sits("--kart", "red", lines=("pushes mid corner", "q"))
    _notes(
        laptop.wait(minutes=10),
        "--changed",
        "front track 1190",
        "--weather",
        "17 22 green",
        "--words",
        "pushes",
    )
    on = laptop.wait(minutes=10).sits("--kart", "red", lines=("", "t", IDEA.format("widen"), "q")).text
    assert "It goes on where it was left." in on
    assert "from 1190 to 1200 mm" in on
    assert "What is the track like?" not in on


def test_the_kart_file_counts_where_it_was_written_later(laptop: Laptop) -> None:
    _notes(laptop, "--changed", "front track 1190, rear track 1400", "--words", "pushes")
    _writes(laptop, "front_track_width: 1180 mm", "front_track_width: 1170 mm")
    said = _asked(laptop.wait(minutes=10), "widen")
    assert "from 1170 to 1180 mm" in said
    assert "rear track width 1400 mm" in said  # nobody wrote that one
    _notes(laptop.wait(minutes=10), "--words", "pushes")
    assert (
        "front track width 1170 mm" in laptop("history", "--last", "1").text
    )  # the next run carries the same


def test_a_change_that_helped_since_stands_instead_of_what_was_noted(laptop: Laptop) -> None:
    _notes(laptop, "--changed", "front track 1190", "--words", "loose on the way in")
    idea = ("loose on the way in", "t", IDEA.format("narrow"), "narrow the front track", "q")
    assert "from 1190 to 1180 mm" in laptop.wait(minutes=10).sits("--kart", "red", lines=idea).text
    laptop.wait(minutes=20).sits("outcome", "--kart", "red", lines=("better", "", "y", "q"))
    with Journal(laptop.journal, read_only=True) as journal:
        assert [t.verdict for t in trials(journal)] == ["better"]
    assert _wider(_advice(laptop.wait(minutes=5))) == [1190]  # from 1180


@pytest.mark.parametrize(("verdict", "stands"), [("better", 1170), ("worse", 1180)])
def test_a_change_that_was_tried_stands_without_any_note(laptop: Laptop, verdict: str, stands: int) -> None:
    idea = ("loose on the way in", "t", IDEA.format("narrow"), "narrow the front track", "q")
    assert "from 1180 to 1170 mm" in laptop.sits("--kart", "red", lines=idea).text
    assert (
        laptop.wait(minutes=20)("outcome", verdict, "--kart", "red", "--note", "laps as before").status == 0
    )
    assert _wider(_advice(laptop.wait(minutes=5))) == [stands + 10]
    _notes(laptop.wait(days=1), "--words", "good")
    with Journal(laptop.journal, read_only=True) as journal:
        assert notes.runs(journal, 1)[0].setup[FRONT] == f"{stands} mm"
    _writes(laptop, "front_track_width: 1180 mm", "front_track_width: 1160 mm")  # written since, it counts
    assert _wider(_advice(laptop.wait(minutes=5))) == [1170]


@pytest.mark.parametrize(("verdict", "stands"), [("better", 1180), ("worse", 1190), ("same", 1190)])
def test_the_outcome_told_with_the_run_says_where_the_change_stands(
    laptop: Laptop, verdict: str, stands: int
) -> None:
    _notes(laptop, "--changed", "front track 1190", "--words", "loose on the way in")
    idea = ("loose on the way in", "t", IDEA.format("narrow"), "narrow the front track", "q")
    laptop.wait(minutes=10).sits("--kart", "red", lines=idea)
    _notes(laptop.wait(minutes=20), "--words", "holds", "--outcome", verdict)
    with Journal(laptop.journal, read_only=True) as journal:
        assert notes.runs(journal, 1)[0].setup[FRONT] == "1180 mm"  # it was driven with the change
    assert _wider(_advice(laptop.wait(minutes=5))) == [stands + 10]
    _notes(laptop.wait(minutes=5), "--words", "pushes")
    with Journal(laptop.journal, read_only=True) as journal:
        assert notes.runs(journal, 1)[0].setup[FRONT] == f"{stands} mm"
    _notes(
        laptop.wait(minutes=5), "--changed", "front track 1200", "--words", "pushes"
    )  # said last, it counts
    assert _wider(_advice(laptop.wait(minutes=5))) == [1210]


def test_todays_track_state_is_not_asked_and_that_of_yesterday_is(laptop: Laptop) -> None:
    _notes(laptop, "--weather", "cloudy 17 22 dry", "--words", "hops")
    words = "its loose at the rear in the middle of the corner"
    asks = "What is the track like?"
    assert asks not in laptop.wait(minutes=10).sits("--kart", "red", lines=(words, *[""] * 6, "q")).text
    assert asks in laptop.sits("--kart", "blue", lines=(words, *[""] * 6, "q")).text
    assert asks in laptop.wait(days=1).sits("--kart", "red", lines=("n", words, *[""] * 6, "q")).text


def test_what_is_said_now_outranks_what_was_noted_this_morning(laptop: Laptop) -> None:
    _notes(laptop, "--weather", "cloudy 17 22 dry", "--words", "hops")
    laptop.wait(hours=3).sits("--kart", "red", lines=("loose on entry, its raining now", "t", "1", "q"))
    with Journal(laptop.journal, read_only=True) as journal:
        (event,) = (
            e for _, e in journal.since() if e.kind == "sitting" and e.body["asked"] == 0 and e.body["done"]
        )
    assert event.body["case"]["observed"]["track"] == "wet"
    assert _advice(laptop, "complaint: pushes mid corner, track is wet\n")["understood"]["track"] == "wet"


def test_one_shot_advice_for_a_kart_knows_the_diary(laptop: Laptop) -> None:
    before = _advice(laptop)
    assert "track" not in before["understood"]
    told = ("--changed", "front track 1190", "--weather", "17 22 green", "--pressures", "12")
    _notes(laptop, *told, "--tyres", "set 1, 40 laps", "--laps", "45.1 45.2")
    after = _advice(laptop.wait(minutes=5))
    assert after["understood"]["track"] == "green"
    assert any("front track width 1190 mm" in w and "tyre pressure" in w for w in after["warnings"])
    assert _wider(after) == [1200]
    # what the case says itself outranks it
    case = (
        "setup: {front_track_width: 1160 mm}\nobserved: {balance: understeer, phase: mid, track: rubbered}\n"
    )
    own = _advice(laptop, case)
    assert own["understood"]["track"] == "rubbered"
    assert _wider(own) == [1170]


def test_a_damaged_journal_keeps_nobody_from_advice(laptop: Laptop) -> None:
    laptop.journal.write_text("no journal", "utf-8")
    assert any("the diary cannot be read" in w for w in _advice(laptop)["warnings"])


@pytest.mark.parametrize(("lines", "stands"), [(("p",), "1190 mm"), (("p", "b"), ""), ((), "")])
def test_a_change_that_was_left_on_is_on_the_kart_for_what_is_asked_later(
    laptop: Laptop, lines: tuple[str, ...], stands: str
) -> None:
    laptop.sits("--kart", "red", lines=("pushes mid corner, dry", "t", "1", "q"))
    laptop.wait(minutes=30).sits("--kart", "red", lines=("same", "", *lines, "q"))
    asked = laptop.wait(minutes=5)("whatif", "caster more 1 deg", "--kart", "red")
    told = f"From what was tried: front track width {stands}." if stands else ""
    assert told == asked.err.strip()
    assert ("to 1190 mm, left on" in laptop("history").text) == bool(stands)
    if stands:  # another word for what came of it puts nothing back
        trial = next(e.id for e in laptop.events() if e.kind == "trial")
        assert laptop("outcome", "worse", "--trial", trial[:8]).status == 0
        assert told == laptop("whatif", "caster more 1 deg", "--kart", "red").err.strip()
