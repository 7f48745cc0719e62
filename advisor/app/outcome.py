"""What an outcome does: it is written down, a change that helped stays on the kart, and the next advice knows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from advisor.app import danger
from advisor.app.workspace import Workspace
from advisor.interview import steps
from advisor.interview.steps import State
from advisor.journal.rows import Change
from advisor.journal.trials import Trial
from advisor.karts import on_file
from advisor.model.advice import Answer
from advisor.model.case import Case, Laps, Value, Verdict
from advisor.model.knowledge import Book
from advisor.reasoning.weighing import Mind
from advisor.units import Quantity, find_unit


@dataclass(frozen=True, slots=True)
class Learnt:
    """What came of a trial: the states before and after, for what was learnt."""

    trial: Trial
    verdict: Verdict
    before: State
    after: State
    news: dict[str, object]  # what the note told

    @property
    def soured(self) -> bool:
        """True where a new fault came with a change that helped."""
        return self.after.case.tried[-1].soured


def book(
    desk: Workspace, trial: Trial, verdict: Verdict, note: str = "", laps: Laps | None = None
) -> tuple[Learnt | None, tuple[str, ...]]:
    """Write down an outcome and learn from it; what it taught, and what there is to say of it.

    Nothing is learnt where the case it belongs to cannot be read any more.
    """
    told = desk.verdict(trial, verdict, note, laps)
    return learn(desk, replace(trial, verdict=verdict, note=note, laps=laps)), told


def learn(desk: Workspace, trial: Trial) -> Learnt | None:
    """What an outcome that stands in the journal teaches; None where its case cannot be read any more."""
    case, verdict = desk.case(trial.case), trial.verdict
    # this outcome is learnt from as one of the present search
    case = case and replace(case, past=tuple(p for p in case.past if p.trial != trial.id))
    levers = desk.mind.book.levers
    if case is None or verdict is None or not all(change.lever in levers for change in trial.changes):
        return None
    before = steps.begin(desk.mind, case)
    for change in trial.changes if verdict == "better" else ():
        case = with_value(case, change, desk.mind.book)
    after = steps.after_trial(desk.mind, case, trial.tried(verdict), trial.note)
    return Learnt(trial, verdict, before, after, steps.news(before, after))


def asked_first(mind: Mind, found: Learnt, note: str) -> Learnt | None:
    """The outcome with the plain question of danger first that its note calls for; None where it calls for none."""
    asked = danger.asks(mind, found.before, note, driven=True) if note else ""
    return replace(found, after=steps.put_anew(mind, found.after, asked)) if asked else None


def with_value(case: Case, change: Change, book: Book) -> Case:
    """A change that stays on the kart: the setup holds its value from now on, and a part that was fitted is there."""
    case = replace(case, observed={**case.observed, **_fitted(change, book)})
    to = change.to
    if to is None:
        return case
    value: Value = to.value
    if to.unit not in ("grade", "piece"):
        unit = find_unit(to.unit)
        if unit is None or isinstance(to.value, str):
            return case  # a row of another making: the outcome counts, the value is left alone
        value = Quantity.of(to.value, unit)
    return replace(case, setup={**case.setup, change.lever: value})


def _fitted(change: Change, book: Book) -> dict[str, str]:
    """What can be seen once a part is fitted: what would have told that it was so already, such as wets on the kart."""
    lever = book.levers.get(change.lever)
    way = lever.ways.get(change.direction) if lever and lever.part else None
    seen = ((path.partition("."), answer) for path, answer in (way.done_if if way else {}).items())
    return {
        question: answer
        for (room, _, question), answer in seen
        if room == "observed" and answer in book.observations[question].answers
    }


def moved(before: Answer, after: Answer, most: int = 4) -> list[tuple[str, float, float]]:
    """The causes whose probability an outcome moved most: name, before, after."""
    old = {c.id: c.probability for c in before.causes}
    changes = sorted(after.causes, key=lambda c: -abs(c.probability - old.get(c.id, 0.0)))[:most]
    return [(c.name, old.get(c.id, 0.0), c.probability) for c in changes]


@dataclass(frozen=True, slots=True)
class OnFile:
    """A value of a kart file that a change which helped would replace."""

    kart: str
    lever: str
    name: str
    value: str


def for_file(trial: Trial, kart: str, knowledge: Book) -> Iterator[OnFile]:
    """What a change that helped would write into the kart file."""
    for change in trial.changes if kart else ():
        if change.to is not None and change.lever in knowledge.levers:
            yield OnFile(kart, change.lever, knowledge.levers[change.lever].name, change.to.text)


def write_file(desk: Workspace, entry: OnFile) -> tuple[Path, str | None]:
    """Replace a plain value of a kart file; the old one, None where there is none. Raises UnusableError, OSError."""
    named = entry.kart.endswith((".yaml", ".yml"))
    path = Path(entry.kart) if named else on_file.path_of(desk.karts, entry.kart)
    old = on_file.value_of(path, entry.lever)
    return path, old if on_file.write_value(path, entry.lever, entry.value) else None
