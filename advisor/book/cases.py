"""Read a case file, all problems at once.

Not pydantic's work: nearly every value is judged against the book (ids, answers, the dimension of each
lever), and one-shot advice would start half as fast again with it.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from advisor.book.marked import Marked, read
from advisor.book.values import SAME_GRADE, ValueReader
from advisor.model.case import VERDICTS, Case, Limit, Tried, Value
from advisor.model.knowledge import Book, Lever
from advisor.problems import Problem, hint, printable, shown
from advisor.units import Quantity

MOST_LAPS = 5000  # no set of tyres lives that long; more is a slip

KEYS = (
    "complaint",
    "observed",
    "secondary",
    "kart",
    "setup",
    "conditions",
    "kit",
    "rules",
    "history",
    "minutes",
    "tried",
    "keep",
)


@dataclass
class CaseFile:
    """A case with what was wrong with its file; `case` is None when a problem makes it unusable."""

    case: Case | None
    problems: list[Problem] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    document: Marked | None = None


def read_case(path: Path, book: Book, extra_keys: Collection[str] = ()) -> CaseFile:
    """Read a case from a file. `extra_keys` are left for the caller, as `expect` of a scenario."""
    document = read(path)
    if any(p.code != "duplicate_key" for p in document.problems):
        return CaseFile(None, document.problems, document=document)
    found = from_document(document, book, extra_keys)
    if document.problems:
        return CaseFile(None, [*document.problems, *found.problems], found.warnings, document)
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
    return CaseFile(None if reader.problems else case, reader.problems, reader.warnings, document)


class _Reader(ValueReader):
    """One method for each key; problems are collected, and a value that fails is left out."""

    def case(self, data: dict[str, Any], extra: Collection[str]) -> Case:
        for name in data:
            if name not in KEYS and name not in extra:
                self.fail(
                    (name,),
                    f'unknown key "{printable(name)}"{hint(name, (*KEYS, *extra))}',
                    "unknown_key",
                    key=True,
                )
        observed, denied = self._observed(data)
        kart = self._mapping(data, "kart", ("class", "driver_mass"))
        setup, tyres = self._setup(data)
        rules = self._rules(data)
        self._beyond(setup, rules)
        return Case(
            complaint=self._text(data, ("complaint",)),
            observed=observed,
            denied=denied,
            secondary=self._secondary(data),
            kart_class=self._text(kart, ("kart", "class")),
            driver_mass=self.quantity(kart.get("driver_mass"), ("kart", "driver_mass"), ("mass",)),
            setup=setup,
            tyres=tyres,
            conditions=self._conditions(data),
            kit=self._kit(data),
            rules=rules,
            history=self._lines(data, "history"),
            minutes=self._minutes(data),
            tried=self._tried(data),
            keep=self._lines(data, "keep"),
        )

    def _text(self, data: Mapping[str, Any], path: tuple[Any, ...]) -> str:
        value = data.get(path[-1])
        if value is None:
            return ""
        if isinstance(value, bool | dict | list):
            self.fail(path, f"{path[-1]} must be text")
            return ""
        return printable(str(value))

    def _mapping(
        self, data: Mapping[str, Any], name: str, known: Collection[str] | None = None
    ) -> dict[str, Any]:
        value = data.get(name)
        if value is None:
            return {}
        if not isinstance(value, dict):
            self.fail((name,), f"{name} must be a mapping of keys to values")
            return {}
        for key in value:
            if known is not None and key not in known:
                self.fail(
                    (name, key),
                    f'unknown key "{printable(key)}" in {name}{hint(key, known)}',
                    "unknown_key",
                    key=True,
                )
        return {k: v for k, v in value.items() if known is None or k in known}

    def _observed(self, data: Mapping[str, Any]) -> tuple[dict[str, str], dict[str, tuple[str, ...]]]:
        observed: dict[str, str] = {}
        denied: dict[str, tuple[str, ...]] = {}
        for ident, value in self._mapping(data, "observed", self.book.observations).items():
            answers = self.book.observations[ident].answers
            names = value.get("not") if isinstance(value, dict) and list(value) == ["not"] else value
            wanted = [_word(n) for n in (names if isinstance(names, list) else [names])]
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
                self.warnings.append(f"every answer to {ident} is ruled out, so nothing is known of it")
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
        for ident, value in self._mapping(data, "secondary", ("phase", "balance")).items():
            if ident in self.book.observations and self._answer(
                ("secondary", ident), ident, value, self.book.observations[ident].answers
            ):
                found[ident] = str(value)
        return found

    def _setup(self, data: Mapping[str, Any]) -> tuple[dict[str, Value], dict[str, str]]:
        setup: dict[str, Value] = {}
        tyres: dict[str, str] = {}
        for ident, value in self._mapping(data, "setup").items():
            lever = self.lever(ident, ("setup", ident))
            if lever is None:
                continue
            if ident == "tyres":
                tyres = self._tyres(data["setup"])
                continue
            read_value = self.value(lever, value, ("setup", ident))
            if read_value is not None:
                setup[ident] = read_value
        return setup, tyres

    def _tyres(self, setup: Mapping[str, Any]) -> dict[str, str]:
        allowed = {"kind": ("slick", "wet"), "compound": ("soft", "medium", "hard")}
        found = {}
        value = setup["tyres"]
        if not isinstance(value, dict):
            self.fail(
                ("setup", "tyres"), "tyres is a mapping such as {kind: slick, compound: hard, laps: 60}"
            )
            return {}
        for key, item in value.items():
            path = ("setup", "tyres", key)
            if key == "laps":
                if isinstance(item, bool) or not isinstance(item, int) or item < 0:
                    self.fail(path, "laps must be a whole number from 0 on")
                else:
                    found[key] = str(item)
                    if item > MOST_LAPS:
                        self.warnings.append(f"{item} laps on a set of tyres is unusual; is it right?")
            elif key not in allowed:
                self.fail(
                    path,
                    f'unknown key "{printable(key)}" in tyres{hint(key, (*allowed, "laps"))}',
                    "unknown_key",
                    key=True,
                )
            elif item not in allowed[key]:
                self.fail(
                    path, f"{key} must be one of {', '.join(allowed[key])}{hint(str(item), allowed[key])}"
                )
            else:
                found[key] = item
        return found

    def _conditions(self, data: Mapping[str, Any]) -> dict[str, Quantity]:
        found = {}
        for key, value in self._mapping(
            data, "conditions", ("air_temperature", "track_temperature", "tyre_temperature")
        ).items():
            if isinstance(value, dict):
                for end, item in value.items():
                    path = ("conditions", key, end)
                    if key != "tyre_temperature" or end not in ("front", "rear"):
                        self.fail(
                            path,
                            f'unknown key "{printable(end)}"{hint(end, ("front", "rear"))}',
                            "unknown_key",
                            key=True,
                        )
                    elif (quantity := self.quantity(item, path, ("temperature",))) is not None:
                        found[f"{key}.{end}"] = quantity
            elif (quantity := self.quantity(value, ("conditions", key), ("temperature",))) is not None:
                found[key] = quantity
        return found

    def _kit(self, data: Mapping[str, Any]) -> dict[str, tuple[Value, ...]] | None:
        if data.get("kit") is None:
            return None
        found: dict[str, tuple[Value, ...]] = {}
        for ident, items in self._mapping(data, "kit").items():
            lever = self.lever(ident, ("kit", ident))
            if lever is None:
                continue
            rows = items if isinstance(items, list) else [items]
            if ident == "tyres":
                found[ident] = tuple(printable(str(i)) for i in rows)
                continue
            values = [self.value(lever, item, ("kit", ident, i)) for i, item in enumerate(rows)]
            found[ident] = tuple(v for v in values if v is not None)
        return found

    def _rules(self, data: Mapping[str, Any]) -> dict[str, Limit]:
        found = {}
        for ident, rule in self._mapping(data, "rules").items():
            lever, path = self.lever(ident, ("rules", ident)), ("rules", ident)
            if lever is None:
                continue
            if not isinstance(rule, dict):
                self.fail(path, "a rule is a mapping such as {max: 1400 mm} or {only: [soft, medium]}")
                continue
            for key in rule:
                if key not in ("min", "max", "only"):
                    self.fail(
                        (*path, key),
                        f'unknown key "{printable(key)}" in a rule{hint(key, ("min", "max", "only"))}',
                        "unknown_key",
                        key=True,
                    )
            low, high = (self._bound(lever, rule, key, path) for key in ("min", "max"))
            only = rule.get("only", [])
            grades = tuple(
                SAME_GRADE.get(str(g), str(g)) for g in (only if isinstance(only, list) else [only])
            )
            found[ident] = Limit(low, high, grades)
            self._odd_rule(lever, found[ident])
        return found

    def _beyond(self, setup: Mapping[str, Value], rules: Mapping[str, Limit]) -> None:
        """Warn of a value that the class does not allow as it stands."""
        for ident, rule in rules.items():
            now = setup.get(ident)
            if not isinstance(now, Quantity):
                continue
            for bound, sign, word in ((rule.most, 1, "at most"), (rule.least, -1, "at least")):
                if isinstance(bound, Quantity) and sign * (now.si - bound.si) > 1e-9:
                    self.warnings.append(
                        f"{ident} stands at {now}, and the class allows {word} {bound}: put that right first"
                    )

    def _odd_rule(self, lever: Lever, rule: Limit) -> None:
        low, high = (b.si if isinstance(b, Quantity) else b for b in (rule.least, rule.most))
        if low is not None and high is not None and low > high:
            self.warnings.append(f"the rule for {lever.id} allows nothing: its min is above its max")
        odd = [g for g in rule.only if lever.grades and g not in lever.grades]
        if odd:
            self.warnings.append(
                f'the rule for {lever.id} names "{printable(odd[0])}"{hint(odd[0], lever.grades)}'
            )

    def _bound(
        self, lever: Lever, rule: Mapping[str, Any], key: str, path: tuple[Any, ...]
    ) -> Quantity | float | None:
        if key not in rule:
            return None
        value = self.value(lever, rule[key], (*path, key))
        if isinstance(value, str):
            self.fail((*path, key), f"{key} needs a value that can be compared; use only: [..] for grades")
            return None
        return value

    def _lines(self, data: Mapping[str, Any], name: str) -> tuple[str, ...]:
        value = data.get(name)
        if value is None:
            return ()
        rows = value if isinstance(value, list) else [value]
        for i, row in enumerate(rows):
            if not isinstance(row, str):
                self.fail(
                    (name, i) if isinstance(value, list) else (name,), f"{name} is a list of short texts"
                )
        return tuple(printable(row) for row in rows if isinstance(row, str))

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
                self.fail(
                    (*path, key),
                    f'unknown key "{printable(key)}" in a trial{hint(key, names)}',
                    "unknown_key",
                    key=True,
                )
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


def _word(value: Any) -> Any:
    """true and false as the answers that people mean by them."""
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else value
