"""The past: a sitting resumed, listed, opened again, continued and corrected; the first words are kept."""

from __future__ import annotations

import pytest

from tests.app.play import HOPS, LOOSE, Play
from tests.karts.folder import RED


@pytest.mark.parametrize(
    "lines",
    [
        (LOOSE,),
        (LOOSE, "1"),
        (LOOSE, "1", "2", ""),
        (LOOSE, "its raining", "20 min left"),
        (LOOSE, "t"),
        (LOOSE, "k", "balance", ""),
        ("pedal getting longer",),
        ("pedal getting longer", "1"),
        (HOPS, "t", "2", "worse", "it dried"),
        (HOPS, "t", "2", "worse", "", "p"),
        ("", "2", "3"),
        ("",),
    ],
)
def test_a_sitting_goes_on_where_it_was_left(play: Play, lines: tuple[str, ...]) -> None:
    """Left as a crash would, after every kind of line."""
    play.start(*lines)
    place, rows = play.place, play.prompts[-1].rows
    play.start()
    assert play.place == "left"
    assert lines[0] in play.text
    play.types("")
    assert play.place == place
    assert [r.text for r in play.prompts[-1].rows] == [r.text for r in rows]


def test_another_complaint_may_be_told_where_it_is_asked_whether_to_go_on(play: Play) -> None:
    """Nobody who tells of a danger is told to answer yes or no first."""
    play.start(LOOSE, "1")
    play.start("pedal getting longer")
    assert play.place == "stop"
    play.start("n")
    play.types("o")
    assert LOOSE in play.text


def test_the_complaint_keeps_its_first_words(play: Play) -> None:
    play.start(HOPS, "it pushes too", "t", "2")
    assert play.trials()[0].complaint == HOPS
    play.types("worse", "it dried")
    play.start()
    assert HOPS in play.text


def test_sittings_are_listed_and_opened_again(play: Play) -> None:
    play.start(HOPS, "t", "1", "q")
    play.start("5", LOOSE, "1", "q")
    play.start("5", "n", "pedal getting longer", "q")
    play.start()
    while play.place == "outcome":
        play.types("5")
    play.types("o")
    text = play.text
    assert text.index("pedal getting longer") < text.index(LOOSE) < text.index(HOPS)
    assert "widen the rear track: waits" in text
    play.types("2")
    assert play.place == "question"
    assert play.known["track"] == "dry"
    play.types("b", "3")
    assert play.place == "outcome"
    assert play.types("b").place == "earlier"


def test_an_opened_sitting_is_continued_and_corrected(play: Play) -> None:
    play.start(HOPS, "t", "2", "same", "", "q")
    play.start("n", "o")
    sitting = play.desk.sittings()[0]
    play.types("1")
    assert "written down as: same" in play.text
    play.types("better", "")
    assert [t.verdict for t in play.trials()] == ["better"]
    assert play.desk.sittings()[0].row.sitting == sitting.row.sitting
    assert play.desk.sittings()[0].row.complaint == HOPS


@pytest.mark.parametrize("typed", ["9", "x", "", "0"])
def test_a_list_without_that_number_stays(play: Play, typed: str) -> None:
    assert play.start("o", typed).place == "earlier"
    assert play.types("b").place == "opening"


@pytest.mark.parametrize(
    "lines",
    [
        (LOOSE, "1", "t", "its raining"),
        (LOOSE, "1", "", "t"),
        (LOOSE, "1", "t", "1", "worse, hands heavy"),
        ("pedal getting longer", "found a leak, fixed it", "2"),
    ],
)
def test_back_after_a_crash_is_as_it_was_before(play: Play, lines: tuple[str, ...]) -> None:
    """Each screen comes again, the last first, down to the first words; a change on the way is taken back."""
    play.start()
    shown = []
    for line in lines:
        shown.append([row.text for row in play.prompts[-1].rows])
        play.types(line)
    play.start("")
    while shown:
        play.types("b")
        texts = [row.text for row in play.prompts[-1].rows]
        assert [t for t in texts if not t.startswith(("You said", "It is written"))] == shown.pop()
        if play.place == "stop":
            assert "b does not leave a stop" in play.types("b").news
            break
    assert {t.verdict for t in play.trials() if not t.dropped} == set()
    assert play.place == "stop" or lines[0] in play.text


def test_back_after_a_crash_and_back_again_is_kept_as_well(play: Play) -> None:
    play.start(LOOSE, "1", "t", "1", "b")
    play.start("", "b")
    assert play.place == "question"
    assert play.known["track"] == "dry"
    play.start("", "b")
    assert "track" not in play.known


def test_another_matter_after_a_crash_is_of_the_same_kart(play: Play) -> None:
    folder = play.folder / "karts" / "karts"
    folder.mkdir(parents=True)
    for name in ("red", "blue"):
        (folder / f"{name}.yaml").write_text(RED, "utf-8")
    play.start("red", LOOSE)
    play.start("", "b")
    assert play.place == "opening"
    assert "Kart: red" in play.text


def test_a_sitting_of_other_knowledge_is_told_and_nothing_breaks(play: Play) -> None:
    from advisor.journal.sittings import SittingRow, sitting_event

    play.start()
    row = SittingRow(sitting="s", complaint="odd", case={"observed": {"no_such": "x"}})
    play.journal.append(sitting_event(*play.desk.stamp(), row))
    assert play.start().place == "opening"
    play.types("o", "1")
    assert "cannot be read" in play.news


def test_a_choice_that_was_taken_back_leaves_the_sitting_to_be_gone_on_with(play: Play) -> None:
    play.start(LOOSE, "1", "t", "1")
    assert play.place == "outcome"
    assert play.types("b").place == "advice"
    play.start()
    assert play.place == "left"
    assert play.types("").place == "advice"
