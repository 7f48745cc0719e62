"""Trials and verdicts as rows of the journal: hostile until validated, whoever wrote them."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from advisor.journal.belonging import BelongsRow

Text = Annotated[str, Field(max_length=20_000)]
Finite = Annotated[float, Field(allow_inf_nan=False)]


Share = Annotated[float, Field(ge=0, le=1)]


def escaped(text: str) -> str:
    """A text of which no letter is a pattern of SQL's GLOB."""
    return "".join(f"[{c}]" if c in "*?[" else c for c in text)


def mapping(data: Any) -> dict[str, Any]:
    """A part of a case as the journal keeps it; nothing where it makes no sense."""
    return data if isinstance(data, dict) else {}


class _Row(BaseModel):
    model_config = ConfigDict(frozen=True, strict=True, extra="ignore")


class AmountRow(_Row):
    value: Finite
    unit: str
    per: str | None = None


class ToRow(_Row):
    value: Finite | str
    unit: str

    @property
    def text(self) -> str:
        """As a kart file has it."""
        value = f"{self.value:g}" if isinstance(self.value, float) else self.value
        return value + ("" if self.unit in ("grade", "piece") else f" {self.unit}")


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
    belongs: BelongsRow = Field(default_factory=BelongsRow)


class VerdictRow(_Row):
    """`laps`: P(the laps | better, the same, worse), if the stopwatch was asked too.

    `replaces`: the verdicts of the same trial that were known when this one was given, and are corrected by it.
    `stays`: the levers that were left as they were tried, although it did not help.
    """

    trial: str
    verdict: Literal["better", "same", "worse", "dropped"]
    note: Text = ""
    laps: Annotated[list[Share], Field(min_length=3, max_length=3)] | None = None
    replaces: list[str] = Field(default_factory=list, max_length=100)
    stays: list[str] = Field(default_factory=list, max_length=20)
    belongs: BelongsRow = Field(default_factory=BelongsRow)
