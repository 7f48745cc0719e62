"""A fresh id and the time now: the only place where either is made."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime


def stamp() -> tuple[str, str]:
    """An id unique anywhere, and the time in UTC, ISO 8601 with microseconds."""
    from uuid import uuid4

    return uuid4().hex, now().isoformat(timespec="microseconds")


def now() -> datetime:
    """The time, in UTC."""
    from datetime import UTC, datetime

    return datetime.now(UTC)


def local() -> str:
    """The local time with its offset from UTC, ISO 8601 in seconds, such as 2024-05-04T11:30:00+02:00."""
    return now().astimezone().isoformat(timespec="seconds")
