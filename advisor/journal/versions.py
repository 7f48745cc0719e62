"""Versions of one note put together: what each of them put right counts, also where two people did so apart.

A version tells all of the note, so that it can be read by itself, the versions that it was written on (`on`) and what
it changes of them (`put`). Two that were written apart differ where both put the same thing right and said otherwise;
the later counts, and it is told until a version is written on both. A version of an older program counts whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from advisor.journal.events import Event

Path = tuple[str, ...]
KEYED = ("belongs", "setup", "aside", "conditions")  # of these each key is a thing of its own
LISTED = ("turned", "carried")  # likewise each of what they list
TOGETHER: dict[Path, str] = {  # what is put right together: its name, and what else goes with it
    ("filed",): "kart",
    ("tyre_laps",): "tyres",
    ("cold",): "cold pressures",
    ("hot",): "hot pressures",
    ("good",): "words",
    ("fault",): "words",
    ("laps_typed",): "laps",
    ("answered",): "open",
    ("day_only",): "open",
    ("clock",): "open",
}
TYRES = "tyres"
PRESSURE = "tyre_pressure"  # levers that are told by the line of the pressures


@dataclass(frozen=True, slots=True)
class Differing:
    """What was put right in two ways by people who did not know of each other."""

    what: str
    counts: str
    other: str


def _name(path: Path) -> str:
    """The thing that a part of a note belongs to, by which it is put right."""
    if path[0] in ("setup", "aside", *LISTED) and path[-1].startswith(PRESSURE):
        return "cold pressures"
    if path[0] in ("setup", "aside"):
        return path[1].replace("_", " ")
    if path[0] == "carried":
        return path[1]
    return TOGETHER.get(path) or ("changed" if path[0] == "turned" else path[-1].replace("_", " "))


def things(body: Mapping[str, Any]) -> dict[str, dict[Path, Any]]:
    """The body of a version by what can be put right in it; what is empty is left out."""
    parts: dict[Path, Any] = {}
    for key, value in body.items():
        if key in KEYED and isinstance(value, dict):
            parts |= {(key, k): v for k, v in value.items()}
        elif key in LISTED and isinstance(value, list):
            parts |= {(key, each): True for each in value if isinstance(each, str)}
        elif key not in ("entry", "on", "put"):
            parts[key,] = value
    found: dict[str, dict[Path, Any]] = {}
    for path, value in parts.items():
        if value or (value == 0 and value is not False) or path == ("filed",):
            found.setdefault(_name(path), {})[path] = value
    return found


def changed(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[str]:
    """What a version puts right of the one that it is written on."""
    one, other = things(_told(before)), things(_told(after))
    return sorted(name for name in {*one, *other} if one.get(name) != other.get(name))


def _told(body: Mapping[str, Any]) -> dict[str, Any]:
    """The body without what nobody told of the run: that is read from the run before it, of whatever kart it is."""
    carried = body.get("carried", ())
    ends = [lever.removeprefix(f"{PRESSURE}_") for lever in carried if lever.startswith(PRESSURE)]
    told = {
        **body,
        "cold": {k: v for k, v in body.get("cold", {}).items() if k.partition("_")[0] not in ends},
        "setup": {k: v for k, v in body.get("setup", {}).items() if k not in carried},
    }
    if TYRES in carried:
        told["belongs"] = {k: v for k, v in body.get("belongs", {}).items() if k != TYRES}
        told.pop("tyre_laps", None)
    return told


class Versions:
    """All versions of a note that are here, the earliest first."""

    def __init__(self, events: Iterable[Event]) -> None:
        self.events = sorted(events, key=lambda event: event.moment)
        self._things = {event.id: things(event.body) for event in self.events}
        self._behind: dict[str, set[str]] = {}  # of each version itself, and all that it was written on
        for event in self.events:
            on = event.body.get("on") or self._behind  # one of an older program knew of all before it
            self._behind[event.id] = {event.id}.union(*(self._behind.get(ident, ()) for ident in on))

    def __bool__(self) -> bool:
        return bool(self.events)

    def known_to(self, idents: Iterable[str]) -> Versions:
        """These versions and all that they were written on."""
        known = set[str]().union(*(self._behind.get(ident, ()) for ident in idents))
        return Versions(event for event in self.events if event.id in known)

    @cached_property
    def heads(self) -> tuple[str, ...]:
        """The versions on which none was written."""
        written_on = set[str]().union(*(behind - {ident} for ident, behind in self._behind.items()))
        return tuple(event.id for event in self.events if event.id not in written_on)

    @cached_property
    def whole(self) -> Event:
        """What they come to, as an event: of each thing what was put right last."""
        stands: dict[str, dict[Path, Any]] = {}
        for event in self.events:
            told = self._things[event.id]
            for name in self._put(event, [*stands, *told]):
                stands[name] = told.get(name, {})
        last = self.events[-1]
        return Event(last.id, last.at, "note", _body(last.body.get("entry"), stands.values()))

    def _put(self, event: Event, every: Iterable[str]) -> Iterable[str]:
        """What a version puts right: of the first that is here, and of one of an older program, all there is."""
        put = event.body.get("put")
        return every if put is None or event is self.events[0] else put

    @cached_property
    def differing(self) -> list[Differing]:
        """What was put right in two ways since somebody knew all of it."""
        if len(self.heads) < 2:
            return []
        apart = [self.known_to([head]) for head in self.heads]
        common = set[str].intersection(*(self._behind[head] for head in self.heads))
        stands, found = things(self.whole.body), list[Differing]()
        for versions in apart:
            own, told = [e for e in versions.events if e.id not in common], things(versions.whole.body)
            for name in sorted({n for e in own for n in versions._put(e, told)} - {"open"}):
                if told.get(name) != stands.get(name):
                    found.append(Differing(name, _text(stands.get(name)), _text(told.get(name))))
        return found


def _body(entry: object, parts: Iterable[Mapping[Path, Any]]) -> dict[str, Any]:
    """The body of a note made of the parts that stand."""
    body: dict[str, Any] = {"entry": entry}
    for path, value in (item for told in parts for item in told.items()):
        if path[0] in LISTED:
            body.setdefault(path[0], []).append(path[1])
        elif len(path) == 1:
            body[path[0]] = value
        else:
            body.setdefault(path[0], {})[path[1]] = value
    return body


SILENT = ("filed", "good", "fault", "setup", *LISTED)  # parts that say nothing beside those that go with them


def _text(told: Mapping[Path, Any] | None) -> str:
    """A thing as it was told, for people; empty where nothing was."""
    shown = {path: value for path, value in (told or {}).items() if path[0] not in SILENT}
    texts = [
        f"{value} laps" if path == ("tyre_laps",) else _one(value)
        for path, value in shown.items()
        if path != ("laps",) or ("laps_typed",) not in shown
    ]
    return ", ".join(texts)


def _one(value: Any) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{k.replace('_', ' ')} {v}" for k, v in value.items())
    several = isinstance(value, Sequence) and not isinstance(value, str)
    return " ".join(map(str, value)) if several else str(value)
