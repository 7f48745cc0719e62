"""Outcomes: in own words, corrected, taken back, put back, ended; the same in the flow and in the command."""

from __future__ import annotations

import pytest

from advisor.app import outcome, wording
from advisor.interview import steps
from advisor.model.case import Tried
from tests.app.play import HOPS, Play
from tests.karts.folder import RED

WIDEN = "1"  # in HOPS: a change that can be put back


def chosen(play: Play, *lines: str) -> Play:
    play.start(HOPS, "t", WIDEN)
    assert play.place == "outcome"
    return play.types(*lines)


def test_a_choice_is_in_the_journal_before_it_is_confirmed_and_can_be_taken_back(play: Play) -> None:
    chosen(play)
    assert "Written down" in play.news
    assert [t.verdict for t in play.trials()] == [None]
    play.types("b")
    assert play.place == "advice"
    assert play.trials()[0].dropped
    play.types("1", "")
    assert play.place == "outcome"
    assert [t.dropped for t in play.trials()] == [True, False]


@pytest.mark.parametrize(
    ("typed", "verdict"), [("nope", "same"), ("bit better", "better"), ("3", "worse"), ("2", "same")]
)
def test_the_outcome_is_booked_and_the_next_advice_knows(play: Play, typed: str, verdict: str) -> None:
    chosen(play, typed, "six laps, 52.31 52.40")
    (trial,) = play.trials()
    assert (trial.verdict, trial.note) == (verdict, "six laps, 52.31 52.40")
    assert play.place == "advice"
    assert "Learnt" in play.news
    if verdict != "better":
        assert trial.change.say not in play.offered


def test_put_it_back_is_an_act_of_its_own(play: Play) -> None:
    chosen(play, "worse", "")
    assert "Put back first: " in play.text
    play.types("p")
    assert "It stays on" in play.news
    assert "Put back first" not in play.text
    state = play.sitting.place.state if play.sitting.place else None
    assert state is not None
    assert "rear_track_width wider" in state.case.history
    play.start("")
    assert "Put back first" not in play.text
    play.start("", "b")
    assert play.place in ("advice", "question")


@pytest.mark.parametrize("typed", ["hop gone", "4", "it is gone, thanks"])
def test_gone_ends_the_matter_with_thanks_and_what_was_learnt(play: Play, typed: str) -> None:
    chosen(play, typed)
    assert play.place == "closed"
    assert "thank you" in play.text
    assert "Learnt" in play.text
    assert "hop" not in str(play.trials()[0].case.get("secondary"))
    assert play.trials()[0].verdict == "better"
    assert play.types("").over
    assert play.start().place == "opening"


@pytest.mark.parametrize("typed", ["gone", "hop gone", "its right now"])
def test_gone_ends_the_matter_where_it_is_asked_what_else_it_does_too(play: Play, typed: str) -> None:
    assert chosen(play, "better", typed).place == "closed"
    assert play.trials()[0].verdict == "better"


@pytest.mark.parametrize(
    ("verdict", "note"),
    [
        ("same", "gone"),
        ("better", "all good on the straight, slow in the hairpin"),
        ("better", "gone, no brakes"),
    ],
)
def test_other_notes_end_nothing(play: Play, verdict: str, note: str) -> None:
    assert chosen(play, verdict, note).place in ("advice", "stop")


def test_a_wrong_outcome_is_put_right(play: Play) -> None:
    chosen(play, "better", "")
    play.types("b", "b")
    assert play.place == "outcome"
    assert "written down as: better" in play.text
    play.types("worse", "")
    assert [t.verdict for t in play.trials()] == ["worse"]
    assert "Put back first" in play.text


def test_an_outcome_of_something_that_was_not_driven_is_taken_back(play: Play) -> None:
    chosen(play, "better", "")
    play.types("b", "b", "5")
    assert play.place == "opening"
    assert [t.verdict for t in play.trials() if not t.dropped] == [None]
    assert play.start().place == "outcome"


@pytest.mark.parametrize("typed", ["6", "never mind"])
def test_never_mind_shows_the_list_again(play: Play, typed: str) -> None:
    chosen(play, typed)
    assert play.place == "advice"
    assert play.offered
    assert play.trials()[0].dropped


@pytest.mark.parametrize("typed", ["", "hmm", "not yet", "99", "x"])
def test_what_is_no_outcome_waits(play: Play, typed: str) -> None:
    chosen(play, typed)
    assert play.place == "outcome"
    assert play.types("q").over
    play.start()
    assert play.place == "outcome"
    assert HOPS in play.text


@pytest.mark.parametrize(
    ("note", "ident", "value"),
    [
        ("it dried during the race", "track", "dry"),
        ("its raining now", "track", "wet"),
        ("clipped the kerb", "contact", "yes"),
    ],
)
def test_a_note_counts_and_is_shown(play: Play, note: str, ident: str, value: str) -> None:
    chosen(play, "same", note)
    if play.place != "stop":
        assert "Heard in the note" in play.news
    assert play.known[ident] == value
    assert play.known["balance"] == "hop"


@pytest.mark.parametrize("text", ["better but hands heavy", "stays down now", "hop gone"])
def test_good_news_stops_nobody_and_adds_no_fault(play: Play, text: str) -> None:
    chosen(play, text)
    assert play.place in ("advice", "closed", "note")
    assert play.trials()[0].verdict in ("better", None)
    if play.place == "note":
        play.types("")
    assert not any(k.startswith("secondary") for k in play.known)
    assert play.known.get("steering_weight") in (None, "heavy")  # as it was told, never turned round


def test_a_new_fault_in_the_note_is_held_against_the_change(play: Play) -> None:
    chosen(play, "better, but it pushes on entry now")
    assert "new fault" in play.news
    assert play.known["secondary.balance"] == "understeer"
    assert play.known["balance"] == "hop"


def test_laps_stand_in_the_note_and_tell_nothing_else(play: Play) -> None:
    chosen(play, "better, 45.2 45.3 45.1")
    assert play.trials()[0].note == "45.2 45.3 45.1"
    assert "Heard" not in play.news


def test_a_change_that_helped_goes_on_file_if_wanted_and_comes_off_again(play: Play) -> None:
    folder = play.folder / "karts" / "karts"
    folder.mkdir(parents=True)
    path = folder / "red.yaml"
    path.write_text(RED, "utf-8")
    play.start(HOPS, "t")
    place = next(
        i
        for i, row in enumerate(r for r in play.prompts[-1].rows if r.style == "bold" and r.group)
        if ", from " in row.text
    )
    play.types(str(place + 1))
    while play.place in ("stop", "looks"):
        play.types("s" if play.place == "looks" else "sound")
    assert play.place == "outcome"
    play.types("better", "")
    assert play.place == "file"
    play.types("n")
    assert path.read_text("utf-8") == RED
    assert play.types("b").place == "file"
    play.types("")
    assert "Written: " in play.news
    assert path.read_text("utf-8") != RED


def test_the_command_and_the_flow_book_the_same(play: Play) -> None:
    """One outcome flow for both ways."""
    chosen(play)
    (trial,) = play.trials()
    learnt, _ = outcome.book(play.desk, trial, "same", "six laps, it is raining")
    assert learnt is not None
    alone = steps.answer(play.mind, learnt.after)
    play.start()
    assert play.place != "outcome"
    other = Play(play.mind, play.folder / "other")
    other.folder.mkdir()
    chosen(other, "same", "six laps, it is raining")
    place = other.sitting.place
    assert place is not None
    assert place.state is not None
    assert [a.lever for a in steps.answer(play.mind, place.state).advice] == [a.lever for a in alone.advice]
    other.close()


def test_what_helped_is_offered_as_more_of_it(play: Play) -> None:
    play.start(HOPS, "1", "t")
    offered = play.sitting.place.offered  # type: ignore[union-attr]
    first = offered[0]
    for verdict, said in (("better", True), ("same", False)):
        tried = (Tried(first.lever, first.direction, verdict),)  # type: ignore[arg-type]
        rows = wording.change(1, offered, play.mind.book, tried)
        assert rows[2].text.startswith("It helped: more of it.") is said


HEAVY = """\
kart: {driver_mass: 85 kg}
setup: {tyre_pressure_front: 0.75 bar, tyre_pressure_rear: 0.75 bar, tyres: {kind: slick, compound: hard}}
units: {pressure: bar}
"""


def test_the_plan_goes_on_from_the_value_that_stays_on(play: Play) -> None:
    folder = play.folder / "karts" / "karts"
    folder.mkdir(parents=True)
    (folder / "red.yaml").write_text(HEAVY, "utf-8")
    play.start("hops late in the run on the hard slick", "1", "t")
    first = play.sitting.place.offered[0]  # type: ignore[union-attr]
    assert first.to is not None, first.say
    play.types("plan")
    better = next(r.text for r in play.prompts[-1].page or () if r.text.startswith("better"))  # type: ignore[union-attr]
    assert first.say in better.lower(), "more of what helped is not next any more: choose another case"
    assert f"from {first.to.value:g}" in better


def test_an_outcome_that_is_written_down_waits_for_nothing(play: Play) -> None:
    chosen(play)
    assert "q: leave, it waits" in play.prompts[-1].keys
    play.types("same", "", "b", "b")
    assert play.place == "outcome"
    assert "q: leave" in play.prompts[-1].keys


def test_after_an_outcome_it_can_be_asked_on(play: Play) -> None:
    play.start(
        HOPS, "1", "t", WIDEN, "same", ""
    )  # wet or dry is told: what is asked now is chosen by its worth
    assert play.place == "advice"
    assert play.types("a").place in ("question", "look-over")
