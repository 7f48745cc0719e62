"""A sitting without a terminal: lines typed one after the other, and the prompts that came."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from advisor.app.prompt import Prompt
from advisor.app.sitting import Sitting, begun
from advisor.app.workspace import Workspace
from advisor.journal.store import Journal
from advisor.journal.trials import Trial, trials
from advisor.reasoning.weighing import Mind
from advisor.terminal import layout

HOPS = "hops in the fast ones late in the run"
LOOSE = "the rear steps out in the middle of the corner"


def stamp() -> tuple[str, str]:
    return uuid.uuid4().hex, datetime.now(UTC).isoformat(timespec="microseconds")


@dataclass
class Play:
    """A sitting at a journal and karts on file in one folder; every start is another run of the program."""

    mind: Mind
    folder: Path
    prompts: list[Prompt] = field(default_factory=list)
    kart: str | None = None

    def start(self, *lines: str) -> Play:
        """Leave the sitting that runs, as a crash would, and start again."""
        self.close()
        self.journal = Journal(self.folder / "journal.sqlite3")
        self.desk = Workspace(self.journal, self.folder / "karts", self.mind, stamp)
        self.sitting: Sitting = begun(self.desk, self.kart)
        self._note()
        return self.types(*lines)

    def types(self, *lines: str) -> Play:
        for line in lines:
            assert self.sitting.prompt is not None, f"it was over before {line!r}"
            self.sitting.reply(line)
            self._note()
        return self

    def _note(self) -> None:
        if self.sitting.prompt is not None:
            self.prompts.append(self.sitting.prompt)

    def close(self) -> None:
        if hasattr(self, "journal"):
            self.journal.close()

    @property
    def over(self) -> bool:
        return self.sitting.prompt is None

    @property
    def place(self) -> str:
        """The kind of place where it stands."""
        assert self.sitting.prompt is not None
        return self.sitting.prompt.place

    @property
    def text(self) -> str:
        """All that the last prompt says, in one line."""
        return said(self.prompts[-1])

    @property
    def news(self) -> str:
        """What came of the line before."""
        return " ".join(row.text for row in self.prompts[-1].said)

    @property
    def page(self) -> str:
        page = self.prompts[-1].page
        assert isinstance(page, tuple), page
        return " ".join(row.text for row in page)

    @property
    def known(self) -> dict[str, object]:
        """What is understood where it stands."""
        place = self.sitting.place
        assert place is not None
        assert place.state is not None
        return place.state.gathered.understood

    @property
    def offered(self) -> list[str]:
        """The changes on the screen."""
        return list(self.prompts[-1].words)

    def trials(self) -> list[Trial]:
        return trials(self.journal)


def said(prompt: Prompt) -> str:
    return " ".join(row.text for row in (*prompt.said, *prompt.rows))


def height(prompt: Prompt, width: int, screen: int) -> int:
    """Lines that a prompt takes on a screen, the blank one above and the one to type on among them."""
    return len(layout.lines(prompt, width, screen - 1)) + 2


def widest(prompt: Prompt, width: int, screen: int) -> int:
    return max((len(text) for text, _ in layout.lines(prompt, width, screen - 1)), default=0)


def complete(prompt: Prompt, width: int, screen: int) -> Sequence[str]:
    """The keys that cannot be seen on a screen."""
    shown = " ".join(text for text, _ in layout.lines(prompt, width, screen - 1))
    return [key for key in prompt.keys if key not in shown]
