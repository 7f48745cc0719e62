"""What the journal tells of these people: which questions they could answer, and whose word a verdict was."""

from __future__ import annotations

from advisor.model.belonging import Belonging
from advisor.model.case import Asked, Case
from tests.app.play import HOPS, LOOSE, Play


def _case(play: Play) -> Case:
    place = play.sitting.place
    assert place is not None
    assert place.state is not None
    return place.state.case


def _counts(asked: tuple[Asked, ...]) -> tuple[int, int]:
    return sum(row.times for row in asked), sum(row.answered for row in asked)


def test_what_was_answered_and_what_was_left_open_counts_in_the_next_sitting_and_not_in_its_own(
    play: Play,
) -> None:
    play.start(LOOSE, "1", "", "", "q")
    assert _case(play.start("")).asked == ()
    play.types("q")
    asked, answered = _counts(_case(play.start("n", HOPS)).asked)
    assert asked > answered == 1
    play.types("1", "q")
    assert _counts(_case(play.start("n", LOOSE)).asked) == (asked + 1, 2)


def test_what_stays_open_after_a_run_counts_once(play: Play) -> None:
    play.start(HOPS, "", "t", "2", "worse", "it dried", "q")
    found = _counts(_case(play.start("n", LOOSE)).asked)
    assert found == (1, 0)


def test_people_who_seldom_answer_are_told_so_where_they_ask_why(play: Play) -> None:
    for _ in range(6):
        play.start()
        while play.place == "left":
            play.types("n")
        play.types(LOOSE, *[""] * 6)
        if not play.over:
            play.types("q")
    play.start("n", LOOSE, "?")
    assert "gets an answer, the trade: " in play.page
    assert "0 of your " in play.page


def test_a_verdict_is_the_word_of_who_drove_the_run(play: Play) -> None:
    play.start(HOPS, "t", "2")
    play.desk.where = lambda kart, _: Belonging(kart=kart, driver="Kim")
    (trial,) = play.trials()
    assert trial.belongs.driver == ""
    play.desk.verdict(trial, "better", laps=(0.01, 0.03, 0.96))
    (past,) = play.desk.past
    assert past.driver == "Kim"
    assert past.laps == (0.01, 0.03, 0.96)
    assert play.desk.knowing(Case()).driver == "Kim"
