"""An invented season of a club: six days, two laptops, three karts, four drivers.

From a first complaint to a fix that the club found out itself and that changes the next advice, and one that loses
its trust. Run as `python -m tests.diary.season` it prints what the screens said.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.diary.paddock import Laptop
from tests.own.story import CASE, FIX, LEVER, OBSERVED, WAY

NOTES = ("calm on the way in, no jump", "better, holds now", "much calmer")
RUN = ("--weather", "cloudy 17 24 dry", "--pressures", "11 11 > 14.2 14", "--words", "jumps on the way in")


class Season:
    """Two laptops: one in the awning, one at the grid; every evening one is carried to the other."""

    def __init__(self, folder: Path) -> None:
        self.awning, self.grid = Laptop(folder / "awning"), Laptop(folder / "grid")
        (self.awning.folder / "loose.yaml").write_text(CASE, "utf-8")

    def evening(self) -> str:
        """Both journals become one; what is said of it."""
        said = []
        for source, target in ((self.grid, self.awning), (self.awning, self.grid)):
            path = source.folder / f"{source.now:%m%d}.jsonl"
            source("journal", "export", str(path))
            said.append(target("journal", "import", str(path)).text)
        later = max(self.awning.now, self.grid.now)
        for laptop in (self.awning, self.grid):
            laptop.now = later
            laptop.wait(days=7)
        return " ".join(said)

    def advice(self, kart: str = "red") -> str:
        """What the awning would advise for the same complaint today."""
        case = str(self.awning.folder / "loose.yaml")
        return self.awning("advise", case, "--kart", kart, "--journal", str(self.awning.journal)).out

    def outcome(self, laptop: Laptop, kart: str, verdict: str, note: str = "", driver: str = "") -> str:
        """A change is driven, and what came of it told to the program."""
        laptop.tries(kart, OBSERVED, LEVER, WAY, "jumps on the way in")
        more = [*(["--note", note] if note else []), *(["--driver", driver] if driver else [])]
        return laptop.wait(minutes=25)("outcome", verdict, "--kart", kart, *more).text

    def days(self) -> Iterator[tuple[str, str]]:
        """What was said on each of the days, by a name."""
        yield "first note", self.awning("diary", "--kart", "red", *RUN, "--laps", "45.9 45.8 45.85").out
        yield "first advice", self.advice()
        yield "first outcome", self.outcome(self.awning, "red", "better", NOTES[0])
        self.outcome(self.grid, "blue", "better", NOTES[1])
        yield "evening", self.evening()
        for i in range(3):
            self.outcome(
                self.awning if i % 2 else self.grid, "red", "better", NOTES[i], "Jo" if i == 2 else ""
            )
            self.evening()
        yield "draft", self.awning("fix", "draft", "--author", "the club").out
        yield "trust", self.awning("fix", "trust", FIX).out
        yield "learnt advice", self.advice()
        self.evening()
        self.outcome(self.grid, "green", "worse")
        yield "lost", self.evening()
        yield "last advice", self.advice()
        yield "good", self.awning("history", "--good", "--kart", "red").out
        yield "list", self.awning("fix", "list").out


def main() -> None:
    with TemporaryDirectory() as folder:
        for name, said in Season(Path(folder)).days():
            print(f"--- {name}\n{said}")


if __name__ == "__main__":
    main()
