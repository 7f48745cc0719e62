"""Sentences that an earlier reader took for something else: what must not count as told (invented wordings)."""

from __future__ import annotations

from functools import cache

import pytest

from advisor.book import load
from advisor.inference.hearing import listen
from advisor.reasoning.weighing import Mind, make_ready

WRONG = {
    "it would not stick and it pushed all through the middle": ("balance", "oversteer"),
    "he pushed too hard in qualifying and spun": ("balance", "understeer"),
    "even when I push I am half a second off": ("balance", "understeer"),
    "We changed the axle and it changed nothing.": ("work", "nothing"),
    "we were stuck a few tenths above the others": ("balance", "bind"),
    "he managed to slide through the pack on lap one": ("balance", "slide"),
    "third in the heat and happy": ("weather", "hot"),
    "the kart turned in well": ("balance", "understeer"),
    "I cannot feed it in smoothly": ("throttle", "squeezed"),
    "it is not loose on entry, only on exit": ("phase", "entry"),
    "I looked at it": ("locking", "rears"),
    "it bogs below eight thousand": ("engine_fault", "blown"),
    "we rejetted it yesterday": ("work", "tyres"),
    "we went up a pound at the rear": ("phase", "straight"),
}
KNOWN = {
    "he pushed too hard in qualifying and spun": "a push is taken for understeer in so short a text",
    "even when I push I am half a second off": "likewise",
    "I cannot feed it in smoothly": "the denial is lost",
    "third in the heat and happy": "a heat is a race: the phrase stands in so short a text",
    "We changed the axle and it changed nothing.": "no effect is read as no work",
}


@cache
def mind() -> Mind:
    return make_ready(load.book(), load.ear())


@pytest.mark.parametrize("text", WRONG)
def test_what_was_misread_is_not_told(text: str, request: pytest.FixtureRequest) -> None:
    if text in KNOWN:
        request.applymarker(pytest.mark.xfail(reason=KNOWN[text], strict=True))
    question, answer = WRONG[text]
    words = listen(text, mind().book, mind().lexicon, mind().ear).words
    assert answer not in words.answers(question)


@pytest.mark.parametrize("word", ["looked", "below", "rejetted", "creep", "pound"])
def test_a_real_word_is_not_respelt(word: str) -> None:
    words = listen(f"we {word} it and it slides", mind().book, mind().lexicon, mind().ear).words
    assert word not in dict(words.respelt)
