"""How the advisor fares when it is told the facts of each published complaint by hand.

`python -m tests.real_complaints.facts` prints each complaint and the figures.

The facts were written down by people who saw the complaint and the list of questions and nothing else (facts.yaml).
The base rates of the groups are counted, among others, on these complaints; so each fifth of them is answered with
what was counted on the other four, and the figure of all of them at once stands beside it. The ear, which was fitted
on these complaints as well, has no say here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from advisor.inference.tables import compile_tables
from advisor.model.case import Case
from advisor.model.knowledge import Book
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import Mind
from tests.real_complaints.counting import FOLDS, Label, counted, fold_of, labels
from tests.real_complaints.measure import Result, best_constant, hits, mind, turns, wilson, wrong_ways
from tests.real_complaints.reading import Complaint, every_complaint, raw

KINDS: dict[str, Callable[[Complaint], bool]] = {
    "all": lambda c: True,
    "threads": lambda c: c.kind == "thread",
    "diaries": lambda c: c.kind == "diary",
    "guide pairs": lambda c: c.kind == "guide_pair",
}


@dataclass(frozen=True, slots=True)
class Told:
    """The facts of a complaint: answers, a second fault, changes made and ideas asked about."""

    complaint: Complaint
    case: Case


@cache
def told() -> tuple[Told, ...]:
    """Every complaint that has facts, in the order of the files."""
    facts: Mapping[str, Any] = {entry["id"]: entry for entry in raw("facts.yaml")}
    return tuple(Told(c, case_of(facts[c.id], mind().book)) for c in every_complaint() if c.id in facts)


def case_of(entry: Mapping[str, Any], book: Book) -> Case:
    """The case that an entry of facts tells; an answer that the book does not have is an error of the file."""
    stated = {**(entry.get("im") or {}), **(entry.get("st") or {})}
    for ident, answer in stated.items():
        if answer not in book.observations[ident].answers:
            raise ValueError(f"{entry}: {ident} has no answer {answer}")
    return Case(
        observed=stated,
        secondary=entry.get("fe2") or {},
        denied={i: tuple(a) for i, a in (entry.get("denied") or {}).items() if i not in stated},
        history=tuple(entry.get("hist") or ()),
        ideas=tuple(entry.get("idea") or ()),
    )


def with_rates(by: Mind, known: Sequence[Label]) -> Mind:
    """The same mind, its groups counted on these complaints only."""
    book = replace(by.book, counts=counted(by.book.groups, known))
    return Mind(book, compile_tables(book), by.lexicon, by.ear)


def answered(by: Mind, one: Told) -> Result:
    """The answer to the facts alone; the next question is not sought."""
    answer = advise(by, one.case, skipped=frozenset(by.book.observations))
    return Result(
        one.complaint,
        tuple((a.lever, a.direction) for a in answer.advice),
        f"{answer.causes[0].id} {answer.causes[0].probability:.2f}" if answer.causes else "-",
        ", ".join(f"{key}={value}" for key, value in answer.understood.items()),
        answer.stop is not None,
        answer.advice[0].chance if answer.advice else 0.0,
    )


def crosswise(by: Mind) -> list[Result]:
    """Each complaint answered with rates that were counted without its own fifth."""
    found = []
    for fold in range(FOLDS):
        other = with_rates(by, [label for label in labels() if fold_of(label.id) != fold])
        found += [answered(other, one) for one in told() if fold_of(one.complaint.id) == fold]
    order = {one.complaint.id: place for place, one in enumerate(told())}
    return sorted(found, key=lambda r: order[r.complaint.id])


def share(count: int, total: int) -> str:
    low, high = wilson(count, total)
    return f"{count:>3}/{total:<3} {100 * count / max(1, total):3.0f} % ({100 * low:2.0f}-{100 * high:3.0f})"


def lines(name: str, results: Sequence[Result]) -> list[str]:
    book = mind().book
    rows = [f"{name:<34}first               first 3             first 5             opposite in 3"]
    for kind, belongs in KINDS.items():
        some = [r for r in results if belongs(r.complaint)]
        cells = [share(hits(some, n), len(some)) for n in (1, 3, 5)]
        rows.append(f"  {kind:<32}" + "".join(f"{c:<20}" for c in cells) + f"{wrong_ways(some, book, 3)}")
    return rows


def main() -> None:
    book = mind().book
    alone = replace(mind(), ear=None)
    results = crosswise(alone)
    for result in results:
        mark = ("  " if result.hit(3) else "--") + (" !" if result.stopped else "  ")
        first = ", ".join(f"{a}:{b}" for a, b in result.listed[:4])
        print(f"{mark} {result.complaint.id:<4} {result.rank() or '-':>3} {result.cause:<34} {first}")
    print(*lines("facts by hand, five-fold", results), sep="\n")
    print(*lines("facts by hand, counted on all", [answered(alone, one) for one in told()]), sep="\n")
    complaints = [one.complaint for one in told()]
    count, few = best_constant(complaints, turns(book))
    print(f"best constant list: {share(count, len(complaints))} {', '.join(':'.join(t) for t in few)}")
    experts = [c for c in complaints if c.expert]
    blind = [Result(c, tuple(tuple(e.split(":")) for e in c.expert), "", "", False) for c in experts]  # type: ignore[misc]
    print(*lines("an experienced mechanic, blind", blind), sep="\n")


if __name__ == "__main__":
    main()
