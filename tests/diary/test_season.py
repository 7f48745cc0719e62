"""The season as one test: a complaint becomes a fix, the fix becomes advice, and loses its trust again."""

from __future__ import annotations

from pathlib import Path

from advisor.journal import trials
from advisor.journal.store import Journal
from tests.diary.season import Season
from tests.own.story import FIX


def _first(advice: str) -> str:
    return next(line for line in advice.splitlines() if line.startswith("1. "))


def test_from_the_first_complaint_to_a_fix_and_back(tmp_path: Path) -> None:
    season = Season(tmp_path)
    said = dict(season.days())
    assert "Narrow the front track" not in _first(said["first advice"])
    assert "Noted: red, Mia, Lakeside, today" in said["first note"]
    assert "Written down for narrow the front track (red, jumps on the way in" in said["first outcome"]
    assert "Taken in: " in said["evening"]
    assert "is trusted from now on: 5 better, 0 same, 0 worse." in said["trust"]
    assert "Narrow the front track" in _first(said["learnt advice"])
    assert f"Your team's own fix ({FIX}, the club)" in " ".join(said["learnt advice"].split())
    assert f"Your fix {FIX} is a draft again" in said["lost"]
    assert "5 better, 0 same, 1 worse" in said["lost"]
    assert f"Your team's own fix ({FIX}" not in " ".join(said["last advice"].split())
    assert "Last good: " in said["good"]
    assert "lost its trust: 2024-" in said["list"]
    both = []
    for laptop in (season.awning, season.grid):
        with Journal(laptop.journal) as journal:
            both.append([(t.id, t.kart, t.verdict) for t in trials.trials(journal)])
    assert both[0] == both[1]
    assert {kart for _, kart, _ in both[0]} == {"red", "blue", "green"}
