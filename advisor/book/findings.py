"""What a check over the whole book finds, and what it looks at."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from advisor.model.knowledge import Book
from advisor.model.levers import Lever
from advisor.problems import Severity


class Finding(NamedTuple):
    """Where in the book (room, id, path inside) and what."""

    room: str
    ident: str
    path: tuple[Any, ...]
    message: str
    severity: Severity = "error"
    code: str = "dangling"
    key: bool = False  # the key at the path is wrong, not its value


@dataclass
class View:
    """A book under check; `broken` are ids whose own file did not load, so that nobody is blamed twice."""

    book: Book
    broken: frozenset[str]

    def missing(self, ident: str, known: Collection[str]) -> bool:
        return ident not in known and ident not in self.broken


Check = Callable[[View], Iterator[Finding]]


Claim = tuple[str, str, tuple[Any, ...], Mapping[str, tuple[str, ...]]]  # room, id, path, sources by key


def claims_of(book: Book) -> Iterator[Claim]:
    """Every claim of the book with its place and its sources."""
    for room in ("observations", "groups", "causes", "levers", "jobs", "glossary"):
        for record in getattr(book, room).values():
            yield room, record.id, (), {"source": record.source}
    for cause in book.causes.values():
        if cause.feel:
            yield "causes", cause.id, ("feel",), {"source": cause.feel.source}
        for name in ("signs", "odds", "needs", "remedies"):
            for i, part in enumerate(getattr(cause, name)):
                yield "causes", cause.id, (name, i), {"source": part.source}
    for group in book.groups.values():
        for i, sign in enumerate(group.signs):
            yield "groups", group.id, ("signs", i), {"source": sign.source}
    for lever in book.levers.values():
        yield from _claims_of_lever(lever)


def _claims_of_lever(lever: Lever) -> Iterator[Claim]:
    for i, guide in enumerate(lever.guide):
        yield "levers", lever.id, ("guide", i), {"source": guide.source}
    if lever.step:
        yield "levers", lever.id, ("step",), {"source": lever.step.source}
    for i, gives in enumerate(lever.gives):
        yield "levers", lever.id, ("gives", i), {"agree": gives.agree, "disagree": gives.disagree}
