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


LAST_EVENING = 6  # hours: a bare time of day that lies farther ahead than this was yesterday's


def local_at(text: str, zone: str = "", day: str = "") -> str:
    """A local time that was typed, "14:10" or "2024-05-04 14:10", with its offset from UTC.

    A bare time of day is of `day`, a local date; without one it is today's, or, as after midnight, last evening's where
    it would lie far ahead. `zone` is a name such as Europe/Berlin or an offset such as +02:00; this machine's, where it
    is empty. Of a time that comes twice when the clocks go back the first is meant; one that is left out when they go
    forward is refused. Raises ValueError with a sentence.
    """
    from datetime import UTC, datetime, timedelta

    where = _zone(zone)
    found, dated = parsed(text)
    if not dated:
        here = datetime.fromisoformat(day) if day else now().astimezone(where)
        found = found.replace(year=here.year, month=here.month, day=here.day)
    told = _placed(found, where)
    if not (dated or day) and told - now() > timedelta(hours=LAST_EVENING):
        found -= timedelta(days=1)
        told = _placed(found, where)
    there = told.astimezone(UTC).astimezone(where)
    if there.replace(tzinfo=None) != found:
        raise ValueError(
            f'"{text[:30]}" is left out there, because the clocks go forward; by the clock it is {there:%H:%M} then, '
            "so look at it again"
        )
    return told.isoformat(timespec="seconds")


def parsed(text: str) -> tuple[datetime, bool]:
    """A time as it was typed, without a zone, and whether it has a date. Raises ValueError with a sentence."""
    from datetime import datetime

    for pattern in ("%Y-%m-%d %H:%M:%S", "%Y-%m-%d %H:%M", "%H:%M:%S", "%H:%M"):
        try:
            found = datetime.strptime(text.strip().replace("T", " "), pattern)  # noqa: DTZ007 (put on by the caller)
        except ValueError:
            continue
        return found, pattern.startswith("%Y")
    raise ValueError(f'"{text[:30]}" is no time; write it like 14:10 or 2024-05-04 14:10')


def _placed(time: datetime, zone: tzinfo | None) -> datetime:
    """A time without a zone, in that zone or in this machine's."""
    return time.replace(tzinfo=zone) if zone else time.astimezone()


def offset_then(time: str) -> str:
    """The offset of a local time, as `local_at` takes it; empty where it is this machine's own."""
    from datetime import datetime

    try:
        then = datetime.fromisoformat(time)
    except ValueError:
        return ""
    return "" if then.astimezone().utcoffset() == then.utcoffset() or not then.tzinfo else f"{then:%z}"


def _zone(name: str) -> tzinfo | None:
    from datetime import datetime
    from zoneinfo import ZoneInfo

    if not name:
        return None
    if name[0] in "+-":
        return datetime.strptime(name, "%z").tzinfo
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError) as error:
        raise ValueError(
            f'"{name[:40]}" is no time zone that this machine knows, such as Europe/Berlin'
        ) from error
