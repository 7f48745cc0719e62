"""A case as data in the shape of a case file, and back: how the journal keeps cases."""

from __future__ import annotations

from dataclasses import asdict, replace
from typing import Any

from advisor.book.marked import Marked
from advisor.inference.evidence import BEFORE
from advisor.karts.cases import from_document
from advisor.model.case import WHO, Case, Laps, Limit, Pieces, Spoken, Tried, Value
from advisor.model.knowledge import Book
from advisor.units import Quantity, find_unit

OWN = (
    "units",
    "ideas",
    "preparing",
    "kart_file",
    "noted",
    "trials",
    "cleared",
    "refused",
    "spoken",
    "who",
    "unanswered",
)  # keys that no case file has

LONGEST = 8000  # letters of what was said that are read again


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
        "setup": {
            **{k: _text(v) for k, v in case.setup.items()},
            **{k: _several(k, v) for k, v in case.pieces.items() if v},
            **({"tyres": tyres} if tyres else {}),
        },
        "conditions": _conditions(case),
        "kit": None
        if case.kit is None
        else {k: [_text(v) for v in values] for k, values in case.kit.items()},
        "rules": {k: _rule(v) for k, v in case.rules.items()},
        "history": list(case.history),
        "minutes": case.minutes,
        "tried": [{"lever": t.lever, "direction": t.direction, "verdict": t.verdict} for t in case.tried],
        "cleared": list(case.cleared),
        "refused": list(case.refused),
        "keep": list(case.keep),
        "units": dict(case.units),
        "ideas": list(case.ideas),
        "preparing": case.preparing or None,
        "kart_file": case.kart_file,
        "noted": case.noted,
        "who": case.who,
        "unanswered": list(case.unanswered),
        "spoken": case.spoken and asdict(case.spoken),
        "trials": _trials(case),
    }
    return {k: v for k, v in data.items() if v or v == 0 or (k == "kit" and v is not None)}


def _trials(case: Case) -> list[dict[str, Any]]:
    """What no case file says of the trials, one entry for each; nothing where there is nothing to say."""
    rows = [
        {
            "beside": [list(turn) for turn in t.beside],
            "soured": t.soured,
            "mended": t.mended,
            "laps": t.laps and list(t.laps),
        }
        for t in case.tried
    ]
    return rows if any(t.beside or t.soured or t.mended or t.laps for t in case.tried) else []


def _with_more(tried: tuple[Tried, ...], rows: Any, book: Book) -> tuple[Tried, ...]:
    """The trials with what `_trials` wrote of them; left as they are where that makes no sense."""
    if not isinstance(rows, list) or len(rows) != len(tried) or not all(isinstance(r, dict) for r in rows):
        return tried
    found = []
    for trial, row in zip(tried, rows, strict=True):
        turns = row.get("beside")
        beside = tuple(
            (turn[0], turn[1])
            for turn in (turns if isinstance(turns, list) else [])
            if isinstance(turn, list) and len(turn) == 2 and all(isinstance(x, str) for x in turn)
            and turn[0] in book.levers and turn[1] in book.levers[turn[0]].ways
        )  # fmt: skip
        found.append(
            replace(
                trial,
                beside=beside,
                soured=row.get("soured") is True,
                mended=row.get("mended") is True,
                laps=_laps(row.get("laps")),
            )
        )
    return tuple(found)


def _laps(row: Any) -> Laps | None:
    """What the stopwatch said, if it is three shares."""
    if not isinstance(row, list) or len(row) != 3:
        return None
    better, same, worse = (x if isinstance(x, float) and 0 <= x <= 1 else -1.0 for x in row)
    return (better, same, worse) if min(better, same, worse) >= 0 else None


def _spoken(row: Any, book: Book) -> Spoken | None:
    """What was said before, if it makes sense."""
    if not isinstance(row, dict) or not isinstance(text := row.get("text"), str):
        return None
    of = row.get("of")
    known = tuple(
        q
        for q in (of if isinstance(of, list | tuple) else ())
        if isinstance(q, str) and q in book.observations
    )
    beside = row.get("beside")
    count = beside if isinstance(beside, int) and 0 <= beside <= len(book.observations) else 0
    return Spoken(text[:LONGEST], known, row.get("alone") is True, count)


def _several(lever: str, pieces: Pieces) -> Any:
    """A setting of several values as a sheet has it."""
    if lever.startswith("ballast"):
        return [{"mass": _text(mass), **({"place": label} if label else {})} for label, mass in pieces]
    if lever == "corner_weights":
        return [_text(load) for _, load in pieces]
    return {label: int(v) if isinstance(v, float) and v.is_integer() else _text(v) for label, v in pieces}


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
    asked, cleared, refused, unanswered = (
        tuple(i for i in rows if isinstance(i, str)) if isinstance(rows, list) else ()
        for rows in (ideas, data.get("cleared"), data.get("refused"), data.get("unanswered"))
    )
    name, noted = data.get("kart_file"), data.get("noted")
    return replace(
        case,
        units=known,
        ideas=asked,
        cleared=cleared,
        refused=tuple(q for q in refused if q in book.observations or q == BEFORE),
        preparing=data.get("preparing") is True,
        kart_file=name if isinstance(name, str) else "",
        noted=noted if isinstance(noted, str) else "",
        who=who if (who := data.get("who")) in WHO else "",
        unanswered=tuple(q for q in unanswered if q in book.observations),
        spoken=_spoken(data.get("spoken"), book),
        tried=_with_more(case.tried, data.get("trials"), book),
    )
