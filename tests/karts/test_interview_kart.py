"""The interview on a pseudo-terminal with karts on file: which one is taken, and that its values count."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.units import parse
from tests.karts.folder import RED, Karts
from tests.terminal.conftest import Start
from tests.terminal.kept import tried
from tests.terminal.person import Person
from tests.terminal.ways import ADVICE, OPENING, OUTCOME, changes, flat, to_advice

LOOSE = "the rear steps out in the middle of the corner"
WHICH = "Which kart?"


def chooses(person: Person, shown: str, folder: Path) -> dict[str, object]:
    """Go on from the opening to a chosen change; the setup that the journal keeps with it."""
    assert OPENING in shown
    person.types(LOOSE)
    assert ADVICE in flat(person.types("t"))
    assert OUTCOME in flat(person.types("1"))
    assert person.leaves("q")[0] == 0
    return dict(tried(folder)[-1].case.get("setup", {}))


def test_the_only_kart_is_taken_and_named(karts: Karts, start: Start, tmp_path: Path) -> None:
    karts.put("red", RED)
    person = start()
    shown = person.reads()
    assert "Kart: red" in shown
    assert WHICH not in shown
    setup = chooses(person, shown, tmp_path)
    assert parse(str(setup["tyre_pressure_rear"])) == parse("12 psi")


def test_facts_of_the_kart_are_among_what_was_understood(karts: Karts, start: Start) -> None:
    karts.put("red", RED)
    person = start()
    person.reads()
    person.types(LOOSE)
    shown = flat(person.types("k"))
    assert "machine: single-speed two-stroke" in shown
    assert "tyre kind: slicks" in shown


@pytest.mark.parametrize(
    ("typed", "pressure"), [("1", "14 psi"), ("red", "12 psi"), ("2", "12 psi"), ("", None)]
)
def test_several_karts_are_asked_about(
    karts: Karts, start: Start, tmp_path: Path, typed: str, pressure: str | None
) -> None:
    karts.put("red", RED)
    karts.put("blue", RED.replace("12 psi", "14 psi"))
    person = start()
    shown = person.reads()
    assert WHICH in shown
    assert "1  blue" in shown
    assert "2  red" in shown
    setup = chooses(person, person.types(typed), tmp_path)
    if pressure is None:
        assert setup == {}
    else:
        assert parse(str(setup["tyre_pressure_rear"])) == parse(pressure)


def test_a_kart_that_is_named_is_not_asked_about(karts: Karts, start: Start, tmp_path: Path) -> None:
    karts.put("red", RED)
    karts.put("blue", RED.replace("12 psi", "14 psi"))
    person = start("--kart", "blue")
    shown = person.reads()
    assert WHICH not in shown
    assert parse(str(chooses(person, shown, tmp_path)["tyre_pressure_rear"])) == parse("14 psi")


def test_without_a_kart_on_file_none_is_spoken_of(start: Start) -> None:
    shown = start().reads()
    assert OPENING in shown
    assert "Kart:" not in shown


@pytest.mark.parametrize("arguments", [(), ("--kart", "red")])
def test_a_broken_kart_is_told_with_its_place(karts: Karts, start: Start, arguments: tuple[str, ...]) -> None:
    path = karts.put("red", "setup:\n  toe: 5 psi\n")
    person = start(*arguments)
    status, shown = person.ends()
    assert status == 1
    assert f"{path}:2:8: " in shown.replace("\n", "") or f"{path}:2:8: " in shown


@pytest.mark.parametrize("arguments", [(), ("--kart", "red")])
def test_what_is_odd_about_the_kart_is_told_at_the_start(
    karts: Karts, start: Start, arguments: tuple[str, ...]
) -> None:
    karts.put("red", "setup: {tyre_pressure_rear: 60 psi, toe: 3 mm}\nrules: {toe: {max: 2 mm}}\n")
    shown = flat(start(*arguments).reads())
    assert "60 psi is unusual" in shown
    assert "toe stands at 3 mm, and the class allows at most 2 mm" in shown
    assert shown.index("60 psi is unusual") < shown.index(OPENING)


def test_an_unknown_kart_is_told_with_a_hint(karts: Karts, start: Start) -> None:
    karts.put("red", RED)
    status, shown = start("--kart", "rde").ends()
    assert status == 1
    assert 'did you mean "red"?' in flat(shown)


def test_rules_and_trailer_count_in_the_interview(karts: Karts, start: Start) -> None:
    karts.put("red", RED + "trailer: van\nclass_rules: club\n")
    karts.put("van", "rear_hub_length: [75 mm]\n", "trailers")
    karts.put("club", "rear_track_width: {min: 1380 mm, max: 1380 mm}\n", "classes")
    person = start()
    to_advice(person, LOOSE)
    assert "is withheld: the class allows" in flat(person.types("n rear track width"))
    assert "is withheld: no part for the axle stiffness is in the trailer" in flat(person.types("n axle"))


def test_units_that_its_owner_likes_hold_before_and_after_a_trial(karts: Karts, start: Start) -> None:
    """No pressure of a step in psi, neither in the first advice nor in that after the outcome."""
    karts.put("red", RED + "units: {pressure: bar, length: in}\n")
    person = start()
    before = changes(to_advice(person, LOOSE))
    assert before
    person.types("1")
    person.types("2")
    after = changes(person.types(""))
    assert after
    for text in (*before, *after):
        assert " psi" not in text
        assert " mm" not in text


def test_a_change_that_helped_is_written_into_the_kart_file_if_wanted(karts: Karts, start: Start) -> None:
    """Only that value changes; remarks and order stay to the letter, and the next start begins from it."""
    text = "# mine\n" + RED.replace("12 psi", "12 psi  # set cold")
    path = karts.put("red", text)
    shown = _helped(start, karts, "")
    assert "Written: " in shown
    (old, new) = _differing(text, path.read_text("utf-8"))
    lever, _, value = new.strip().partition(": ")
    assert old.strip().startswith(f"{lever}: ")
    assert karts.shown("red")[lever.replace("_", " ")] == value.partition("  #")[0]


def test_a_kart_file_is_left_alone_if_that_is_wanted(karts: Karts, start: Start) -> None:
    path = karts.put("red", RED)
    _helped(start, karts, "n")
    assert path.read_text("utf-8") == RED


def _helped(start: Start, karts: Karts, typed: str) -> str:
    """Choose the first change that gives a value, say that it helped, and answer about the file."""
    person = start()
    shown = to_advice(person, LOOSE)
    place = next(i for i, line in enumerate(changes(shown), start=1) if ", from " in line)
    person.types(str(place))
    person.types("1")
    assert "Write it into the kart file red too" in flat(person.types(""))
    shown = flat(person.types(typed))
    person.leaves("q")
    return shown


def _differing(one: str, other: str) -> tuple[str, str]:
    rows = [(a, b) for a, b in zip(one.splitlines(), other.splitlines(), strict=True) if a != b]
    assert len(rows) == 1
    return rows[0]


@pytest.mark.parametrize(("named", "offered"), [("red", True), ("blue", False)])
def test_an_interview_left_goes_on_only_with_its_own_kart(
    karts: Karts, start: Start, named: str, offered: bool
) -> None:
    karts.put("red", RED)
    karts.put("blue", RED)
    person = start("--kart", "red")
    person.reads()
    for text in (LOOSE, "", "", "", ""):
        person.types(text)
    person.leaves("q")
    assert ("Go on there?" in start("--kart", named).reads()) is offered
