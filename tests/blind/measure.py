"""Blind complaints told by their facts: where their cause stands, and a change that answers it.

`python -m tests.blind.measure [-v]` prints the figures, and with -v each miss of the file that may be looked into.
"""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from advisor.book import marked
from advisor.model.case import Case
from advisor.model.knowledge import Book
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import Mind
from tests.real_complaints.facts import case_of
from tests.real_complaints.measure import mind, wilson

HERE = Path(__file__).parent


@dataclass(frozen=True, slots=True)
class Blind:
    """A complaint with its cause and the case that its facts tell."""

    id: str
    cause: str
    said: str
    case: Case


@dataclass(frozen=True, slots=True)
class Found:
    """Places, from 1, of the true cause and of the first change that answers it; None where it is not listed."""

    blind: Blind
    cause: int | None
    lever: int | None
    first: str
    listed: tuple[str, ...]


@cache
def cases(name: str = "cases") -> tuple[Blind, ...]:
    """The complaints of one file: `cases`, or `unseen`, which nobody looked into."""
    document = marked.read(HERE / f"{name}.yaml", f"{name}.yaml")
    rows: list[dict[str, Any]] = document.data
    return tuple(Blind(e["id"], e["cause"], e["said"], case_of(e, mind().book)) for e in rows)


def answers_it(book: Book, cause: str) -> set[str]:
    """The levers that answer a cause directly, or give what it needs."""
    entry = book.causes[cause]
    needed = {(n.effect, n.change) for n in entry.needs}
    found = {r.lever for r in entry.remedies}
    for lever in book.levers.values():
        for gives in lever.gives:
            turned = {gives.change, {"more": "less", "less": "more"}[gives.change]}
            if any((gives.effect, change) in needed for change in turned):
                found.add(lever.id)
    return found


def find(by: Mind, blind: Blind) -> Found:
    answer = advise(by, blind.case, skipped=frozenset(by.book.observations))
    causes = [c.id for c in answer.causes if c.id != "unknown"]
    levers = [f"{a.lever}:{a.direction}" for a in answer.advice]
    right = answers_it(by.book, blind.cause)
    lever = next((n for n, a in enumerate(answer.advice, 1) if a.lever in right), None)
    place = causes.index(blind.cause) + 1 if blind.cause in causes else None
    return Found(blind, place, lever, causes[0] if causes else "-", tuple(levers[:4]))


def share(found: list[Found], what: str, window: int) -> float:
    places: list[int | None] = [getattr(f, what) for f in found]
    return sum((place or window + 1) <= window for place in places) / len(found)


def main(arguments: list[str]) -> None:
    for name in ("cases", "unseen"):
        found = [find(mind(), blind) for blind in cases(name)]
        print(f"\n{name}")
        show(found, "-v" in arguments and name != "unseen")


def show(found: list[Found], each: bool) -> None:
    for f in found if each else ():
        if (f.cause or 99) > 5 or (f.lever or 99) > 3:
            print(
                f"{f.blind.id} {f.blind.cause} {f.cause} lever {f.lever}; first {f.first}; {', '.join(f.listed)}"
            )
            print(f"     {dict(f.blind.case.observed)}\n     {f.blind.said[:200]}")
    rivals = Counter(f.first for f in found if f.cause != 1)
    print("first in the place of the true cause:", ", ".join(f"{c} {n}" for c, n in rivals.most_common(14)))
    for what, window in (("cause", 1), ("cause", 3), ("cause", 5), ("lever", 1), ("lever", 3)):
        part = share(found, what, window)
        low, high = wilson(round(part * len(found)), len(found))
        print(f"{what} in the first {window}: {part:.2f} ({low:.2f} to {high:.2f}) of {len(found)}")


if __name__ == "__main__":
    main(sys.argv[1:])
