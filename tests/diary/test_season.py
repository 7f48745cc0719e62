"""The season as one test: plan, diary, complaints, judged laps and two laptops come to a fix that is lost again."""

from __future__ import annotations

import re
from pathlib import Path

from advisor.journal import runs, trials
from advisor.journal.store import Journal
from tests.diary.season import FIX, Season, Step

OWN = f"Your team's own fix ({FIX}, the club)"


def _first(step: Step) -> str:
    return next(line for line in step.came.out.splitlines() if line.startswith("1. "))


def test_a_season_from_the_plan_to_a_fix_and_back(tmp_path: Path) -> None:
    season = Season(tmp_path)
    steps = list(season.steps())
    assert {step.name for step in steps if step.came.status} == {"not yet"}
    said: dict[str, Step] = {}
    for step in steps:
        said.setdefault(step.name, step)
    _the_test_day(said)
    _two_laptops(steps, said)
    _the_fix(said)
    _what_is_kept(season)


def _the_test_day(said: dict[str, Step]) -> None:
    assert "Order: A-B-A-B-A, 5 runs." in said["plan"].came.text
    assert "Noted: red, Mia, Lakeside, today 09:10" in said["note"].came.text
    assert "Narrow the front track" not in _first(said["first advice"])
    assert "You asked whether to narrow the front track" in said["chooses"].came.text
    assert "Yes, it is quicker: keep it." in said["judged"].came.out
    assert "Written down for narrow the front track (red, loose on the way in" in said["judged"].came.text
    assert "These runs are kept" in said["judged"].came.text
    assert "learnt from 1 day of yours" in said["next plan"].came.text  # so the next plan sees more
    sees = [float(said[n].came.text.partition("a gain of ")[2].split()[0]) for n in ("plan", "next plan")]
    assert sees[1] < 0.8 * sees[0]


def _two_laptops(steps: list[Step], said: dict[str, Step]) -> None:
    taken = [s.came.text for s in steps if s.typed.startswith("journal import")]
    assert "Taken in: 7 new entries, 1 day of laps; 5 were here already." in taken[1]
    written = [s.came.text for s in steps if s.typed.startswith("journal export")]
    for export, text in zip(written, taken, strict=True):  # what one wrote is what the other took in or had
        numbers = [int(n) for n in re.findall(r"\b\d+\b", text.partition("already")[0])]
        fixes = text.count("Fixes of the team taken in")
        assert sum(numbers) + fixes == int(export.partition("(")[2].split()[0]), (export, text)
    assert '"worse" by Ida' in said["disputed"].came.text
    assert '"better" by Ida' in said["disputed"].came.text
    assert "which settles it" in said["settled"].came.text
    assert not any("differs from yours" in s.came.text for s in steps)  # trust alone is no other text


def _the_fix(said: dict[str, Step]) -> None:
    assert "4 better, 0 same, 0 worse" in said["not yet"].came.text
    assert "is trusted from now on: 5 better, 0 same, 0 worse." in said["trust"].came.text
    assert "Narrow the front track" in _first(said["learnt advice"])
    assert OWN in said["learnt advice"].came.text
    assert f"Your fix {FIX} is a draft again" in said["lost"].came.text
    assert "5 better, 0 same, 1 worse" in said["lost"].came.text
    assert OWN not in said["last advice"].came.text
    assert "Narrow the front track" not in _first(said["last advice"])
    assert "lost its trust: 2024-06-08" in said["list"].came.text


def _what_is_kept(season: Season) -> None:
    both = []
    for laptop in (season.awning, season.grid):
        with Journal(laptop.journal) as journal:
            both.append([(t.id, t.kart, t.belongs.driver, t.verdict) for t in trials.trials(journal)])
            assert len(list(journal.documents(runs.KIND))) == 1
    assert both[0] == both[1]
    assert {kart for _, kart, _, _ in both[0]} == {"red", "blue", "green"}
    assert {driver for _, _, driver, _ in both[0]} == {"Mia", "Tom", "Ida", "Jo"}
    assert (
        "Last good: 25 May 2024, red, Lakeside, Jo"
        in season.awning("history", "--good", "--kart", "red").text
    )
    table = season.grid("history", "--csv", "-").out
    assert table.count("narrow the front track") == 6
