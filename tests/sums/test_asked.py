"""Questions in words: the sum that is meant, the numbers that are told, those that are missing, and what is no sum."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.sums import asked, work
from advisor.sums.spoken import in_digits


@pytest.mark.parametrize(
    ("text", "name", "missing"),
    [
        ("what pressure should I start with", "pressure", ("hot", "to", "at")),
        ("Twelve eighty-two or eleven eighty?", "gearing", ()),
        ("how much oil in five litres", "premix", ("ratio",)),
        ("where do I put four kilos?", "ballast", ("front_left", "front_right", "rear_left", "rear_right")),
        ("what should my chain length be", "chain", ("engine_teeth", "axle_teeth", "centre_distance")),
        ("how fast is 11 80 at 14000 rpm", "gearing", ("rollout",)),
        ("will an 88 tooth sprocket hit the kerb", "clearance", ("tyre_diameter",)),
        ("how much oil", "premix", ("fuel", "ratio")),
        ("what tyre pressures for tomorrow", "pressure", ("hot", "to", "at")),
        ("should i jet up today, it's 8 C and 1025 hPa", "air", ("pressure", "humidity")),
        ("is 13 85 ok", "gearing", ()),
        ("how much oil at 40:1", "premix", ("fuel",)),
        ("which way should I jet for the air at 30 C and 1002 hPa, 70 % humidity", "air", ("pressure",)),
    ],
)
def test_the_sum_and_what_is_missing(text: str, name: str, missing: tuple[str, ...]) -> None:
    found = asked(text)
    assert found is not None
    assert (found.row.name, found.missing) == (name, missing)
    assert (found.outcome is None) == bool(missing)
    assert found.line.startswith(f"advisor compute {name} ")
    done = work(name, found.line.split()[3:])  # what it tells to type can be typed
    told = (found.outcome or found.instance).figures  # type: ignore[union-attr]
    assert sorted(done.figures, key=lambda f: f.name) == sorted(told, key=lambda f: f.name)


@pytest.mark.parametrize(
    ("text", "given"),
    [
        (
            "what pressure should i start with for 0.95 bar hot at 18 C, the tyres get to 60 C",
            {"hot": "0.95 bar", "at": "18 C", "to": "60 C"},
        ),
        (
            "what cold pressure for 14 psi hot if it is 20 c and tyres reach 65 c",
            {"hot": "14 psi", "at": "20 C", "to": "65 C"},
        ),
        (
            "what will 0.7 bar cold at 15 C be when hot at 62 C",
            {"cold": "0.7 bar", "at": "15 C", "to": "62 C"},
        ),
        ("how much oil for ten litres at 40:1", {"fuel": "10 l", "ratio": "40:1"}),
        ("how much oil do I put in 2 gallons at 1:32", {"fuel": "2 gal", "ratio": "32:1"}),
        ("how much oil for a gallon at 32 to 1", {"fuel": "1 gal", "ratio": "32:1"}),
        ("how much oil in 20 liters at 25:1", {"fuel": "20 l", "ratio": "25:1"}),
        ("how much oil in 4l at 25:1", {"fuel": "4 l", "ratio": "25:1"}),
        ("how much oil for 1/2 gallon at 20:1", {"fuel": "0.5 gal", "ratio": "20:1"}),
        ("how much oil in 2½ gallons at 20:1", {"fuel": "2.5 gal", "ratio": "20:1"}),
        ("how much oil in half a gallon at 20:1", {"fuel": "0.5 gal", "ratio": "20:1"}),
        ("how much oil in 5 imperial gallons at 25:1", {"fuel": "5 imp gal", "ratio": "25:1"}),
        ("oil for a gallon and a half at 20 to 1", {"fuel": "1.5 gal", "ratio": "20:1"}),
        ("oil for five and three quarter litres at 25:1", {"fuel": "5.75 l", "ratio": "25:1"}),
        ("oil for 3/4 of a gallon at 25:1", {"fuel": "0.75 gal", "ratio": "25:1"}),
        ("how much oil in 4 quarts at 20:1", {"fuel": "4 qt", "ratio": "20:1"}),
        (
            "how much pressure will i gain from 20 C to 60 C at 10 psi",
            {"cold": "10 psi", "at": "20 C", "to": "60 C"},
        ),
        ("mix 25:1 in 7 litres", {"fuel": "7 l", "ratio": "25:1"}),
        ("how much oil in 5 litres at 25 ml per litre", {"fuel": "5 l", "oil_per_litre": "25 ml"}),
        ("is 12/82 longer than 11/80", {"engine_teeth": "12", "axle_teeth": "82", "compare": "11/80"}),
        (
            "how many links for 11/80 with 200 mm between centres",
            {"engine_teeth": "11", "axle_teeth": "80", "centre_distance": "200 mm"},
        ),
        ("is lambda 0.92 rich or lean", {"lambda": "0.92"}),
    ],
)
def test_numbers_go_where_their_words_say(text: str, given: dict[str, str]) -> None:
    found = asked(text)
    assert found is not None
    assert found.outcome is not None
    assert dict(found.outcome.given) == given


def test_a_number_in_doubt_is_told_and_not_guessed() -> None:
    """1002 hPa may be of the place or reduced to sea level."""
    found = asked("which way should I jet for the air at 30 C and 1002 hPa")
    assert found is not None
    assert found.unclear == ("1002 hpa",)
    bare = asked("what pressure should I start with to come in at 12 hot")
    assert bare is not None
    assert (bare.unclear, bare.missing) == (("12",), ("hot", "to", "at"))
    assert asked("which one is longer, 12/82 or 11/80").unclear == ()  # type: ignore[union-attr]


def test_a_number_that_cannot_be_is_refused() -> None:
    found = asked("how much oil in 5000 litres at 40:1")
    assert found is not None
    assert found.outcome is None
    assert "possible is 0.01 to 300 l" in found.wrong[0]


@pytest.mark.parametrize(
    "text",
    ["", "pressure", "air pressure", "chain", "the chain came off", "it pushes in turn 3", "caster", "seat strut",
     "how much oil in the gearbox", "what does hot pressure mean", "where do I put my hands", "which pressure is right",
     "where does weight go under braking", "why does my kart hop", "oil in the fuel", "gearing", "corner weights",
     "the rear steps out at 60 km/h", "lap 12 45.3 or 45.4", "what does the lead do", "rich", "lambda"],
)  # fmt: skip
def test_what_is_no_sum_stays_with_the_glossary(text: str) -> None:
    assert asked(text) is None


@pytest.mark.parametrize(
    ("said", "digits"),
    [
        ("twelve eighty-two or eleven eighty", "12 82 or 11 80"),
        ("Five litres, twenty-five to one?", "5 litres, 25 to 1?"),
        ("four and a half kilos", "4.5 kilos"),
        ("sixty, then ninety nine", "60, then 99"),
    ],
)
def test_numbers_in_words(said: str, digits: str) -> None:
    assert in_digits(said) == digits


@settings(max_examples=15, deadline=None)
@given(st.text(max_size=200))
def test_any_text_is_answered_or_left(text: str) -> None:
    for words in (
        text,
        f"how much oil in {text}",
        f"where do I put {text} kilos",
        f"what pressure {text} start 5 C",
    ):
        found = asked(words)
        assert found is None or found.outcome or found.missing or found.wrong


def test_a_number_that_belongs_nowhere_spoils_a_mix_of_oil() -> None:
    """Too little oil seizes an engine: nothing is counted from half of what was said."""
    found = asked("how much oil in 20 furlongs at 25:1")
    assert found is not None
    assert (found.outcome, found.instance) == (None, None)
    assert found.wrong


@pytest.mark.parametrize(
    ("text", "way"),
    [
        ("what gearing for a long straight?", "taller: fewer teeth on the axle"),
        ("which sprocket for a tight twisty track", "shorter: more teeth on the axle"),
        ("how should I gear for a fast circuit", "taller: fewer teeth on the axle"),
    ],
)
def test_which_way_to_gear_is_told_without_figures(text: str, way: str) -> None:
    """Teeth over teeth: fewer on the axle are more speed at the same revs. Where to begin is the maker's word."""
    found = asked(text)
    assert found is not None
    assert way in found.leads[0]
    assert "the engine's maker or the class" in found.leads[-1]
    assert set(found.missing) == {"engine_teeth", "axle_teeth", "rollout", "rpm"}
    assert asked("is 12/82 longer than 11/80").leads == ()  # type: ignore[union-attr]
