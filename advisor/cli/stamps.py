"""A fresh id and the time now: the only place where either is made."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime, tzinfo


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


def local_at(text: str, zone: str = "") -> str:
    """A local time that was typed, "14:10" (today) or "2024-05-04 14:10", with its offset from UTC.

    `zone` is a name such as Europe/Berlin; this machine's, where it is empty. Of a time that comes twice when the
    clocks go back the first is meant. Raises ValueError with a sentence.
    """
    from datetime import datetime

    here = now().astimezone(_zone(zone))
    said = text.strip().replace("T", " ")
    for pattern in ("%Y-%m-%d %H:%M:%S", "%Y-%m-%d %H:%M", "%H:%M:%S", "%H:%M"):
        try:
            found = datetime.strptime(said, pattern)  # noqa: DTZ007 (the zone is put on below)
        except ValueError:
            continue
        if not pattern.startswith("%Y"):
            found = found.replace(year=here.year, month=here.month, day=here.day)
        told = found.replace(tzinfo=_zone(zone)) if zone else found.astimezone()
        return told.isoformat(timespec="seconds")
    raise ValueError(f'"{text[:30]}" is no time; write it like 14:10 or 2024-05-04 14:10')


def _zone(name: str) -> tzinfo | None:
    from zoneinfo import ZoneInfo

    if not name:
        return None
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError) as error:
        raise ValueError(
            f'"{name[:40]}" is no time zone that this machine knows, such as Europe/Berlin'
        ) from error
