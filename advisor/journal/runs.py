"""Days of runs that were judged, kept as documents: how far a driver's runs scatter is learnt from them.

A document is as hostile as a row until validated; one that makes no sense teaches nothing and travels on.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from advisor.journal.events import Document
from advisor.journal.store import Journal

KIND = "runs"
MOST_DAYS = 40  # that count, the latest
Seconds = Annotated[float, Field(ge=5, le=600, allow_inf_nan=False)]
Lap = tuple[Annotated[int, Field(ge=-300, le=9999)], Seconds]


class _Row(BaseModel):
    model_config = ConfigDict(frozen=True, extra="ignore")


class Run(_Row):
    """A run: "A" as it was, "B" with the change, and its (lap number, seconds), out and in laps left out."""

    arm: Literal["A", "B"]
    laps: list[Lap] = Field(min_length=2, max_length=300)


class Day(_Row):
    """A day's runs in the order driven. `day` is its date, `who` whose runs they are, "" if it was not told."""

    day: str = Field(max_length=40)
    who: str = Field(default="", max_length=80)
    runs: list[Run] = Field(min_length=2, max_length=40)

    def starts(self, other: Sequence[Run]) -> bool:
        """True when these runs are the first of the others: the same day, judged earlier."""
        return bool(self.runs) and list(other[: len(self.runs)]) == self.runs


def document(day: Day) -> Document:
    """The document that keeps a day; the same day kept twice is one."""
    return Document(KIND, day.model_dump(mode="json"))


def earlier(journal: Journal, who: str, today: Sequence[Run]) -> list[Day]:
    """The latest days of that driver, the oldest first, without today's runs and without beginnings of longer days."""
    days = [day for day in _days(journal.documents(KIND)) if day.who.casefold() == who.casefold()]
    days.sort(key=lambda day: (day.day, len(day.runs)))
    now = Day.model_construct(day="", who=who, runs=list(today))
    whole = [
        day
        for i, day in enumerate(days)
        if not any(day.starts(other.runs) for other in days[i + 1 :])
        and not day.starts(today)
        and not now.starts(day.runs)
    ]
    return whole[-MOST_DAYS:]


def _days(documents: Iterable[Document]) -> Iterable[Day]:
    for found in documents:
        try:
            yield Day.model_validate(found.body)
        except ValidationError:
            continue  # of another making
