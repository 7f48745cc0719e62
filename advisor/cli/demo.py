"""`advisor demo`: one invented race day, played by the real engine and journal, answer by answer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from advisor.book.load import shipped
from advisor.book.written import as_data, case_from_data
from advisor.journal.store import Journal
from advisor.journal.trials import pending, trial_event, verdict_event
from advisor.model.advice import Advice
from advisor.model.case import Case, Tried
from advisor.reasoning.advise import Mind
from advisor.replay.scenario import read_scenarios
from advisor.terminal import show
from advisor.terminal.screen import screen
from advisor.terminal.session import Session

PAUSE = 0.6  # seconds between lines typed, so that a person can follow


def play(mind: Mind, path: Path, stamp: Callable[[], tuple[str, str]], pause: Callable[[float], None]) -> int:
    """Play the demo day on a journal at `path`, which the caller throws away."""
    out = screen()
    script = Script(mind, out.write, pause)
    with Journal(path) as journal:

        def keep(complaint: str, case: Case, advice: Advice) -> None:
            journal.append(trial_event(*stamp(), complaint, as_data(case), advice))

        session = Session(mind, script, out, keep)
        show.line(out, DEMO_INTRO)
        session.interview(script.case)
        waiting = pending(journal)
        assert waiting is not None
        show.heading(out, "Six laps later")
        told = session.verdict(waiting.change.say, waiting.change.feel_for)
        assert told is not None
        verdict, note = told
        assert verdict != "dropped"
        journal.append(verdict_event(*stamp(), waiting.id, verdict, note))
        case = case_from_data(waiting.case, mind.book)
        assert case is not None
        session.after(case, Tried(waiting.change.lever, waiting.change.direction, verdict))
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


QUESTIONS = 8  # then the driver takes what is best so far


class Script:
    """Plays the driver: types the complaint, answers from the truth, chooses the first change, says "same"."""

    def __init__(self, mind: Mind, show_line: Callable[[str], None], pause: Callable[[float], None]) -> None:
        self.mind, self.show_line, self.pause = mind, show_line, pause
        scenarios, _ = read_scenarios(shipped("scenarios") / "demo.yaml", mind.book)
        self.case = replace(scenarios[0].case, complaint="")
        self._opening = iter((COMPLAINT, "", "25", "", "both"))
        self._patience = QUESTIONS
        self._closing = iter(("1", "same", "six laps, dry, 12 psi hot", ""))

    def __call__(self, prompt: str, words: Sequence[str] = ()) -> str:
        text = next(self._opening, None)
        if text is None:
            text = self._from_truth(words) if words and "better" not in words else next(self._closing)
        self.pause(PAUSE)
        self.show_line(f"{prompt}{text}")
        self.pause(PAUSE)
        return text

    def _from_truth(self, words: Sequence[str]) -> str:
        """The true answer to the question whose answers are on offer, or "d" for don't know; then the best so far."""
        self._patience -= 1
        if self._patience < 0:
            return "t"
        for ident, answer in TRUTH.items():
            entry = self.mind.book.observations.get(ident)
            if (
                entry
                and answer in entry.answers
                and [a.text for a in entry.answers.values()] == list(words)[: len(entry.answers)]
            ):
                return str(list(entry.answers).index(answer) + 1)
        return "d"
