"""What the README shows of the program, made by the program; run as a module, it writes it there."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.diary.season import Season, Step
from tests.own import story

README = Path(__file__).parents[2] / "README.md"
EXPLAINED = "seat strut"
CUT = "[...]"
JUDGED = (
    "--a 45.52 45.38 45.41 45.35 45.44 46.90",
    "--b 45.21 45.10 45.18 45.09 45.24 45.15",
    "--a 45.49 45.37 45.30 45.43 45.36 45.40",
    "--driver better",
)  # laps of an invented junior


def transcript() -> str:
    """The demo: the first question, the last, the advice, and what the outcome taught."""
    lines = _advisor("demo", "--fast").splitlines()
    second = next(
        i for i, line in enumerate(lines) if line.startswith("Known: ") and i > _at(lines, "Question 1")
    )
    taken = next(i for i, line in enumerate(lines) if line == "> t")
    last = max(i for i in range(taken) if lines[i].startswith("Known: "))
    end = next(i for i, line in enumerate(lines) if line == "> q")
    kept = [*lines[:second], CUT, "", *lines[last : end + 1]]
    return "```text\n" + "\n".join(kept) + "\n```\n"


def _at(lines: list[str], start: str) -> int:
    return next(i for i, line in enumerate(lines) if line.startswith(start))


def _first_change(lines: list[str], start: int) -> int:
    """The line after the first change that follows `start`."""
    place = next(i for i in range(start, len(lines)) if lines[i].startswith("1. "))
    return next(i for i in range(place, len(lines)) if not lines[i])


def example() -> str:
    """One word explained."""
    return f"```text\n$ advisor explain {EXPLAINED}\n{_advisor('explain', EXPLAINED)}```\n"


def judged() -> str:
    """The judge's example, command and answer."""
    typed = " \\\n    ".join(("$ advisor judge", *JUDGED))
    with TemporaryDirectory() as name:  # with no journal: days that somebody kept would count
        shown = _advisor("judge", *" ".join(JUDGED).split(), place=Path(name))
    return f"```text\n{typed}\n{shown}```\n"


def team() -> str:
    """A team's fix from three days of trials to the advice that it changes."""
    with TemporaryDirectory() as name:
        place = Path(name)
        (place / "loose.yaml").write_text(story.CASE, "utf-8")

        def shown(*arguments: str) -> str:
            return f"$ advisor {' '.join(arguments)}\n{_advisor(*arguments, place=place)}"

        story.drive(place / "journal.sqlite3", ["better"] * 3)
        early = [shown("fix", "draft"), shown("fix", "trust", story.FIX)]
        story.drive(place / "journal.sqlite3", ["better"] * 2, first=4)
        late = shown("fix", "trust", story.FIX)
        lines = shown("advise", "loose.yaml").splitlines()
        first = next(i for i in range(len(lines)) if lines[i].startswith("1. "))
        advice = [lines[0], CUT, *lines[first : _first_change(lines, first)], CUT]
    kept = [*early, "Two more days, better both times.\n\n" + late, "\n".join(advice)]
    return "```text\n" + "\n".join(kept) + "\n```\n"


def season() -> str:
    """A club's season on two laptops: what a few of its commands said, up to the last that is shown."""
    said: dict[str, Step] = {}
    with TemporaryDirectory() as name:
        for step in Season(Path(name), 80).steps():
            said.setdefault(step.name, step)
            if step.name == "lost":
                break
    rows = [
        "4 May: a test day is planned, and its laps are judged.",
        *_excerpt(said["plan"], "  B, 1170 mm: a gain", 2),
        *_excerpt(said["judged"], "Yes, it is quicker", 2),
        "",
        "18 May: the other laptop comes back; the two of them were told different things.",
        *_excerpt(said["disputed"], "Taken in", 6),
        "",
        "25 May, four times better; 1 June, five times.",
        *_excerpt(said["not yet"], "front_track", 3),
        *_excerpt(said["trust"], "front_track", 2),
        *_excerpt(said["learnt advice"], "1. ", 2),
        "",
        "8 June: it fails, at the grid.",
        *_excerpt(said["lost"], "Your fix", 4),
    ]
    return "```text\n" + "\n".join(rows) + "\n```\n"


def _excerpt(step: Step, start: str, count: int) -> list[str]:
    """The command, and so many lines of what it said from the one that starts so; what stood before is marked."""
    lines = step.came.out.splitlines()
    first = next(i for i, line in enumerate(lines) if line.startswith(start))
    return [f"{step.laptop}$ advisor {step.typed}", *([CUT] if first else []), *lines[first : first + count]]


def _advisor(*arguments: str, place: Path | None = None) -> str:
    """What a command prints; it may end with a refusal. In a `place` of its own with journal and knowledge there."""
    environment = {**os.environ, "COLUMNS": "80", "LINES": "24", "TERM": "dumb", "PYTHONIOENCODING": "utf-8"}
    environment |= {"PYTHONPATH": str(README.parent), "ADVISOR_KNOWLEDGE": "club"}
    environment |= {"ADVISOR_JOURNAL": "journal.sqlite3"} if place else {}
    command = [sys.executable, "-m", "advisor", *arguments]
    done = subprocess.run(
        command, check=place is None, capture_output=True, encoding="utf-8", env=environment, cwd=place
    )
    assert not done.stderr, done.stderr
    return done.stdout


BLOCKS = {"transcript": transcript, "example": example, "judge": judged, "team": team, "season": season}


def _place(name: str, text: str) -> tuple[int, int]:
    """Where a block begins and ends, between its marks."""
    found = re.search(rf"(?<=<!-- {name} -->\n).*?(?=<!-- /{name} -->)", text, re.DOTALL)
    assert found, f"README.md has lost its marks of the {name}"
    return found.span()


def block(name: str) -> str:
    """What the README shows now between two marks."""
    text = README.read_text("utf-8")
    start, end = _place(name, text)
    return text[start:end]


if __name__ == "__main__":
    text = README.read_text("utf-8")
    for name, made in BLOCKS.items():
        start, end = _place(name, text)
        text = text[:start] + made() + text[end:]
    README.write_text(text, "utf-8")
