"""How many of the changes that authors kept apart tell are heard, and how many of those heard are right:
`python -m tests.ear.turned`. By lever; the way and what came of it of those heard.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from advisor.book import load
from advisor.words.ear import Ear
from advisor.words.turns import turns_told
from tests.ear.examples import MIXED, Turned, apart, read, turned_in

HERE = Path(__file__).parent
Tried = tuple[Turned, dict[str, str]]  # with what came of each lever, where that is written down


def of_authors() -> Iterator[tuple[str, list[Tried]]]:
    """The texts of each author, with what they tell."""
    yield (
        "C, lines",
        [
            (t, dict.fromkeys((lever for lever, _ in t.done), t.came))
            for t in turned_in(HERE / "turns_c.yaml")
        ],
    )
    yield "T", [_tried(row) for row in read(HERE / "tried_t.yaml")]
    for name in "dpn":
        yield name.upper(), [(t.turned, {}) for t in apart(name) if t.turned]


def _tried(row: dict[str, Any]) -> Tried:
    turns = tuple(_turn(turn) for turn, _ in row["did"])
    ideas = tuple(_turn(turn) for turn in row["idea"])
    came = {str(turn).partition(" ")[0]: "" if effect == "?" else effect for turn, effect in row["did"]}
    return Turned(" ".join(str(row["said"]).split()), turns, ideas, MIXED), came


def _turn(text: str) -> tuple[str, str]:
    lever, _, way = text.partition(" ")
    return lever, way


def counted(ear: Ear, rows: list[Tried]) -> Counter[str]:
    """How many changes were told and heard, and so on, over all texts."""
    found: Counter[str] = Counter()
    for row, came in rows:
        heard = turns_told(row.text, ear)
        for kind, told, got in (("done", row.done, heard.done), ("asked", row.asked, heard.asked)):
            levers, mine = {lever for lever, _ in told}, {lever for lever, _ in got}
            found[f"{kind} told"] += len(levers)
            found[f"{kind} heard"] += len(mine)
            found[f"{kind} right"] += len(levers & mine)
            ways = {lever: [way for each, way in told if each == lever] for lever in levers}
            found[f"{kind} way"] += sum((way or "") in ways.get(lever, ()) for lever, way in got)
        for (lever, _), effect in heard.done.items():
            if lever in came:
                found["came"] += 1
                found["came right"] += (effect or "") == came[lever]
                found["came wrong"] += bool(effect) and effect != came[lever]
    return found


def told(found: Counter[str]) -> str:
    """Shares, in a line."""

    def share(part: str, whole: str) -> str:
        return f"{found[part] / max(1, found[whole]):.2f}"

    parts = [
        f"{kind}: {found[f'{kind} told']} told, heard {share(f'{kind} right', f'{kind} told')}, right "
        f"{share(f'{kind} right', f'{kind} heard')}, way {share(f'{kind} way', f'{kind} right')}"
        for kind in ("done", "asked")
    ]
    if found["came"]:
        parts.append(f"what came: right {share('came right', 'came')}, wrong {share('came wrong', 'came')}")
    return "; ".join(parts)


if __name__ == "__main__":
    ear = load.ear()
    assert ear is not None
    for name, rows in of_authors():
        print(f"{name} ({len(rows)}): {told(counted(ear, rows))}")
