"""The examples that the ear learns from, checked against the book: `voices/` in a folder of knowledge.

`told/*.yaml`: complaints with the facts they state (`st`) and imply (`im`), the cause behind each, and what a second
hand judged from the words; `published/*.yaml`: likewise from public pages, with their `kind`, `source` and what was
accepted there. `tried/*.yaml`: complaints that tell what was changed (`hist`) or is thought of
(`idea`) and what `came` of it, judged likewise, facts not written down; `turns/*.yaml`: pieces of talk of changes.
`sayings/*.yaml`: question -> answer (or `not`) -> pieces of talk. `danger/*.yaml`: dangerous and harmless complaints.
`other.yaml`: texts about something else. The program itself does not read them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from advisor.book import marked
from advisor.book.marked import Marked
from advisor.model.knowledge import Book
from advisor.problems import Problem, hint

FOLDER = "voices"
NOT = "not"  # in a saying: the words tell no answer of this question
NO_CAUSE = "none"
KEYS = ("id", "said", "cause", "st", "im", "fe2", "hist", "idea", "denied", "judged")
PUBLISHED = (*KEYS, "kind", "source", "accept")  # of what was found on public pages
TURNS = ("said", "hist", "idea", "came")
CAME = ("better", "same", "worse", "mixed")  # mixed: one change did this, another that
Path_ = tuple[Any, ...]


def problems(folder: Path, book: Book) -> tuple[list[Problem], int]:
    """Every problem of the examples of a folder of knowledge, and how many files were looked at."""
    files = sorted((folder / FOLDER).rglob("*.yaml"))
    found: list[Problem] = []
    seen: set[str] = set()
    for path in files:
        document = marked.read(path, str(path))
        found += document.problems
        if document.readable:
            found += _of_file(path, document, book, seen)
    return found, len(files)


def _of_file(path: Path, document: Marked, book: Book, seen: set[str]) -> Iterator[Problem]:
    wanted = dict if path.parent.name == "sayings" else list
    if not isinstance(document.data, wanted):
        yield document.problem((), f"must be a {'mapping of questions' if wanted is dict else 'list'}")
    elif wanted is dict:
        yield from _sayings(document, book)
    elif keys := {"told": KEYS, "published": PUBLISHED, "tried": (*KEYS, "came")}.get(path.parent.name):
        for i, row in enumerate(document.data):
            yield from _told(document, i, row, keys, book, seen)
    elif path.parent.name == "turns":
        for i, row in enumerate(document.data):
            yield from _turned(document, i, row, book)
    else:
        yield from _texts(document)


def _texts(document: Marked) -> Iterator[Problem]:
    for i, row in enumerate(document.data):
        said = row.get("said") if isinstance(row, dict) else row
        if not isinstance(said, str) or not said.strip():
            yield document.problem((i,), "needs a text that was said")
        if isinstance(row, dict) and row.get("kind") not in ("dangerous", "harmless"):
            yield document.problem((i, "kind"), 'the kind is "dangerous" or "harmless"')


def _sayings(document: Marked, book: Book) -> Iterator[Problem]:
    for question, answers in document.data.items():
        if question not in book.observations:
            message = f'no question "{question}"{hint(str(question), book.observations)}'
            yield document.problem((question,), message, key=True)
            continue
        for answer, pieces in answers.items() if isinstance(answers, dict) else ():
            known = book.observations[question].answers
            if answer != NOT and answer not in known:
                message = f'"{question}" has no answer "{answer}"{hint(str(answer), known)}'
                yield document.problem((question, answer), message, key=True)
            if not isinstance(pieces, list) or not all(isinstance(p, str) and p.strip() for p in pieces):
                yield document.problem((question, answer), "must be a list of texts")


def _told(
    document: Marked, i: int, row: Any, keys: Sequence[str], book: Book, seen: set[str]
) -> Iterator[Problem]:
    if (
        not isinstance(row, dict)
        or not isinstance(row.get("said"), str)
        or not isinstance(row.get("id"), str)
    ):
        yield document.problem((i,), "needs an id and a text that was said")
        return
    if row["id"] in seen:
        yield document.problem((i, "id"), f'the id "{row["id"]}" is used twice')
    seen.add(row["id"])
    for key in row:
        if key not in keys:
            yield document.problem((i, key), f'no key "{key}"{hint(key, keys)}', key=True)
    yield from _ids(document, i, row, book)


def _turned(document: Marked, i: int, row: Any, book: Book) -> Iterator[Problem]:
    if not isinstance(row, dict) or not isinstance(row.get("said"), str):
        yield document.problem((i,), "needs a text that was said")
        return
    for key in row:
        if key not in TURNS:
            yield document.problem((i, key), f'no key "{key}"{hint(key, TURNS)}', key=True)
    if row.get("came", CAME[0]) not in CAME:
        yield document.problem((i, "came"), f"what came of it is one of {', '.join(CAME)}")
    yield from _ids(document, i, row, book)


def _ids(document: Marked, i: int, row: dict[str, Any], book: Book) -> Iterator[Problem]:
    """Questions, answers, causes and levers that the book does not have."""
    for part in ("st", "im", "fe2"):
        for question, answer in (row.get(part) or {}).items():
            yield from _fact(document, (i, part, question), question, answer, book)
    causes = row.get("cause", NO_CAUSE)
    judged = (row.get("judged") or {}).get("causes") or ()
    for cause in (*(causes if isinstance(causes, list) else [causes]), *judged):
        if cause != NO_CAUSE and cause not in book.causes:
            yield document.problem((i, "cause"), f'no cause "{cause}"{hint(str(cause), book.causes)}')
    for at in ("hist", "idea"):
        for turn in row.get(at) or ():
            yield from _turn(document, (i, at), str(turn), " ", book)
    for turn in (row.get("judged") or {}).get("levers") or ():
        yield from _turn(document, (i, "judged"), str(turn), ":", book)
    for turn in row.get("accept") or ():
        yield from _turn(document, (i, "accept"), str(turn), ":", book)


def _fact(document: Marked, at: Path_, question: Any, answer: Any, book: Book) -> Iterator[Problem]:
    if question not in book.observations:
        yield document.problem(
            at, f'no question "{question}"{hint(str(question), book.observations)}', key=True
        )
    elif answer not in (known := book.observations[question].answers):
        yield document.problem(at, f'"{question}" has no answer "{answer}"{hint(str(answer), known)}')


def _turn(document: Marked, at: Path_, turn: str, between: str, book: Book) -> Iterator[Problem]:
    lever, _, way = turn.partition(between)
    if lever not in book.levers:
        yield document.problem(at, f'no lever "{lever}"{hint(lever, book.levers)}')
    elif way and way not in book.levers[lever].ways:
        yield document.problem(at, f'"{lever}" has no way "{way}"{hint(way, book.levers[lever].ways)}')
