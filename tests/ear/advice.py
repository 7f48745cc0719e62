"""What the advisor makes of words alone: `python -m tests.ear.advice [FOLDER]` prints where an accepted change stands.

Published complaints by five-fold cross-validation (the base rates of the book are counted on the other four fifths, and
the ear, `FOLDER/ear_0.bin` to `ear_4.bin`, was fitted on them: `python -m tests.ear.train FOLDER/ear_0.bin 0` and so
on; with the shipped ear, which has seen them all, it is no evidence and said so); and the complaints of authors kept
apart, where a change counts that a second hand named, blind, among its first three (of N the author himself, by the
words).
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path

from advisor.book import load
from advisor.model.case import Case
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import Mind
from advisor.words.ear_file import unpacked
from tests.ear.examples import APART, Told, apart, told_in, tried_in
from tests.ear.measure import BLIND
from tests.real_complaints.counting import FOLDS, fold_of, labels
from tests.real_complaints.facts import with_rates
from tests.real_complaints.measure import accepts, mind
from tests.real_complaints.reading import Complaint, every_complaint, raw

Turn = tuple[str, str]
TRIED = APART / "tried_t.yaml"


@cache
def minds(ears: Path | None = None) -> tuple[Mind, ...]:
    """One mind a fold, with the ear; `ears`: a folder of those that did not see the fold."""
    rest = ([label for label in labels() if fold_of(label.id) != fold] for fold in range(FOLDS))
    each = [unpacked((ears / f"ear_{k}.bin").read_bytes()) if ears else load.ear() for k in range(FOLDS)]
    return tuple(replace(with_rates(mind(), known), ear=ear) for known, ear in zip(rest, each, strict=True))


def listed(mind: Mind, text: str) -> tuple[tuple[Turn, ...], tuple[str, ...], bool]:
    """Changes and causes, best first, and whether it stops."""
    answer = advise(mind, Case(complaint=text), skipped=frozenset(mind.book.observations))
    turns = tuple((a.lever, a.direction) for a in answer.advice)
    return turns, tuple(c.id for c in answer.causes[:5]), answer.stop is not None


def place(turns: Sequence[Turn], wanted: set[str]) -> int:
    """Place, from 1, of the first change that is wanted whichever way or this way; 99 where none is."""
    for at, (lever, way) in enumerate(turns, 1):
        if {lever, f"{lever}:{way}", f"{lever}:check", f"{lever}:practise"} & wanted:
            return at
    return 99


def published() -> Iterator[tuple[Complaint, int]]:
    """Every published complaint that has facts, with the fold it belongs to."""
    known = {e["id"] for e in raw("facts.yaml")}
    for complaint in every_complaint():
        if complaint.id in known:
            yield complaint, fold_of(complaint.id)


def real(ears: Path | None = None) -> list[tuple[Complaint, int]]:
    """The place of an accepted change for each."""
    found = []
    for complaint, fold in published():
        turns, _, _ = listed(minds(ears)[fold], complaint.text)
        found.append((complaint, next((i for i, t in enumerate(turns, 1) if accepts(complaint, t)), 99)))
    return found


def share(places: Sequence[int]) -> str:
    size = max(1, len(places))
    first, three = (sum(p <= window for p in places) / size for window in (1, 3))
    return f"first {first:.2f} three {three:.2f} of {len(places)}"


def of_author(name: str, rows: Sequence[Told]) -> None:
    places, firsts, causes, stops = [], 0, [0, 0, 0], 0
    judged = [r for r in rows if r.levers] or rows
    for row in judged:
        turns, likely, stop = listed(minds()[0], row.text)
        stops += stop
        if row.levers:
            wanted = set(row.levers[:3])
            places.append(place(turns, wanted))
        for k, window in enumerate((1, 3, 5)):
            causes[k] += bool(set(likely[:window]) & set(row.causes))
        firsts += 1
    named = f"judge's first three {share(places)}; " if places else ""
    print(f"{name}: {named}true cause " + " ".join(f"{c / firsts:.2f}" for c in causes)
          + f" in 1, 3, 5; stops {stops / firsts:.2f}")  # fmt: skip


def main(ears: Path | None) -> None:
    found = real(ears)
    print(
        "published, words only" + ("" if ears else " (seen by the ear)") + ":", share([p for _, p in found])
    )
    for kind in ("thread", "diary", "guide_pair"):
        print(f"  {kind}:", share([p for c, p in found if c.kind == kind]))
    of_author("N", apart("n"))
    of_author("P", apart("p"))
    of_author("RV", apart("v"))
    of_author("RW", apart("w"))
    of_author("SJ", apart("j"))
    of_author("SL", apart("l"))
    of_author("T, which tells what was tried", tried_in(TRIED))
    of_author("D, every third", apart("d")[::3])
    of_author("unseen.yaml, every third", told_in(BLIND)[::3])


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else None)
