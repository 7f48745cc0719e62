"""What people typed in the pits, through a pseudo-terminal: lines read and keys pressed to the first advice.

Run as a module it prints a table for 80 x 24 and one for 40 x 20: `python -m tests.terminal.pits`.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.app.complaints import FRESH, MET, UNTUNED
from tests.terminal.person import Person
from tests.terminal.ways import ADVICE, STOP, TAKE, changes, flat


@dataclass(frozen=True, slots=True)
class Read:
    """One complaint: lines written, keys pressed besides the complaint, the longest screen, what came."""

    lines: int
    keys: int
    longest: int
    came: str


def reads(folder: Path, words: str, width: int = 80, height: int = 24) -> Read:
    """Type a complaint, take the best so far at the first question, and read the first advice or the stop."""
    person = Person(folder, width=width, height=height)
    try:
        person.reads()
        screens = [len(person.lines)]
        shown, keys = person.types(words), 0
        screens.append(len(person.lines))
        while ADVICE not in flat(shown) and STOP not in shown:
            key = "t" if TAKE in shown else "1"
            shown, keys = person.types(key), keys + len(key) + 1
            screens.append(len(person.lines))
        came = changes(shown)[0] if ADVICE in flat(shown) and changes(shown) else STOP
        return Read(sum(screens), keys, max(screens), came)
    finally:
        person.close()


def table(width: int, height: int) -> None:
    print(f"{width} x {height}\n\n| words | lines | keys | longest screen | first |\n|---|--:|--:|--:|---|")
    for words in (*MET, *FRESH, *UNTUNED):
        with TemporaryDirectory() as name:
            row = reads(Path(name), words, width, height)
        print(f"| {words[:60]} | {row.lines} | {row.keys} | {row.longest} | {row.came} |", flush=True)


if __name__ == "__main__":
    table(80, 24)
    table(40, 20)
