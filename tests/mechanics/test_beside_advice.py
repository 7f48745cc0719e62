"""The kart model beside an advice: this kart's own figures, those of the model, and nothing that is in doubt."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from advisor.app.by_loads import told, with_loads
from advisor.mechanics import surface
from advisor.mechanics.beside import SAID, beside
from advisor.mechanics.known import known
from advisor.mechanics.measures import MEASURES
from advisor.mechanics.outlook import Base, Change, base, outlook
from advisor.mechanics.turns import TURNS, held, one_step
from advisor.model.advice import Advice, Amount
from advisor.model.case import Case
from advisor.model.knowledge import Book
from advisor.physics.elements import DEGREE, G
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import Mind, make_ready
from advisor.units import parse

HEAVY = Case(driver_mass=parse("95 kg"), setup={"caster": parse("18 deg")})
LIGHT = Case(driver_mass=parse("32 kg"), observed={"machine": "cadet"})
KARTS = {
    "heavy": HEAVY,
    "light": LIGHT,
    "usual": Case(),
    "gearbox": Case(observed={"machine": "gearbox", "track": "rubbered"}),
    "narrow": Case(setup={"rear_track_width": parse("1300 mm"), "front_track_width": parse("1100 mm")}),
}
ALL = bool(os.environ.get("ADVISOR_TEST_ALL"))
LEVERS = tuple(TURNS) if ALL else ("caster", "rear_track_width", "seat_height", "ballast_fore_aft")


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


@cache
def karts(name: str) -> Base:
    return base(known(KARTS[name]).figures)


@pytest.mark.parametrize("name", KARTS if ALL else ("heavy", "light"))
def test_the_surface_says_what_the_model_says(book: Book, name: str) -> None:
    """The level within 3 %; a change with the model's sign, its middle within half as much again, inside the spread."""
    kart, told_of = known(KARTS[name]), 0
    assert surface.lift(kart) == pytest.approx(
        float(outlook(karts(name), []).rows["lifts_at"].before), rel=0.03
    )
    for lever in LEVERS:
        if not held(book.levers[lever]):
            continue
        seen = outlook(karts(name), [Change(lever, TURNS[lever].raises, one_step(book.levers[lever]))])
        for effect in ("lifts_at", *SAID):
            row = surface.moved(kart, lever, effect, 1.0)
            exact = seen.rows.get(effect) or seen.effects[effect]
            if row is None:
                continue
            told_of += 1
            assert row.sign == ("more" if exact.middle > 0 else "less"), (lever, effect)
            assert 1 / 1.5 < row.middle / exact.middle < 1.5, (lever, effect)
            assert exact.low < row.middle < exact.high, (lever, effect)
    assert told_of > 2 * len(LEVERS)


def test_the_sentence_holds_the_figures_of_the_model(book: Book) -> None:
    text = beside(
        book, known(HEAVY), change(book, "seat_height", "raise", "inside_rear_lift", Amount(20, "mm"))
    )
    row = outlook(karts("heavy"), [Change("seat_height", "raise", 0.02)]).rows["lifts_at"]
    after, before, least, most = (float(n) for n in re.findall(r"\d+\.\d+", text))
    assert text.startswith("On this kart, by the wheel loads: the inside rear lifts at")
    assert (after, before) == pytest.approx((row.after, row.before), rel=0.03)
    assert (least, most) == pytest.approx((-row.high, -row.low), rel=0.35)


def test_the_sentence_speaks_of_what_the_change_is_for(book: Book) -> None:
    text = beside(book, known(LIGHT), change(book, "caster", "more", "front_bite_exit", Amount(2, "deg")))
    row = outlook(karts("light"), [Change("caster", "more", 2 * DEGREE)]).effects
    least, most = (float(n) for n in re.findall(r"\d+\.\d+", text)[-2:])
    assert "driving out, the front has" in text
    assert (least * G, most * G) == pytest.approx(
        (row["front_bite_exit"].low, row["front_bite_exit"].high), rel=0.35
    )


def test_two_karts_are_told_two_things(book: Book) -> None:
    one = change(book, "caster", "more", "front_bite_exit", Amount(2, "deg"))
    heavy, light, usual = (beside(book, known(case), one) for case in (HEAVY, LIGHT, Case()))
    assert len({heavy, light, usual, ""}) == 4
    assert usual.startswith("On a usual kart")


def test_nothing_is_said_where_the_model_holds_nothing_or_cannot_tell(book: Book) -> None:
    kart = known(HEAVY)
    assert beside(book, kart, change(book, "camber", "less_negative", "front_bite_mid")) == ""
    assert beside(book, kart, change(book, "toe", "out", "front_bite_entry")) == ""
    swamp = known(Case(observed={"track": "wet"}))  # less grip than the surface was fitted over
    assert beside(book, swamp, change(book, "caster", "more", "front_bite_exit")) == ""


def test_which_side_must_be_known_for_what_turns_round_with_the_corner(book: Book) -> None:
    one = change(book, "ballast_side", "right", "inside_rear_lift")
    assert beside(book, known(Case()), one) == ""
    left, right = (beside(book, known(Case(observed={"direction": d})), one) for d in ("left", "right"))
    assert "g earlier" in left
    assert "g later" in right


def test_what_contradicts_the_sources_is_said_with_what_is_left_out(book: Book) -> None:
    text = beside(book, known(Case()), change(book, "rear_track_width", "wider", "rear_release"))
    assert "more, against what the sources say: the loads leave out" in text


def test_it_is_told_in_the_units_of_the_kart(book: Book) -> None:
    case = replace(HEAVY, units={"mass": "lb"})
    (seen,) = told(book, case, [change(book, "caster", "more", "front_bite_exit", Amount(2, "deg"))])
    text = seen.why[-1]
    assert " lb " in text
    assert " kg " not in text
    plain, (least, most) = (
        beside(book, known(HEAVY), change(book, "caster", "more", "front_bite_exit", Amount(2, "deg"))),
        (float(n) for n in re.findall(r"\d+\.\d+", text)[-2:]),
    )
    kilos = [float(n) for n in re.findall(r"\d+\.\d+", plain)[-2:]]
    assert (least, most) == pytest.approx((kilos[0] / 0.45359237, kilos[1] / 0.45359237), abs=0.15)
    assert text.partition(";")[0] == plain.partition(";")[0]  # what lifts at so many g is no mass


def test_the_first_changes_of_an_answer_quote_it_once(mind: Mind, book: Book) -> None:
    case = replace(HEAVY, complaint="it pushes mid corner, the front washes wide")
    found = advise(mind, case)
    seen = with_loads(book, found, case, top=24)
    added = [a.why[len(b.why) :] for a, b in zip(seen.advice, found.advice, strict=True)]
    assert all(len(more) <= 1 for more in added)
    assert all("by the wheel loads" in text for more in added for text in more)
    assert any(added)


def test_a_program_gets_the_figures_that_the_sentence_tells(book: Book) -> None:
    """Newtons by hand from the kilograms of the text, and the lift as the sentence has it."""
    (one,) = told(book, HEAVY, [change(book, "caster", "more", "front_bite_exit", Amount(2, "deg"))])
    lift, bite = one.loads
    assert (lift.figure, lift.unit, bite.figure, bite.unit) == ("lifts_at", "g", "front_bite_exit", "N")
    assert all(moved.text in one.why[-1] for moved in one.loads)
    assert lift.before is not None
    after, before = (float(n) for n in re.findall(r"\d\.\d\d(?= instead| g )", lift.text)[:2])
    assert (lift.before, lift.before + lift.middle) == pytest.approx((before, after), abs=0.005)
    kilos = [float(n) for n in re.findall(r"\d+\.\d+", bite.text)]
    assert kilos == pytest.approx([bite.low / G, bite.high / G], abs=0.05)


def test_what_the_sentence_can_say_is_what_the_model_measures() -> None:
    for effect, (_, words, tiny) in SAID.items():
        assert tiny == MEASURES[effect].tiny
        assert (words.unit == "kg") == (MEASURES[effect].unit == "N")


def test_the_answer_for_programs_loads_no_numpy(tmp_path: Path) -> None:
    case = tmp_path / "case.yaml"
    case.write_text("complaint: it pushes mid corner\nsetup: {caster: 18 deg}\n", "utf-8")
    code = (
        "import sys; from advisor.cli import main; status = main(['advise', sys.argv[1], '--json']);"
        "assert status == 0 and 'numpy' not in sys.modules"
    )
    done = subprocess.run([sys.executable, "-c", code, str(case)], check=True, capture_output=True, text=True)
    assert json.loads(done.stdout)["wheel_loads"]


def test_reasoning_and_the_advice_load_no_numpy() -> None:
    code = (
        "import sys; from advisor.book import load; from advisor.reasoning.advise import advise;"
        "from advisor.reasoning.weighing import make_ready;"
        "from advisor.app import advising, sitting; from advisor.app.by_loads import with_loads;"
        "from advisor.model.case import Case; book = load.book();"
        "case = Case(complaint='it pushes', observed={'machine': 'cadet'});"
        "with_loads(book, advise(make_ready(book), case), case); assert 'numpy' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
