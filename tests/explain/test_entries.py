"""What an entry tells: whole, short, honest about who disagrees, with its cautions, at any width."""

from __future__ import annotations

import io

import pytest

from advisor.glossary.entries import entry, families
from advisor.glossary.find import Key, records
from advisor.glossary.page import Entry, regime_in_words
from advisor.model.knowledge import UNSOURCED
from advisor.reasoning.weighing import Mind
from advisor.terminal import explained
from advisor.terminal.screen import PlainScreen

LONGEST = 25  # lines of an entry at 80 columns: what can be read standing at the kart


def shown(mind: Mind, word: str, width: int) -> list[str]:
    """The lines of the entry that a kind and an id show."""
    stream = io.StringIO()
    assert explained.word(PlainScreen(stream, width), mind.book, mind.lexicon, word)
    return stream.getvalue().splitlines()


def lines(mind: Mind, key: Key, width: int) -> list[str]:
    stream = io.StringIO()
    explained.one(PlainScreen(stream, width), entry(mind.book, key))
    return stream.getvalue().splitlines()


def told(found: Entry, label: str) -> str:
    return next((text for name, text in found.paragraphs if name == label), "")


def test_every_entry_is_short_and_fits(mind: Mind) -> None:
    for key in records(mind.book):
        assert 2 <= len(lines(mind, key, 80)) <= LONGEST, key
        for width in (80, 40):
            assert all(len(line) < width for line in lines(mind, key, width)), (key, width)


def test_no_entry_shows_a_hole_or_a_raw_id(mind: Mind) -> None:
    for key in records(mind.book):
        text = " ".join(" ".join(lines(mind, key, 300)).split())
        for bad in ("None", "..", " .", ": .", "()", "; ;", "_", "  "):
            assert bad not in text, (key, bad, text)


def test_every_caution_and_every_danger_is_told(mind: Mind) -> None:
    for lever in mind.book.levers.values():
        care = told(entry(mind.book, Key("lever", lever.id)), "Care")
        assert all(caution in care for caution in lever.cautions), lever.id
    for cause in mind.book.causes.values():
        stop = told(entry(mind.book, Key("cause", cause.id)), "STOP")
        assert stop == (cause.danger.text if cause.danger else "")
    for term in mind.book.glossary.values():
        care = told(entry(mind.book, Key("term", term.id)), "Care")
        assert all(caution in care for caution in term.care), term.id


def test_a_contested_direction_tells_its_counts_and_where_it_turns_round(mind: Mind) -> None:
    # Counted by hand in knowledge/levers/axle_stiffness.yaml: eight sources against three, on hard tyres
    # three against one for the opposite.
    text = told(entry(mind.book, Key("lever", "axle_stiffness")), "Sources are split")
    assert "More side grip at the rear: 8 for, 3 against (" in text
    assert "compound hard: the other way, 3 for, 1 against" in text
    assert "track rubbered: the other way, 2 for, 2 against" in text


def test_every_lever_with_sources_against_it_says_so(mind: Mind) -> None:
    split = 0
    for lever in mind.book.levers.values():
        if any(s not in UNSOURCED for gives in lever.gives if not gives.where for s in gives.disagree):
            split += 1
            assert "against" in told(entry(mind.book, Key("lever", lever.id)), "Sources are split"), lever.id
    assert split >= 15  # regression value


def test_each_way_of_a_lever_that_gives_something_says_what(mind: Mind) -> None:
    for lever in mind.book.levers.values():
        labels = [label for label, _ in entry(mind.book, Key("lever", lever.id)).paragraphs]
        for name, way in lever.ways.items():
            if any(gives.way == name for gives in lever.gives):
                says = [way.say, lever.ways[way.opposite].say if way.opposite else ""]
                assert any(say and say[0].upper() + say[1:] in labels for say in says), (lever.id, name)


def test_a_claim_of_the_opposite_way_is_turned_round(mind: Mind) -> None:
    # The file says that lowering the seat calms the lift; the entry speaks of raising it.
    text = told(entry(mind.book, Key("lever", "seat_height")), "Raise the seat")
    more, _, less = text.partition("less ")
    assert "side grip at the rear" in more
    assert "resistance to tipping onto two wheels" in less


@pytest.mark.parametrize(
    ("where", "words"),
    [
        ({"observed.track": "wet|damp"}, "track wet or damp"),
        ({"observed.tyre_heat_end": "fronts"}, "hotter at fronts"),
        ({"setup.caster": "> 20 deg"}, "caster over 20 deg"),
        (
            {"setup.tyres.compound": "hard", "kart.driver_mass": "> 80 kg"},
            "compound hard and driver mass over 80 kg",
        ),
        ({"observed.machine": "low_power"}, "on a low power"),
    ],
)
def test_a_regime_is_told_in_words(mind: Mind, where: dict[str, str], words: str) -> None:
    assert regime_in_words(mind.book, where) == words


def test_a_white_plug_is_never_answered_with_a_colder_plug_alone(mind: Mind) -> None:
    # Common practice, no source: white means lean or an air leak first; a lean engine can seize.
    text = " ".join(shown(mind, "spark plug", 300))
    assert "only once a lean mixture and an air leak are ruled out" in text
    assert "Never answer it with a colder plug alone" in text
    assert "lock the rear wheels" in text


@pytest.mark.parametrize(
    "word", ["cold laps", "wet hands", "one input", "pedals", "throttle squeeze", "bracing"]
)
def test_technique_tells_what_to_try_what_to_feel_and_who_differs(mind: Mind, word: str) -> None:
    text = " ".join(shown(mind, word, 300))
    assert "two laps" in text.lower()
    assert "You should feel: " in text
    assert "Light or tall drivers: " in text


def test_a_family_of_complaints_names_first_suspects_of_the_book(mind: Mind) -> None:
    for balance in ("understeer", "oversteer", "hop", "bind", "slide"):
        text = told(entry(mind.book, Key("term", balance)), "First suspects")
        assert sum(cause.name in text for cause in mind.book.causes.values()) >= 2, balance


def test_everything_that_can_be_asked_is_listed_but_the_causes(mind: Mind) -> None:
    listed = {name for _, names in families(mind.book) for name in names}
    for key, name in records(mind.book).items():
        if key.kind == "question":
            assert key.id.replace("_", " ") in listed
        elif key.kind != "cause":
            assert name in listed
