"""The answer to a case. Plain frozen records; the rim prints them as text or JSON."""

from __future__ import annotations

from dataclasses import dataclass, field

from advisor.units import Quantity


class FirstOfAll(str):
    """A warning that is put right before any advice counts, such as a value that the class does not allow."""

    __slots__ = ()


class TriedBefore(str):
    """Why a change is not advised: it was tried already."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Stop:
    """Danger forces this ahead of everything: do not drive until the levers in `inspect` are done.

    `steps`: for each of them what to look at, the likeliest trouble first. `also`: other alarms that its text tells.
    `questions`: those whose answers alarm; none where a danger is only likely.
    """

    reason: str
    text: str
    inspect: tuple[str, ...]
    steps: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CauseBelief:
    """How probable a cause is. `unknown` stands for what the knowledge base does not hold."""

    id: str
    name: str
    kind: str
    probability: float


@dataclass(frozen=True, slots=True)
class Amount:
    """One step of a lever: `value` in `unit` (grade and piece are units too), per side, wheel or in all."""

    value: float
    unit: str
    per: str | None = None


@dataclass(frozen=True, slots=True)
class Target:
    """The setup value that results, and `since` what it was: a quantity's value and unit, or the name of a grade."""

    value: float | str
    unit: str
    si: Quantity | None = None
    since: float | str | None = None


@dataclass(frozen=True, slots=True)
class Moved:
    """What the kart model says that a change does to one figure of this kart.

    `figure`: `lifts_at`, the acceleration at which the inside rear lifts, or the effect that the change is for;
    `before`: where it stood, if known; `low`, `middle`, `high`: the change in the 5th, the middle and the 95th of a
    hundred such karts, in `unit`; `text`: as the screen has it.
    """

    figure: str
    unit: str
    before: float | None
    low: float
    middle: float
    high: float
    text: str


@dataclass(frozen=True, slots=True)
class Advice:
    """One lever, the way more likely to help. `chance` is P(cures it | all facts).

    `meanwhile`: what is quickly done as well while the same part is open. `effect`: what it is to give, if
    not put right directly; `as_stated`: turned the way the trade states. `also`: further looks of the same visit.
    `loads`: what the kart model says of it, where that was asked.
    """

    lever: str
    direction: str
    say: str
    detail: str | None
    amount: Amount | None
    to: Target | None
    minutes: int
    chance: float
    confidence: float
    worth: float
    why: tuple[str, ...]
    costs: tuple[str, ...]
    feel_for: str
    wrong_if: str
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
    meanwhile: tuple[str, ...] = ()
    effect: str | None = None
    as_stated: bool = True
    also: tuple[str, ...] = ()
    loads: tuple[Moved, ...] = ()


@dataclass(frozen=True, slots=True)
class Withheld:
    """A lever the ranking would have named but for rules, kit, stops, minutes, a kept wish or safety."""

    lever: str
    direction: str
    reason: str


@dataclass(frozen=True, slots=True)
class Question:
    """A question worth its time: `seconds` to answer it; `gain` is what it is expected to save, in minutes."""

    id: str
    text: str
    answers: tuple[str, ...]
    texts: tuple[str, ...]
    gain: float
    seconds: int = 0


@dataclass(frozen=True, slots=True)
class Look:
    """A line of a look-over: the question, and the answer that a sound kart gives, with its text."""

    question: Question
    sound: str
    text: str


@dataclass(frozen=True, slots=True)
class Answer:
    """The whole answer to a case, as the case contract lays it out."""

    understood: dict[str, object]
    stop: Stop | None
    causes: tuple[CauseBelief, ...]
    advice: tuple[Advice, ...]
    withheld: tuple[Withheld, ...]
    next_question: Question | None
    warnings: tuple[str, ...] = field(default=())
    enough: str | None = None  # why no change should be made now
    first: tuple[Question, ...] = ()  # where no change stands out: what to look at or to ask before any
    judged: tuple[str, ...] = field(default=())  # ideas that were asked about, each in a sentence or two
    follows: frozenset[str] = (
        frozenset()
    )  # what was understood from the figures of the kart and the day alone
