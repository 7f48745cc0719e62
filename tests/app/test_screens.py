"""Every state fits one screen with its keys: 80 x 24, 40 x 20, 160 x 24; and the first advice comes soon."""

from __future__ import annotations

import re

import pytest

from advisor.app.advising import Advising
from advisor.app.asking import Asking, Stopped
from advisor.app.opening import Known
from advisor.app.prompt import Prompt
from advisor.interview import steps
from advisor.model.case import Case
from advisor.planning.questions import as_question
from advisor.reasoning.weighing import Mind
from tests.app.complaints import FRESH, MET
from tests.app.play import HOPS, LOOSE, Play, height, said, widest

SCREENS = ((80, 24), (40, 20), (160, 24))
LINES = 40  # to the first advice at 80 columns
ASKED_FIRST = 6  # lines more where it is asked first whether it is dangerous


def fits(prompt: Prompt) -> None:
    """Height, width, all keys, every answer, and what must not be missing."""
    for width, tall in SCREENS:
        assert height(prompt, width, tall) <= tall, (prompt.place, width, said(prompt))
        assert widest(prompt, width, tall) <= width
        shown = lines(prompt, width, tall)
        for key in prompt.keys:
            assert key in shown, (prompt.place, width, key)
        for row in prompt.rows:
            if row.text[:1].isdigit() or (row.rank == 0 and row.text):
                assert row.text.split()[0] in shown, (prompt.place, width, row.text)


def lines(prompt: Prompt, width: int, tall: int) -> str:
    from advisor.terminal import layout

    return " ".join(text for text, _ in layout.lines(prompt, width, tall - 1))


def test_every_question_fits(play: Play, mind: Mind) -> None:
    """With all its answers in full on the wide screen, and the best so far on each."""
    play.start(LOOSE, "1")
    state = play.sitting.place.state if play.sitting.place else None
    assert state is not None
    first = Asking(state, as_question(mind.book.observations["track"], 0.0)).prompt(play.desk)
    best = first.rows[-1]
    for observation in mind.book.observations.values():
        asked = Asking(state, as_question(observation, 0.0))
        prompt = asked.prompt(play.desk) if observation.id == "track" else _shaped(play, asked, best.text)
        fits(prompt)
        for answer in observation.answers.values():
            assert answer.text.split()[0] in lines(prompt, 80, 24)


def _shaped(play: Play, asked: Asking, best: str) -> Prompt:
    """The prompt of a question without reasoning again what is best so far: it is the same for all."""
    from advisor.app import asking

    real, asking._best = asking._best, lambda *_: best
    try:
        return asked.prompt(play.desk)
    finally:
        asking._best = real


def test_every_stop_fits(play: Play, mind: Mind) -> None:
    play.start(LOOSE)
    for observation in mind.book.observations.values():
        for ident, answer in observation.answers.items():
            if answer.alarm:
                state = steps.begin(mind, Case(observed={observation.id: ident}))
                stop = steps.stopped(mind, state)
                assert stop is not None
                fits(Stopped(state, stop).prompt(play.desk))
                fits(Stopped(state, stop, cared=True).prompt(play.desk))


WALKS = (
    (
        "",
        "2",
        "3",
        "",
        "t",
        "1",
        "gone",
        "b",
        "better",
        "",
        "b",
        "b",
        "6",
        "1",
        "worse",
        "pushes on entry now",
    ),
    (HOPS, "t", "l", "s", "2", "nope", "it dried during the race", "p", "f", "n", "k", "1", "b", "b", "o"),
    ("the rear slides and pushes and hops", "t", "f", "", "worse", "", "1"),
    ("four stroke, bogs out of the hairpin", "t", "l", "f 1", "still there"),
    ("should i add caster? it pushes", "t", "1"),
    ("tomorrow it will rain, what do i prepare", "t"),
)


@pytest.mark.parametrize("walk", WALKS)
def test_every_state_on_the_way_fits(play: Play, walk: tuple[str, ...]) -> None:
    play.start()
    for line in walk:
        if play.over:
            break
        play.types(line)
    for prompt in play.prompts:
        fits(prompt)


@pytest.mark.parametrize("words", [*MET, *FRESH])
def test_the_first_advice_comes_within_forty_lines_and_few_keys(play: Play, words: str) -> None:
    """The opening, what is asked, and the advice or the stop, all lines that the program writes at 80 columns."""
    play.start(words)
    keys = 0
    for _ in range(12):
        if play.place in ("advice", "stop"):
            break
        play.types("t" if play.prompts[-1].keys[0] == "t: take it" else "1")
        keys += 2
    assert play.place in ("advice", "stop"), play.place
    assert keys <= 60
    total = sum(height(p, 80, 24) - 2 for p in play.prompts)  # neither the blank line nor what is typed
    danger = any("may mean danger" in row.text for p in play.prompts for row in p.rows)
    assert total <= LINES + (ASKED_FIRST if danger else 0), total
    for prompt in play.prompts:
        fits(prompt)


def test_all_that_can_be_known_at_once_fits_by_pages(play: Play, mind: Mind) -> None:
    """The list of facts may be long: then it is cut, and the rest is a page; nothing is lost by it."""
    play.start(LOOSE)
    observed = {o.id: next(iter(o.answers)) for o in list(mind.book.observations.values())[:12]}
    state = steps.begin(mind, Case(observed=observed))
    fits(Known(state).prompt(play.desk))


def test_values_are_rounded_as_people_set_them(play: Play) -> None:
    folder = play.folder / "karts" / "karts"
    folder.mkdir(parents=True)
    text = "setup: {tyre_pressure_rear: 0.75 bar, tyre_pressure_front: 0.75 bar, tyres: {kind: slick}}\n"
    (folder / "red.yaml").write_text(text + "units: {pressure: bar}\n", "utf-8")
    play.start("hops late in the run", "t")
    found = [row.text for row in play.prompts[-1].rows if " bar" in row.text]
    assert found
    for row in found:
        assert "0.05 bar" in row or "; rear " in row
        assert "0.034" not in row
        assert "0.75 to 0.8" in row or "0.75 to 0.7 " in row


def test_a_change_of_both_ends_says_from_where_to_where_for_each(play: Play) -> None:
    """Also on the small screen, and where it is written down."""
    folder = play.folder / "karts" / "karts"
    folder.mkdir(parents=True)
    text = "setup: {tyre_pressure_rear: 12 psi, tyre_pressure_front: 11 psi, tyres: {kind: slick}}\n"
    (folder / "red.yaml").write_text(text, "utf-8")
    play.start("it pushes, all four pressures are too low", "t")
    place = play.sitting.place
    assert isinstance(place, Advising)
    number = next(n for n, a in enumerate(place.offered, start=1) if a.lever == "tyre_pressure")
    for width, tall in SCREENS:
        shown = lines(play.prompts[-1], width, tall)
        assert "front 11 to 11.5 psi; rear 12 to 12.5 psi" in " ".join(shown.split())
    play.types(str(number))
    assert "front 11 to 11.5 psi; rear 12 to 12.5 psi" in play.text


def test_a_class_limit_is_not_rounded_over(mind: Mind) -> None:
    from advisor.app.wording import as_set
    from advisor.model.case import Limit
    from advisor.units import parse

    setup = {"tyre_pressure_rear": parse("0.80 bar")}
    rules = {"tyre_pressure_rear": Limit(most=parse("0.83 bar"))}
    state = steps.begin(mind, Case(observed={"balance": "hop", "when": "late"}, setup=setup, rules=rules))
    for advice in steps.answer(mind, state).advice:
        if advice.lever == "tyre_pressure_rear" and advice.to and advice.to.si:
            rounded = as_set(advice, mind.book, rules["tyre_pressure_rear"])
            assert rounded.to is not None
            assert rounded.to.si is not None
            assert rounded.to.si.si <= parse("0.83 bar").si + 1e-9


@pytest.mark.parametrize(
    ("p", "words"),
    [
        (0.1, "one in ten"),
        (0.5, "one in two"),
        (0.4, "two in five"),
        (0.36, "one in three"),
        (0.65, "two in three"),
        (0.9, "nine in ten"),
        (0.01, "a long shot"),
        (0.07, "one in 14"),
    ],
)
def test_chances_in_words(p: float, words: str) -> None:
    from advisor.app.wording import often

    assert often(p) == words


def test_it_cannot_tell_yet_says_what_to_look_at(play: Play) -> None:
    play.start("kart is odd", "t")
    assert "I cannot tell yet" in play.text or "No change stands out" in play.text
    assert play.types("a").place == "question"


def test_the_why_of_a_change_tells_how_it_helps_and_quotes_the_kart_model(play: Play) -> None:
    """For a change of the setup: what the cause needs, how the lever gives it, and what the wheel loads say."""
    play.start("it pushes in the middle of the corner, the front washes wide", "t")
    place = play.sitting.place
    assert isinstance(place, Advising)
    number = next(i for i, a in enumerate(place.offered, start=1) if a.lever == "caster")
    play.types(f"w {number}")
    assert "It needs more" in play.page
    assert "by the wheel loads: the inside rear lifts at" in play.page
    assert play.page.index("It needs more") < play.page.index("What speaks for that cause")


def test_long_shots_are_not_offered_as_something_to_try(play: Play) -> None:
    """A pedal that sinks, found sound: no change has a chance worth the name, and the screen says so."""
    play.start("brake pedal goes down slowly", "sound", "t")
    while play.place == "stop":
        play.types("sound")
    assert play.offered == []
    assert "Look first" in play.text
    assert "No change stands out beside that." in play.text


def test_the_evidence_names_each_thing_once_with_all_that_it_tells(play: Play) -> None:
    """What is measured tells twice, by how often it is seen and by what it makes of the rest."""
    play.start("the rear slides, all four pressures too low", "t", "w")
    told = re.findall(r"([a-z][a-z ]*): speaks [a-z ]+ \(odds x ([0-9.]+)\)", play.page)
    names = [name for name, _ in told]
    assert "the words as a whole" in names
    assert len(names) == len(set(names))
    assert float(dict(told)["hot pressure"]) > 30
