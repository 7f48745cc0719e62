"""What is called over the awning: few words, minutes, outcomes in passing, and what must be said all the same."""

from __future__ import annotations

import pytest

from advisor.app import after_run, hear
from advisor.app.advising import NOT_SEEN
from advisor.app.asking import NOT_YOURS
from advisor.interview import steps
from advisor.model.case import Case
from advisor.reasoning.weighing import Mind
from tests.app.play import Play


@pytest.mark.parametrize(
    ("words", "question", "answer"),
    [
        ("no rear brakes", "brake_power", "none"),
        ("engine screaming, not moving", "drive", "nothing"),
        ("got rear ended", "contact", "yes"),
        ("loose bumper", "bodywork_look", "loose"),
        ("too much rear grip", "grip_feel", "high"),
        ("kart crabs", "pulls", "pulls"),
        ("plug is black", "plug", "black"),
        ("wet", "track", "wet"),
    ],
)
def test_few_plain_words_are_heard(mind: Mind, words: str, question: str, answer: str) -> None:
    evidence = steps.begin(mind, Case(complaint=words)).gathered.evidence
    chances = evidence.perhaps.get(question, {})
    assert evidence.told.get(question) == frozenset({answer}) or chances.get(answer, 0.0) > 0.5


@pytest.mark.parametrize(
    "words", ["wont start", "engine wont fire", "overheating", "brakes dragging", "4 stroking"]
)
def test_a_call_is_no_riddle(play: Play, words: str) -> None:
    """What anybody in a paddock understands is not answered with the question what it is about."""
    play.start(words)
    assert "None of that tells me about a kart" not in play.text
    assert "What is it about?" not in play.text


def test_minutes_left_in_the_first_line_count_and_minutes_of_a_run_do_not(play: Play) -> None:
    play.start("understeer mid corner, 8 min left", "t")
    place = play.sitting.place
    assert place is not None
    assert place.state is not None
    assert place.state.case.minutes == 8
    assert hear.minutes_left("pushes, 5 min to grid") == 5
    assert hear.minutes_left("engine dies in 10 minutes") is None
    assert hear.minutes_left("runs 10 minutes before it overheats") is None
    assert hear.minutes_left("6 mins before the final") == 6
    assert hear.minutes_left("my arms go dead after 20 minutes") is None
    assert hear.minutes_left("hops late in the run, got 12 minutes") == 12


@pytest.mark.parametrize(
    "words", ["what is that burning smell by the seat", "how much oil is leaking from the engine mount crack"]
)
def test_a_question_that_tells_danger_is_no_question_of_a_word(play: Play, words: str) -> None:
    play.start(words)
    assert play.prompts[-1].page is None
    assert play.place == "stop" or "may mean danger" in play.text


def test_better_before_a_red_flag_is_better(play: Play) -> None:
    play.start("hops in the fast ones late in the run", "t", "1", "better, red flag on lap 5", "")
    assert [t.verdict for t in play.trials()] == ["better"]


def test_two_ends_of_one_corner(mind: Mind) -> None:
    evidence = steps.begin(mind, Case(complaint="loose in but pushes out")).gathered.evidence
    assert evidence.told["phase"] == frozenset({"entry"})
    assert evidence.told["balance"] == frozenset({"oversteer"})


@pytest.mark.parametrize(
    ("said", "verdict"),
    [("0.2 quicker but still slides", "better"), ("cant tell", "same"), ("he spun again", "same")],
)
def test_outcomes_in_passing(said: str, verdict: str) -> None:
    came = after_run.came(said)
    assert came is not None
    assert came.verdict == verdict


@pytest.mark.parametrize("said", ["red flag", "didn't do it, did pressures instead"])
def test_what_was_not_driven_waits(play: Play, said: str) -> None:
    play.start("hops in the fast ones late in the run", "t", "1", said)
    assert play.place == "outcome"
    assert "Then it waits." in play.news


def test_whoever_cannot_tell_whether_it_is_safe_reads_that_nobody_looked(play: Play) -> None:
    play.start("something is not right")
    assert "may mean danger" in play.text
    play.types("")
    assert NOT_SEEN in play.types("t").text


def test_a_hire_kart_is_not_mended_by_those_who_hired_it(play: Play) -> None:
    play.start("rental kart, brakes weak")
    assert play.place == "stop"
    assert NOT_YOURS in play.text
    play.start("n", "our own kart, brakes weak")
    assert play.place == "stop"
    assert NOT_YOURS not in play.text


def test_what_was_left_standing_is_said_where_another_matter_begins(play: Play) -> None:
    play.start("brake pedal spongy", "q")
    assert "not to be driven before it is seen to: brake pedal spongy" in play.start("n").text


def test_a_word_that_says_what_it_does_begins_another_matter(play: Play) -> None:
    play.start("hops in the fast ones", "q")
    play.start("pushes")
    assert play.place == "question"
    assert "runs wide" in play.text


def test_an_engine_that_will_not_start_is_not_asked_at_which_revs_it_is_weak(play: Play) -> None:
    play.start("wont start")
    for _ in range(6):
        assert "At which revs" not in play.text
        assert "What does the engine do there" not in play.text
        if play.place != "question":
            break
        play.types("")


def test_where_no_change_stands_nothing_speaks_of_numbers(play: Play) -> None:
    play.start("wont start", "t")
    assert play.offered == []
    for typed in ("", "x", "9"):
        assert "number tries" not in play.types(typed).news
