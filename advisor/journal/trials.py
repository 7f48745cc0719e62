"""Trials as the journal tells them: a change with its prediction, and the verdict that came after it.

Rows are hostile until validated: they may have been written by another version, or by hand.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from advisor.journal.store import Event, Journal, JournalError
from advisor.model.advice import Advice
from advisor.model.case import Tried, Verdict

LONGEST = 4000  # letters of a complaint or note that are kept
Text = Annotated[str, Field(max_length=20_000)]
Finite = Annotated[float, Field(allow_inf_nan=False)]


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


class TrialRow(_Row):
    complaint: Text = ""
    case: dict[str, Any]
    change: Change
    beside: list[Change] = Field(default_factory=list, max_length=20)


class VerdictRow(_Row):
    trial: str
    verdict: Literal["better", "same", "worse", "dropped"]
    note: Text = ""


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

    @property
    def changes(self) -> tuple[Change, ...]:
        """All that was changed before the run."""
        return (self.change, *self.beside)

    @property
    def say(self) -> str:
        return " and ".join(change.say for change in self.changes)

    def tried(self, verdict: Verdict) -> Tried:
        """The trial as a fact of a case."""
        beside = tuple((change.lever, change.direction) for change in self.beside)
        return Tried(self.change.lever, self.change.direction, verdict, beside)


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


def verdict_event(ident: str, at: str, trial: str, verdict: Verdict | Literal["dropped"], note: str) -> Event:
    """The event that says what came of a trial. A second one for the same trial corrects the first.

    "dropped" crosses out a trial that was never driven.
    """
    return Event(ident, at, "verdict", {"trial": trial, "verdict": verdict, "note": note[:LONGEST]})


def trials(journal: Journal) -> list[Trial]:
    """Every trial with its latest verdict, oldest first. Raises JournalError on a row that makes no sense."""
    found: dict[str, Trial] = {}
    for number, event in journal.since():
        try:
            _apply(event, found)
        except ValidationError as error:
            first = error.errors()[0]
            where = ".".join(str(x) for x in first["loc"])
            raise JournalError(
                f"row {number} of the journal {journal.path} makes no sense ({where}: {first['msg']})"
            ) from error
    return list(found.values())


def _apply(event: Event, found: dict[str, Trial]) -> None:
    if event.kind == "trial":
        row = TrialRow.model_validate(event.body)
        found[event.id] = Trial(
            event.id, event.at, row.complaint, row.case, row.change, beside=tuple(row.beside)
        )
    elif event.kind == "verdict":
        verdict = VerdictRow.model_validate(event.body)
        old = found.get(verdict.trial)
        if old is not None and verdict.verdict == "dropped":
            found[old.id] = replace(old, verdict=None, dropped=True)
        elif old is not None and verdict.verdict != "dropped":
            found[old.id] = replace(old, verdict=verdict.verdict, note=verdict.note, dropped=False)


def pending(journal: Journal) -> Trial | None:
    """The latest trial without a verdict."""
    return next((t for t in reversed(trials(journal)) if t.verdict is None and not t.dropped), None)
