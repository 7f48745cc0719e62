"""pydantic's verdict on one record, turned into problems that a person can act on."""

from __future__ import annotations

import json
from collections.abc import Collection
from functools import cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from advisor.book.marked import Marked
from advisor.model import knowledge
from advisor.problems import Problem, hint


@cache
def _adapter(kind: str) -> TypeAdapter[Any]:
    return TypeAdapter(getattr(knowledge, kind))


def record(kind: str, document: Marked, at: tuple[Any, ...], data: Any) -> tuple[Any, list[Problem]]:
    """Validate `data`, found at path `at` of a document, as the record `kind`."""
    return check(_adapter(kind), document, at, data)


def check(
    adapter: TypeAdapter[Any], document: Marked, at: tuple[Any, ...], data: Any, keys: Collection[str] = ()
) -> tuple[Any, list[Problem]]:
    """Validate with any adapter. JSON is the way in because pydantic's strict mode takes lists for tuples there."""
    try:
        return adapter.validate_json(json.dumps(data)), []
    except ValidationError as errors:
        return None, [
            _problem(document, at, dict(error), data, keys) for error in errors.errors(include_url=False)
        ]


def _problem(
    document: Marked, at: tuple[Any, ...], error: dict[str, Any], data: Any, keys: Collection[str]
) -> Problem:
    loc = tuple(part for part in error["loc"] if part != "[key]")
    kind = error["type"]
    if kind in ("unexpected_keyword_argument", "extra_forbidden"):
        near = hint(str(loc[-1]), keys or _siblings(loc, data))
        return document.problem(at + loc, f'unknown key "{loc[-1]}"{near}', "unknown_key", key=True)
    if kind in ("missing", "missing_argument", "missing_keyword_only_argument"):
        return document.problem(at + loc, f'the key "{loc[-1]}" is missing', "missing_key")
    message = str(error.get("ctx", {}).get("error") or error["msg"]).removeprefix("Value error, ")
    where = ".".join(str(part) for part in loc)
    return document.problem(at + loc, f"{where}: {message}" if where else message)


def _siblings(loc: tuple[Any, ...], data: Any) -> list[str]:
    """Names the writer may have meant: keys of the kinds of record that the other keys beside it fit best."""
    here = data
    for step in loc[:-1]:
        try:
            here = here[step]
        except (KeyError, IndexError, TypeError):
            return []
    used = set(here) if isinstance(here, dict) else set()
    most = max((len(used & names) for names in _kinds()), default=0)
    fitting = [names for names in _kinds() if most and len(used & names) == most]
    return sorted(frozenset[str]().union(*fitting) - used)


@cache
def _kinds() -> tuple[frozenset[str], ...]:
    """The keys of each kind of record."""
    kinds = (getattr(kind, "__dataclass_fields__", {}) for kind in vars(knowledge).values())
    return tuple(frozenset(fields) for fields in kinds if fields)
