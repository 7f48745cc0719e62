"""An invented season of a club: six days, two laptops, three karts, four drivers; its files are in scenarios/season.

From the plan of a test day to a fix that the club found out itself and that changes the next advice, and that loses
its trust again. Run as `python -m tests.diary.season` it prints what the screens said.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.diary.paddock import Laptop, Said

FILES = Path(__file__).parents[2] / "scenarios" / "season"
FIX = "front_track_width_narrower_oversteer"
LOOSE = "loose on the way in, it grabs and lets go all at once, inside rear lifts hard and drops, rubbered"
IDEA = "should i narrow the front track"  # the club's own: the trade has other changes first
PUSHES = "pushes mid corner, dry"


@dataclass(frozen=True, slots=True)
class Step:
    """One command of the season: its name, on which laptop, what was typed, and what came."""

    name: str
    laptop: str
    typed: str
    came: Said


class Season:
    """Two laptops: one in the awning, one at the grid; every evening each is carried to the other."""

    def __init__(self, folder: Path, width: int = 100) -> None:
        self.awning, self.grid = Laptop(folder / "awning", width=width), Laptop(folder / "grid", width=width)
        for laptop in (self.awning, self.grid):
            shutil.copytree(FILES, laptop.folder, dirs_exist_ok=True)
            shutil.copytree(FILES / "karts", laptop.folder / "garage" / "karts", dirs_exist_ok=True)

    def types(self, name: str, laptop: Laptop, *arguments: str, lines: tuple[str, ...] = ()) -> Step:
        """A command typed in the folder of a laptop; `lines` are what is typed at its prompts."""
        laptop.wait(minutes=5)
        came = laptop.sits(*arguments, lines=lines) if lines else laptop(*arguments)
        typed = " ".join(f'"{a}"' if " " in a else a for a in arguments)
        return Step(name, laptop.folder.name, typed, came)

    def evening(self) -> Iterator[Step]:
        """Each journal goes to the other laptop, and a week passes."""
        for source, target in ((self.grid, self.awning), (self.awning, self.grid)):
            path = f"../{source.folder.name}-{source.now:%m%d}.jsonl"
            yield self.types("export", source, "journal", "export", path)
            step = self.types("import", target, "journal", "import", path)
            yield replace(step, name="disputed") if "two things were said" in step.came.text else step
        later = max(self.awning.now, self.grid.now)
        for laptop in (self.awning, self.grid):
            laptop.now = later.replace(hour=9, minute=0)
            laptop.wait(days=7)

    def tries_it(self, laptop: Laptop, kart: str, driver: str = "") -> Step:
        """The complaint of the season, and the club's own idea asked about and chosen."""
        who = ("--driver", driver) if driver else ()
        typed = (LOOSE, "t", IDEA, "narrow the front track", "q")
        return self.types("chooses", laptop, "--kart", kart, *who, lines=typed)

    def notes(
        self, laptop: Laptop, kart: str, words: str, laps: str, pressures: str = "11 11 > 14.2 14"
    ) -> Step:
        """A run noted in one line."""
        lines = ("--weather", "cloudy 17 24 dry", "--pressures", pressures, "--words", words, "--laps", laps)
        return self.types("note", laptop, "diary", "--kart", kart, *lines)

    def advice(self, name: str, laptop: Laptop) -> Step:
        """What is advised for the complaint of the season today."""
        case = ("advise", "loose.yaml", "--kart", "red", "--journal", "journal.sqlite3")
        return self.types(name, laptop, *case)

    def steps(self) -> Iterator[Step]:
        """All of it, day by day."""
        for day in (self._test_day, self._second, self._third, self._fourth, self._fifth, self._sixth):
            yield from day()

    def _test_day(self) -> Iterator[Step]:
        """A plan, its runs, and the laps judged; a race mechanic at the grid has another trouble."""
        awning, grid = self.awning, self.grid
        yield self.types("plan", awning, "plan", "plan.yaml")
        yield self.notes(awning, "red", "jumps on the way in", "45.58 45.52 45.62 45.47")
        yield self.advice("first advice", awning)
        yield self.tries_it(awning, "red")
        record = ("--record", "--driver", "better", "--kart", "red", "--who", "Mia")
        awning.wait(minutes=150)
        yield self.types("judged", awning, "judge", "test_day.csv", *record)
        yield self.types("pushes", grid, "--kart", "blue", lines=(PUSHES, "t", "1", "q"))
        grid.wait(minutes=30)
        yield self.types("no change", grid, "outcome", "same", "--kart", "blue", "--note", "no change at all")
        yield from self.evening()

    def _second(self) -> Iterator[Step]:
        """Another kart with the trouble of the first, at the grid."""
        yield self.tries_it(self.grid, "blue")
        yield self.notes(self.grid.wait(minutes=30), "blue", "better, holds now", "45.9 45.8 45.85")
        yield self.types("outcome", self.grid, "outcome", "better", "--kart", "blue", "--note", "holds now")
        yield from self.evening()

    def _third(self) -> Iterator[Step]:
        """Both laptops at work, and the same trial told twice."""
        awning, grid = self.awning, self.grid
        yield self.tries_it(grid, "green")
        awning.wait(minutes=30)
        yield self.types("export", grid, "journal", "export", "../noon.jsonl")
        yield self.types("import", awning, "journal", "import", "../noon.jsonl")
        yield self.types("outcome", awning, "outcome", "worse", "--kart", "green", "--note", "I think")
        yield self.types("outcome", grid.wait(minutes=30), "outcome", "better", "--kart", "green")
        yield from self.evening()

    def _fourth(self) -> Iterator[Step]:
        """A fourth driver; a fix is drafted, and is not trusted yet."""
        awning = self.awning
        whose = self._whose("green")
        yield self.types("settled", awning, "outcome", "better", "--trial", whose, "--note", "Ida drove it")
        yield self.tries_it(awning, "red", "Jo")
        yield self.types("outcome", awning.wait(minutes=30), "outcome", "better", "--kart", "red")
        yield self.types("draft", awning, "fix", "draft", "--author", "the club")
        yield self.types("not yet", awning, "fix", "trust", FIX)
        yield from self.evening()

    def _fifth(self) -> Iterator[Step]:
        """One more, and it is trusted: the next advice has it first, on both laptops."""
        grid = self.grid
        yield self.tries_it(grid, "blue")
        yield self.types("outcome", grid.wait(minutes=30), "outcome", "better", "--kart", "blue")
        yield self.types("trust", grid, "fix", "trust", FIX)
        yield from self.evening()
        yield self.types("trust", self.awning, "fix", "trust", FIX)
        yield self.advice("learnt advice", self.awning)

    def _sixth(self) -> Iterator[Step]:
        """It fails at the grid, and loses its trust on both laptops."""
        awning, grid = self.awning, self.grid
        yield self.types("fails", grid, "--kart", "green", lines=(LOOSE, "t", "1", "q"))
        yield self.types("lost", grid.wait(minutes=30), "outcome", "worse", "--kart", "green")
        yield from self.evening()
        yield self.advice("last advice", awning)
        yield self.types("good", awning, "history", "--good", "--kart", "red")
        yield self.types("history", awning, "history", "--kart", "red")
        yield self.types("list", awning, "fix", "list")
        yield self.types("score", awning, "score")
        yield self.types("next plan", awning, "plan", "plan.yaml", "--who", "Mia")

    def _whose(self, kart: str) -> str:
        """The latest trial of a kart, as the history shows it."""
        shown = self.awning("history", "--kart", kart).out
        return next(w.split()[2] for w in reversed(shown.splitlines()) if " tried " in w)


def main() -> None:
    """Print the season."""
    with TemporaryDirectory() as folder:
        for step in Season(Path(folder), 80).steps():
            print(f"\n--- {step.name}: {step.laptop}$ advisor {step.typed}  ({step.came.status})")
            print(f"{step.came.out}{step.came.err}")


if __name__ == "__main__":
    main()
