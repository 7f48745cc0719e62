"""The examples that the ear learns from: complaints with their facts and causes, and how people say each answer."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from advisor.book import load, marked
from tests.real_complaints.counting import fold_of
from tests.real_complaints.measure import accepts
from tests.real_complaints.reading import Complaint, every_complaint, raw

APART = Path(__file__).parent  # authors who are kept apart, for judging only
NOT = "not"  # in a saying: the words tell no answer of this question
MIXED = "mixed"  # several changes did this and that, or it is not written down what they did


@dataclass(frozen=True, slots=True)
class Turned:
    """A text that tells changes, or none: what was turned, done or asked about, and what came of it.

    `done` and `asked`: lever and way, "" where that is not told. `came`: better, same, worse, MIXED where one change
    did this and another that, "" where nothing is told.
    """

    text: str
    done: tuple[tuple[str, str], ...] = ()
    asked: tuple[tuple[str, str], ...] = ()
    came: str = ""
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class Told:
    """A complaint: facts stated and implied, the cause behind it, and what a second hand judged from the words."""

    id: str
    text: str
    stated: Mapping[str, str]
    implied: Mapping[str, str]
    second: Mapping[str, str]
    causes: tuple[str, ...]
    judged: tuple[str, ...] = ()
    levers: tuple[str, ...] = ()
    stop: bool | None = None
    weight: float = 1.0
    turned: Turned | None = None  # the changes it tells, where its author wrote them down
    written: bool = True  # whether its facts were written down

    @property
    def author(self) -> str:
        return self.id.rstrip("0123456789")

    @property
    def facts(self) -> dict[str, str]:
        return {**self.implied, **self.stated}


@dataclass(frozen=True, slots=True)
class Saying:
    """A piece of talk that tells one answer of a question, or `not` any of them."""

    author: str
    question: str
    answer: str
    text: str


def read(path: Path) -> Any:
    """The data of a file of examples. Raises ValueError where it cannot be read."""
    document = marked.read(path, str(path))
    if not document.readable:
        raise ValueError("; ".join(map(str, document.problems)))
    return document.data


def told_in(path: Path) -> tuple[Told, ...]:
    """The complaints of one file. Changes are written down in it, or in none of them."""
    rows = read(path)
    labelled = any(row.get("hist") for row in rows)
    return tuple(_told(row, labelled) for row in rows)


def _told(row: Mapping[str, Any], labelled: bool) -> Told:
    cause, judged = row.get("cause", "none"), row.get("judged") or {}
    causes = (cause,) if isinstance(cause, str) else tuple(cause)
    return Told(
        row["id"], " ".join(row["said"].split()), row.get("st") or {}, row.get("im") or {}, row.get("fe2") or {},
        causes, tuple(judged.get("causes") or ()), tuple(judged.get("levers") or ()),
        judged["stop"] == "yes" if "stop" in judged else None, turned=_turned(row, MIXED) if labelled else None,
    )  # fmt: skip


@cache
def told() -> tuple[Told, ...]:
    """All complaints that may be learnt from."""
    folder = load.shipped() / "voices" / "told"
    return tuple(t for path in sorted(folder.glob("*.yaml")) for t in told_in(path))


def tried_in(path: Path) -> tuple[Told, ...]:
    """The complaints of one file that tell what was tried, judged by a second hand; by a third the facts, if any."""
    return tuple(
        replace(_told(row, labelled=False), turned=_turned(row, row.get("came", "")), written="st" in row)
        for row in read(path)
    )


@cache
def tried() -> tuple[Told, ...]:
    """What may be learnt from of such complaints."""
    folder = load.shipped() / "voices" / "tried"
    return tuple(t for path in sorted(folder.glob("*.yaml")) for t in tried_in(path))


PUBLISHED = 4.0  # weight of a published complaint beside one that was written to be learnt from (ours)
COLLECTED = 2.0  # likewise of those that were judged by who found them


@cache
def collected() -> tuple[Told, ...]:
    """Troubles of other public pages, which may be learnt from."""
    folder = load.shipped() / "voices" / "published"
    every = (t for path in sorted(folder.glob("*.yaml")) for t in told_in(path))
    return tuple(replace(t, weight=COLLECTED) for t in every)


@cache
def published(left_out: int | None = None) -> tuple[Told, ...]:
    """The published complaints, with their facts and what was accepted; `left_out`: a fifth that is not to be seen."""
    facts = {e["id"]: e for e in raw("facts.yaml")}
    cause = {e["id"]: e["cause"] for e in raw("labels.yaml")}
    return tuple(
        Told(
            c.id, " ".join(c.text.split()), facts[c.id].get("st") or {}, facts[c.id].get("im") or {},
            facts[c.id].get("fe2") or {}, (cause[c.id],), levers=_accepted(c, cause[c.id]), weight=PUBLISHED,
        )
        for c in every_complaint()
        if c.id in facts and c.id in cause and fold_of(c.id) != left_out
    )  # fmt: skip


def _accepted(complaint: Complaint, cause: str) -> tuple[str, ...]:
    """The ways accepted, first those that somebody who knows the trade named as well, then what else he named.

    Where only a lever was accepted, the way is that which answers the cause behind it, if there is one.
    """
    book = load.book()
    cures = {r.lever: r.direction for r in book.causes[cause].remedies} if cause in book.causes else {}
    named = [a if ":" in a else f"{a}:{cures.get(a, '')}" for a in complaint.accept]
    both = [w for w in complaint.expert if accepts(complaint, tuple(w.split(":")))]  # type: ignore[arg-type]
    every = dict.fromkeys([*both, *named, *complaint.expert])
    ways = {f"{lever.id}:{way}" for lever in book.levers.values() for way in lever.ways}
    return tuple(w for w in every if w in ways)[:5]


@cache
def apart(name: str) -> tuple[Told, ...]:
    """The complaints of an author who is kept apart."""
    return told_in(APART / f"told_{name}.yaml")


@cache
def sayings() -> tuple[Saying, ...]:
    """All sayings."""
    folder = load.shipped() / "voices" / "sayings"
    return tuple(s for path in sorted(folder.glob("*.yaml")) for s in _sayings(path.stem, read(path)))


def _sayings(author: str, document: Mapping[str, Mapping[str, Sequence[str]]]) -> Iterator[Saying]:
    for question, answers in document.items():
        for answer, pieces in answers.items():
            for piece in pieces:
                yield Saying(author, question, answer, piece)


def turned_in(path: Path) -> tuple[Turned, ...]:
    """The texts of one file that tell changes."""
    return tuple(_turned(row, row.get("came", "")) for row in read(path))


def _turned(row: Mapping[str, Any], came: str) -> Turned:
    return Turned(" ".join(row["said"].split()), _turns(row, "hist"), _turns(row, "idea"), came)


def _turns(row: Mapping[str, Any], key: str) -> tuple[tuple[str, str], ...]:
    parts = (str(turn).partition(" ") for turn in row.get(key) or ())
    return tuple((lever, way) for lever, _, way in parts)


@cache
def turned() -> tuple[Turned, ...]:
    """What people say of changes."""
    folder = load.shipped() / "voices" / "turns"
    return tuple(t for path in sorted(folder.glob("*.yaml")) for t in turned_in(path))


def texts(rows: Iterable[Told | Saying]) -> list[str]:
    return [row.text for row in rows]


@dataclass(frozen=True, slots=True)
class Danger:
    """A complaint that must, or must not, keep a kart from being driven."""

    text: str
    dangerous: bool


def dangers(path: Path | None = None) -> tuple[Danger, ...]:
    """Dangerous and harmless complaints: those that are learnt from, or of a file of another author."""
    files = [path] if path else sorted((load.shipped() / "voices" / "danger").glob("*.yaml"))
    rows = [row for file in files for row in read(file)]
    return tuple(Danger(" ".join(r["said"].split()), r["kind"] == "dangerous") for r in rows)


def others(path: Path | None = None) -> tuple[str, ...]:
    """Texts about something that is no kart."""
    return tuple(read(path or load.shipped() / "voices" / "other.yaml"))
