"""Ends of a matter: what was found and mended, and what is right now."""

from __future__ import annotations

from dataclasses import dataclass, replace

from advisor.app import after_run
from advisor.app.place import Go, heard_or, stay
from advisor.app.prompt import EMPTY, Prompt, Row, news, options
from advisor.app.workspace import Workspace
from advisor.interview import steps
from advisor.interview.choices import numbered
from advisor.interview.steps import State
from advisor.model.advice import Advice, Stop

GONE_OR_NOT = ("driven, and it is gone", "driven, and it is still there", "not driven yet")


@dataclass(frozen=True)
class Mended:
    """Something was found and put right: that was probably it."""

    state: State
    text: str
    done: bool = False

    def prompt(self, desk: Workspace) -> Prompt:
        rows = (
            Row("That was probably it.", "bold"),
            Row(self.text, indent=1, most=5),
            EMPTY,
            *options(GONE_OR_NOT),
        )
        return Prompt(
            "mended",
            rows,
            ("or in your own words", "b: take it back", "h: keys", "q: leave, tell it next time"),
        )

    def reply(self, desk: Workspace, text: str) -> Go:
        place = numbered(GONE_OR_NOT, text)
        said = after_run.came(text) if place is None and text else None
        if place == 2 or (not text):
            return stay("Drive a few careful laps first; q leaves, and it is asked here next time.")
        if place == 0 or (said and said.verdict == "better"):
            return Go(to=Closed(self.state, "Good: that is settled, and written down."))
        if place == 1 or said:
            last, trial = self.state.case.tried[-1], desk.find(desk.trial)
            if trial is not None and trial.change.lever == last.lever:
                desk.verdict(trial, "same", "something was mended, and it is still there")
            tried = (*self.state.case.tried[:-1], replace(last, verdict="same", mended=True))
            state = steps.having(desk.mind, self.state, replace(self.state.case, tried=tried))
            return Go(on=state, said=(news("So there was more to it. It goes on from there."),))
        return heard_or(desk, self.state, text, "A number from 1 to 3, or q to leave.")


def put_right(desk: Workspace, state: State, look: Advice, note: str = "", stopped: Stop | None = None) -> Go:
    """Something was found and mended: it is written down, and was probably it. `stopped`: what that answers."""
    trial = desk.keep(state, look)
    desk.verdict(trial, "better", note)

    def undo() -> tuple[Row, ...]:
        desk.drop(trial, "taken back")
        return (news("Taken back: it counts as not mended."),)

    state = steps.tried(desk.mind, state, look.lever, look.direction, "better")
    return Go(on=steps.checked(desk.mind, state, stopped) if stopped else state, undo=undo)


@dataclass(frozen=True)
class Closed:
    """The end of a matter: thanks, and what was learnt."""

    state: State | None
    text: str
    learnt: tuple[str, ...] = ()
    done: bool = True

    def prompt(self, desk: Workspace) -> Prompt:
        rows = [
            Row(self.text, "bold", most=4),
            *(Row(t, indent=1, hang=2, most=3, rank=3) for t in self.learnt),
        ]
        return Prompt(
            "closed",
            tuple(rows),
            ("Enter: leave", "n: another matter", "b: take it back", "o: earlier sittings"),
        )

    def reply(self, desk: Workspace, text: str) -> Go:
        if text.lower() in ("", "bye", "thanks", "thank you", "ok", "done"):
            return Go(over=True)
        ends = "Enter leaves; n begins another matter."
        return heard_or(desk, self.state, text, ends) if self.state else stay(ends)
