"""Read a case file, all problems at once.

Not pydantic's work: nearly every value is judged against the book (ids, answers, the dimension of each
lever), and one-shot advice would start half as fast again with it.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from advisor.book.marked import Marked, read
from advisor.karts import sheets
from advisor.model.case import VERDICTS, Case, Pieces, Tried
from advisor.model.feel import AXES
from advisor.model.knowledge import Book
from advisor.problems import Problem, hint, printable, shown

DAY_KEYS = ("complaint", "observed", "secondary", "history", "minutes", "tried")  # of one day, not of a kart
KEYS = (*DAY_KEYS, *sheets.KEYS)


@dataclass
class CaseFile:
    """A case with what was wrong with its file; `case` is None when a problem makes it unusable."""

    case: Case | None
    problems: list[Problem] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    document: Marked | None = None
    settings: Mapping[str, Pieces] = field(default_factory=dict)  # the whole setup, several values and all


def read_case(path: Path, book: Book) -> CaseFile:
    """Read a case from a file."""
    document = read(path)
    if not document.readable:
        return CaseFile(None, document.problems, document=document)
    found = from_document(document, book)
    if document.problems:
        return replace(found, case=None, problems=[*document.problems, *found.problems])
    return found


def from_document(
    document: Marked,
    book: Book,
    extra_keys: Collection[str] = (),
    at: tuple[Any, ...] = (),
    *,
    silent: bool = False,
) -> CaseFile:
    """Read the case that stands at path `at` of a document; with `silent` it need not say a complaint."""
    data = document.data
    for step in at:
        data = data[step]
    reader = _Reader(document, book, at)
    if not isinstance(data, dict):
        reader.fail(
            (),
            "is empty"
            if data is None
            else 'must be a mapping of keys to values, such as "complaint: loose on entry"',
        )
        return CaseFile(None, reader.problems, document=document)
    case = reader.case(data, extra_keys)
    if not (silent or case.complaint.strip() or case.observed or case.denied or reader.problems):
        reader.fail((), "says neither a complaint nor anything observed; one of the two is needed")
    warnings = [*(text for _, text in reader.odd), *sheets.beyond(case)]
    return CaseFile(None if reader.problems else case, reader.problems, warnings, document, reader.settings)


class _Reader(sheets.SheetReader):
    """One method for each key; problems are collected, and a value that fails is left out."""

    def case(self, data: dict[str, Any], extra: Collection[str]) -> Case:
        for name in data:
            if name not in KEYS and name not in extra:
                self.unknown((name,), (*KEYS, *extra))
        observed, denied = self._observed(data)
        return replace(
            self.sheet(data),
            complaint=self.text(data, ("complaint",)),
            observed=observed,
            denied=denied,
            secondary=self._secondary(data),
            history=self.lines(data, "history"),
            minutes=self._minutes(data),
            tried=self._tried(data),
        )

    def _observed(self, data: Mapping[str, Any]) -> tuple[dict[str, str], dict[str, tuple[str, ...]]]:
        observed: dict[str, str] = {}
        denied: dict[str, tuple[str, ...]] = {}
        for ident, value in self.mapping(data.get("observed"), ("observed",), self.book.observations).items():
            answers = self.book.observations[ident].answers
            names = value.get("not") if isinstance(value, dict) and list(value) == ["not"] else value
            wanted = [_word(n, answers) for n in (names if isinstance(names, list) else [names])]
            if not wanted or not all(
                self._answer(("observed", ident), ident, name, answers) for name in wanted
            ):
                continue
            if names is value and len(wanted) == 1:
                observed[ident] = str(wanted[0])
            elif names is value:
                denied[ident] = tuple(a for a in answers if a not in wanted)
            else:
                denied[ident] = tuple(str(w) for w in wanted)
            if len(denied.get(ident, ())) == len(answers):
                self.warn(
                    ("observed", ident), f"every answer to {ident} is ruled out, so nothing is known of it"
                )
                del denied[ident]
        return observed, denied

    def _answer(self, path: tuple[Any, ...], ident: str, value: Any, answers: Collection[str]) -> bool:
        if isinstance(value, str) and value in answers:
            return True
        known = ", ".join(answers)
        self.fail(
            path,
            f'"{shown(value)}" is no answer to {ident}{hint(str(value), answers)} (answers: {known})',
        )
        return False

    def _secondary(self, data: Mapping[str, Any]) -> dict[str, str]:
        found = {}
        for ident, value in self.mapping(data.get("secondary"), ("secondary",), AXES).items():
            if ident in self.book.observations and self._answer(
                ("secondary", ident), ident, value, self.book.observations[ident].answers
            ):
                found[ident] = str(value)
        return found

    def _minutes(self, data: Mapping[str, Any]) -> float | None:
        value = data.get("minutes")
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.fail(("minutes",), "minutes must be a number, such as 15")
            return None
        if value < 0:
            self.fail(("minutes",), f"minutes cannot be negative ({value:g})")
        return float(value)

    def _tried(self, data: Mapping[str, Any]) -> tuple[Tried, ...]:
        rows = data.get("tried")
        if rows is None:
            return ()
        if not isinstance(rows, list):
            self.fail(("tried",), "tried is a list of {lever, direction, verdict}")
            return ()
        found = [self._trial(row, ("tried", i)) for i, row in enumerate(rows)]
        return tuple(t for t in found if t is not None)

    def _trial(self, row: Any, path: tuple[Any, ...]) -> Tried | None:
        names = ("lever", "direction", "verdict")
        if not isinstance(row, dict):
            self.fail(path, "a trial is a mapping {lever: .., direction: .., verdict: ..}")
            return None
        for key in row:
            if key not in names:
                self.unknown((*path, key), names, " in a trial")
        missing = [n for n in names if n not in row]
        if missing:
            self.fail(path, f"a trial needs {', '.join(missing)}")
            return None
        lever = self.lever(str(row["lever"]), (*path, "lever"), key=False)
        if lever is None:
            return None
        known = tuple(lever.ways)
        ok = self._one_of(str(row["direction"]), known, (*path, "direction"), f"direction of {lever.id}")
        ok = self._one_of(str(row["verdict"]), VERDICTS, (*path, "verdict"), "verdict") and ok
        return Tried(lever.id, row["direction"], row["verdict"]) if ok else None

    def _one_of(self, word: str, known: Collection[str], path: tuple[Any, ...], name: str) -> bool:
        if word in known:
            return True
        self.fail(
            path, f'"{printable(word)[:30]}" is no {name}{hint(word, known)} (known: {", ".join(known)})'
        )
        return False


def _word(value: Any, answers: Collection[str]) -> Any:
    """true and false as the answers that people mean by them."""
    if not isinstance(value, bool):
        return value
    plain = str(value).lower()  # "it runs true" is an answer
    return plain if plain in answers else "yes" if value else "no"
