"""Random walks at a screen: every state fits it, Ctrl-C or a kill at any moment loses nothing, and nothing breaks."""

from __future__ import annotations

import os
import random
import string
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from advisor.app.results import Waiting
from advisor.reasoning.weighing import Mind
from advisor.terminal import front
from tests.app.complaints import FRESH, MET
from tests.app.play import Play
from tests.journal.rows import IN_MEMORY
from tests.karts.folder import RED

EVERY = not {"ADVISOR_TEST_ALL", "ADVISOR_SOAK"}.isdisjoint(os.environ)
WALKS = 2000 if "ADVISOR_SOAK" in os.environ else 200 if EVERY else 30
STEPS = 12 if EVERY else 6
SIZES = ((80, 24), (40, 20))
KEYS = (
    "", "", "1", "2", "3", "4", "5", "6", "t", "b", "b", "k", "l", "s", "f", "a", "p", "m", "w", "i", "o", "h", "?",
    "x", "y", "n", "d", "plan", "0", "99", "-1", "1.5", "1 3", "2?", "w 2", "w 9", "i 1", "n axle", "n zzzz", "f 1",
    "f 2",
)  # fmt: skip
WORDS = (
    "better", "nope", "gone", "worse but it pushes", "its raining", "20 min left", "sound", "found it and mended it",
    "cannot", "both", "mid and exit", "the rear hops", "pedal is long", "brakes failed", "explain caster", "explain",
    "? toe", "keep exit traction", "keep my lunch", "not yet", "never mind", "i am the helper", "is it safe to drive?",
    "smoke comes up from under the seat", "same, 45.31 45.40 and 8 min left", "I did not say that", "no balance",
    "should i add caster? it pushes", "tomorrow it will rain, what do i prepare", "das Heck bricht aus", "Mia",
)  # fmt: skip
FOREIGN = (
    "\x1b[31mred\x1b[0m", "\x1b]0;title\x07", "\x1b[200~pasted text\x1b[201~", "\x1b[A\x1b[B", "\x9b2J", "\ud800",
    "\x00", "9" * 400, "word " * 2000, "first line\nsecond line\r\nthird", "\t\t", "%s %d {0} \\",
    "'; DROP TABLE event; --", "\u202eright to left", "\U0001f3ce\ufe0f", "ﬁ½²", "e\u0301" * 50, "q\x08",
    "../../etc/passwd",
)  # fmt: skip


@dataclass
class Screen:
    """A screen of one size that checks what is written on it; each line that is typed begins a new one."""

    width: int
    height: int
    lines: list[str] = field(default_factory=list)

    def write(self, text: str = "", style: str = "") -> None:
        self.lines.append(text)

    def typed(self, path: Sequence[str]) -> None:
        """Somebody types, on a line of its own."""
        shown = "\n".join(self.lines)
        assert len(self.lines) < self.height, (path, shown)
        assert max(map(len, self.lines), default=0) <= self.width, (path, shown)
        assert shown.replace("\n", "").isprintable(), (path, shown)
        self.lines.clear()


@dataclass
class Hands:
    """Types lines at random, so many; presses Ctrl-C or Ctrl-D at a random moment."""

    chance: random.Random
    screen: Screen
    left: int
    stops: int
    path: list[str] = field(default_factory=list)

    def __call__(self, prompt: str, words: Sequence[str] = ()) -> str:
        self.screen.typed(self.path)
        self.left -= 1
        if self.left < 0:
            raise EOFError
        if self.left == self.stops:
            self.stops = -1
            self.path.append("^C")
            raise KeyboardInterrupt
        self.path.append(self._line(words))
        return self.path[-1]

    def _line(self, words: Sequence[str]) -> str:
        kind = self.chance.random()
        if words and kind < 0.1:
            return self.chance.choice(words)[: self.chance.randint(2, 80)]
        if kind < 0.5:
            return self.chance.choice(KEYS)
        if kind < 0.75:
            return self.chance.choice(WORDS)
        if kind < 0.85:
            return self.chance.choice((*MET, *FRESH))
        if kind < 0.95:
            return self.chance.choice(FOREIGN)
        return "".join(self.chance.choices(string.printable, k=self.chance.randint(1, 60)))


@pytest.mark.parametrize("part", range(10))
def test_walks(mind: Mind, part: int) -> None:
    for seed in range(part, WALKS, 10):
        with TemporaryDirectory(dir=IN_MEMORY) as name:
            _walk(Play(mind, Path(name)), seed)


def _walk(play: Play, seed: int) -> None:
    """From the first prompt through an interruption to the end; in a third of the walks a kart is on file, or two."""
    chance = random.Random(seed)
    karts = play.folder / "karts" / "karts"
    karts.mkdir(parents=True)
    for name in ("red", "blue")[: seed % 3]:
        (karts / f"{name}.yaml").write_text(RED, "utf-8")
    screen = Screen(*SIZES[seed % 2])
    hands = Hands(chance, screen, STEPS, chance.randrange(STEPS))
    play.start()
    try:
        front.sit(play.sitting, hands, screen)
    except KeyboardInterrupt:
        screen.lines.clear()
        _resumed(play, (seed, hands.path))
        _goes_on(play, hands, screen)
    except EOFError:
        pass
    play.close()


def _goes_on(play: Play, hands: Hands, screen: Screen) -> None:
    """To the end from where it stands now."""
    if play.over:
        return
    with suppress(EOFError):
        front.sit(play.sitting, hands, screen)


def _resumed(play: Play, path: object) -> None:
    """What was known before is known after: facts, what was tried, what waits, and nothing is booked twice."""
    place, booked = play.sitting.place, play.trials()
    state = place.state if place else None
    play.start()
    assert play.trials() == booked, path
    waits = play.desk.each_waiting()
    if state is None or place is None or place.done:
        if isinstance(place, Waiting) and place.trial.verdict is None:
            assert place.trial.id in [trial.id for trial in waits], path
        return
    _to_the_sitting_left(play, path)
    now = play.sitting.place.state if play.sitting.place else None
    assert now is not None, path
    assert dict(now.case.observed) == dict(state.case.observed), path
    assert now.case.tried == state.case.tried, path
    assert set(now.case.cleared) >= set(state.case.cleared), path
    assert now.case.minutes == state.case.minutes, path
    assert now.reopened == state.reopened, path
    assert now.answers == state.answers, path
    assert now.gathered.understood.keys() >= state.gathered.understood.keys() - {"respelt"}, path


def _to_the_sitting_left(play: Play, path: object) -> None:
    """Past what waits to the sitting that was left, and into it."""
    for _ in range(4):
        if play.place == "left":
            play.types("")
            return
        play.types("5" if play.place == "outcome" else "")
    raise AssertionError(("it is not offered to go on", path))
