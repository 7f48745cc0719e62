"""Asking with completion and history, played on a pipe instead of a keyboard."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from prompt_toolkit.application import create_app_session
from prompt_toolkit.application.current import get_app_or_none
from prompt_toolkit.completion import CompleteEvent
from prompt_toolkit.document import Document
from prompt_toolkit.input import PipeInput, create_pipe_input
from prompt_toolkit.output import DummyOutput

from advisor.terminal.ask import TerminalAsk

ENTER, UP, CTRL_C, CTRL_D = "\r", "\x1b[A", "\x03", "\x04"


class Watching(DummyOutput):
    """An output that notes, whenever it is drawn on, what would be offered for the letters "be"."""

    offered: tuple[str, ...] = ()

    def flush(self) -> None:
        app = get_app_or_none()
        if app is not None:
            found = app.current_buffer.completer.get_completions(Document("be"), CompleteEvent())
            self.offered = tuple(c.text for c in found)


@contextmanager
def keyboard() -> Iterator[tuple[TerminalAsk, Watching, PipeInput]]:
    """Something to ask with, what it draws on, and the pipe that types."""
    with create_pipe_input() as pipe:
        output = Watching()
        with create_app_session(input=pipe, output=output):
            yield TerminalAsk(["it hops", "it pushes"]), output, pipe


def test_what_is_typed_is_handed_back() -> None:
    with keyboard() as (ask, _, pipe):
        pipe.send_text("loose on entry" + ENTER)
        assert ask("> ") == "loose on entry"


def test_the_answers_on_offer_complete_what_is_typed() -> None:
    with keyboard() as (ask, output, pipe):
        pipe.send_text("1" + ENTER)
        ask("> ", ["Better", "same", "worse"])
        assert output.offered == ("Better",)


def test_a_prompt_without_answers_offers_none_of_the_prompt_before() -> None:
    with keyboard() as (ask, output, pipe):
        pipe.send_text("1" + ENTER)
        ask("> ", ["better", "same", "worse"])
        pipe.send_text("note" + ENTER)
        ask("A note> ")
        assert output.offered == ()


@pytest.mark.parametrize(("times", "text"), [(1, "it pushes"), (2, "it hops")])
def test_the_arrow_brings_back_earlier_complaints_the_latest_first(times: int, text: str) -> None:
    with keyboard() as (ask, _, pipe):
        pipe.send_text(UP * times + ENTER)
        assert ask("> ") == text


@pytest.mark.parametrize(("key", "error"), [(CTRL_C, KeyboardInterrupt), (CTRL_D, EOFError)])
def test_the_keys_for_leaving_are_told_apart(key: str, error: type[BaseException]) -> None:
    with keyboard() as (ask, _, pipe):
        pipe.send_text(key)
        with pytest.raises(error):
            ask("> ")


@pytest.mark.parametrize("code", ["\x1b[31m", "\x1b[<0m", "\x1b]0;evil\x07", "\x1b[M"])
def test_codes_that_look_like_a_mouse_break_nothing(code: str) -> None:
    with keyboard() as (ask, _, pipe):
        pipe.send_text(code + "x" + ENTER)
        assert isinstance(ask("> "), str)
