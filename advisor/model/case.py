"""A case: what is known when someone asks. Read from a file, built by the interview, kept in the journal."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from advisor import units
from advisor.units import Quantity

Verdict = Literal["better", "same", "worse"]
VERDICTS: tuple[Verdict, ...] = ("better", "same", "worse")

Laps = tuple[float, float, float]  # P(the laps | the kart is better, the same, worse), scaled to sum to one

# A setup value: a quantity, a grade such as "medium", a count of pieces, or a list of them (teeth, lead).
Value = Quantity | str | float
Pieces = tuple[tuple[str, Value], ...]  # a setting of several values, each with its label


@dataclass(frozen=True, slots=True)
class Tried:
    """A change that was tried, what came of it, and the changes made beside it before the same run."""

    lever: str
    direction: str
    verdict: Verdict
    beside: tuple[tuple[str, str], ...] = ()  # lever, direction
    soured: bool = False  # it helped, but a new fault came with it
    mended: bool = False  # something was found and put right, and the fault is there all the same
    laps: Laps | None = None  # what the stopwatch said beside the driver
    driver: str = ""  # whose word it is; today's driver where empty


@dataclass(frozen=True, slots=True)
class Past:
    """A trial of another day, as the journal tells it, with what was expected of it before the run.

    `effect`: what the lever was to give, None where the cause was answered directly; `as_stated`: it was
    turned the way the trade states. `facts`: what that day is compared by, such as kart, tyres.kind, track,
    balance. `share`: of a bundle, the part that counts for this lever. `days`: how long ago. `trial`: the id of
    the trial, the same for all the changes of a bundle. `driver`: whose word the verdict is. `to`: the value that was
    set, as text.
    """

    lever: str
    direction: str
    verdict: Verdict
    chance: float
    confidence: float
    effect: str | None = None
    as_stated: bool = True
    facts: Mapping[str, str] = field(default_factory=dict)
    days: float = 0.0
    share: float = 1.0
    laps: Laps | None = None
    trial: str = ""
    driver: str = ""
    to: str = ""


@dataclass(frozen=True, slots=True)
class Asked:
    """How often a question was put to a team, and got an answer. `who`: one of WHO, empty where nobody said."""

    question: str
    who: str
    times: int
    answered: int


@dataclass(frozen=True, slots=True)
class Limit:
    """A class rule for one lever: least and most value, or the only grades allowed."""

    least: Quantity | float | None = None
    most: Quantity | float | None = None
    only: tuple[str, ...] = ()


WEIGHT = "weight"  # the rule for kart and driver together on the scales; no lever
WEIGHS = (30.0, 400.0)  # kg that it may ask for: less or more is a slip (ours)
WHO = ("driver", "helper", "both")  # in the seat, at the kart, or one of each


@dataclass(frozen=True, slots=True)
class Spoken:
    """A complaint whose facts were written down as fields: only what it says as a whole is still heard.

    `of`: the questions of which nothing but these words tells; `alone`: whether nothing stood beside them;
    `beside`: how many questions fields answered that stood beside them.
    """

    text: str
    of: tuple[str, ...] = ()
    alone: bool = True
    beside: int = 0


@dataclass(frozen=True, slots=True)
class Case:
    """See the field comments; everything is optional but one of `complaint` and `observed`."""

    complaint: str = ""
    observed: Mapping[str, str] = field(default_factory=dict)  # observation id -> answer id
    denied: Mapping[str, tuple[str, ...]] = field(default_factory=dict)  # observation id -> answers ruled out
    secondary: Mapping[str, str] = field(default_factory=dict)  # phase, balance of a second fault
    kart_class: str = ""
    driver_mass: Quantity | None = None
    setup: Mapping[str, Value] = field(default_factory=dict)  # lever id -> value
    pieces: Mapping[str, Pieces] = field(
        default_factory=dict
    )  # settings of several values: corner weights, teeth
    tyres: Mapping[str, str] = field(default_factory=dict)  # kind, compound, laps
    conditions: Mapping[str, Quantity] = field(default_factory=dict)
    kit: Mapping[str, tuple[Value, ...]] | None = None
    rules: Mapping[str, Limit] = field(default_factory=dict)  # lever id, or WEIGHT -> what the class allows
    history: tuple[str, ...] = ()
    minutes: float | None = None
    tried: tuple[Tried, ...] = ()
    cleared: tuple[str, ...] = ()  # reasons of stops that were inspected and found sound
    refused: tuple[str, ...] = ()  # questions of which a reading was taken back: only an answer tells of them
    keep: tuple[str, ...] = ()
    # What no case file says: kept between sittings, or taken from a kart file.
    units: Mapping[str, str] = field(default_factory=dict)  # dimension -> unit to show it in
    ideas: tuple[str, ...] = ()  # changes that were asked about, as "lever way" or "lever"
    preparing: bool = False  # asked what to prepare, not what is wrong
    kart_file: str = ""  # the name of the kart on file
    noted: str = ""  # the entry of the diary that it was opened by
    who: str = ""  # who answers, one of WHO; nobody said so where empty
    unanswered: tuple[str, ...] = ()  # questions that these people could not answer
    spoken: Spoken | None = None  # what was said before, of which the facts are fields by now
    # What the journal tells; never written into a case.
    past: tuple[Past, ...] = ()  # trials of other days
    asked: tuple[Asked, ...] = ()  # questions of other sittings
    driver: str = ""  # who drives today


def stands_alone(case: Case) -> bool:
    """True where the complaint is all that tells what the kart does; its set-up, tyres and day repeat nothing of it."""
    return not (case.observed or case.denied or case.history)


def in_liked_units(case: Case) -> Case:
    """The same case, every quantity to be shown in the units its owner likes."""

    def liked(value: Any) -> Any:
        unit = units.find_unit(case.units.get(value.dimension, "")) if isinstance(value, Quantity) else None
        return value.within(unit) if unit else value

    return replace(
        case,
        driver_mass=liked(case.driver_mass),
        setup={k: liked(v) for k, v in case.setup.items()},
        conditions={k: liked(v) for k, v in case.conditions.items()},
        kit=case.kit and {k: tuple(map(liked, parts)) for k, parts in case.kit.items()},
        rules={k: Limit(liked(r.least), liked(r.most), r.only) for k, r in case.rules.items()},
    )
