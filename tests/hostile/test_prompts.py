"""The interview on a pseudo-terminal: Ctrl-C and Ctrl-D at every prompt, odd typing, and what the journal keeps."""

from __future__ import annotations

import os
import re
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest

from advisor.journal.store import Journal
from advisor.journal.trials import trials
from tests.hostile.command import HANG, Advisor
from tests.journal import rows

pexpect = pytest.importorskip("pexpect")
pytestmark = pytest.mark.skipif(os.name == "nt", reason="needs a pseudo-terminal")

CTRL_C, CTRL_D = "\x03", "\x04"
# Private modes of terminals (xterm control sequences): a prompt switches bracketed paste on when it starts to
# read and off when it has read; it shows the cursor again when it is drawn.
STARTS, ENDS, DRAWN = "\x1b\\[\\?2004h", "\x1b[?2004l", "\x1b\\[\\?25h"
COMPLAINT = "loose in the rear, mid corner, it slides slowly"
# What stands on the screen when each prompt waits; the first ones are reached from a new journal.
OPENING = "What does the kart do"
QUESTION = "Question "
CHOICE = "fix it now"
OUTCOME = "What came of it"
NOTE = "What else does it do now"
LEFT = "Nothing that was written down is lost"


class Terminal:
    """A person at the program: waits for a prompt, types, and sees the program end."""

    def __init__(self, advisor: Advisor, *arguments: str) -> None:
        environment = {**advisor.environment, "TERM": "xterm", "PROMPT_TOOLKIT_NO_CPR": "1"}
        command, *rest = advisor.argv(*arguments)
        self._child = pexpect.spawn(
            command,
            rest,
            cwd=str(advisor.folder),
            env=environment,
            encoding="utf-8",
            codec_errors="replace",
            dimensions=(50, 100),
            timeout=HANG,
        )
        self._child.delaybeforesend = None
        self.seen = ""

    def sees(self, *pieces: str) -> int:
        """Wait for one of some patterns; which one came."""
        place = int(self._child.expect(list(pieces)))
        self.seen += self._child.before + self._child.after
        return place

    def asks(self) -> str:
        """Wait for the next prompt; what was shown since the last one was answered, and the prompt."""
        start = len(self.seen)
        self.sees(STARTS)
        self.sees(DRAWN)
        return self.seen[start:].rsplit(ENDS, 1)[-1]

    def waits(self, piece: str) -> None:
        """Wait for the next prompt, which must stand below that text."""
        shown = self.asks()
        assert piece in shown, shown

    def types(self, text: str) -> None:
        self._child.send(text + "\r")

    def presses(self, key: str) -> None:
        self._child.send(key)

    def ends(self) -> int:
        """Wait for the end; the exit status. A signal counts as a crash."""
        self._child.expect(pexpect.EOF)
        self.seen += self._child.before
        self._child.close()
        assert "Traceback" not in self.seen
        assert self._child.signalstatus is None
        return int(self._child.exitstatus)

    def kill(self, number: int) -> None:
        self._child.kill(number)

    def close(self) -> None:
        self._child.close(force=True)


@pytest.fixture
def terminal(advisor: Advisor) -> Iterator[Terminal]:
    found = Terminal(advisor)
    yield found
    found.close()


PROMPTS = (OPENING, QUESTION, CHOICE)


def reach(terminal: Terminal, prompt: str) -> str:
    """Tell the complaint and take the best so far, until that prompt waits; what is shown then."""
    while prompt not in (shown := terminal.asks()):
        assert any(each in shown for each in PROMPTS), shown
        terminal.types(COMPLAINT if OPENING in shown else "t")
    return shown


def kept(path: Path) -> list[str | None]:
    """The verdicts of all trials in a journal; None for one that waits."""
    with Journal(path, read_only=True) as journal:
        return [t.verdict for t in trials(journal)]


@pytest.fixture
def waiting(advisor: Advisor) -> Advisor:
    """The command with one change in its journal that waits for an outcome."""
    rows.write(advisor.journal, rows.trial())
    return advisor


@pytest.mark.parametrize("key", [CTRL_C, CTRL_D], ids=["ctrl-c", "ctrl-d"])
@pytest.mark.parametrize("prompt", PROMPTS)
def test_leaving_at_a_prompt_is_sane(terminal: Terminal, prompt: str, key: str) -> None:
    reach(terminal, prompt)
    terminal.presses(key)
    terminal.sees(LEFT)
    assert terminal.ends() == 130


@pytest.mark.parametrize("key", [CTRL_C, CTRL_D], ids=["ctrl-c", "ctrl-d"])
@pytest.mark.parametrize("arguments", [(), ("outcome",)], ids=["interview", "outcome"])
def test_leaving_when_the_outcome_is_asked_for_loses_nothing(
    waiting: Advisor, arguments: tuple[str, ...], key: str
) -> None:
    person = Terminal(waiting, *arguments)
    person.waits(OUTCOME)
    person.presses(key)
    person.sees(LEFT)
    assert person.ends() == 130
    assert kept(waiting.journal) == [None]


@pytest.mark.parametrize("key", [CTRL_C, CTRL_D], ids=["ctrl-c", "ctrl-d"])
def test_leaving_when_the_note_is_asked_for_loses_nothing(waiting: Advisor, key: str) -> None:
    person = Terminal(waiting, "outcome")
    person.waits(OUTCOME)
    person.types("1")
    person.waits(NOTE)
    person.presses(key)
    person.sees(LEFT)
    assert person.ends() == 130
    assert kept(waiting.journal) in ([None], ["better"])


@pytest.mark.parametrize("key", [CTRL_C, CTRL_D], ids=["ctrl-c", "ctrl-d"])
def test_leaving_after_the_outcome_keeps_it(waiting: Advisor, key: str) -> None:
    person = Terminal(waiting, "outcome")
    person.waits(OUTCOME)
    person.types("worse")
    person.waits(NOTE)
    person.types("six laps")
    person.waits(CHOICE)
    assert kept(waiting.journal) == ["worse"]
    person.presses(key)
    person.sees(LEFT)
    assert person.ends() == 130
    assert kept(waiting.journal) == ["worse"]


@pytest.mark.parametrize("word", ["q", "quit", "exit", "Q", " quit "])
@pytest.mark.parametrize("prompt", PROMPTS)
def test_a_word_leaves_too(terminal: Terminal, prompt: str, word: str) -> None:
    reach(terminal, prompt)
    terminal.types(word)
    terminal.sees(LEFT)
    assert terminal.ends() == 0


@pytest.mark.parametrize(
    "typed", ["0", "99", "-1", "1.5", "zzz", "9" * 300, "ß" * 50, "\U0001f3ce", "1; drop"]
)
@pytest.mark.parametrize("prompt", [QUESTION, CHOICE], ids=["question", "choice"])
def test_odd_typing_is_asked_again(terminal: Terminal, prompt: str, typed: str) -> None:
    reach(terminal, prompt)
    terminal.types(typed)
    terminal.sees("A number|None of that|No change is chosen|Not understood")
    assert prompt in terminal.asks()
    terminal.presses(CTRL_C)
    terminal.sees(LEFT)
    assert terminal.ends() == 130


def test_nonsense_at_the_start_is_answered_with_questions(terminal: Terminal) -> None:
    terminal.waits(OPENING)
    terminal.types("asdf qwertz")
    reach(terminal, QUESTION)
    terminal.presses(CTRL_D)
    assert terminal.ends() == 130


def test_pasted_escape_codes_are_not_played_back(terminal: Terminal) -> None:
    """Bracketed paste brings them in as text; the title of the window must not change."""
    terminal.waits(OPENING)
    terminal.presses("\x1b[200~loose on entry \x1b]0;evil\x07\x1b[201~")
    terminal.types("")
    terminal.waits(QUESTION)
    terminal.presses(CTRL_C)
    assert terminal.ends() == 130
    assert not re.search("\x1b\\]0;evil", terminal.seen)


def test_a_chosen_change_is_in_the_journal_before_it_is_confirmed(advisor: Advisor) -> None:
    person = Terminal(advisor)
    reach(person, CHOICE)
    person.types("1")
    person.sees("Written down")
    assert kept(advisor.journal) == [None]
    person.asks()
    person.types("q")
    assert person.ends() == 0


@pytest.mark.parametrize("signal_name", ["SIGKILL", "SIGTERM", "SIGHUP"])
def test_a_confirmed_change_outlives_a_process_that_is_killed(advisor: Advisor, signal_name: str) -> None:
    person = Terminal(advisor)
    reach(person, CHOICE)
    person.types("1")
    person.sees("Written down")
    person.kill(getattr(signal, signal_name))
    person.close()
    assert kept(advisor.journal) == [None]


def test_a_terminal_that_goes_away_at_a_prompt_loses_nothing(waiting: Advisor) -> None:
    """The lid of the laptop is shut: the pseudo-terminal is closed under the program."""
    person = Terminal(waiting, "outcome")
    person.waits(OUTCOME)
    person.types("2")
    person.waits(NOTE)
    person.close()
    assert kept(waiting.journal) in ([None], ["same"])
    assert waiting("outcome", "worse").status in (0, 1)


def test_why_and_back_lead_to_the_same_question(terminal: Terminal) -> None:
    assert "Question 1" in reach(terminal, QUESTION)
    terminal.types("?")
    assert len(terminal.asks()) > 100
    terminal.types("zzz")
    terminal.waits("Not understood")
    terminal.types("d")
    terminal.waits("Question 2")
    terminal.types("b")
    terminal.waits("Question 1")
    terminal.presses(CTRL_C)
    terminal.sees(LEFT)
    assert terminal.ends() == 130
