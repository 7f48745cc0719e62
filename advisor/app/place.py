"""A place of a sitting: it shows a prompt, and says where a line that was typed leads. What all places share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from advisor.app import hear, wording
from advisor.app.felt import said_of
from advisor.app.prompt import Page, Prompt, Row, news
from advisor.app.workspace import Workspace
from advisor.interview import steps
from advisor.interview.steps import State
from advisor.journal.trials import Trial


@dataclass(frozen=True, slots=True)
class Go:
    """Where a line leads: to a place, on from a state, to waiting for a trial's outcome, or nowhere: it stays.

    `undo` takes back what the line did to the journal or a file; it is kept until "back" is typed. `over` ends the
    sitting.
    """

    to: Place | None = None
    on: State | None = None
    trial: Trial | None = None
    said: tuple[Row, ...] = ()
    page: Page | None = None
    undo: Callable[[], tuple[Row, ...]] | None = None
    over: bool = False


class Place(Protocol):
    """Where a sitting stands. `state` is what is known so far, if anything; `done`: nothing is left to ask."""

    @property
    def state(self) -> State | None: ...

    @property
    def done(self) -> bool: ...

    def prompt(self, desk: Workspace) -> Prompt: ...

    def reply(self, desk: Workspace, text: str) -> Go: ...


def stay(text: str) -> Go:
    """Stay where it is, with one sentence."""
    return Go(said=(news(text),))


BARE = {"dry": "it is dry", "wet": "it is wet"}  # news in a word that phrases read only in a sentence
YES, NO = ("", "y", "yes", "ok", "yeah", "yep", "sure"), ("n", "no", "nope", "not now")


def heard(desk: Workspace, state: State, text: str) -> tuple[State, tuple[Row, ...]] | None:
    """The state after some news in free words, and what was heard; None where nothing was."""
    text = BARE.get(text.strip().lower(), text)
    mind, bits = desk.mind, []
    left, wish, who = hear.minutes(text), hear.wish(text), hear.who(text)
    if left is not None:
        bits.append(f"{left:g} min left")
    if who:
        bits.append(f"answers from {'the driver' if who == 'driver' else 'a helper'}")
    now = steps.limited(mind, state, left, wish, who) if left is not None or wish or who else state
    if wish:
        kept = sorted(now.gathered.evidence.keep - state.gathered.evidence.keep)
        names = ", ".join(mind.book.effects[e].name for e in kept)
        bits.append(f"kept: {names}" if kept else f'"{wish}" is no effect that can be kept')
    elif not text.strip().isdigit() and len(text.strip()) > 1:
        more = steps.more_words(mind, now, text)
        told = {k: v for k, v in steps.news(now, more).items() if k not in ("respelt", "keep")}
        if told:
            now = more
            bits.append(wording.listed(told, mind.book))
        elif not bits and said_of(mind, text).told:
            return state, (news("That is known already."),)
    return (now, (news(f"Heard: {'; '.join(bits)}."),)) if bits else None


def heard_or(desk: Workspace, state: State, text: str, otherwise: str) -> Go:
    """On with news in free words; where nothing was heard it stays, with one sentence."""
    told = heard(desk, state, text)
    return Go(on=told[0], said=told[1]) if told else stay(otherwise)
