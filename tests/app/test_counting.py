"""Sums asked in the middle of a sitting: answered on one screen, and the sitting goes on; complaints are no sums."""

from __future__ import annotations

import pytest

from advisor.app.at_hand import at_hand
from advisor.app.counting import counted
from advisor.app.prompt import Counted
from advisor.app.sitting import KEYS
from advisor.model.case import WEIGHT, Case, Limit, Pieces
from advisor.sums import asked
from advisor.terminal import computed
from advisor.terminal.front import _lines, _page
from advisor.units import parse
from tests.app.play import LOOSE, Play

SUMS = {
    "what pressure should I start with": "pressure",
    "Twelve eighty-two or eleven eighty?": "gearing",
    "how much oil in five litres": "premix",
    "where do I put four kilos?": "ballast",
    "and how many links for 12 82 at 203 mm centre": "chain",
    "how fast is 11 80 at 14000 rpm": "gearing",
    "will an 88 tooth sprocket hit the kerb": "clearance",
    "should i jet up today, it's 8 C and 1025 hPa": "air",
    "mix 25:1 in 7 litres": "premix",
    "what will 0.7 bar cold at 15 C be when hot at 62 C": "pressure",
    "lambda is 0.9, is that rich": "mixture",
    "what cold pressure for 14 psi hot if it is 20 c and tyres reach 65 c": "pressure",
    "what gearing for a long straight?": "gearing",
    "which sprocket for a tight twisty track": "gearing",
    "at how many g does the inside rear lift at 60 km/h": "loads",
    "jetted at 15 degrees 1013, today 28 and 1005": "air",
    "egt 640 lambda .91": "mixture",
    "add 5 litres at 25:1 to 3 litres at 20:1": "premix",
    "200 ml in 5 litres, what ratio": "premix",
    "cold from hot: 0.95 bar at 60 C, air 20 C": "pressure",
}
COMPLAINTS = (
    "82 teeth, the others have 83",
    "it pushes since we went from 11 to 12 psi",
    "bogs out of the hairpin at 7000 rpm with 11 82",
    "slides at the rear with 14 psi hot",
    "no revs at the end of the straight, gearing is 11 80",
    "chain came off twice, 104 links",
    "too slow on the straight by 0.5 s, we run 12 82 and the others 12 81",
    "we put 4 kg of lead on the seat and now it hops",
    "45.3 45.2 45.4, loses speed on the straight",
    "it smokes, the mix is 25:1 in 5 litres",
    "the sprocket with 88 teeth touches the ground on the kerbs",
    "what can I do, it bogs at 7000 rpm with 11 82",
)


@pytest.mark.parametrize(("text", "name"), SUMS.items())
def test_a_sum_is_answered_and_the_sitting_stays_where_it_was(play: Play, text: str, name: str) -> None:
    play.start(LOOSE)
    before = play.sitting.place
    play.types(text)
    page = play.prompts[-1].page
    assert isinstance(page, Counted)
    assert page.answer.row.name == name
    assert play.sitting.place is before
    play.types("1")
    assert play.sitting.place is not before


@pytest.mark.parametrize("text", COMPLAINTS)
def test_a_complaint_that_holds_figures_is_no_sum(play: Play, text: str) -> None:
    play.start()
    assert counted(play.desk, None, text) is None
    play.types(text)
    assert not isinstance(play.prompts[-1].page, Counted)


def test_some_of_the_complaints_would_pass_for_sums() -> None:
    """Or the test before would test nothing."""
    assert sum(asked(text) is not None for text in COMPLAINTS) >= 4


@pytest.mark.parametrize(
    "text",
    [
        "waist tube has a crack with rust weeping out, dad says they all do. what tyre pressures for a slippy morning",
        "There's a gash in the sidewall as long as my thumb from a bumper. Hasn't gone down yet. What pressure to set?",
        "return spring snapped off the carb so I've used an elastic band, what jet for 28 degrees?",
    ],
)
def test_danger_told_with_a_sum_comes_first(play: Play, text: str) -> None:
    assert asked(text) is not None
    play.start(LOOSE).types(text)
    assert not isinstance(play.prompts[-1].page, Counted)
    assert play.sitting.place is not None
    seen = " ".join(row.text for prompt in play.prompts[-2:] for row in prompt.rows)
    assert play.place == "stop" or "danger" in seen or "comes first" in seen


def test_a_story_is_no_sum_whatever_is_asked_in_it(play: Play) -> None:
    text = (
        f"{'the kart ran well all day and everybody was glad of it ' * 4}, how much oil in 5 litres at 40:1"
    )
    play.start(LOOSE)
    assert asked(text) is not None
    assert counted(play.desk, None, text) is None


@pytest.mark.parametrize("place", ["opening", "question", "advice", "stop", "waiting"])
def test_at_any_prompt(play: Play, place: str) -> None:
    lines = {
        "opening": (), "question": (LOOSE,), "advice": (LOOSE, "t"), "stop": ("brake pedal goes to the floor",),
        "waiting": (LOOSE, "t", "2"),
    }  # fmt: skip
    play.start(*lines[place]).types("how much oil in five litres at 40:1")
    page = play.prompts[-1].page
    assert isinstance(page, Counted)
    assert page.answer.outcome is not None
    assert page.answer.outcome.figures[0].text == "125 ml"


def test_explain_answers_it_too(play: Play) -> None:
    play.start(LOOSE, "explain how much oil in five litres")
    assert isinstance(play.prompts[-1].page, Counted)


def test_the_keys_tell_of_it() -> None:
    assert any("how much oil" in what for _, what in KEYS)


class Kept:
    """A screen that keeps its lines."""

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height, self.lines = width, height, list[str]()

    def write(self, text: str = "", style: str = "") -> None:
        self.lines.append(text)


@pytest.mark.parametrize("text", SUMS)
def test_it_stands_on_one_screen(play: Play, text: str) -> None:
    """Above the prompt where both fit, else on one page of 80 x 24."""
    play.start(LOOSE, text)
    prompt = play.prompts[-1]
    assert prompt.page is not None
    lines = _lines(prompt.page, play.mind.book, play.mind.lexicon, 80)
    assert len(lines) <= 24 - 3
    screen = Kept(80, 24)
    _page(prompt, lines, lambda *_: "", screen)
    assert not any("(1 of 2)" in line for line in screen.lines)


def test_what_is_known_of_the_kart_and_the_day_is_taken_and_told() -> None:
    weights: Pieces = (
        ("front left", parse("34 kg")),
        ("front right", parse("35 kg")),
        ("rear left", parse("47 kg")),
        ("rear right", parse("46 kg")),
    )
    known = at_hand(
        Case(conditions={"air_temperature": parse("22 degC")}, pieces={"corner_weights": weights})
    )
    lead = asked("where do I put four kilos", known)
    assert lead is not None
    assert lead.outcome is not None
    assert lead.missing == ()
    assert set(lead.taken) == {"front_left", "front_right", "rear_left", "rear_right"}
    screen = Kept(80, 24)
    computed.short(screen, lead)
    assert any(
        "From your kart and day: front left 34" in line.replace("\u00a0", " ") for line in screen.lines
    )
    cold = asked("what pressure should I start with", known)
    assert cold is not None
    assert cold.missing == ("hot", "to")
    assert cold.taken == ("at",)


def test_the_lift_of_this_kart_is_told_where_it_is_asked_for() -> None:
    """A light kart on the scales, with its own tracks, lifts elsewhere than the usual one; that stands first."""
    weights: Pieces = tuple(
        (corner, parse(f"{mass} kg"))
        for corner, mass in zip(
            ("front left", "front right", "rear left", "rear right"), (20, 21, 34, 33), strict=True
        )
    )
    kart = Case(
        setup={"rear_track_width": parse("1300 mm"), "caster": parse("18 deg")},
        pieces={"corner_weights": weights},
    )
    question = "at how many g does the inside rear lift at 60 km/h"
    own, usual = asked(question, at_hand(kart)), asked(question, at_hand(Case()))
    assert own is not None
    assert usual is not None
    assert {"total", "front", "rear_track", "caster"} <= set(own.taken)
    assert usual.taken == ()
    lifts = [answer.outcome.figures[0] for answer in (own, usual)]  # type: ignore[union-attr]
    assert [figure.name for figure in lifts] == ["lifts_at", "lifts_at"]
    assert lifts[0].value != lifts[1].value
    screen = Kept(80, 24)
    computed.short(screen, own)
    assert any("lifts at" in line for line in screen.lines)


def test_what_the_class_asks_for_tells_how_much_lead() -> None:
    weights: Pieces = tuple(
        (corner, parse("37 kg")) for corner in ("front left", "front right", "rear left", "rear right")
    )
    known = at_hand(Case(pieces={"corner_weights": weights}, rules={WEIGHT: Limit(least=parse("150 kg"))}))
    lead = asked("how much lead do I need and where", known)
    assert lead is not None
    assert lead.outcome is not None
    assert next(f.value for f in lead.outcome.figures if f.name == "mass") == pytest.approx(2)


def test_what_is_told_counts_before_what_was_known() -> None:
    known = {"engine_teeth": "11", "axle_teeth": "80", "at": "22 degC"}
    pair = asked("how fast is 12 82 at 14000 rpm", known)
    assert pair is not None
    assert pair.taken == ()
    cold = asked("what cold pressure for 14 psi hot if it is 20 c and tyres reach 65 c", known)
    assert cold is not None
    assert cold.taken == ()
