"""Trials and runs of the diary side by side, in the order of their own clocks: what a history is made of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from statistics import median
from typing import Any

from advisor import units
from advisor.journal.belonging import moment
from advisor.journal.notes import Note
from advisor.journal.rows import Change, mapping
from advisor.journal.trials import Trial
from advisor.journal.versions import Differing
from advisor.model.belonging import Belonging, kart_name

Setup = Mapping[str, str]
SAME = 1e-6  # of a value, by which it may differ when it is written in another unit


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that happened to a kart: a change that was tried, or a run that was noted.

    `setup` is how the kart stood, as text by lever, before the change; `after`: how it stood from then on. `said`: the
    complaint, or the driver's words of the run. `outcome` of a trial, with the words that came with it (`words`).
    `laps` in seconds.
    """

    id: str
    kind: str  # tried, noted
    belongs: Belonging
    said: str = ""
    did: str = ""
    outcome: str = ""
    words: str = ""
    good: bool = False
    fault: str = ""
    setup: Setup = field(default_factory=dict)
    after: Setup = field(default_factory=dict)
    conditions: Setup = field(default_factory=dict)
    pressures: Setup = field(
        default_factory=dict
    )  # cold front, hot rear ..., or by corner: cold front left ...
    tyre_laps: int | None = None
    laps: tuple[float, ...] = ()
    laps_typed: str = ""
    chance: float | None = None  # of a cure, as it was given before the run
    service: str = ""  # what was serviced before it
    levers: tuple[str, ...] = ()  # what was turned: "caster less" of a trial, "caster" of a run
    by: str = ""  # who drove the run that was judged
    differing: tuple[Differing, ...] = ()  # what of a note was put right in two ways
    unfinished: bool = False  # a note that was left in the middle

    @property
    def kart(self) -> str:
        return kart_name(self.belongs.kart)

    @property
    def best(self) -> float | None:
        return min(self.laps) if self.laps else None

    @property
    def middle(self) -> float | None:
        """The median of the laps, which one lap in traffic does not move."""
        return median(self.laps) if self.laps else None

    @property
    def moment(self) -> tuple[float, str]:
        then = moment(self.belongs.time)
        return (then.timestamp() if then else 0.0), self.id


def of_trial(trial: Trial) -> Item:
    """A trial as history tells it."""
    facts = trial.facts
    case = trial.case
    observed = case.get("observed")
    words = {"track": observed.get("track")} if isinstance(observed, dict) else {}
    setup = setup_of(case.get("setup"))
    return Item(
        id=trial.id,
        kind="tried",
        belongs=trial.belongs,
        said=trial.complaint,
        did="; ".join(
            f"{c.say}{_to(c)}{', left on' if c.lever in trial.stays else ''}" for c in trial.changes
        ),
        outcome="crossed out" if trial.dropped else trial.verdict or "waits for its outcome",
        words=trial.note,
        good=trial.verdict == "better",
        fault=" ".join(facts[k] for k in ("balance", "phase") if k in facts),
        setup=setup,
        after=_after(setup, trial),
        conditions=_texts({**mapping(case.get("conditions")), **words}),
        chance=trial.change.chance,
        levers=tuple(f"{c.lever} {c.direction}" for c in trial.changes),
        by=trial.by,
    )


def _to(change: Change) -> str:
    return f" to {change.to.text}" if change.to else ""


def _after(setup: Setup, trial: Trial) -> dict[str, str]:
    """The setup with the change on the kart: where it helped or was left on, and while its outcome is awaited.

    A setting that was turned by nobody knows how much is not known any more.
    """
    turned = {change.lever: change.to for change in trial.changes if trial.leaves(change)}
    known = {lever: to.text for lever, to in turned.items() if to}
    return {**{k: v for k, v in setup.items() if k not in turned}, **known}


def of_note(note: Note) -> Item:
    """A run of the diary as history tells it."""
    pressures = {
        f"{when} {place.replace('_', ' ')}": v
        for when, told in (("cold", note.cold), ("hot", note.hot))
        for place, v in told.items()
    }
    state = {"track": note.track_state} if note.track_state else {}
    return Item(
        id=note.entry,
        kind="noted",
        belongs=note.belongs,
        said=note.words,
        did=note.changed,
        good=note.good,
        setup=setup_of(note.setup),
        after=setup_of(note.setup),
        conditions={**note.conditions, **state},
        pressures=pressures,
        tyre_laps=note.tyre_laps,
        laps=note.laps,
        laps_typed=note.laps_typed,
        service=note.service,
        fault=note.fault,
        levers=note.turned,
        differing=note.differing,
        unfinished=note.open,
    )


def setup_of(data: Any) -> dict[str, str]:
    """The setup of a case as text by lever, tyres beside it."""
    found = mapping(data)
    tyres = {f"tyre_{k}": v for k, v in mapping(found.get("tyres")).items()}
    return _texts({**{k: v for k, v in found.items() if k != "tyres"}, **tyres})


def _texts(data: Mapping[str, Any]) -> dict[str, str]:
    """Values as text; a setting of several, such as gearing, on one line."""
    return {str(k): _text(v) for k, v in data.items() if v not in (None, "", [], {})}


def _text(value: Any) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{k} {_text(v)}" for k, v in value.items())
    if isinstance(value, list):
        return ", ".join(_text(v) for v in value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def in_order(trials: Sequence[Trial], notes: Sequence[Note]) -> list[Item]:
    """All of them, the oldest first."""
    return sorted([*map(of_trial, trials), *map(of_note, notes)], key=lambda item: item.moment)


@dataclass(frozen=True, slots=True)
class Difference:
    """What stood otherwise then."""

    what: str
    then: str
    now: str


def differences(then: Item, now: Item) -> list[Difference]:
    """Setup, tyres, weather and pressures that differ; what only one of the two tells is no difference.

    Each stands as it was left: with the change that made it good, and not as it was before it.
    """
    pressures = (then.pressures, now.pressures)
    if any(len(k.split()) > 2 for told in pressures for k in told):
        pressures = (_by_corner(then.pressures), _by_corner(now.pressures))
    pairs = [(then.after, now.after), (then.conditions, now.conditions), pressures]
    found = [
        Difference(k, one[k], other[k])
        for one, other in pairs
        for k in one
        if k in other and not _same(one[k], other[k])
    ]
    for name in ("driver", "track", "session", "tyres", "weather"):
        one, other = getattr(then.belongs, name), getattr(now.belongs, name)
        if one and other and one != other:
            found.append(Difference({"track": "place"}.get(name, name), one, other))
    if None not in (then.tyre_laps, now.tyre_laps) and then.tyre_laps != now.tyre_laps:
        found.append(Difference("laps on the tyres", str(then.tyre_laps), str(now.tyre_laps)))
    return found


def _same(one: str, other: str) -> bool:
    """True for one value, in whatever unit it is written."""
    if one == other or sorted(one.split(", ")) == sorted(other.split(", ")):
        return True
    try:
        first, second = units.parse(one), units.parse(other)
    except ValueError:
        return False
    same_kind = first.unit.dimension == second.unit.dimension
    return same_kind and abs(first.si - second.si) <= SAME * max(abs(first.si), abs(second.si))


def _by_corner(told: Setup) -> dict[str, str]:
    """Pressures of an end told of both its corners."""
    return {
        f"{key} {side}" if len(key.split()) == 2 else key: value
        for key, value in told.items()
        for side in (("left", "right") if len(key.split()) == 2 else ("",))
    }


def as_data(item: Item) -> dict[str, Any]:
    """All that is known of an item, as JSON data."""
    here = item.belongs
    return {
        "id": item.id,
        "kind": item.kind,
        "time": here.time,
        "kart": here.kart,
        "driver": here.driver,
        "place": here.track,
        "session": here.session,
        "tyres": here.tyres,
        "tyre_laps": item.tyre_laps,
        "weather": here.weather,
        "said": item.said,
        "did": item.did,
        "levers": list(item.levers),
        "fault": item.fault,
        "chance": item.chance,
        "outcome": item.outcome,
        "by": item.by,
        "words": item.words,
        "good": item.good,
        "unfinished": item.unfinished,
        "differing": [asdict(each) for each in item.differing],
        "setup": dict(item.setup),
        "conditions": dict(item.conditions),
        "pressures": dict(item.pressures),
        "service": item.service,
        "laps": list(item.laps),
        "laps_typed": item.laps_typed,
    }
