"""A case as data in the shape of a case file, and back: how the journal keeps cases."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from advisor.book.cases import from_document
from advisor.book.marked import Marked
from advisor.model.case import Case, Limit, Value
from advisor.model.knowledge import Book
from advisor.units import Quantity, find_unit

OWN = ("units", "ideas", "preparing", "kart_file")  # keys that no case file has


def as_data(case: Case) -> dict[str, Any]:
    """The case as JSON data in the shape of a case file; what is empty is left out."""
    observed: dict[str, Any] = {**case.observed, **{o: {"not": list(a)} for o, a in case.denied.items()}}
    tyres = {k: int(v) if k == "laps" else v for k, v in case.tyres.items()}
    data = {
        "complaint": case.complaint,
        "observed": observed,
        "secondary": dict(case.secondary),
        "kart": {
            k: v for k, v in (("class", case.kart_class), ("driver_mass", _text(case.driver_mass))) if v
        },
        "setup": {**{k: _text(v) for k, v in case.setup.items()}, **({"tyres": tyres} if tyres else {})},
        "conditions": _conditions(case),
        "kit": None
        if case.kit is None
        else {k: [_text(v) for v in values] for k, values in case.kit.items()},
        "rules": {k: _rule(v) for k, v in case.rules.items()},
        "history": list(case.history),
        "minutes": case.minutes,
        "tried": [{"lever": t.lever, "direction": t.direction, "verdict": t.verdict} for t in case.tried],
        "keep": list(case.keep),
        "units": dict(case.units),
        "ideas": list(case.ideas),
        "preparing": case.preparing or None,
        "kart_file": case.kart_file,
    }
    return {k: v for k, v in data.items() if v or v == 0 or (k == "kit" and v is not None)}


def _text(value: Value | None) -> Any:
    if not isinstance(value, Quantity):
        return value
    number = f"{value.value:.9f}".rstrip("0").rstrip(".")  # never with an exponent, which cannot be read back
    return f"{number} {value.unit.name}"


def _conditions(case: Case) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in case.conditions.items():
        name, _, end = key.partition(".")
        if end:
            found.setdefault(name, {})[end] = _text(value)
        else:
            found[name] = _text(value)
    return found


def _rule(limit: Limit) -> dict[str, Any]:
    rule = {"min": _text(limit.least), "max": _text(limit.most), "only": list(limit.only)}
    return {k: v for k, v in rule.items() if v or v == 0}


def case_from_data(data: dict[str, Any], book: Book) -> Case | None:
    """Read a case back from journal data with the same care as a file; None when it is not one (any more)."""
    case = from_document(Marked("journal", data), book, OWN, silent=True).case
    if case is None:
        return None
    wishes, ideas = data.get("units"), data.get("ideas")
    known = {
        d: u
        for d, u in (wishes.items() if isinstance(wishes, dict) else ())
        if isinstance(u, str) and (found := find_unit(u)) and found.dimension == d
    }
    asked = tuple(i for i in ideas if isinstance(i, str)) if isinstance(ideas, list) else ()
    name = data.get("kart_file")
    return replace(
        case,
        units=known,
        ideas=asked,
        preparing=data.get("preparing") is True,
        kart_file=name if isinstance(name, str) else "",
    )
