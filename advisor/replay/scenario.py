"""Scenarios: cases of an invented club with what the advisor must say of them. Each is a test.

A scenario file is a list. Each entry has a `name` (a sentence), the keys of a case, and `expect`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, fields
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.book import marked
from advisor.karts import cases
from advisor.model.advice import Answer
from advisor.model.case import Case
from advisor.model.checked import CONFIG
from advisor.model.knowledge import Book
from advisor.problems import Problem, hint
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import Mind

if TYPE_CHECKING:
    from pydantic import TypeAdapter


@dataclass(frozen=True, slots=True, kw_only=True)
class Expect:
    """What the answer must hold; every key that is given is checked.

    Levers are written `id` or `id:direction`. `first`: the first change. `in_first_three`: all of these
    are. `one_of_first_three`: at least one is. `not_in_first_three`: none is. `advised`: all of these stand in
    the list at all. `not_advised`: none of these does. `cause`: the most probable
    known cause is one of these. `cause_in_first_three`, `cause_not_in_first_three`: among the three most
    probable. `kind`: kind of the most probable cause. `stop`: whether driving is stopped; `inspect`: all of
    these are ordered then. `withheld`: lever to a piece of the reason. `why`: lever to a piece of its
    reasons. `to`: lever to the resulting value. `understood`: facts by id. `warning`: a piece of a
    warning. `asks`: the next question. `silent`: no advice at all.
    """

    __pydantic_config__ = CONFIG
    first: tuple[str, ...] = ()
    in_first_three: tuple[str, ...] = ()
    one_of_first_three: tuple[str, ...] = ()
    not_in_first_three: tuple[str, ...] = ()
    advised: tuple[str, ...] = ()
    not_advised: tuple[str, ...] = ()
    cause: tuple[str, ...] = ()
    cause_in_first_three: tuple[str, ...] = ()
    cause_not_in_first_three: tuple[str, ...] = ()
    kind: tuple[str, ...] = ()
    stop: bool | None = None
    inspect: tuple[str, ...] = ()
    withheld: dict[str, str] = field(default_factory=dict)
    why: dict[str, str] = field(default_factory=dict)
    to: dict[str, str] = field(default_factory=dict)
    understood: dict[str, str] = field(default_factory=dict)
    warning: tuple[str, ...] = ()
    asks: tuple[str, ...] = ()
    silent: bool | None = None


@dataclass(frozen=True, slots=True)
class Scenario:
    """A case with its name, its place and what must come of it."""

    name: str
    file: str
    line: int
    case: Case
    expect: Expect
    told: tuple[str, ...] = ()


def read_scenarios(path: Path, book: Book) -> tuple[list[Scenario], list[Problem]]:
    """Every scenario of a file that can be read, and every problem of the others."""
    document = marked.read(path)
    problems = list(document.problems)
    if not problems and not isinstance(document.data, list):
        problems.append(document.problem((), "a scenario file is a list of entries, each with a name"))
    if problems:
        return [], problems
    found: list[Scenario] = []
    names: set[str] = set()
    for i, entry in enumerate(document.data):
        scenario, wrong = _read(document, i, entry, book)
        problems += wrong
        if scenario is not None:
            if scenario.name in names:
                problems.append(
                    document.problem((i, "name"), f'the name "{scenario.name}" is used twice', "duplicate_id")
                )
            names.add(scenario.name)
            found.append(scenario)
    return found, problems


def _read(document: marked.Marked, i: int, entry: Any, book: Book) -> tuple[Scenario | None, list[Problem]]:
    read = cases.from_document(document, book, ("name", "expect"), (i,))
    problems = list(read.problems)
    data = entry if isinstance(entry, dict) else {}
    if not isinstance(data.get("name"), str):
        problems.append(document.problem((i,), "a scenario needs a name, one sentence"))
    if not data.get("expect"):
        problems.append(document.problem((i,), "a scenario needs expect: what must come of it"))
        return None, problems
    expect, wrong = _expect(document, i, data["expect"], book)
    problems += wrong
    if problems or read.case is None or expect is None:
        return None, problems
    line, _ = document.at((i,))
    return Scenario(data["name"], document.file, line, read.case, expect, tuple(read.warnings)), problems


_LISTS = frozenset(f.name for f in fields(Expect) if str(f.type).startswith("tuple"))


@cache
def _adapter() -> TypeAdapter[Expect]:
    """Built once: making it costs more than all the checking."""
    from pydantic import TypeAdapter

    return TypeAdapter(Expect)


def _expect(document: marked.Marked, i: int, data: Any, book: Book) -> tuple[Expect | None, list[Problem]]:
    from advisor.book.validate import check

    rows = data
    if isinstance(data, dict):  # one word may stand for a list of one
        rows = {k: [v] if k in _LISTS and not isinstance(v, list) else v for k, v in data.items()}
    expect, problems = check(_adapter(), document, (i, "expect"), rows, [f.name for f in fields(Expect)])
    if expect is not None:
        problems = [document.problem((i, "expect", key), message) for key, message in _unknown(expect, book)]
    return expect, problems


def _unknown(expect: Expect, book: Book) -> Iterator[tuple[str, str]]:
    for key in (
        "first",
        "in_first_three",
        "one_of_first_three",
        "not_in_first_three",
        "advised",
        "not_advised",
        "inspect",
        "withheld",
        "why",
        "to",
    ):
        for name in getattr(expect, key):
            lever, _, way = name.partition(":")
            if lever not in book.levers:
                yield key, f'unknown lever "{lever}"{hint(lever, book.levers)}'
            elif way and way not in book.levers[lever].ways:
                yield key, f'"{way}" is no direction of {lever}{hint(way, book.levers[lever].ways)}'
    for key in ("cause", "cause_in_first_three", "cause_not_in_first_three"):
        for name in getattr(expect, key):
            if name not in book.causes and name != "unknown":
                yield key, f'unknown cause "{name}"{hint(name, book.causes)}'
    for name in expect.asks:
        if name not in book.observations and name != "nothing":
            yield "asks", f'unknown observation "{name}"{hint(name, book.observations)}'


def play(mind: Mind, scenario: Scenario) -> list[str]:
    """Run a scenario; returns what differs from what was expected, in sentences.

    The next question takes most of the time of an answer, so it is sought where one is expected.
    """
    skipped = frozenset[str]() if scenario.expect.asks else frozenset(mind.book.observations)
    found = advise(mind, scenario.case, skipped=skipped)
    return list(differences(scenario.expect, found, scenario.told))


def differences(expect: Expect, found: Answer, told: tuple[str, ...] = ()) -> Iterator[str]:
    """Every way in which an answer is not as expected."""
    named = [f"{a.lever}:{a.direction}" for a in found.advice]
    shown = ", ".join(named[:5]) or "nothing"
    yield from _ranking(expect, named, shown)
    yield from _beliefs(expect, found)
    if expect.stop is not None and expect.stop != (found.stop is not None):
        yield f"stop: expected {'a stop' if expect.stop else 'none'}, got {found.stop.reason if found.stop else 'none'}"
    for lever in expect.inspect:
        if found.stop is None or lever not in found.stop.inspect:
            yield f"inspect: expected {lever}, got {', '.join(found.stop.inspect) if found.stop else 'no stop'}"
    if expect.silent is not None and expect.silent != (not found.advice):
        yield f"silent: expected {expect.silent}, got {shown}"
    yield from _texts(expect, found, told)


def _is(name: str, entry: str) -> bool:
    return entry == name or (":" not in name and entry.split(":")[0] == name)


def _ranking(expect: Expect, named: list[str], shown: str) -> Iterator[str]:
    top = named[:3]
    if expect.first and not any(_is(n, e) for n in expect.first for e in named[:1]):
        yield f"first: expected {' or '.join(expect.first)}, got {shown}"
    for name in expect.in_first_three:
        if not any(_is(name, e) for e in top):
            yield f"in_first_three: expected {name}, got {shown}"
    if expect.one_of_first_three and not any(_is(n, e) for n in expect.one_of_first_three for e in top):
        yield f"one_of_first_three: expected one of {', '.join(expect.one_of_first_three)}, got {shown}"
    for name in expect.not_in_first_three:
        if any(_is(name, e) for e in top):
            yield f"not_in_first_three: expected no {name}, got {shown}"
    yield from _anywhere(expect, named)


def _anywhere(expect: Expect, named: list[str]) -> Iterator[str]:
    for name in expect.advised:
        if not any(_is(name, e) for e in named):
            yield f"advised: expected {name} in the list, got {', '.join(named) or 'nothing'}"
    for name in expect.not_advised:
        if any(_is(name, e) for e in named):
            yield f"not_advised: expected no {name} in the list, got {', '.join(named)}"


def _beliefs(expect: Expect, found: Answer) -> Iterator[str]:
    known = [c for c in found.causes if c.id != "unknown"]
    shown = ", ".join(f"{c.id} {c.probability:.2f}" for c in known[:4]) or "nothing"
    first = known[0] if known else None
    if expect.cause and (first is None or first.id not in expect.cause):
        yield f"cause: expected {' or '.join(expect.cause)}, got {shown}"
    if expect.kind and (first is None or first.kind not in expect.kind):
        yield f"kind: expected {' or '.join(expect.kind)}, got {first.kind if first else 'nothing'} ({shown})"
    top = {c.id for c in known[:3]}
    for cause in expect.cause_in_first_three:
        if cause not in top:
            yield f"cause_in_first_three: expected {cause}, got {shown}"
    for cause in expect.cause_not_in_first_three:
        if cause in top:
            yield f"cause_not_in_first_three: expected no {cause}, got {shown}"


def _texts(expect: Expect, found: Answer, told: tuple[str, ...]) -> Iterator[str]:
    withheld = {w.lever: w.reason for w in found.withheld}
    reasons = {a.lever: " ".join(a.why) for a in found.advice}
    targets = {a.lever: f"{a.to.value} {a.to.unit}" for a in found.advice if a.to}
    for key, wanted, got in (
        ("withheld", expect.withheld, withheld),
        ("why", expect.why, reasons),
        ("to", expect.to, targets),
    ):
        for lever, piece in wanted.items():
            if piece not in got.get(lever, "\0"):
                yield f'{key}: expected {lever} with "{piece}", got "{got.get(lever, "nothing")}"'
    for ident, value in expect.understood.items():
        seen = found.understood.get(ident)
        if value != (
            seen
            if isinstance(seen, str)
            else ", ".join(map(str, seen))
            if isinstance(seen, list)
            else str(seen)
        ):
            yield f'understood: expected {ident} "{value}", got "{seen}"'
    for piece in expect.warning:
        if not any(piece in w for w in (*found.warnings, *told)):
            yield f'warning: expected "{piece}", got {"; ".join((*found.warnings, *told)) or "none"}'
    asks = found.next_question.id if found.next_question else "nothing"
    if expect.asks and asks not in expect.asks:
        yield f"asks: expected {' or '.join(expect.asks)}, got {asks}"
