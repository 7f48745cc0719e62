"""What an answer would do, reasoned no further than is told, is what the whole answer says."""

from __future__ import annotations

import pytest

from advisor.inference import cures
from advisor.interview import explanations, steps
from advisor.model.case import Case
from advisor.model.scale import percent
from advisor.planning.questions import as_question
from advisor.reasoning.weighing import Mind
from tests.app.play import HOPS, LOOSE, Play

TOLD = ("the rear slides", LOOSE, HOPS, "no grip anywhere", "rear no grip", "kart is slow")


@pytest.mark.parametrize("question", ["", "track"])
@pytest.mark.parametrize("words", TOLD)
def test_a_preview_says_what_the_whole_answer_does(mind: Mind, words: str, question: str) -> None:
    """Also where an answer, such as a wet track, has other claims hold."""
    state = steps.begin(mind, Case(complaint=words))
    asked = steps.question(mind, steps.asking_more(state))
    if question:
        asked = as_question(mind.book.observations[question], 0.0)
    assert asked is not None
    before = {c.id: c.probability for c in steps.answer(mind, state).causes}
    told = set()
    for given, preview in zip(asked.answers, explanations.previews(mind, state, asked), strict=True):
        whole = steps.answer(mind, steps.answered(mind, state, asked, given))
        if whole.stop:
            assert preview.first == "do not drive it: inspect"
        else:
            top = whole.advice[0]
            assert preview.first in (top.say, mind.book.levers[top.lever].name)
        known = [c for c in whole.causes if c.id != "unknown"]
        raised = max(known, key=lambda c: (c.probability - before[c.id], c.id))
        assert preview.raised == (
            f"{raised.name}, {percent(before[raised.id])} -> {percent(raised.probability)}"
        )
        told.add(preview)
    assert len(told) > 1


def test_answers_that_change_the_regime_are_weighed_anew(mind: Mind) -> None:
    """Some levers act the other way in the wet, so the links of the dry do not hold for that answer."""
    state = steps.begin(mind, Case(complaint=LOOSE))
    track = as_question(mind.book.observations["track"], 0.0)
    wet, shake = (
        steps.answered(mind, state, q, a)
        for q, a in ((track, "wet"), (as_question(mind.book.observations["shake"], 0.0), "as_always"))
    )
    assert not cures.alike(mind.book, state.gathered.evidence, wet.gathered.evidence)
    assert cures.alike(mind.book, state.gathered.evidence, shake.gathered.evidence)


def test_they_stand_behind_the_question(play: Play) -> None:
    play.start(LOOSE, "?")
    assert "tried first: " in play.page
    assert "likelier then: " in play.page
