"""What the kart model says beside an advice, for this kart."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from advisor.mechanics.beside import moved, sentence
from advisor.mechanics.known import Known, known
from advisor.model.advice import Advice, Answer, Moved
from advisor.model.case import Case
from advisor.model.knowledge import Book


def told(book: Book, case: Case, changes: Sequence[Advice]) -> list[Advice]:
    """The changes with what the kart model says of them, in the units of the case, also among the reasons."""
    kart = known(case)
    return [_quoted(advice, kart, moved(book, kart, advice, case.units)) for advice in changes]


def _quoted(advice: Advice, kart: Known, loads: tuple[Moved, ...]) -> Advice:
    return replace(advice, why=(*advice.why, sentence(kart, loads)), loads=loads) if loads else advice


def understood(book: Book, case: Case, facts: Mapping[str, object]) -> Case:
    """The case with what was understood of its kart and day as fields."""
    known_of = {i: a for i, a in facts.items() if isinstance(a, str) and i in book.observations}
    return replace(case, observed={**known_of, **case.observed})


def with_loads(book: Book, found: Answer, case: Case, top: int = 3) -> Answer:
    """An answer whose first changes quote the kart model among their reasons."""
    if found.stop:
        return found
    case = understood(book, case, found.understood)
    return replace(found, advice=(*told(book, case, found.advice[:top]), *found.advice[top:]))
