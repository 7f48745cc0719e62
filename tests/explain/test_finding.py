"""Every id, name and phrase finds its entry; so do misspelt words and the many ways people say things."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest

from advisor.glossary.find import KINDS, Found, Index, Key, find, records
from advisor.reasoning.weighing import Mind
from advisor.words.tokens import tokens

# What drivers say in the paddock, and the entry that has to explain it: common practice, no source.
SAID = {
    "term:understeer": "pushing, pushes, tight, washes out, won't rotate, it won't turn, my kart pushes",
    "term:oversteer": "loose, tail happy, tail-happy, the back end steps out, spins out",
    "term:hop": "hops, chatters, chatter, hopping, bounces",
    "term:bind": "bogs, bound up, bogging down, binds",
    "term:slide": "skates, four-wheel drift, no grip anywhere",
    "term:flat_slide": "flat sliding, slides flat",
    "term:hooked_up": "hooked up, planted",
    "term:darty": "darty, twitchy",
    "term:gone_off": "gone off, went off, tyres go off",
    "term:come_in": "come in, tyres come in",
    "term:greasy": "greasy, overheated",
    "term:rubbered_in": "rubbered in, grippy track",
    "term:marbles": "marbles, pick up",
    "term:scrub": "scrub, scrubbed in",
    "term:jacking": "jacking, jacks up",
    "term:inside_wheel_lift": "inside wheel lift, no differential",
    "term:kingpin": "kingpin, king-pin, stub axle, king-pin inclination",
    "term:scrub_radius": "scrub radius, king-pin offset",
    "term:track_width": "track width, spacers",
    "term:hub": "hub, wheel hub",
    "term:stay": "stay, struts",
    "term:torsion_bar": "torsion bar, stabiliser, anti-roll bar",
    "term:needle": "carburettor needle, carburetor needle, low screw",
    "term:main_jet": "main jet, jetting",
    "term:squish": "squish, squish gap",
    "term:sprocket": "sprocket, rear sprocket",
    "term:lead": "lead, ballast",
    "term:cross_weight": "cross weight, wedge",
    "term:data_laps": "data laps",
    "term:cold_laps": "warming the tyres, out lap",
    "term:wet_line": "wet line, rain line",
    "term:throttle_squeeze": "too early on the throttle, throttle control",
    "term:trail_braking": "trail braking",
    "term:bracing": "bracing, sitting still",
    "term:spark_plug": "plug colour, white plug",
    "lever:caster": "caster, castor, more caster, caster pills",
    "lever:camber": "camber",
    "lever:toe": "toe, toe out, toe-in",
    "lever:ackermann": "ackermann, ackerman",
    "lever:third_bearing": "third bearing, centre bearing",
    "lever:axle_stiffness": "axle stiffness, stiffer axle, soft axle",
    "lever:rear_ride_height": "rear ride height, axle height",
    "lever:seat_stays": "seat strut, seat struts, seat stay",
    "lever:clutch": "clutch, clutch drum",
    "lever:chain": "chain, tight chain",
    "lever:corner_weights": "corner weights, corner weight",
    "lever:rear_track_width": "rear track width, narrow the back, wider rear track",
    "lever:front_torsion_bar": "front bar, front torsion bar",
    "lever:tyre_pressure": "tire pressure, tyre pressures",
    "effect:rear_release": "release of the rear on the way out",
}
WRONG = "abcdefghijklmnopqrstuvwxyz"


def offered(found: Found) -> tuple[Key, ...]:
    """What is shown and what is named beside it."""
    return (*((found.shown,) if found.shown else ()), *found.others)


@pytest.mark.parametrize(("entry", "said"), [(e, w) for e, words in SAID.items() for w in words.split(", ")])
def test_what_people_say_is_explained_by_its_entry(names: Index, entry: str, said: str) -> None:
    assert find(names, said).shown == Key(*entry.split(":"))


def test_every_id_finds_its_entry_and_with_its_kind_shows_it(names: Index, mind: Mind) -> None:
    for key in records(mind.book):
        assert key in offered(find(names, key.id)), key
        assert find(names, f"{KINDS[key.kind][0]} {key.id}").shown == key


def test_every_name_finds_its_entry(names: Index, mind: Mind) -> None:
    for key, name in records(mind.book).items():
        assert key in offered(find(names, name)), name
        assert key in offered(find(names, f"What is {name.upper()}?")), name


def test_every_phrase_of_the_glossary_finds_its_entry_first(names: Index, mind: Mind) -> None:
    for term in mind.book.glossary.values():
        for phrase in term.phrases:
            terms = [key for key in offered(find(names, phrase)) if key.kind == "term"]
            assert find(names, phrase).shown == terms[0]
            assert Key("term", term.id) in terms, phrase
    # A lean mixture and a driver who leans: the one word that two terms share.
    assert [key.id for key in offered(find(names, "lean"))] == ["leaning", "mixture"]


def test_every_plain_phrase_of_a_lever_finds_it(names: Index, mind: Mind) -> None:
    asked = 0
    for lever in mind.book.levers.values():
        for phrase in (*lever.phrases, *(p for way in lever.ways.values() for p in way.phrases)):
            if not set(phrase) & set(".!~") and not any(w.isupper() for w in phrase.split()):
                asked += 1
                assert Key("lever", lever.id) in offered(find(names, phrase)), phrase
    assert asked > 200  # regression value: far fewer would mean that nothing is asked


def test_words_for_a_lever_at_its_end_find_it(names: Index, mind: Mind) -> None:
    for lever in mind.book.levers.values():
        for phrase in (p for way in lever.ways.values() for p in way.spent):
            if not set(phrase) & set(".!~") and not any(w.isupper() for w in phrase.split()):
                assert Key("lever", lever.id) in offered(find(names, phrase)), phrase


def misspelt(names: Index, mind: Mind) -> Iterator[tuple[str, Key]]:
    """Every name and phrase with one letter left out or wrong in one word of five letters or more."""
    texts = [
        (name, key) for key, name in records(mind.book).items() if key.kind in ("term", "lever", "effect")
    ]
    texts += [(p, Key("term", t.id)) for t in mind.book.glossary.values() for p in t.phrases]
    for text, key in texts:
        words = [token.word for token in tokens(text)]
        for i, word in enumerate(words):
            for place in range(len(word) if len(word) >= 5 else 0):
                wrong = WRONG[(WRONG.find(word[place]) + 7) % 26]
                for letter in ("", wrong):
                    bad = word[:place] + letter + word[place + 1 :]
                    yield " ".join((*words[:i], bad, *words[i + 1 :])), key


def test_nineteen_of_twenty_misspellings_find_their_entry(names: Index, mind: Mind) -> None:
    every = 1 if os.environ.get("ADVISOR_TEST_ALL") else 5
    cases = list(misspelt(names, mind))[::every]
    missed = [(text, key.id) for text, key in cases if key not in offered(find(names, text))]
    assert len(cases) > 1000
    assert len(missed) <= 0.05 * len(cases), missed


def test_words_that_are_no_name_list_what_may_be_meant(names: Index) -> None:
    found = find(names, "width")
    assert found.shown == Key("term", "track_width")
    found = find(names, "rim width")
    assert found.shown is None
    assert {Key("lever", "front_rim_width"), Key("lever", "rear_rim_width")} <= set(found.others)


def test_one_word_for_two_records_shows_one_and_names_the_other(names: Index) -> None:
    assert find(names, "tyres") == Found(Key("lever", "tyres"), (Key("question", "tyres"),))
    assert find(names, "question tyres").shown == Key("question", "tyres")


def test_a_whole_complaint_leads_to_what_it_complains_of(names: Index) -> None:
    found = find(names, "the rear steps out when i brake")
    assert found.shown == Key("term", "oversteer")
    assert Key("question", "phase") in found.others


@pytest.mark.parametrize(
    "text", ["", " ", "?!", "\x1b[2J", "\u202e", "zzzzq", "q" * 10_000, "ü" * 500, "-1", "'"]
)
def test_what_is_no_word_of_the_trade_finds_nothing(names: Index, text: str) -> None:
    assert find(names, text) == Found()
