"""What the registry says of a sum."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

Span = tuple[int, int]  # where something stands in a text


@dataclass(frozen=True, slots=True)
class Choice:
    """Of these names at least and at most so many must be given."""

    names: tuple[str, ...]
    least: int = 1
    most: int = 1


@dataclass(frozen=True, slots=True)
class Want:
    """A name that a question may ask for, the pattern that tells so, and what it takes, with ordinary values."""

    name: str
    asks: str
    usual: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Bare:
    """A number of a question by its name, where it stands, and how it was taken where that is not plain."""

    key: str
    text: str
    span: Span
    taken: str = ""


@dataclass(frozen=True, slots=True)
class Sum:
    """A row. `assumes`: names with what they are taken to be when nobody says, as a person would write it.

    `usual`: names and values of an ordinary call: the example of the help, and what a question needs. `asks`:
    patterns (in small letters, numbers as digits) by which a question in words is known. `cues`: words near a
    number that tell which name it belongs to. `rising`: two names, of which the second is the greater where both are
    told in words. `wants`: where a question may ask for one name or another; the first that fits. `by_cue`: names
    that a number is given to beside their cue only. `strict`: a number of a question that belongs nowhere spoils it.
    `leads`: what is said first to a question that fits, whatever figures it tells.
    """

    name: str
    says: str
    formula: str
    source: str
    holds: str
    gives: tuple[str, ...]
    usual: Mapping[str, str]
    needs: tuple[str, ...] = ()
    choices: tuple[Choice, ...] = ()
    may: tuple[str, ...] = ()
    assumes: Mapping[str, str] = field(default_factory=dict)
    care: tuple[str, ...] = ()
    asks: tuple[str, ...] = ()
    cues: Mapping[str, str] = field(default_factory=dict)
    rising: tuple[str, str] | None = None
    wants: tuple[Want, ...] = ()
    by_cue: tuple[str, ...] = ()
    strict: bool = False
    leads: tuple[tuple[str, str], ...] = ()

    @property
    def takes(self) -> tuple[str, ...]:
        """Every name that it takes, the most needed first."""
        chosen = (name for choice in self.choices for name in choice.names)
        return tuple(dict.fromkeys((*chosen, *self.needs, *self.may, *self.assumes)))
