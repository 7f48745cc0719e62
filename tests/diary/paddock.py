"""An invented club: laptops with a clock each, karts on file, and the command played in this process."""

from __future__ import annotations

import io
import os
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, chdir, contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any
from unittest.mock import patch
from uuid import NAMESPACE_OID, UUID, uuid5

from advisor.book import load, marked
from advisor.cli import main, stamps, team
from advisor.journal.store import Event, Journal
from advisor.journal.trials import trial_event, verdict_event
from advisor.karts.written import as_data, case_from_data
from advisor.model.advice import Advice
from advisor.model.belonging import Belonging
from advisor.model.case import Case, Verdict
from advisor.model.knowledge import Book
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import Mind, make_ready
from advisor.words.ear import Ear
from tests.reasoning.minds import shipped

KART = """\
driver: {driver}
track: Lakeside
setup:
  tyres: {{kind: slick, compound: medium}}
  front_track_width: 1180 mm
  rear_track_width: 1390 mm
  caster: 12 deg
units: {{pressure: psi, length: mm}}
"""
DRIVERS = {"red": "Mia", "blue": "Tom", "green": "Ida"}
START = datetime(2024, 5, 4, 9, 0, tzinfo=UTC)


class _Terminal(io.StringIO):
    """Text that passes for a terminal without a line editor."""

    def isatty(self) -> bool:
        return True


@dataclass
class Said:
    """What a command came to."""

    status: int
    out: str
    err: str

    @property
    def text(self) -> str:
        """Everything, with single blanks between words."""
        return " ".join(f"{self.out} {self.err}".split())


@dataclass
class Laptop:
    """One machine: a folder, and a clock that may be wrong by `ahead`."""

    folder: Path
    now: datetime = START
    ahead: timedelta = field(default_factory=timedelta)
    width: int = 100
    ids: int = 0

    def __post_init__(self) -> None:
        karts = self.folder / "karts" / "karts"
        karts.mkdir(parents=True, exist_ok=True)
        for name, driver in DRIVERS.items():
            (karts / f"{name}.yaml").write_text(KART.format(driver=driver), "utf-8")

    @property
    def journal(self) -> Path:
        return self.folder / "journal.sqlite3"

    def wait(self, **span: float) -> Laptop:
        self.now += timedelta(**span)
        return self

    def _id(self) -> UUID:
        """The next id of this machine: the same at every play."""
        self.ids += 1
        return uuid5(NAMESPACE_OID, f"{self.folder.name} {self.ids}")

    @contextmanager
    def at_work(self) -> Iterator[None]:
        """This machine's clock, folders and screen."""
        places = {
            "ADVISOR_JOURNAL": str(self.journal),
            "ADVISOR_KARTS": str(self.folder / "karts"),
            "ADVISOR_KNOWLEDGE": str(self.folder / "club"),
            "COLUMNS": str(self.width),
            "TERM": "dumb",
        }
        with (
            patch.dict(os.environ, places),
            chdir(self.folder),
            patch.object(stamps, "now", lambda: self.now + self.ahead),
            patch("uuid.uuid4", self._id),
            patch.object(marked, "read", _read),
            ExitStack() as more,
        ):
            if not (self.folder / "club").exists():  # the shipped knowledge, made ready once for all tests
                more.enter_context(patch.object(team, "book", lambda *_, **__: shipped().book))
                more.enter_context(patch.object(team, "ear", lambda *_: shipped().ear))
                more.enter_context(patch("advisor.reasoning.weighing.make_ready", _ready))
            yield

    def __call__(self, *arguments: str) -> Said:
        out, err = io.StringIO(), io.StringIO()
        with self.at_work(), redirect_stdout(out), redirect_stderr(err):
            status = main(arguments)
        return Said(status, out.getvalue(), err.getvalue())

    def sits(self, *arguments: str, lines: Sequence[str]) -> Said:
        """A sitting on a plain terminal: what is typed at each prompt; at the end of it the person leaves."""
        typed, out, err = _Terminal("".join(f"{line}\n" for line in lines)), _Terminal(), io.StringIO()
        with self.at_work(), patch("sys.stdin", typed), redirect_stdout(out), redirect_stderr(err):
            status = main(arguments)
        return Said(status, out.getvalue(), err.getvalue())

    def tries(
        self, kart: str, observed: dict[str, str], lever: str, way: str, said: str = "", **more: Any
    ) -> str:
        """A change is chosen at a sitting; the id of its trial. What was expected of it is what the advice says."""
        case = Case(
            observed=observed,
            kart_file=kart,
            tyres={"kind": "slick", "compound": "medium"},
            **more,
        )
        told = _expected(tuple(sorted(observed.items())), lever, way)
        with self.at_work(), Journal(self.journal) as journal:
            ident, at = stamps.stamp()
            where = Belonging(kart=kart, driver=DRIVERS.get(kart, ""), track="Lakeside", time=stamps.local())
            journal.append(trial_event(ident, journal.stamp(at), said, as_data(case), told, where=where))
        return ident

    def judges(self, trial: str, verdict: Verdict, note: str = "") -> None:
        """An outcome, without the next advice."""
        with self.at_work(), Journal(self.journal) as journal:
            ident, at = stamps.stamp()
            where = Belonging(time=stamps.local())
            journal.append(verdict_event(ident, journal.stamp(at), trial, verdict, note, where=where))

    def events(self) -> list[Event]:
        with Journal(self.journal, read_only=True) as journal:
            return [event for _, event in journal.since()]


@cache
def _expected(observed: tuple[tuple[str, str], ...], lever: str, way: str) -> Advice:
    """What the advice says of a change, on a kart of which nothing else is known."""
    case = Case(observed=dict(observed), tyres={"kind": "slick", "compound": "medium"})
    found = (a for a in advise(shipped(), case).advice if (a.lever, a.direction) == (lever, way))
    return next(found, None) or _as_expected(lever, way)


def _as_expected(lever: str, way: str) -> Advice:
    """An advice for a change that is not among those listed."""
    say = shipped().book.levers[lever].ways[way].say
    return Advice(
        lever=lever, direction=way, say=say, detail=None, amount=None, to=None, minutes=10, chance=0.1, confidence=0.6,
        worth=0.0, why=(), costs=(), feel_for="the fault gets smaller", wrong_if="it does not", cautions=(), sources=(),
        meanwhile=(), effect=None, as_stated=True,
    )  # fmt: skip


_shipped, _plain = load.shipped(), marked.read
_parse = cache(_plain)


def _read(path: Path, name: str | None = None) -> marked.Marked:
    """A file as the program reads it; those of the shipped knowledge, which nobody edits here, once for all tests."""
    return _parse(path, name) if _shipped in path.parents else _plain(path, name)


def _ready(book: Book, ear: Ear | None = None) -> Mind:
    return shipped() if book is shipped().book else make_ready(book, ear)


def case_of(data: dict[str, Any]) -> Case:
    """A case as the journal keeps it."""
    found = case_from_data(data, load.book())
    assert found is not None
    return found
