"""`advisor explain` as a process, and the same text inside the interview."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.app.hear import to_explain
from advisor.app.prompt import Word
from advisor.reasoning.weighing import Mind
from tests.app.play import Play
from tests.hostile.command import Advisor
from tests.terminal.conftest import Start
from tests.terminal.ways import to_question

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


@pytest.mark.parametrize("lines", [(), ("it pushes in the middle",), ("it pushes in the middle", "t")])
@pytest.mark.parametrize("form", ["explain caster", "? caster"])
def test_a_word_is_explained_anywhere_and_nothing_else_happens(
    mind: Mind, tmp_path: Path, lines: tuple[str, ...], form: str
) -> None:
    play = Play(mind, tmp_path).start(*lines)
    before = play.prompts[-1]
    play.types(form)
    assert play.prompts[-1].page == Word("caster")
    assert play.prompts[-1].rows == before.rows
    play.close()


def test_a_person_at_a_terminal_asks_what_words_mean(start: Start) -> None:
    person = start(width=80, height=24)
    to_question(person, "it pushes in the middle")
    shown = person.types("explain jacking")
    assert "Jacking (what a kart does)" in shown
    assert "Read next: " in shown
    if "Question 1" not in shown:  # the entry takes the whole screen: Enter turns the page
        assert "Question 1" in person.types("")
    shown = person.types("? inside rear")
    assert "Look at the inside rear wheel (something to check or do)" in shown
    for hostile in ("explain " + "w" * 3000, "? \u202eevil"):
        assert "Nothing is known by" in person.types(hostile)
    assert person.leaves("q")[0] == 0
