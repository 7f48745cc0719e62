"""The kart model quoted beside an advice: this kart's own figures, as the model gives them, and nothing in doubt."""

from __future__ import annotations

import re
import subprocess
import sys
from dataclasses import replace

import pytest

from advisor.app.by_loads import told, with_loads
from advisor.mechanics.outlook import Change, base, outlook
from advisor.mechanics.quoted import QUOTED, Quoter
from advisor.model.advice import Advice, Amount
from advisor.model.case import Case
from advisor.model.knowledge import Book
from advisor.reasoning.advise import Mind, advise, make_ready
from advisor.units import parse

HEAVY = Case(driver_mass=parse("95 kg"), setup={"caster": parse("18 deg")})
LIGHT = Case(driver_mass=parse("32 kg"), observed={"machine": "cadet"})


@pytest.fixture(scope="module")
def mind(book: Book) -> Mind:
    return make_ready(book)


def change(book: Book, lever: str, way: str, effect: str | None, amount: Amount | None = None) -> Advice:
    say = book.levers[lever].ways[way].say
    return Advice(
        lever,
        way,
        say,
        None,
        amount,
        None,
        5,
        0.1,
        0.8,
        0.1,
        ("Because.",),
        (),
        "",
        "",
        (),
        (),
        effect=effect,
    )


def test_the_figures_are_those_of_the_model_for_this_kart(book: Book) -> None:
    quoter = Quoter(book, HEAVY)
    text = quoter.beside(change(book, "seat_height", "raise", "inside_rear_lift", Amount(20, "mm")))
    row = outlook(base(quoter.kart.figures, karts=QUOTED), [Change("seat_height", "raise", 0.02)]).rows[
        "lifts_at"
    ]
    numbers = [float(n) for n in re.findall(r"\d+\.\d+", text)]
    assert text.startswith("On this kart")
    assert numbers[:2] == pytest.approx([row.after, row.before], abs=0.005)
    assert numbers[2:4] == pytest.approx([-row.high, -row.low], rel=0.05)


def test_two_karts_are_told_two_things(book: Book) -> None:
    one = change(book, "caster", "more", "front_bite_mid", Amount(1, "deg"))
    heavy, light = (Quoter(book, case).beside(one) for case in (HEAVY, LIGHT))
    assert heavy and light and heavy != light
    assert Quoter(book, Case()).beside(one).startswith("On a usual kart")


def test_nothing_is_said_where_the_model_holds_nothing(book: Book) -> None:
    for lever, way, effect in (
        ("driver", next(iter(book.levers["driver"].ways)), None),
        ("toe", "out", "front_bite_entry"),
        ("rim_material", "magnesium", "rear_tyre_heat"),
    ):
        if way in book.levers[lever].ways:
            assert Quoter(book, HEAVY).beside(change(book, lever, way, effect)) == "", lever


def test_what_contradicts_the_sources_is_said_with_what_is_left_out(book: Book) -> None:
    text = Quoter(book, Case()).beside(change(book, "rear_track_width", "narrower", "rear_side_bite"))
    assert "less side force in hand, against what the sources say: the loads leave out" in text


def test_it_is_told_in_the_units_of_the_kart(book: Book) -> None:
    case = replace(HEAVY, units={"mass": "lb"})
    (text,) = told(book, case, None, [change(book, "caster", "more", "front_bite_exit")])
    assert " lb " in text and " kg " not in text


def test_every_first_change_of_an_answer_quotes_it_once(mind: Mind, book: Book) -> None:
    case = replace(HEAVY, complaint="it pushes mid corner, the front washes wide")
    found = advise(mind, case)
    seen = with_loads(book, found, case, top=24)
    for before, after in zip(found.advice, seen.advice, strict=True):
        more = after.why[len(before.why) :]
        assert len(more) <= 1 and all("by the wheel loads" in text for text in more)
    assert any(len(a.why) > len(b.why) for a, b in zip(seen.advice, found.advice, strict=True))


def test_the_first_screens_load_no_numpy() -> None:
    """Reasoning, ranking and the place of the advice; only reasons that are opened may."""
    code = (
        "import sys; from advisor.book import load; from advisor.reasoning.advise import advise, make_ready;"
        "from advisor.app import advising, sitting; from advisor.model.case import Case;"
        "advise(make_ready(load.book()), Case(complaint='it pushes', observed={'machine': 'cadet'}));"
        "assert 'numpy' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
