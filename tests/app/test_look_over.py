"""The look-over: one list, one line; what is amiss is asked about; it fits with ten looks."""

from __future__ import annotations

import pytest

from advisor.app.looking import Amiss, LookOver
from advisor.model.advice import Look
from advisor.planning.look_over import sound
from advisor.planning.questions import as_question
from advisor.reasoning.weighing import Mind
from tests.app.play import Play
from tests.app.test_screens import fits


def listed(play: Play) -> LookOver:
    """Know no answer until a list comes."""
    play.start("hard to push")
    for _ in range(40):
        if play.place == "look-over":
            break
        play.types("")
    place = play.sitting.place
    assert isinstance(place, LookOver)
    return place


def test_one_line_answers_it(play: Play) -> None:
    looks = listed(play).looks
    fits(play.prompts[-1])
    play.types("ok")
    for look in looks:
        assert play.known[look.question.id] == look.sound
    play.types("b")
    assert play.place == "look-over"
    play.types("")
    assert not {look.question.id for look in looks} & play.known.keys()


def test_what_is_not_as_said_is_asked_about(play: Play) -> None:
    looks = listed(play).looks
    many = next(n for n, look in enumerate(looks, start=1) if len(look.question.answers) > 2)
    look = looks[many - 1]
    play.types(str(many))
    assert isinstance(play.sitting.place, Amiss)
    fits(play.prompts[-1])
    assert look.text not in [row.text for row in play.prompts[-1].rows]
    play.types("")
    told = play.known[look.question.id]
    assert look.sound not in (told if isinstance(told, list) else [told])


@pytest.mark.parametrize("typed", ["9", "0", "the chain", "3x"])
def test_a_line_that_means_nothing_leaves_it_standing(play: Play, typed: str) -> None:
    listed(play)
    play.types(typed)
    assert play.place in ("look-over", "question", "stop")


def test_ten_looks_fit(play: Play, mind: Mind) -> None:
    place = listed(play)
    looks = []
    for observation in mind.book.observations.values():
        if (fine := sound(observation)) is not None:
            looks.append(Look(as_question(observation, 0.0), fine, observation.answers[fine].text))
    for first in range(0, len(looks) - 10, 5):
        fits(LookOver(place.state, tuple(looks[first : first + 10])).prompt(play.desk))


def test_what_is_not_as_said_is_known_although_the_program_ends(play: Play) -> None:
    """Two are told by their numbers, and it ends while the first is asked about: neither is forgotten."""
    looks = listed(play).looks
    many = next(n for n, look in enumerate(looks, start=1) if len(look.question.answers) > 2)
    other = next(n for n in range(1, len(looks) + 1) if n != many)
    play.types(f"{many} {other}")
    assert isinstance(play.sitting.place, Amiss)
    play.start("")
    for number in (many, other):
        look = looks[number - 1]
        told = play.known[look.question.id]
        assert look.sound not in (told if isinstance(told, list) else [told])


def test_a_list_of_looks_comes_again_with_what_was_ticked(play: Play) -> None:
    listed(play)
    play.types("", "l")
    assert play.place == "looks"
    rows = play.prompts[-1].rows
    play.start("")
    assert play.place == "looks"
    assert play.prompts[-1].rows == rows
    assert play.types("b").place == "advice"
    play.types("l", "2")
    ticked = play.sitting.place
    assert ticked is not None
    assert ticked.state is not None
    assert len(ticked.state.case.tried) == 1
    play.start("")
    assert play.sitting.place is not None
    assert play.sitting.place.state is not None
    assert play.sitting.place.state.case.tried == ticked.state.case.tried
