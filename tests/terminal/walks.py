"""Random walks on a real pseudo-terminal, each ended in a way in which a sitting ends in the pits, and resumed.

`python -m tests.terminal.walks N [SEED]` prints how many walks ended how, after every ten; it stops at the first that
lost anything, showed a traceback or wrote past the screen.
"""

from __future__ import annotations

import random
import signal
import sys
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.app.complaints import FRESH, MET, UNTUNED
from tests.app.test_walks import KEYS, WORDS
from tests.journal.rows import IN_MEMORY
from tests.terminal.kept import left, tried
from tests.terminal.person import CTRL_C, CTRL_D, Person
from tests.terminal.ways import GO_ON, LEFT, OPENING, OUTCOME, flat

STEPS = 6
SIZES = ((80, 24), (40, 20))
CODES = (
    "\x1b[200~pasted text\x1b[201~",
    "\x1b[200~two\nlines\x1b[201~",
    "\x1b[31mred",
    "\x1b]0;evil\x07",
    "\x1b[A",
    "\x1b[M",
)
ENDS = ("ctrl-c", "ctrl-d", "q", "kill", "term", "hang up", "window")
SIGNALS = {"kill": signal.SIGKILL, "term": signal.SIGTERM, "hang up": signal.SIGHUP}
WAITS = ("Mended", "That was probably it")  # a stop that was mended is asked about first


class OverError(Exception):
    """The walk came to its own end."""


def walk(folder: Path, seed: int, cache: str) -> str:
    """One walk, and how it ended; `cache` keeps the knowledge of all walks."""
    chance = random.Random(seed)
    width, height = SIZES[seed % 2]
    person = Person(folder, width=width, height=height, XDG_CACHE_HOME=cache)
    try:
        person.reads()
        for _ in range(chance.randint(1, STEPS)):
            if chance.random() < 0.2:
                width, height = chance.choice(SIZES)
                person.resizes(height, width)
            _types(person, chance, width)
        how = chance.choice(ENDS)
        _ends(person, how)
    except OverError:
        how = "its own end"
    finally:
        person.close()
        assert "Traceback" not in person.raw, (seed, person.raw[-2000:])
    _resumed(folder, seed, cache)
    return how


def _types(person: Person, chance: random.Random, width: int) -> None:
    kind = chance.random()
    if kind < 0.15:
        text = chance.choice(CODES)
    else:
        text = chance.choice(KEYS if kind < 0.6 else WORDS if kind < 0.8 else (*MET, *FRESH, *UNTUNED))
    try:
        person.types(text)
    except AssertionError as error:
        if "the program ended" not in str(error):
            raise
        raise OverError from None
    assert max(map(len, person.lines), default=0) <= width, person.lines


def _ends(person: Person, how: str) -> None:
    if how in SIGNALS:
        person.dies(SIGNALS[how])
    elif how == "window":
        person.close()
    else:
        keys = {"ctrl-c": CTRL_C, "ctrl-d": CTRL_D, "q": "q\r"}[how]
        status, shown = person.leaves(keys=keys)
        assert status == (0 if how == "q" else 130), (status, shown)
        assert LEFT in flat(shown), shown


def _resumed(folder: Path, seed: int, cache: str) -> None:
    """What was written down is there, and what was left or waits is offered."""
    booked, sitting = tried(folder), left(folder)
    waits = [t for t in booked if t.verdict is None and not t.dropped]
    person = Person(folder, width=80, height=24, XDG_CACHE_HOME=cache)
    try:
        shown = flat(person.reads())
        wanted = OUTCOME if waits else GO_ON if sitting else OPENING
        assert wanted in shown or (sitting and any(w in shown for w in WAITS)), (seed, wanted, shown)
        assert "Traceback" not in person.raw
    finally:
        person.close()
    assert tried(folder) == booked, seed


def main(many: int, first: int = 0) -> None:
    ends: Counter[str] = Counter()
    with TemporaryDirectory(dir=IN_MEMORY) as cache:
        for seed in range(first, first + many):
            with TemporaryDirectory(dir=IN_MEMORY) as name:
                ends[walk(Path(name), seed, cache)] += 1
            if ends.total() % 10 == 0 or ends.total() == many:
                print(
                    f"{ends.total()} walks, all resumed with nothing lost, no traceback: {dict(ends)}",
                    flush=True,
                )


if __name__ == "__main__":
    main(*(int(a) for a in sys.argv[1:]))
