"""What can be turned, checked or practised, which way, and what that does: the records of levers, effects and jobs."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Literal

from advisor.model.checked import CONFIG, Condition, Id, Likelihood, QuantityText, SourceIds, between


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Effect:
    """What a change does to the kart, and what the driver feels of it. `keep`: words of a wish to keep it."""

    __pydantic_config__ = CONFIG
    id: Id
    name: str
    more_feels: str
    less_feels: str
    keep: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Statics:
    """What the wheel loads of the kart model say of a claim that they contradict, or settle between sources.

    `left_out`: the mechanism that the model does not have. `sources`, `loads`: where the one side and the other is
    to be expected; that is the authors' reading. All of them parts of sentences.
    """

    __pydantic_config__ = CONFIG
    says: str
    left_out: str
    sources: str
    loads: str


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Gives:
    """One claim of the trade: turned `way`, the lever changes an effect.

    `supplies`: how often one or two steps supply the effect, if it acts as stated. `agree` and
    `disagree` are the sources; the opposite way does the opposite. `where` limits the claim to a regime.
    `geometry`: the direction follows from plain statics and is not up for trial. `statics`: needed where the
    kart model says the opposite; `tests/physics/signs.py` tells.
    """

    __pydantic_config__ = CONFIG
    way: str
    effect: Id
    change: Literal["more", "less"]
    supplies: Likelihood
    because: str
    agree: SourceIds = ()
    disagree: SourceIds = ()
    geometry: bool = False
    where: Condition = field(default_factory=dict)
    statics: Statics | None = None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Way:
    """A direction of a lever: what to do, in the imperative, and how people name it.

    `spent`: how people say that it goes no further this way. `done_if`: facts under which it is so already and is
    not advised; `first_if`: under which it is as much what mechanics try first as anything. `on_kart`: what it
    takes is on the kart already, so no part is needed. `look`: it is done on the stand, needs no run to be judged,
    and goes together with the other looks of its lever; so do the skills of driving, each two laps of one run
    (`together`). `minutes` and `runs`: where they differ from the lever's.
    """

    __pydantic_config__ = CONFIG
    say: str
    opposite: str | None = None
    phrases: tuple[str, ...] = ()
    spent: tuple[str, ...] = ()
    done_if: Condition = field(default_factory=dict)
    first_if: Condition = field(default_factory=dict)
    on_kart: bool = False
    look: bool = False
    together: bool = False
    minutes: Annotated[int, between(0, 240)] | None = None
    runs: Annotated[float, between(0, 5)] | None = None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Step:
    """One sensible step. `amount` is a quantity, or "1 grade" or "1 piece". `raises`: the way that adds it.

    `per` is side or wheel; where the setup sheet holds an overall value, `counts` says how many
    such steps change it (two sides: 2).
    """

    __pydantic_config__ = CONFIG
    amount: str
    raises: str
    per: Literal["side", "wheel"] | None = None
    counts: Annotated[int, between(1, 4)] = 1
    source: SourceIds = ()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Guide:
    """Where a value usually stands in one regime: a value outside of `low` to `high` is brought to the nearer end."""

    __pydantic_config__ = CONFIG
    low: QuantityText
    high: QuantityText
    because: str
    where: Condition = field(default_factory=dict)
    source: SourceIds = ()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Lever:
    """Something that can be turned, checked or practised.

    `guide`: the usual windows, the first whose `where` holds counts. `usual`: outside of these two a value is
    odd and is asked about. `form`: how a setting of several values is written. `parts`: levers that are turned
    with it. `do`: how a step is done, in one line, as somebody would be told who never did it.
    """

    __pydantic_config__ = CONFIG
    id: Id
    name: str
    plain: str
    do: str = ""
    job: Id | None = None
    minutes: Annotated[int, between(0, 240)]
    runs: Annotated[float, between(0, 5)] = 1
    part: bool = False
    ways: dict[str, Way]
    dimension: str | None = None
    grades: tuple[str, ...] = ()
    step: Step | None = None
    least: QuantityText | None = None
    most: QuantityText | None = None
    usual: tuple[QuantityText, ...] = ()
    guide: tuple[Guide, ...] = ()
    form: str | None = None
    parts: tuple[Id, ...] = ()
    gives: tuple[Gives, ...] = ()
    cautions: tuple[str, ...] = ()
    phrases: tuple[str, ...] = ()
    source: SourceIds = ()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Job:
    """Work that several levers share, such as taking the hubs off: its minutes are paid once for all of them."""

    __pydantic_config__ = CONFIG
    id: Id
    open: str  # how it stands then: "the rear wheels are off"
    minutes: Annotated[int, between(0, 240)]
    source: SourceIds = ()
