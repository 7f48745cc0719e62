"""Texts that no driver types: very long, odd or hostile ones. Reading them is quick and never fails."""

from __future__ import annotations

import time
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.app.danger import told
from advisor.book import load
from advisor.interview import steps
from advisor.model.case import Case
from advisor.model.knowledge import BALANCES, PHASES
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import Mind, make_ready
from advisor.words.understand import Understanding, air_temperature, understand

HANG = 20.0  # seconds; a text that takes this long has hung
SIZE = 100_000
patiently = settings(deadline=None)


@cache
def mind() -> Mind:
    return make_ready(load.book(), load.ear())


def read(text: str) -> Understanding:
    return understand(text, mind().book, mind().lexicon)


def _filled(piece: str) -> str:
    return (piece * (SIZE // len(piece) + 1))[:SIZE]


LONG = {
    "a complaint again and again": "it pushes on entry and hops on exit. ",
    "misspelt words": "undersetering ovresteering hoppign acclerating ",
    "one endless word": "x",
    "the same word": "rear ",
    "gaps that could match far apart": "no the not the never the ",
    "punctuation": ".,;:!?",
    "line ends": "\n",
    "accents on accents": "e\u0301\u0302\u0303",
    "signs from elsewhere": "カート🏎",
    "blanks": " ",
    "underscores and hyphens": "rear_-",
}


@pytest.mark.parametrize("piece", LONG.values(), ids=LONG.keys())
def test_a_hundred_kilobytes_are_read_at_once(piece: str) -> None:
    text = _filled(piece)
    read("loaded")
    start = time.perf_counter()
    read(text)
    assert time.perf_counter() - start < HANG


def test_what_comes_first_in_a_long_text_is_read() -> None:
    found = read("It pushes on entry. " + _filled("We had lunch and the sun was out. "))
    assert found.feels == (("entry", "understeer"),)


def test_advice_on_a_hundred_kilobytes_comes_at_once() -> None:
    advise(mind(), Case(complaint="it pushes"))
    start = time.perf_counter()
    answer = advise(mind(), Case(complaint="It pushes on entry. " + _filled("We had lunch. ")))
    assert time.perf_counter() - start < HANG
    assert answer.understood["balance"] == "understeer"


TEXTS = st.text(max_size=300)
PIECES = (
    *("no", "not", "never", "it", "the", "rear", "front", "pushes", "hops", "loose", "on", "entry", "exit"),
    *(
        "mid",
        "wet",
        "wets",
        "slicks",
        "tips",
        "tip",
        "then",
        "but",
        "should",
        "i",
        "fitted",
        "longer",
        "hubs",
    ),
    *("softer", "axle", ",", ".", ";", "?", "!", "raised", "lifts", "is", "fine", "used", "to", "everyone"),
)
WORDS = st.lists(st.sampled_from(PIECES), max_size=40).map(" ".join)


@patiently
@given(TEXTS | WORDS)
def test_any_text_yields_only_what_the_book_knows(text: str) -> None:
    found = read(text)
    book = mind().book
    for ident, reading in found.facts.items():
        assert reading.answers
        assert reading.answers < frozenset(book.observations[ident].answers)
    for phase, balance in found.feels:
        assert phase is None or phase in PHASES
        assert balance is None or balance in BALANCES
        assert (phase, balance) != (None, None)
    for lever, way in (*found.changes, *found.ideas):
        assert way is None or way in book.levers[lever].ways


@patiently
@given(WORDS)
def test_capitals_and_blanks_make_no_difference(text: str) -> None:
    assert read(text.upper().replace(" ", "  \t ")) == read(text)


@patiently
@given(st.text(alphabet="0123456789 .,;:!?()\n-_'", max_size=200))
def test_figures_and_signs_alone_say_nothing(text: str) -> None:
    assert read(text).empty


@pytest.mark.parametrize(
    "text",
    [
        "asdf qwer zxcv",
        "The second gear synchro of my car's gearbox grinds, how do I rebuild it?",
        *(
            pytest.param(
                text, marks=pytest.mark.xfail(strict=True, reason="degrees, soft, oil are words of karts")
            )
            for text in (
                "How long do I bake bread at 220 degrees so the crust isn't soft?",
                "Slice the onions, heat the oil in a hot pan and let them go brown",
            )
        ),
        "Book me a table for four on Saturday",
        "The bus was late and its rear door would not close",
    ],
)
def test_words_about_something_else_get_a_question_and_no_ranking(text: str) -> None:
    answer = advise(mind(), Case(complaint=text))
    assert answer.advice == ()
    assert answer.causes == ()
    assert answer.stop is None
    assert answer.next_question is not None
    assert any("nothing" in w for w in answer.warnings)


@pytest.mark.parametrize(
    ("text", "celsius"),
    [
        ("race at 10-15 C, cloudy", 12.5),
        ("-5 to 3 C tomorrow", -1),
        ("-3 °C", -3),
        ("8 to 12 degrees celsius", 10),
        ("first session at 6 degrees in the morning, no grip anywhere", 6),
        ("32 degrees outside, it bogs", 32),
    ],
)
def test_of_two_temperatures_the_middle_is_the_air(text: str, celsius: float) -> None:
    found = air_temperature(text)
    assert found is not None
    assert found.si == pytest.approx(celsius + 273.15)


@pytest.mark.parametrize(
    "text", ["18 degrees of caster today", "it spins 90 degrees", "tyres at 40 degrees today"]
)
def test_degrees_of_something_else_are_no_air(text: str) -> None:
    assert air_temperature(text) is None


def test_danger_that_names_no_kart_is_asked_about_and_gets_no_ranking() -> None:
    """A line that sounds of something else and of danger: no advice, but one plain question."""
    text = "theres a wire sparking on the frame when he presses the start buton"
    state = steps.begin(mind(), Case(complaint=text))
    assert steps.stopped(mind(), state) or steps.danger_first(mind(), state)


@pytest.mark.parametrize("text", ["should i narrow the front track", "should i raise the seat"])
def test_an_idea_asked_about_tells_no_danger(text: str) -> None:
    assert not told(mind(), text)
