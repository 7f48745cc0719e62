"""What the knowledge base may say: one frozen record for each kind of file in knowledge/.

Plain dataclasses: advisor.book has pydantic validate them when a file is new or changed, and rebuilds
them from its cache without pydantic otherwise, because that import alone would double the start.
Only shapes are checked here. Whether ids exist, rows differ or causes can be told apart is checked
in advisor.book.checks, where all files are in sight.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Literal

from advisor.model.checked import (
    CONFIG,
    BaseRate,
    Condition,
    Date,
    Id,
    Likelihood,
    QuantityText,
    SourceIds,
    between,
)
from advisor.model.levers import Effect, Job, Lever

PHASES = ("entry", "mid", "exit", "straight")
BALANCES = ("understeer", "oversteer", "hop", "bind", "slide")
# Sources that are no page: what the trade says with nobody to name, and what an author remembers.
UNSOURCED = ("common_practice", "memory")
TEAM = "team"  # what a team found out itself: the source that its own files name


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Source:
    """Where a claim comes from. `address` is a page; `about` says in our words what it offers."""

    __pydantic_config__ = CONFIG
    id: str
    about: str
    address: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Answer:
    """One answer to a question.

    `usual`: how often it is the answer among karts that misbehave, whatever the cause.
    `phrases`: how a complaint says it. `when`: facts from which it follows without asking.
    `denied`: the answer meant when the phrases are negated; without it the answer is only excluded.
    `alarm`: set when the answer alone means "do not drive", with the sentence to say. `idle`: it tells
    nothing of a fault, such as that it is a plain question. `refused`: it is never to be done, however harmless
    the words sound that tell it.
    """

    __pydantic_config__ = CONFIG
    text: str
    usual: Likelihood
    phrases: tuple[str, ...] = ()
    when: tuple[Condition, ...] = ()
    denied: Id | None = None
    alarm: str | None = None
    idle: bool = False
    refused: bool = False
    inspect: tuple[Id, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Observation:
    """Something a driver or mechanic can answer. `overlaps` names a group that counts one fact once.

    `context`: it tells about the kart or the day, and by itself nothing of a fault. `always`: it counts
    whenever it is told, also of the past, of others or beside good news. `first`: where this holds, a sitting asks it
    before all else.
    `doubt`: it is asked where words sound dangerous and no one question of danger stands out. `hints`: words that may
    tell of its danger, and leave open whether they do: in a sitting it is asked first upon them.
    `stand`: it is looked at on the kart while it stands there. `sheet`: it follows from the figures of a sheet, and is
    no part of a complaint, so the ear does not learn it.
    """

    __pydantic_config__ = CONFIG
    id: Id
    question: str
    plain: str
    effort: Literal["remember", "look", "measure"]
    seconds: Annotated[int, between(1, 1800)]
    stand: bool = False
    answers: dict[Id, Answer]
    overlaps: Id | None = None
    asked_if: Condition = field(default_factory=dict)
    asked: bool = True
    context: bool = False
    always: bool = False
    first: Condition = field(default_factory=dict)
    doubt: bool = False
    hints: tuple[str, ...] = ()
    sheet: bool = False
    source: SourceIds = ()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Feel:
    """How often a kart with this cause is felt so, by balance and phase; cells left out are exceptional."""

    __pydantic_config__ = CONFIG
    understeer: dict[str, Likelihood] = field(default_factory=dict)
    oversteer: dict[str, Likelihood] = field(default_factory=dict)
    hop: dict[str, Likelihood] = field(default_factory=dict)
    bind: dict[str, Likelihood] = field(default_factory=dict)
    slide: dict[str, Likelihood] = field(default_factory=dict)
    source: SourceIds = ()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Sign:
    """How often each answer is true of a kart with this cause; answers left out share the rest as usual."""

    __pydantic_config__ = CONFIG
    ask: Id
    answers: dict[str, Likelihood]
    source: SourceIds = ()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Odds:
    """A circumstance that multiplies the odds of the cause: a setup value out of its window, weather."""

    __pydantic_config__ = CONFIG
    where: Condition
    times: Annotated[float, between(0.02, 50)]
    because: str
    source: SourceIds = ()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Need:
    """An effect that the cause needs; `cures`: how often supplying it cures the complaint."""

    __pydantic_config__ = CONFIG
    effect: Id
    change: Literal["more", "less"]
    cures: Likelihood
    source: SourceIds = ()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Remedy:
    """A lever that answers the cause directly: an inspection, a skill, the value put right, leave it alone."""

    __pydantic_config__ = CONFIG
    lever: Id
    direction: str
    cures: Likelihood
    detail: str | None = None
    source: SourceIds = ()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Danger:
    """Set on causes that can hurt: from `at` on the advice is to stop and inspect, whatever else it says."""

    __pydantic_config__ = CONFIG
    at: Likelihood
    text: str
    inspect: tuple[Id, ...]


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Group:
    """Causes whose share of all complaints is counted together.

    `trade`: the share that the trade would give it, in per cent, before anything was counted. `signs`: how often
    an answer is true with any of its causes; a cause that says nothing of an observation itself has the row of
    its group. The group `unknown` holds what the knowledge base does not.
    """

    __pydantic_config__ = CONFIG
    id: Id
    name: str
    plain: str
    trade: Annotated[float, between(0, 100)]
    signs: tuple[Sign, ...] = ()
    source: SourceIds = ()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Count:
    """What was counted of a group: how many complaints had it, of which cause, and how many told each answer.

    `rows` is what the told answers are a part of. A complaint of two troubles counts half for each, so the
    numbers are not whole.
    """

    __pydantic_config__ = CONFIG
    id: Id
    cases: Annotated[float, between(0, 1e6)]
    causes: dict[Id, float] = field(default_factory=dict)
    rows: Annotated[float, between(0, 1e6)] = 0.0
    told: dict[Id, dict[Id, float]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Cause:
    """Why a kart misbehaves. `base`: how often, among the causes of its group.

    `rest`: it stands for whatever else of its group no other entry describes.
    """

    __pydantic_config__ = CONFIG
    id: Id
    name: str
    kind: Literal["setup", "tyre", "driver", "mechanical", "engine", "track", "data"]
    group: str = ""  # of knowledge/groups.yaml; needed where there are groups
    plain: str
    base: BaseRate
    feel: Feel | None = None
    signs: tuple[Sign, ...] = ()
    odds: tuple[Odds, ...] = ()
    needs: tuple[Need, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    danger: Danger | None = None
    undoes_change: bool = False
    rest: bool = False
    source: SourceIds = ()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Words:
    """The language that complaints are written in: classes of words, markers, and words left alone."""

    __pydantic_config__ = CONFIG
    classes: dict[str, tuple[str, ...]]
    negators: tuple[str, ...]
    past: tuple[str, ...]
    fine: tuple[str, ...]
    others: tuple[str, ...]
    idle: tuple[str, ...]
    changed: tuple[str, ...]
    wondering: tuple[str, ...]
    preparing: tuple[str, ...]
    sequence: tuple[str, ...]
    common: tuple[str, ...]
    ways: dict[str, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Overlap:
    """A group of observations that tell one fact: the strongest counts whole, `kept` of the others' weight."""

    __pydantic_config__ = CONFIG
    id: Id
    kept: Annotated[float, between(0, 1)]
    because: str


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Term:
    """A word of the trade that is no record of its own: a feel, a part, a skill, a way of working.

    `plain`: what it is. `where`: where on the kart or the track. `why`: what it does and why.
    `practise`: what to try for two laps, `feel`: what should be felt of it. `drivers`: what differs
    for a light or a tall driver. `see`: ids of records of any kind. `phrases`: how else people say it.
    """

    __pydantic_config__ = CONFIG
    id: Id
    name: str
    family: Literal["handling", "driving", "chassis", "tyres", "engine", "weight", "track", "testing"]
    plain: str
    where: str | None = None
    why: str | None = None
    practise: str | None = None
    feel: str | None = None
    drivers: str | None = None
    care: tuple[str, ...] = ()
    see: tuple[Id, ...] = ()
    phrases: tuple[str, ...] = ()
    source: SourceIds = ()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Tongue:
    """Another language: how it is known by its small words, what is answered, and its words of danger.

    `danger`: beginnings of words, by "question answer".
    """

    __pydantic_config__ = CONFIG
    id: Id
    common: tuple[str, ...]
    reply: str = ""
    danger: dict[str, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Fix:
    """What a team found out about one lever. A trusted one is a remedy of its cause, a draft is only told.

    `evidence`: ids of trials. `fault`: what the kart does, as a condition. `where`: the regime in which it
    holds. `anyway`: set when a person trusted it against the figures, with what the figures were. `fell`: when and
    why it lost its trust by itself.
    """

    __pydantic_config__ = CONFIG
    id: Id
    author: str
    date: Date
    status: Literal["draft", "trusted"]
    lever: Id
    direction: str
    cures: Likelihood
    because: str
    cause: Id | None = None
    fault: Condition = field(default_factory=dict)
    where: Condition = field(default_factory=dict)
    evidence: tuple[str, ...] = ()
    anyway: str | None = None
    fell: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Bar:
    """Where nothing may be changed, such as on a hire kart: all levers but the `spared` ones are withheld."""

    __pydantic_config__ = CONFIG
    id: Id
    where: Condition
    because: str
    spared: tuple[Id, ...]
    source: SourceIds = ()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class SheetField:
    """A value of a sheet that is no lever, such as the driver's mass: outside of `usual` it is asked about."""

    __pydantic_config__ = CONFIG
    id: Id
    usual: tuple[QuantityText, QuantityText]
    source: SourceIds = ()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Book:
    """The whole knowledge base, by id. `own`: records of a team's folders, each as "room/id"."""

    __pydantic_config__ = CONFIG
    sources: dict[str, Source]
    effects: dict[str, Effect]
    overlaps: dict[str, Overlap]
    observations: dict[str, Observation]
    causes: dict[str, Cause]
    levers: dict[str, Lever]
    words: Words
    groups: dict[str, Group] = field(default_factory=dict)
    counts: dict[str, Count] = field(default_factory=dict)
    fields: dict[str, SheetField] = field(default_factory=dict)
    bars: dict[str, Bar] = field(default_factory=dict)
    jobs: dict[str, Job] = field(default_factory=dict)
    glossary: dict[str, Term] = field(default_factory=dict)
    tongues: dict[str, Tongue] = field(default_factory=dict)
    fixes: dict[str, Fix] = field(default_factory=dict)
    own: tuple[str, ...] = ()

    def is_look(self, lever: str, way: str) -> bool:
        """True for an inspection: what it finds is seen at once. A trial may tell of what this book does not have."""
        ways = self.levers[lever].ways if lever in self.levers else {}
        return way in ways and ways[way].look
