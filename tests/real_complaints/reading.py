"""Read the complaints and their retellings into records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from advisor.book import marked

HERE = Path(__file__).parent
FIELDS = ("id", "kind", "source", "complaint", "observed", "secondary", "accept", "families")
KINDS = ("thread", "diary", "guide_pair")
FAMILIES = (
    "loose_rear",
    "understeer",
    "hop",
    "bind",
    "slide",
    "wet",
    "cold",
    "tyre",
    "straight",
    "mechanical",
    "other",
)
THREE = ("loose_rear", "understeer", "hop")
VOICES = ("child", "parent", "racer")


@dataclass(frozen=True, slots=True)
class Complaint:
    """A published complaint, restated, with the levers that count as right."""

    id: str
    kind: str
    text: str
    observed: Mapping[str, str]
    secondary: Mapping[str, str]
    accept: tuple[str, ...]
    families: tuple[str, ...]
    expert: tuple[str, ...] = ()  # what somebody who knows the trade named, from the complaint alone

    @property
    def in_three(self) -> bool:
        return any(family in THREE for family in self.families)


@dataclass(frozen=True, slots=True)
class Retelling:
    """The same complaint in another voice."""

    complaint: Complaint
    voice: str
    held_out: bool


def raw(name: str) -> Any:
    """The entries of a file as written. Raises ValueError with every problem of the file."""
    document = marked.read(HERE / name, name)
    if document.problems:
        raise ValueError("\n".join(str(problem) for problem in document.problems))
    return document.data


@cache
def complaints() -> tuple[Complaint, ...]:
    """Every complaint of the first file, in its order."""
    return tuple(_complaint(entry) for entry in raw("complaints.yaml"))


@cache
def every_complaint() -> tuple[Complaint, ...]:
    """Those of both files."""
    return (*complaints(), *(_complaint(entry) for entry in raw("complaints_2.yaml")))


def _complaint(entry: dict[str, Any]) -> Complaint:
    return Complaint(
        id=entry["id"],
        kind=entry["kind"],
        text=entry["complaint"],
        observed=entry["observed"],
        secondary=entry["secondary"],
        accept=tuple(entry["accept"]),
        families=tuple(entry.get("families", ())),
        expert=tuple(entry.get("expert", ())),
    )


@cache
def retellings() -> tuple[Retelling, ...]:
    """Every retelling, three voices a complaint."""
    known = {complaint.id: complaint for complaint in complaints()}
    return tuple(
        Retelling(replace(known[entry["id"]], text=entry[voice]), voice, entry["held_out"])
        for entry in raw("paraphrases.yaml")
        for voice in VOICES
    )
