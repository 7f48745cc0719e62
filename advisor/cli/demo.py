"""`advisor demo`: one invented race day, played by the real engine and journal, answer by answer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from advisor.app.asking import Asking
from advisor.app.opening import Opening
from advisor.app.results import Waiting
from advisor.app.sitting import Sitting
from advisor.app.workspace import Workspace
from advisor.book.load import shipped
from advisor.interview.choices import choices
from advisor.journal.store import Journal
from advisor.reasoning.weighing import Mind
from advisor.replay.scenario import read_scenarios
from advisor.terminal import show
from advisor.terminal.front import sit
from advisor.terminal.screen import Screen, screen

PAUSE = 0.6  # seconds between lines typed, so that a person can follow


def play(mind: Mind, path: Path, stamp: Callable[[], tuple[str, str]], pause: Callable[[float], None]) -> int:
    """Play the demo day on a journal at `path`, which the caller throws away."""
    out = screen()
    with Journal(path) as journal:
        desk = Workspace(journal, path.parent, mind, stamp)
        scenarios, _ = read_scenarios(shipped("scenarios") / "demo.yaml", mind.book)
        sitting = Sitting(desk, Opening(replace(scenarios[0].case, complaint="")))
        show.line(out, DEMO_INTRO)
        sit(sitting, Script(sitting, out, pause), out)
    show.heading(
        out, "That was the demo: an invented club, a real engine, a journal that is thrown away now."
    )
    show.line(out, "Your own: type advisor")
    return 0


DEMO_INTRO = (
    "A made-up club day. A junior driver comes in: the kart slides at the rear. Nothing here is real but the "
    "reasoning: the same program, the same knowledge, and a journal that is thrown away at the end."
)
COMPLAINT = "its losse in the raer, mid corner. no hop"
# What is true of the invented kart; the script answers whatever it is asked from this.
TRUTH = {
    "onset": "gradual",
    "front_first": "no",
    "inside_rear": "soft",
    "hands": "smooth",
    "field": "only_us",
    "tyre_age": "mid",
    "tyre_wear": "even",
    "tyre_heat_end": "rears",
    "when": "whole",
    "direction": "both",
    "corner_speed": "slow",
    "pedal": "firm",
    "contact": "no",
    "work": "nothing",
    "braking": "straight",
    "throttle": "squeezed",
    "grip_feel": "normal",
    "track": "dry",
    "slower_test": "stays",
    "starting": "as_always",
    "shake": "as_always",
    "other_driver": "same",
}


QUESTIONS = 2  # more, then the driver takes what is best so far


class Script:
    """Plays the driver: types the complaint, answers from the truth, chooses the first change, says "same"."""

    def __init__(self, sitting: Sitting, out: Screen, pause: Callable[[float], None]) -> None:
        self.sitting, self.out, self.pause = sitting, out, pause
        self._patience = QUESTIONS
        self._first = "dry, and 25 min left"  # news may be told with an answer
        self._at_advice = iter(("1", "q"))

    def __call__(self, prompt: str, words: Sequence[str] = ()) -> str:
        text = self._types()
        self.pause(PAUSE)
        self.out.write(f"{prompt}{text}")
        self.pause(PAUSE)
        return text

    def _types(self) -> str:
        place = self.sitting.place
        if isinstance(place, Opening):
            return COMPLAINT
        if isinstance(place, Asking):
            return self._from_truth(place)
        if isinstance(place, Waiting):
            show.heading(self.out, "Six laps later")
            return "nope, 12 psi hot"
        return next(self._at_advice, "q")

    def _from_truth(self, place: Asking) -> str:
        """The true answer to the question, or "" for don't know; then the best so far."""
        if self._first:
            text, self._first = self._first, ""
            return text
        self._patience -= 1
        if self._patience < 0:
            return "t"
        answer = TRUTH.get(place.asked.id)
        offered = choices(self.sitting.desk.mind, place.asked)
        return next((str(n) for n, c in enumerate(offered, start=1) if answer in c.answers), "")
