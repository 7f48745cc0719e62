"""A fresh id and the time now: the only place where either is made."""

from __future__ import annotations


def stamp() -> tuple[str, str]:
    """An id unique anywhere, and the time in UTC, ISO 8601 with microseconds."""
    from datetime import UTC, datetime
    from uuid import uuid4

    return uuid4().hex, datetime.now(UTC).isoformat(timespec="microseconds")
