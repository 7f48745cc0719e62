"""What the knowledge base may say: one frozen record for each kind of file in knowledge/.

Plain dataclasses: advisor.book has pydantic validate them when a file is new or changed, and rebuilds
them from its cache without pydantic otherwise, because that import alone would double the start.
Only shapes are checked here. Whether ids exist, rows differ or causes can be told apart is checked
in advisor.book.checks, where all files are in sight.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Annotated, Any, Literal

from advisor import units
from advisor.model import conditions
from advisor.model.scale import BASE_RATE, PROBABILITY
from advisor.problems import hint

PHASES = ("entry", "mid", "exit", "straight")
BALANCES = ("understeer", "oversteer", "hop", "bind", "slide")
# Sources that are no page: what the trade says with nobody to name, and what an author remembers.
UNSOURCED = ("common_practice", "memory")
TEAM = "team"  # what a team found out itself: the source that its own files name

CONFIG = {"extra": "forbid", "strict": True}


class Checked:
    """Marks a field with a function that raises ValueError; pydantic runs it, nothing else needs it."""

    def __init__(self, check: Callable[[Any], None]) -> None:
        self.check = check

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        from pydantic_core import core_schema

        def run(value: Any) -> Any:
            self.check(value)
            return value

        return core_schema.no_info_after_validator_function(run, handler(source))


def _on_scale(scale: dict[str, float], name: str) -> Checked:
    def check(word: str) -> None:
        if word not in scale:
            words = ", ".join(scale)
            raise ValueError(f'"{word}" is not on the {name} scale{hint(word, scale)} (words: {words})')

    return Checked(check)


def _between(low: float, high: float) -> Checked:
    def check(value: float) -> None:
        if not low <= value <= high:
            raise ValueError(f"must lie between {low:g} and {high:g}, not {value:g}")

    return Checked(check)


def _quantity(text: str) -> None:
    units.parse(text)


def _condition(tests: dict[str, str]) -> None:
    for path, test in tests.items():
        conditions.parse(path, test)


def _date(text: str) -> None:
    if not re.fullmatch(r"\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])", text):
        raise ValueError(f'"{text}" is no date such as 2024-05-04')


def _id(text: str) -> None:
    if not re.fullmatch(r"[a-z][a-z0-9_]*", text):
        raise ValueError(f'"{text}" is no id: small letters, digits and underscores, a letter first')


Likelihood = Annotated[str, _on_scale(PROBABILITY, "probability")]
BaseRate = Annotated[str, _on_scale(BASE_RATE, "base rate")]
QuantityText = Annotated[str, Checked(_quantity)]
Condition = Annotated[dict[str, str], Checked(_condition)]
Id = Annotated[str, Checked(_id)]
Date = Annotated[str, Checked(_date)]
SourceIds = tuple[str, ...]


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
    `doubt`: it is asked where words sound dangerous and no one question of danger stands out.
    `stand`: it is looked at on the kart while it stands there. `sheet`: it follows from the figures of a sheet, and is
    no part of a complaint, so the ear does not learn it.
    """

    __pydantic_config__ = CONFIG
    id: Id
    question: str
    plain: str
    effort: Literal["remember", "look", "measure"]
    seconds: Annotated[int, _between(1, 1800)]
    stand: bool = False
    answers: dict[Id, Answer]
    overlaps: Id | None = None
    asked_if: Condition = field(default_factory=dict)
    asked: bool = True
    context: bool = False
    always: bool = False
    first: Condition = field(default_factory=dict)
    doubt: bool = False
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
    times: Annotated[float, _between(0.02, 50)]
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
    trade: Annotated[float, _between(0, 100)]
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
    cases: Annotated[float, _between(0, 1e6)]
    causes: dict[Id, float] = field(default_factory=dict)
    rows: Annotated[float, _between(0, 1e6)] = 0.0
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
    minutes: Annotated[int, _between(0, 240)] | None = None
    runs: Annotated[float, _between(0, 5)] | None = None


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
    counts: Annotated[int, _between(1, 4)] = 1
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
    minutes: Annotated[int, _between(0, 240)]
    runs: Annotated[float, _between(0, 5)] = 1
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
    kept: Annotated[float, _between(0, 1)]
    because: str


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Job:
    """Work that several levers share, such as taking the hubs off: its minutes are paid once for all of them."""

    __pydantic_config__ = CONFIG
    id: Id
    open: str  # how it stands then: "the rear wheels are off"
    minutes: Annotated[int, _between(0, 240)]
    source: SourceIds = ()


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
