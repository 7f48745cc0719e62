"""`advisor explain` as a process, and the same text inside the interview."""

from __future__ import annotations

import io

import pytest

from advisor.model.case import Case
from advisor.reasoning.advise import Mind
from advisor.terminal import explained
from advisor.terminal.screen import PlainScreen
from advisor.terminal.typed import to_explain
from tests.hostile.command import Advisor
from tests.terminal.conftest import Start
from tests.terminal.reading import question
from tests.terminal.script import interview
from tests.terminal.ways import CHOICE, to_choice, to_first_question

TEN_THOUSAND = "w" * 10_000


def test_words_are_explained(advisor: Advisor) -> None:
    done = advisor("explain", "front", "track", "width")
    assert done.status == 0
    assert done.out.startswith("Front track width (something to change)\n")
    assert "11 for, 7 against" in done.out  # counted by hand in the record's lists
    assert done.err == ""


def test_several_candidates_are_listed_and_what_is_listed_can_be_asked(advisor: Advisor) -> None:
    done = advisor("explain", "rim width")
    assert done.status == 0
    assert done.out.strip().startswith("Ask for one of these: ")
    for name in ("front rim width", "rear rim width"):
        assert name in done.out
        assert advisor("explain", name).out.lower().startswith(name)


def test_alone_it_lists_the_families(advisor: Advisor) -> None:
    for words in ((), ("",), ("  ",)):
        done = advisor("explain", *words)
        assert done.status == 0
        assert "Driving: " in done.out
        assert "What can be changed: " in done.out
        assert len(done.out.splitlines()) < 100


@pytest.mark.parametrize("word", ["zzzzq", "\x1b]0;title\x07", "\u202eevil", TEN_THOUSAND, "?", "\ud800"])
def test_what_is_not_known_is_said_in_a_sentence(advisor: Advisor, word: str) -> None:
    done = advisor("explain", word.encode("utf-8", "surrogatepass").decode("utf-8", "surrogateescape"))
    assert done.status == 1
    assert done.out.startswith('Nothing is known by "')
    assert len(done.out) < 200


def test_it_fits_a_narrow_terminal(advisor: Advisor) -> None:
    narrow = Advisor(advisor.folder, advisor.cache, {"COLUMNS": "40"})
    for words in (("caster",), ()):
        assert all(len(line) <= 40 for line in narrow("explain", *words).out.splitlines())


@pytest.mark.parametrize(
    ("typed", "word"),
    [
        ("explain caster", "caster"),
        ("Explain  rear hub ", "rear hub"),
        ("? caster", "caster"),
        ("?caster", "caster"),
        ("explain", ""),
        ("?", None),
        ("", None),
        ("1", None),
        ("explained it already", None),
        ("it pushes?", None),
    ],
)
def test_which_lines_ask_for_an_explanation(typed: str, word: str | None) -> None:
    assert to_explain(typed) == word


def entry_of(mind: Mind, word: str, width: int) -> str:
    stream = io.StringIO()
    explained.word(PlainScreen(stream, width), mind.book, mind.lexicon, word)
    return stream.getvalue()


@pytest.mark.parametrize("form", ["explain caster", "? caster"])
def test_the_interview_shows_the_same_text_and_asks_on(mind: Mind, form: str) -> None:
    plain = interview(mind, "it pushes in the middle", answers=["1"], enough=True)
    asked = interview(mind, "it pushes in the middle", answers=[form, "1"], enough=True)
    first = next(i for i, screen in enumerate(asked.shown) if question(screen) is not None)
    entry = entry_of(mind, "caster", 300)
    assert asked.shown[first + 1].startswith(entry)
    answers = [
        line.split("  ->")[0] for line in asked.shown[first].splitlines() if line.strip()[:1].isdigit()
    ]
    again = asked.shown[first + 1].removeprefix(entry).splitlines()
    assert again == [
        line for line in answers if not line.startswith("Question")
    ]  # the answers stand there again
    assert asked.shown[: first + 1] + asked.shown[first + 2 :] == plain.shown
    assert asked.states[-1][0].answers == plain.states[-1][0].answers


def test_at_the_advice_and_before_the_complaint_too(mind: Mind) -> None:
    play = interview(mind, "it pushes in the middle", choice=["explain rear hub", "explain zzzzq", ""])
    assert play.ended
    at = next(i for i, screen in enumerate(play.shown) if "In short" in screen)
    assert play.shown[at + 1] == entry_of(mind, "rear hub", 300)
    assert play.shown[at + 2].startswith("Nothing is known by")
    play = interview(mind, "explain push", case=Case(), enough=True)
    assert play.shown[1] == entry_of(mind, "push", 300)


def test_a_person_at_a_terminal_asks_what_words_mean(start: Start) -> None:
    person = start(width=80)
    to_first_question(person, "it pushes in the middle")
    shown = person.types("explain jacking")
    assert "Jacking (what a kart does)" in shown
    assert "Read next: " in shown
    shown = person.types("? inside rear")
    assert "Look at the inside rear wheel (something to check or do)" in shown
    assert question(person.types("1")) is not None
    for hostile in ("explain " + "w" * 3000, "? \u202eevil"):
        assert "Nothing is known by" in person.types(hostile)
    assert person.leaves("q")[0] == 0


def test_a_person_asks_at_the_advice(start: Start) -> None:
    person = start(width=80)
    to_choice(person, "it pushes in the middle")
    assert "Something you" not in (shown := person.types("? marbles"))
    assert "Crumbs of worn rubber" in shown
    assert CHOICE not in shown
    assert "No change is chosen" in person.leaves("")[1]
