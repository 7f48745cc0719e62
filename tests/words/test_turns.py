"""What somebody else would do was not done, and what is told as good is no fault."""

from __future__ import annotations

import pytest

from advisor.inference.hearing import listen
from advisor.reasoning.weighing import Mind
from advisor.words.understand import Understanding
from tests.properties.random_cases import shipped


@pytest.fixture(scope="module")
def mind() -> Mind:
    return shipped()


def told(mind: Mind, text: str) -> Understanding:
    return listen(text, mind.book, mind.lexicon, mind.ear).words


@pytest.mark.parametrize(
    ("text", "idea"),
    [
        ("my mate says put the softer axle in, it hops mid corner", ("axle_stiffness", "softer")),
        ("they told me to raise the seat. understeer mid corner", ("seat_height", "raise")),
        ("coach thinks we should widen the front track, it understeers", ("front_track_width", "wider")),
    ],
)
def test_what_others_advise_is_an_idea(mind: Mind, text: str, idea: tuple[str, str]) -> None:
    words = told(mind, text)
    assert idea in words.ideas
    assert not words.changes
    assert not words.trials


def test_advice_that_was_followed_is_a_change(mind: Mind) -> None:
    words = told(mind, "they told me to raise the seat so we did, now it hops")
    assert ("seat_height", "raise") in words.changes


@pytest.mark.parametrize(
    "text", ["going in its ok, it is loose", "entry is ok, it is loose", "it is loose, turn in is fine"]
)
def test_the_ear_does_not_hear_a_phase_that_is_told_as_good(mind: Mind, text: str) -> None:
    words = told(mind, text)
    assert words.answers("balance") == {"oversteer"}
    assert not words.answers("phase")
