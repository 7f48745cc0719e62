"""A person at the program on a pseudo-terminal: types a line, and reads what is shown until the next prompt."""

from __future__ import annotations

import os
import re
import signal
import sys
from pathlib import Path

import pexpect

ROOT = Path(__file__).parents[2]
HANG = 30.0  # seconds until a run counts as hanging; no measure of speed
CTRL_C, CTRL_D, TAB, UP = "\x03", "\x04", "\t", "\x1b[A"
# A prompt is ready when bracketed paste has been switched on and then the cursor is shown again, both of
# them DEC private modes of xterm (Control Sequences, "DEC Private Mode Set": 2004 and 25). A dumb terminal
# has neither; there a line that ends with "> " and no line feed is the prompt.
READY = re.compile(r"\x1b\[\?2004h[^\x04]*?\x1b\[\?25h")
DUMB_READY = re.compile(r"\n(?:|[A-Za-z][^\n]*)> \Z")
# A line editor has its say between these two (bracketed paste on and off).
EDITING, EDITED = "\x1b[?2004h", "\x1b[?2004l"
PROMPTS = (">",)
CODES = re.compile(r"\x1b\[[0-?]*[ -/]*[@-~]|\x1b[@-Z\\-_]")
KEPT = ("PATH", "SYSTEMROOT", "TEMP", "TMP")  # what a process cannot start without


class Person:
    """One run of the program, from its start to its end."""

    def __init__(
        self, folder: Path, *arguments: str, width: int = 100, height: int = 50, **changes: str
    ) -> None:
        environment = {
            **{name: os.environ[name] for name in KEPT if name in os.environ},
            "HOME": str(folder),
            "PYTHONPATH": str(ROOT),
            "PYTHONDONTWRITEBYTECODE": "1",
            "LC_ALL": "C.UTF-8",
            "TERM": "xterm",
            "PROMPT_TOOLKIT_NO_CPR": "1",
            "ADVISOR_JOURNAL": str(folder / "journal.sqlite3"),
            "ADVISOR_KARTS": str(folder / "karts"),
            **changes,
        }
        self._ready = DUMB_READY if environment["TERM"] == "dumb" else READY
        self._child = pexpect.spawn(
            sys.executable,
            ["-m", "advisor", *arguments],
            cwd=str(folder),
            env=environment,
            encoding="utf-8",
            codec_errors="backslashreplace",
            dimensions=(height, width),
            timeout=HANG,
        )
        self._child.delaybeforesend = None
        self.raw = ""  # everything that came, codes included
        self._part = ""  # what came last
        self._typed = ""

    def reads(self) -> str:
        """Wait for the next prompt; what was shown since the last one, without codes."""
        if self._child.expect([self._ready, pexpect.EOF]) == 1:
            raise AssertionError(f"no prompt any more, the program ended: {plain(self._read())}")
        return self._shown(self._read())

    def types(self, text: str) -> str:
        """Type a line at the prompt; what is shown until the next prompt."""
        self._typed = text
        self._child.send(f"{text}\r")
        return self.reads()

    def sends(self, line: bytes) -> str:
        """Send bytes as they are; what is shown until the next prompt."""
        os.write(self._child.child_fd, line)
        return self.reads()

    def presses(self, keys: str, until: str) -> str:
        """Press keys without Enter, and wait until a text stands there."""
        self._child.send(keys)
        self._child.expect_exact(until)
        return self._shown(self._read())

    def leaves(self, text: str | None = None, keys: str = "") -> tuple[int, str]:
        """Type the last line, or press a key, and see the program end: its status, and what it showed."""
        self._typed = text or ""
        self._child.send(keys if text is None else f"{text}\r")
        return self.ends()

    def ends(self) -> tuple[int, str]:
        """See the program end: its status, and what it showed. No traceback, no death by a signal."""
        self._child.expect(pexpect.EOF)
        shown = self._shown(self._read())
        self._child.close()
        assert "Traceback" not in self.raw, self.raw
        assert self._child.exitstatus is not None, f"killed by a signal: {self.raw}"
        return self._child.exitstatus, shown

    def crashes(self) -> None:
        """Kill the program as a power cut would."""
        self._child.kill(signal.SIGKILL)
        self._child.wait()
        self.close()

    def dies(self, number: signal.Signals) -> None:
        """End the program by a signal."""
        self._child.kill(number)
        self._child.wait()
        self.close()

    def resizes(self, height: int, width: int) -> None:
        """Drag the window to another size."""
        self._child.setwinsize(height, width)

    def close(self) -> None:
        self._child.close(force=True)

    def _read(self) -> str:
        """What came up to the text that was waited for, and that text; at the end all that came."""
        return "".join(part for part in (self._child.before, self._child.after) if isinstance(part, str))

    def _shown(self, raw: str) -> str:
        self.raw += raw
        self._part = raw
        return plain(raw)

    @property
    def lines(self) -> list[str]:
        """The lines that the program wrote itself, the last time: without prompts, and what is typed there."""
        own = self._part.rpartition(EDITED)[2].partition(EDITING)[0]
        found = plain(own).split("\n")
        if found[-1].startswith(PROMPTS):
            found.pop()
        while found and found[0].strip() in ("", self._typed):
            found.pop(0)
        while found and not found[-1].strip():
            found.pop()
        return [line.rstrip() for line in found]


def plain(raw: str) -> str:
    """A stretch of terminal output as text: no codes, plain line ends."""
    return CODES.sub("", raw).replace("\r\n", "\n").replace("\r", "")
