"""Danger told at any prompt: what asks for a name, a number, a verdict or yes or no takes it in as a complaint."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from advisor.app import after_run, hear
from advisor.app.asking import Asking, Stopped
from advisor.app.danger import ASKED_FIRST, Told, asks, no_name, told
from advisor.app.looking import Amiss, Looking
from advisor.app.opening import KartChoice, Known, LeftOff, Opening, Today
from advisor.app.place import Go, Place, heard
from advisor.app.prompt import Row, news
from advisor.app.results import Noting, Waiting, Whose
from advisor.app.workspace import Workspace
from advisor.interview import steps
from advisor.interview.choices import chosen, numbered
from advisor.interview.steps import State
from advisor.reasoning.weighing import Mind


def first(desk: Workspace, place: Place, text: str, words: Sequence[str], opening: Opening) -> Go | None:
    """Where a line leads that tells of danger where something else was asked; None for every other line.

    `words` are what the prompt offers; `opening`: where a complaint is told if the place knows none yet.
    """
    if isinstance(place, Opening | Noting) or not text or numbered(words, text) is not None:
        return None
    mind = desk.mind
    if isinstance(place, Today) and no_name(mind, text):
        return _complaint(desk, text, opening)
    danger = told(mind, text)
    if _is_answer(mind, place, text, danger):
        return None
    state = place.state or (_of_trial(desk, place) if danger else None)
    if state is not None:
        return _heard(desk, state, text, danger)
    return _complaint(desk, text, opening) if danger else None


def begins(place: Place) -> Opening:
    """The opening that a place before it leads to."""
    if isinstance(place, Opening):
        return place
    if isinstance(place, Today):
        return place.then
    if isinstance(place, LeftOff):
        return begins(place.other)
    if isinstance(place, Whose):
        return begins(place.after)
    if isinstance(place, KartChoice):
        return Opening(notes=place.notes)
    return Opening()


def _is_answer(mind: Mind, place: Place, text: str, danger: Told) -> bool:
    """True where the place takes the line in by itself: an answer, a verdict with a note, what was found."""
    if isinstance(place, Asking):
        return place.meant(mind, text) is not None
    if isinstance(place, Amiss):
        return chosen(mind, place.look.question, text) is not None
    if isinstance(place, Waiting):
        came = after_run.came(text)
        return came is not None and (not danger.answers or bool(told(mind, came.note).answers))
    if isinstance(place, Looking):
        return hear.found(text) == "mended"
    if isinstance(place, Stopped):
        known = {place.stop.reason, *place.stop.also}
        return hear.found(text) in ("mended", "wrong") or all(f"{q}: {a}" in known for q, a in danger.answers)
    if isinstance(place, Known):  # a fact of the list is named to be taken back
        return (
            bool(danger.answers)
            and {q for q, _ in danger.answers} <= place.state.gathered.evidence.told.keys()
        )
    return False


def _of_trial(desk: Workspace, place: Place) -> State | None:
    """What is known where a change waits for its outcome, with what was told beside it."""
    case = desk.case(place.trial.case) if isinstance(place, Waiting) else None
    if case is None or not isinstance(place, Waiting):
        return None
    state = steps.begin(desk.mind, case)
    return steps.more_words(desk.mind, state, place.beside) if place.beside else state


def _complaint(desk: Workspace, text: str, opening: Opening) -> Go:
    """The line as the first words of a new matter."""
    desk.anew()
    go = opening.reply(desk, text)
    return replace(go, said=(*go.said, news("Taken as what the kart does, not as an answer.")))


def _heard(desk: Workspace, state: State, text: str, danger: Told) -> Go | None:
    """The line as news; what only may mean danger is asked about, once."""
    if danger.answers:
        now = steps.more_words(desk.mind, state, text)
        return Go(on=now, said=(_row("Heard, and that comes first."),))
    asked = asks(desk.mind, state, text)
    if not asked:
        return None
    now, told = heard(desk, state, text) or (steps.more_words(desk.mind, state, text), ())
    return Go(on=replace(now, reopened=asked), said=(*told, _row(ASKED_FIRST)))


def _row(text: str) -> Row:
    return news(text, "bold")
