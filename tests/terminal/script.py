"""A session without a terminal: what a driver types is written beforehand, what is shown is text."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from advisor.interview.steps import State
from advisor.model.advice import Advice
from advisor.model.case import Case
from advisor.reasoning.advise import Mind
from advisor.terminal.prompts import LeaveError
from advisor.terminal.screen import PlainScreen
from advisor.terminal.session import Session
from tests.terminal.reading import question
from tests.terminal.ways import CHOICE, KEEP, MINUTES, RIGHT, SOUND, WHO

NARROW = 60
WIDE = 300  # nothing is wrapped, so that texts can be compared as they are


@dataclass
class Driver:
    """What is typed at each kind of prompt, one after the other; then Enter, and at the choice no more."""

    complaint: str = ""
    right: Sequence[str] = ()  # where what was understood may be corrected
    minutes: str = ""
    keep: str = ""
    answers: Sequence[str] = ()  # at questions, those asked again too
    choice: Sequence[str] = ()  # at the advice
    sound: Sequence[str] = ()  # where a stop asks whether what it wants inspected is sound
    enough: bool = False  # whether to stop when the answers are used up
    asking: bool = True  # whether questions are asked now, or the advice stands there

    def __post_init__(self) -> None:
        self._right, self._answers = iter(self.right), iter(self.answers)
        self._choice, self._sound = iter(self.choice), iter(self.sound)
        self._begun = False

    def types(self, prompt: str, screen: str) -> str | None:
        """The next line for what is on the screen; None where nothing more was to be typed."""
        text = " ".join(f"{screen} {prompt}".split())
        last = max((MINUTES, KEEP, WHO, SOUND, RIGHT), key=text.rfind)
        if last in text and question(screen) is None:
            if last == MINUTES:
                return self.minutes
            if last == KEEP:
                return self.keep
            if last == WHO:
                return ""
            return next(self._sound if last == SOUND else self._right, "")
        if not self._begun and question(screen) is None:
            self._begun = True
            return self.complaint
        if question(screen) is not None:
            self.asking = True
        elif CHOICE in text:
            self.asking = False
        if self.asking:
            return next(self._answers, None if self.enough else "")
        return next(self._choice, None)


@dataclass
class Play:
    """What came of a session: what was shown before each typed line and after the last, what was kept."""

    mind: Mind
    driver: Driver | Iterator[str]
    width: int = WIDE
    shown: list[str] = field(default_factory=list)
    prompts: list[str] = field(default_factory=list)
    offered: list[tuple[str, ...]] = field(default_factory=list)  # completions, for each prompt
    trials: list[tuple[str, Case, Advice]] = field(default_factory=list)
    states: list[tuple[State, bool]] = field(default_factory=list)
    left: bool = False  # by a word such as q
    ended: bool = False  # by itself, with no line missing

    def run(self, what: Callable[[Session], object]) -> Play:
        """Play a part of the session until it ends, is left, or no line is left."""
        stream = io.StringIO()

        def ask(prompt: str, words: Sequence[str] = ()) -> str:
            self._cut(stream)
            self.prompts.append(prompt)
            self.offered.append(tuple(words))
            text = self._typed(prompt)
            if text is None:
                raise EOFError
            return text

        session = Session(self.mind, ask, PlainScreen(stream, self.width), self._keep, self._remember)
        try:
            what(session)
            self.ended = True
        except LeaveError:
            self.left = True
        except EOFError:
            return self
        self._cut(stream)
        return self

    def _typed(self, prompt: str) -> str | None:
        if isinstance(self.driver, Driver):
            return self.driver.types(prompt, self.shown[-1])
        return next(self.driver, None)

    def _cut(self, stream: io.StringIO) -> None:
        """Put aside what was shown since the last prompt."""
        self.shown.append(stream.getvalue())
        stream.seek(0)
        stream.truncate()

    def _keep(self, complaint: str, case: Case, advice: Advice) -> None:
        self.trials.append((complaint, case, advice))

    def _remember(self, state: State, done: bool) -> None:
        self.states.append((state, done))

    @property
    def last(self) -> str:
        """What was shown last."""
        return self.shown[-1]

    @property
    def advice(self) -> str:
        """The last screen with the advice."""
        return next(s for s in reversed(self.shown) if "In short" in s)

    @property
    def questions(self) -> list[str]:
        """The screens that asked a question, in order."""
        return [s for s in self.shown if question(s) is not None]

    @property
    def state(self) -> State:
        """The state that was remembered last."""
        return self.states[-1][0]


def interview(
    mind: Mind,
    complaint: str,
    *,
    right: Sequence[str] = (),
    limits: tuple[str, str] = ("", ""),
    answers: Sequence[str] = (),
    choice: Sequence[str] = (),
    sound: Sequence[str] = (),
    enough: bool = False,
    case: Case | None = None,
    width: int = WIDE,
) -> Play:
    """Play an interview from its beginning to the advice, and on as far as choices are given.

    With `enough` only as far as answers are given.
    """
    driver = Driver(complaint, right, *limits, answers, choice, sound, enough)
    return Play(mind, driver, width).run(lambda session: session.interview(case or Case()))


def typing(mind: Mind, *lines: str) -> Play:
    """A play of some part of a session in which these lines are typed, whatever stands there."""
    return Play(mind, iter(lines))
