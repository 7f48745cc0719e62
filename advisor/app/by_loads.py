"""What the kart model says beside an advice, for this kart."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from advisor.mechanics.beside import beside
from advisor.mechanics.known import known
from advisor.model.advice import Advice, Answer
from advisor.model.case import Case
from advisor.model.knowledge import Book


def told(book: Book, case: Case, changes: Sequence[Advice]) -> tuple[str, ...]:
    """A sentence for each change, in the units of the case; empty where the model holds nothing, or cannot tell."""
    kart = known(case)
    return tuple(beside(book, kart, advice, case.units) for advice in changes)


def understood(book: Book, case: Case, facts: Mapping[str, object]) -> Case:
    """The case with what was understood of its kart and day as fields."""
    known_of = {i: a for i, a in facts.items() if isinstance(a, str) and i in book.observations}
    return replace(case, observed={**known_of, **case.observed})


def with_loads(book: Book, found: Answer, case: Case, top: int = 3) -> Answer:
    """An answer whose first changes quote the kart model among their reasons."""
    if found.stop:
        return found
    said = told(book, understood(book, case, found.understood), found.advice[:top])
    first = [
        replace(advice, why=(*advice.why, text)) if text else advice
        for advice, text in zip(found.advice, said, strict=False)
    ]
    return replace(found, advice=(*first, *found.advice[top:]))
