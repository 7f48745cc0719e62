"""Trials as the journal tells them: a change with its prediction, and the verdict that came after it.

Rows are hostile until validated: they may have been written by another version, or by hand.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from advisor.journal.derived import State, View
from advisor.journal.events import Event, SenseError
from advisor.journal.files import makes_no_sense
from advisor.journal.store import Journal
from advisor.model.advice import Advice
from advisor.model.case import Laps, Past, Tried, Verdict

LONGEST = 4000  # letters of a complaint or note that are kept
Text = Annotated[str, Field(max_length=20_000)]
Finite = Annotated[float, Field(allow_inf_nan=False)]


Share = Annotated[float, Field(ge=0, le=1)]


class _Row(BaseModel):
    model_config = ConfigDict(frozen=True, strict=True, extra="ignore")


class AmountRow(_Row):
    value: Finite
    unit: str
    per: str | None = None


class ToRow(_Row):
    value: Finite | str
    unit: str


class Change(_Row):
    """The change tried, as it was advised, with the prediction made before the run."""

    lever: str
    direction: str
    say: Text
    amount: AmountRow | None = None
    to: ToRow | None = None
    chance: float = Field(ge=0, le=1)
    confidence: float = Field(ge=0, le=1)
    feel_for: Text
    wrong_if: Text
    effect: str | None = Field(default=None, max_length=200)
    as_stated: bool = True


class TrialRow(_Row):
    complaint: Text = ""
    case: dict[str, Any]
    change: Change
    beside: list[Change] = Field(default_factory=list, max_length=20)


class VerdictRow(_Row):
    """`laps`: P(the laps | better, the same, worse), if the stopwatch was asked too."""

    trial: str
    verdict: Literal["better", "same", "worse", "dropped"]
    note: Text = ""
    laps: Annotated[list[Share], Field(min_length=3, max_length=3)] | None = None


@dataclass(frozen=True, slots=True)
class Trial:
    """One trial; `verdict` is None while it is pending. `case` is data in the shape of a case file."""

    id: str
    at: str
    complaint: str
    case: dict[str, Any]
    change: Change
    verdict: Verdict | None = None
    note: str = ""
    dropped: bool = False
    beside: tuple[Change, ...] = ()
    laps: Laps | None = None

    @property
    def changes(self) -> tuple[Change, ...]:
        """All that was changed before the run."""
        return (self.change, *self.beside)

    @property
    def say(self) -> str:
        return " and ".join(change.say for change in self.changes)

    def past(self, now: datetime) -> tuple[Past, ...]:
        """The trial as experience, one for each change; none while there is no verdict."""
        if self.verdict is None:
            return ()
        facts, days, share = _facts(self.case), _days(self.at, now), 1 / len(self.changes)
        return tuple(
            Past(
                c.lever, c.direction, self.verdict, c.chance, c.confidence, c.effect, c.as_stated,
                facts, days, share, self.laps,
            )
            for c in self.changes
        )  # fmt: skip

    def tried(self, verdict: Verdict) -> Tried:
        """The trial as a fact of a case."""
        beside = tuple((change.lever, change.direction) for change in self.beside)
        return Tried(self.change.lever, self.change.direction, verdict, beside, laps=self.laps)


def _days(at: str, now: datetime) -> float:
    """Days since a moment; none since one that cannot be read, or that is still to come."""
    try:
        then = datetime.fromisoformat(at)
        return max(0.0, (now - then).total_seconds() / 86_400)
    except (ValueError, TypeError):
        return 0.0


def _facts(case: dict[str, Any]) -> dict[str, str]:
    """What days are compared by, out of a case as the journal keeps it; what makes no sense is left out."""

    def under(data: Any, *path: str) -> Any:
        for key in path:
            data = data.get(key) if isinstance(data, dict) else None
        return data

    found = {
        "kart": under(case, "kart_file"),
        "class": under(case, "kart", "class"),
        **{f"tyres.{k}": under(case, "setup", "tyres", k) for k in ("kind", "compound")},
        **{k: under(case, "observed", k) for k in ("track", "balance", "phase")},
    }
    return {k: v for k, v in found.items() if isinstance(v, str) and v}


def trial_event(
    ident: str, at: str, complaint: str, case: dict[str, Any], advice: Advice, *beside: Advice
) -> Event:
    """The event that says: this is going to be changed before one run, and this is what we expect."""
    change, *others = map(_as_row, (advice, *beside))
    body = {"complaint": complaint[:LONGEST], "case": case, "change": change}
    return Event(ident, at, "trial", {**body, "beside": others} if others else body)


def _as_row(advice: Advice) -> dict[str, Any]:
    row = {k: v for k, v in asdict(advice).items() if k in Change.model_fields}
    if advice.to is not None:
        row["to"] = {"value": advice.to.value, "unit": advice.to.unit}
    return row


def verdict_event(
    ident: str,
    at: str,
    trial: str,
    verdict: Verdict | Literal["dropped"],
    note: str,
    laps: Laps | None = None,
) -> Event:
    """The event that says what came of a trial. A second one for the same trial corrects the first.

    "dropped" crosses out a trial that was never driven.
    """
    body = {"trial": trial, "verdict": verdict, "note": note[:LONGEST]}
    return Event(ident, at, "verdict", {**body, "laps": list(laps)} if laps else body)


def told(events: Iterable[Event]) -> list[Trial]:
    """Every trial with its latest verdict, oldest first; depends on the set of events, not on their order.

    Later is what has the greater (at, id). A verdict may come before its trial in the file.
    """
    found: dict[str, Trial] = {}
    latest: dict[str, tuple[Event, VerdictRow]] = {}
    for event in events:
        if event.kind == "trial":
            found[event.id] = _trial(event)
        elif event.kind == "verdict":
            row = VerdictRow.model_validate(event.body)
            if row.trial not in latest or event.moment > latest[row.trial][0].moment:
                latest[row.trial] = event, row
    whole = (_judged(t, latest[t.id][1]) if t.id in latest else t for t in found.values())
    return sorted(whole, key=lambda t: (t.at, t.id))


def _trial(event: Event) -> Trial:
    row = TrialRow.model_validate(event.body)
    return Trial(event.id, event.at, row.complaint, row.case, row.change, beside=tuple(row.beside))


def _judged(trial: Trial, row: VerdictRow) -> Trial:
    if row.verdict == "dropped":
        return replace(trial, note=row.note, dropped=True)
    laps = (row.laps[0], row.laps[1], row.laps[2]) if row.laps else None
    return replace(trial, verdict=row.verdict, note=row.note, laps=laps)


def check(event: Event) -> None:
    """Raises SenseError when a trial or a verdict makes no sense; says nothing about other kinds."""
    rows: dict[str, type[_Row]] = {"trial": TrialRow, "verdict": VerdictRow}
    if event.kind not in rows:
        return
    try:
        rows[event.kind].model_validate(event.body)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(x) for x in first["loc"])
        raise SenseError(f"{where}: {first['msg']}") from error


def _checked(numbered: Iterable[tuple[int, Event]], path: Path) -> Iterator[Event]:
    for number, event in numbered:
        try:
            check(event)
        except SenseError as error:
            raise makes_no_sense(number, path, error) from error
        yield event


def trials(journal: Journal) -> list[Trial]:
    """Every trial, oldest first, read from all events. Raises JournalError on a row that makes no sense."""
    return told(_checked(journal.since(), journal.path))


# --- without reading all events ----------------------------------------------------------------------


def _fold(db: sqlite3.Connection, _: State, number: int, event: Event) -> None:
    check(event)
    if event.kind == "trial":
        db.execute(
            "INSERT INTO derived_trial (id, at, seq) VALUES (?, ?, ?) "
            "ON CONFLICT (id) DO UPDATE SET at = excluded.at, seq = excluded.seq",
            (event.id, event.at, number),
        )
    elif event.kind == "verdict":
        db.execute(
            "INSERT INTO derived_trial (id, verdict, verdict_at, verdict_id, verdict_seq) VALUES (?, ?, ?, ?, ?) "
            "ON CONFLICT (id) DO UPDATE SET verdict = excluded.verdict, verdict_at = excluded.verdict_at, "
            "verdict_id = excluded.verdict_id, verdict_seq = excluded.verdict_seq "
            "WHERE verdict_at IS NULL OR (excluded.verdict_at, excluded.verdict_id) > (verdict_at, verdict_id)",
            (event.body["trial"], event.body["verdict"], event.at, event.id, number),
        )


# Which trials are asked for, and how the rows of `derived_trial` tell them. Each has an index, so that asking costs
# the same however many trials there are.
WHICH = {
    "any": "seq IS NOT NULL",
    "open": "seq IS NOT NULL AND verdict IS NULL",
    "judged": "seq IS NOT NULL AND verdict IN ('better', 'same', 'worse')",
}

# A row for each trial that was told of: `seq` is empty while only its verdict is known.
VIEW = View(
    name="trials 1",
    fold=_fold,
    tables=("derived_trial",),
    make=(
        """CREATE TABLE {schema}.derived_trial (
            id TEXT PRIMARY KEY, at TEXT, seq INTEGER,
            verdict TEXT, verdict_at TEXT, verdict_id TEXT, verdict_seq INTEGER
        ) STRICT""",
        *(
            f"CREATE INDEX {{schema}}.derived_trial_{which} ON derived_trial (at, id) WHERE {rows}"
            for which, rows in WHICH.items()
        ),
    ),
)


def latest(journal: Journal, most: int, which: Literal["any", "open", "judged"] = "any") -> list[Trial]:
    """The latest trials, those that wait for a verdict, or those that have one: at most so many, oldest first."""
    rows = journal.ask(
        f"SELECT seq, verdict_seq FROM derived_trial INDEXED BY derived_trial_{which} "
        f"WHERE {WHICH[which]} ORDER BY at DESC, id DESC LIMIT ?",
        most,
    )
    return told(journal.event(number) for row in rows for number in row if number is not None)


def pending(journal: Journal) -> Trial | None:
    """The latest trial without a verdict."""
    return next(iter(latest(journal, 1, "open")), None)
