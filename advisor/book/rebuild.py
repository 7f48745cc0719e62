"""From JSON data back to the frozen records, without pydantic: for data that was validated before, and is used up."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, is_dataclass
from functools import cache
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin, get_type_hints

Build = Callable[[Any], Any]


def _as_is(value: Any) -> Any:
    return value


@cache
def builder(kind: Any) -> Build:
    """Return the function that turns JSON data into a value of the annotated type."""
    origin = get_origin(kind)
    if origin is Annotated:
        return builder(get_args(kind)[0])
    if origin in (Union, UnionType):
        inner = next(builder(a) for a in get_args(kind) if a is not type(None))
        return inner if inner is _as_is else lambda v: None if v is None else inner(v)
    if origin is tuple:
        inner = builder(get_args(kind)[0])
        return tuple if inner is _as_is else lambda v: tuple(map(inner, v))
    if origin is dict:
        inner = builder(get_args(kind)[1])
        return _as_is if inner is _as_is else lambda v: {k: inner(x) for k, x in v.items()}
    if is_dataclass(kind):
        return _record(kind)
    return _as_is


def _record(kind: Any) -> Build:
    hints = get_type_hints(kind, include_extras=True)
    special = [(f.name, b) for f in fields(kind) if (b := builder(hints[f.name])) is not _as_is]

    def build(data: dict[str, Any]) -> Any:
        for name, inner in special:
            if name in data:
                data[name] = inner(data[name])
        return kind(**data)

    return build


def slim(record: Any) -> Any:
    """Return a record as JSON data, leaving out what equals its default."""
    if is_dataclass(record):
        return {f.name: slim(v) for f in fields(record) if not _is_default(f, v := getattr(record, f.name))}
    if isinstance(record, dict):
        return {k: slim(v) for k, v in record.items()}
    if isinstance(record, tuple):
        return [slim(v) for v in record]
    return record


def _is_default(spec: Any, value: Any) -> bool:
    return bool(value == spec.default or (value == {} and callable(spec.default_factory)))
