"""What users ran into in whole sittings, each as they typed it."""

from __future__ import annotations

import pytest

from advisor.app import after_run, hear
from advisor.inference.hearing import listen
from advisor.interview.choices import chosen
from advisor.planning.questions import as_question
from advisor.reasoning.weighing import Mind
from advisor.words.understand import Understanding
from tests.app.play import HOPS, Play
from tests.karts.folder import RED

LEAK = "fuel is leaking"


def told(mind: Mind, text: str) -> Understanding:
    return listen(text, mind.book, mind.lexicon, mind.ear).words


def test_b_does_not_leave_a_stop_and_x_asks_plainly(play: Play) -> None:
    play.start("pushes on entry", LEAK)
    assert play.place == "stop"
    assert play.types("b").place == "stop"
    assert "x if you did not say that" in play.news
    assert play.types("x").place == "question"
    assert "This one first" in play.text


def test_a_stop_that_was_left_comes_before_the_outcome_that_waits(play: Play) -> None:
    play.start("pushes on entry", "t", "1", "5", LEAK, "3", "q")
    play.start()
    assert play.place == "left"
    assert play.types("").place == "stop"


def test_news_told_before_the_outcome_counts_with_it(play: Play) -> None:
    play.start("pushes mid corner", "t", "1", "its raining", "15 min left")
    assert play.place == "outcome"
    assert "its raining; 15 min left" in play.news
    play.types("nope")
    assert play.known.get("track") == "wet"


def test_what_was_put_back_already_is_not_asked_for(play: Play) -> None:
    play.start("pushes mid corner", "t", "1", "no good, undid it")
    assert "Put back first" not in play.text


@pytest.mark.parametrize("key", ["1", "a", "i", "plan"])
def test_a_stray_key_does_not_wipe_the_complaint(play: Play, key: str) -> None:
    play.start(HOPS, "b", key)
    assert play.place == "opening"
    assert "What you said stands" in play.news
    assert HOPS in play.text


def test_a_lone_letter_is_no_answer(mind: Mind) -> None:
    weight = as_question(mind.book.observations["steering_weight"], 0.0)
    assert chosen(mind, weight, "l") is None
    assert chosen(mind, weight, "light") == ("light",)
    yes = as_question(mind.book.observations["contact"], 0.0)
    assert chosen(mind, yes, "y") == ("yes",)


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("Twenty minutes left and it pushes", 20),
        ("Next heat in 25 minutes", 25),
        ("pushes. I have an hour", 60),
        ("Got 30 min", 30),
        ("hops. half an hour to go", 30),
        ("after 10 minutes in the run it fades", None),
        ("i have 10 minutes of running on it", None),
        ("we got 15 minutes into the run and it died", None),
    ],
)
def test_minutes_in_a_complaint(text: str, minutes: float | None) -> None:
    assert hear.minutes_left(text) == minutes


@pytest.mark.parametrize(
    "text",
    [
        "new pads on order",
        "needs new pads fitted",
        "no new pads in yet",
        "must be replaced",
        "we need a new one",
    ],
)
def test_what_is_still_to_be_done_mends_nothing(text: str) -> None:
    assert hear.found(text) != "mended"


@pytest.mark.parametrize(
    "text", ["it went back out twice", "lap times went back up", "did not put it back yet"]
)
def test_what_only_sounds_like_it_is_not_put_back(text: str) -> None:
    assert not hear.is_put_back(text)


@pytest.mark.parametrize(
    ("text", "side"),
    [("turns well left but not right", "right"), ("turns right fine but pushes left", "left")],
)
def test_the_side_that_is_bad_is_the_other_one(mind: Mind, text: str, side: str) -> None:
    facts = told(mind, text).facts
    assert facts["turn_side"].answers == facts["direction"].answers == {side}


@pytest.mark.parametrize("text", ["pads were worn out, new ones in", "new pads fitted today", "new hose on"])
def test_new_parts_are_mended(text: str) -> None:
    assert hear.found(text) == "mended"


@pytest.mark.parametrize(
    ("text", "feels"),
    [
        ("no understeer, only oversteer", ["oversteer"]),
        ("lowered the seat, hop is gone but now no turn in", ["understeer"]),
        ("the push disappeared, the hop didnt", ["hop"]),
        ("it does not push in the slow ones, only in the fast ones", ["understeer"]),
    ],
)
def test_a_fault_that_is_gone_or_denied_is_none(mind: Mind, text: str, feels: list[str]) -> None:
    assert [balance for _, balance in told(mind, text).feels] == feels


@pytest.mark.parametrize(
    ("text", "trial"),
    [
        ("hops mid. narrowed the rear 10 mm, better, but still there", ("rear_track_width", "narrower", "better")),
        ("hops. tyre pressures up 1, less hop", ("tyre_pressure", "up", "better")),
        (
            "still loose, took half an inch out of the rear track and it got worse so put it back",
            ("rear_track_width", "narrower", "worse"),
        ),
        ("rear slides on exit. tried long hubs, slightly worse, put them back", ("rear_hub_length", "longer", "worse")),
    ],
)  # fmt: skip
def test_what_came_of_a_change_in_plain_words(mind: Mind, text: str, trial: tuple[str, str, str]) -> None:
    assert trial in told(mind, text).trials


def test_what_there_is_no_part_for_and_what_stands_at_its_end_is_held_back(mind: Mind) -> None:
    text = "bouncing in the fast right, rear track is at 1400 which is max in our class, we have only medium axle"
    spent = told(mind, text).spent
    assert {
        ("rear_track_width", "wider"),
        ("axle_stiffness", "softer"),
        ("axle_stiffness", "stiffer"),
    } <= set(spent)


def test_an_axle_that_locks_off_the_brakes_stops(play: Play) -> None:
    play.start("engine cuts out in fast corners, then the rear locks")
    assert play.place == "stop"


def test_after_the_frame_was_found_sound_the_same_words_stop_nobody_again(play: Play) -> None:
    play.start("theres a crack in the frame near the seat bracket", "2")
    assert play.place != "stop"


@pytest.mark.parametrize(
    ("typed", "verdict"),
    [
        ("still pushes but better", "better"),
        ("still hops a bit but much better", "better"),
        ("still there but less", "better"),
        ("still pushes, worse on exit", "worse"),
        ("still there but he can live with it", "same"),
        ("half gone", "better"),
        ("nearly gone", "better"),
        ("hop is less", "better"),
        ("Laps 45.31, marginal improvement on entry but T4 unchanged", None),
        ("not really better", "same"),
        ("no improvement", "same"),
    ],
)
def test_what_is_left_of_a_fault_is_no_verdict_beside_one(typed: str, verdict: str | None) -> None:
    came = after_run.came(typed)
    assert (came and came.verdict) == verdict
    assert not (came and came.gone)


@pytest.mark.parametrize("typed", ["no sorry its dry", "no it is dry", "nope, its dry", "its dry"])
def test_a_no_that_puts_right_denies_nothing(play: Play, typed: str) -> None:
    play.start("pushes", "wet", typed)
    assert play.known["track"] == "dry"


def test_why_is_a_question_mark_at_the_advice_too(play: Play) -> None:
    assert "because of this" in play.start("pushes", "1", "t", "?").page


def test_news_that_is_known_is_told_to_be(play: Play) -> None:
    play.start("pushes", "1", "t", "its raining", "its raining")
    assert "known already" in play.news


def test_tyres_that_were_fitted_and_stay_on_are_known(play: Play) -> None:
    play.start("its pouring and he just goes straight on at every corner, on slicks", "t")
    play.types("1")
    assert "go to wet tyres" in play.text
    play.types("better", "")
    assert play.known["tyre_kind"] == "wets"
    play.start("")
    assert play.known["tyre_kind"] == "wets"


def test_an_outcome_without_a_change_is_told_to_have_none(play: Play) -> None:
    play.start("pushes on entry and loose on exit", "1", "t", "exit is better but entry same")
    assert "No change waits" in play.news
    assert "number tries" in play.types("t").news


def test_whoever_does_not_know_what_to_look_at_is_told(play: Play) -> None:
    assert "Wheel and hub inspection" in play.start("it wobbles", "i dont know what to look at").page


def test_brakes_that_pull_are_heard(mind: Mind) -> None:
    assert told(mind, "brakes pull left too").facts["pull_when"].answers == {"braking"}


def test_what_was_written_into_a_kart_file_is_taken_back_with_it(play: Play) -> None:
    folder = play.folder / "karts" / "karts"
    folder.mkdir(parents=True)
    file = folder / "red.yaml"
    file.write_text(RED, "utf-8")
    play.start(HOPS, "t")
    number = next(row.text[0] for row in play.prompts[-1].rows if row.group and " to 12.5 psi" in row.text)
    play.types(number, "better", "", "y")
    assert "12.5 psi" in file.read_text("utf-8")
    play.types("b")
    assert play.place == "file"
    assert "says again" in play.news
    assert file.read_text("utf-8") == RED


def test_a_cure_is_no_sitting_to_go_on_with_although_the_kart_file_is_open(play: Play) -> None:
    folder = play.folder / "karts" / "karts"
    folder.mkdir(parents=True)
    (folder / "red.yaml").write_text(RED, "utf-8")
    play.start(HOPS, "t", "1", "gone")
    assert play.place == "file"
    assert play.start().place == "opening"
    play.start(HOPS, "t", "1", "better", "", "y")
    place = play.place
    play.start("", "b")
    assert (place, play.place) == ("advice", "outcome")


def test_a_broken_strap_wants_no_medic_and_is_no_cure(play: Play) -> None:
    play.start("the helmet strap is broken, it pushes mid corner")
    assert play.place == "stop"
    assert "medic" not in play.text
    assert play.types("1").place == "question"
    assert "put right" in play.news


def test_a_danger_that_is_only_likely_by_the_sound_is_not_named(play: Play) -> None:
    play.start(
        "The tank's just sat there between my legs, strap's perished, I sort of hold it with my calves."
    )
    assert play.place == "stop"
    assert "somebody who knows karts" in play.text
