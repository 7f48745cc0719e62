"""What a journal holds: events, and documents of kinds that this version does not know."""

from __future__ import annotations

import json
from dataclasses import dataclass
from hashlib import sha256
from typing import Any, Literal

Kind = Literal["trial", "verdict", "sitting", "note"]


class JournalError(Exception):
    """The journal cannot be used; the text is one sentence for a person."""


class SenseError(ValueError):
    """An event can be read, but what it says makes no sense; the text says where."""


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened. `id` is unique anywhere, `at` is UTC in ISO 8601, `body` is JSON data."""

    id: str
    at: str
    kind: Kind
    body: dict[str, Any]

    @property
    def moment(self) -> tuple[str, str]:
        """Where the event stands among all others, in whatever order they were written: by time, then by id."""
        return self.at, self.id


@dataclass(frozen=True, slots=True)
class Document:
    """Anything else that travels with a journal. `body` is JSON data; what it means depends on `kind`."""

    kind: str
    body: Any

    @property
    def digest(self) -> str:
        """The same for the same kind and body, on every machine."""
        return sha256(canonical([self.kind, self.body]).encode()).hexdigest()


TWIN = "event"  # the kind of document that holds an event whose id was taken by another one


def canonical(data: Any) -> str:
    """JSON data as one line of ASCII, the same for the same data. Raises ValueError on what JSON cannot say."""
    try:
        return json.dumps(data, sort_keys=True, allow_nan=False, separators=(",", ":"))
    except RecursionError as error:
        raise ValueError("it is nested too deeply") from error


def as_data(event: Event) -> dict[str, Any]:
    return {"id": event.id, "at": event.at, "kind": event.kind, "body": event.body}


def chosen(*told: Event) -> Event:
    """Which of several events with one id counts: the earliest, then the first by its text; never the file's order."""
    return min(told, key=lambda event: (event.at, event.kind, canonical(event.body)))
