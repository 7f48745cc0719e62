"""Tokens, phrases and spelling by themselves, on small vocabularies made up here."""

from __future__ import annotations

import pytest

from advisor.words.phrases import Lexicon, compile_phrase, keep_longest
from advisor.words.spelling import corrected
from advisor.words.tokens import MAX_TOKENS, plain, tokens

CLASSES = {"END": ["rear", "front"], "OUT": ["out", "wide"]}


def _lexicon(*phrases: str) -> Lexicon:
    known = Lexicon(CLASSES)
    for phrase in phrases:
        known.add(phrase, ("ask", phrase))
    return known


def _found(text: str, *phrases: str) -> list[str]:
    """The phrases found, longest first, each word used by one of them only."""
    return [m.tag[1] for m in keep_longest(_lexicon(*phrases).matches(tokens(text)))]


def test_text_becomes_small_letters_without_accents_apostrophes_and_hyphens() -> None:
    assert plain("It’s TOO wide, mid-corner: déjà-vu") == "its too wide, mid corner: deja vu"


def test_sentences_and_clauses_are_numbered() -> None:
    row = tokens("Mid is fine, but loose on exit. It hops!")
    assert [(t.word, t.sentence) for t in row if t.word in ("mid", "exit", "hops")] == [
        ("mid", 0),
        ("exit", 0),
        ("hops", 1),
    ]
    clause = {t.word: t.clause for t in row}
    assert clause["mid"] == clause["fine"] < clause["loose"] == clause["exit"] < clause["hops"]


def test_a_text_is_read_up_to_a_limit_of_words() -> None:
    assert len(tokens("a " * 3 * MAX_TOKENS)) == MAX_TOKENS


def test_a_word_in_capitals_stands_for_each_word_of_its_class_and_no_other() -> None:
    assert _found("the rear goes wide", "END goes OUT") == ["END goes OUT"]
    assert _found("the nose goes wide", "END goes OUT") == []


def test_an_unknown_class_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="MIDDLE"):
        compile_phrase("MIDDLE goes OUT", CLASSES)


def test_a_stem_takes_every_word_that_starts_so() -> None:
    assert _found("it was understeering", "understeer~") == ["understeer~"]
    assert _found("it was oversteering", "understeer~") == []


@pytest.mark.parametrize(
    ("between", "found"), [("", True), ("a b c d", True), ("a b c d e", False), ("a. b", False)]
)
def test_a_gap_spans_up_to_four_words_of_one_sentence(between: str, found: bool) -> None:
    assert _found(f"rear {between} slides", "rear .. slides") == (["rear .. slides"] if found else [])


def test_of_overlapping_phrases_the_longest_wins() -> None:
    assert _found("the inside rear lifts", "rear", "inside rear lifts", "lifts") == ["inside rear lifts"]


def test_words_left_over_by_the_longest_phrase_are_still_read() -> None:
    assert set(_found("rear lifts and rear slides", "rear lifts", "rear")) == {"rear lifts", "rear"}


# --- spelling ---------------------------------------------------------------------------------------

VOCABULARY = {"understeer": 9, "pushes": 5, "axle": 3, "grip": 3, "braking": 2, "hopping": 2}


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("understeer", "understeer"),
        ("understeeer", "understeer"),  # a letter too many
        ("undesear", "undesear"),  # three letters are too far
        ("pushs", "pushes"),  # a letter left out
        ("axel", "axle"),  # neighbours swapped in a short word
        ("grid", "grid"),  # a short word with a letter changed may be another word
        ("hoping", "hoping"),  # an ordinary word
        ("zushes", "zushes"),  # the first letter must be right
        ("17x", "17x"),  # no word at all
    ],
)
def test_only_clear_misspellings_are_mended(typed: str, read: str) -> None:
    (token,) = corrected(tokens(typed), VOCABULARY, {"hoping"})
    assert token.word == read
    assert token.typed == typed
