"""What the book covers: every complaint by phase, balance and condition, and where it is thin."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from advisor.inference.evidence import Evidence, gather
from advisor.model.knowledge import BALANCES, PHASES, Book, Cause
from advisor.model.scale import PROBABILITY
from advisor.reasoning.weighing import Mind
from advisor.replay.scenario import read_scenarios

FELT = PROBABILITY["very unlikely"]  # a cause counts where it is felt at least so often
FITS = PROBABILITY["very unlikely"]  # and under a condition that is so at least so often with it
THIN_CAUSES, THIN_FIXES, THIN_SCENARIOS = 4, 4, 1
# A column for each condition: the observation and the answers that mean it.
CONDITIONS: dict[str, tuple[str, tuple[str, ...]]] = {
    "green": ("track", ("green",)),
    "rubber": ("track", ("rubbered",)),
    "damp": ("track", ("damp",)),
    "wet": ("track", ("wet",)),
    "cold": ("weather", ("cold",)),
    "hot": ("weather", ("hot",)),
    "start": ("when", ("start",)),
    "late": ("when", ("late",)),
}


@dataclass(frozen=True, slots=True)
class Cell:
    """One complaint: how many causes, fixes, sources and scenarios; `own`: causes that speak for a condition."""

    balance: str
    phase: str
    causes: int
    fixes: int
    sources: int
    scenarios: int
    own: dict[str, int]

    @property
    def thin(self) -> str:
        """What is missing, in words; empty where nothing is."""
        pairs = (
            (self.causes < THIN_CAUSES, "causes"),
            (self.fixes < THIN_FIXES, "fixes"),
            (self.scenarios < THIN_SCENARIOS, "scenarios"),
        )
        return ", ".join(name for few, name in pairs if few)


def coverage(mind: Mind, scenarios: Path) -> list[Cell]:
    """A cell for each complaint, by balance and phase."""
    told = list(_told(mind, scenarios))
    return [_cell(mind.book, told, balance, phase) for balance in BALANCES for phase in PHASES]


def _told(mind: Mind, folder: Path) -> Iterator[Evidence]:
    for path in sorted(folder.glob("*.yaml")):
        for scenario in read_scenarios(path, mind.book)[0]:
            yield gather(scenario.case, mind.book, mind.lexicon, mind.ear).evidence


def _cell(book: Book, told: Iterable[Evidence], balance: str, phase: str) -> Cell:
    causes = [c for c in book.causes.values() if c.feel and _felt(c, balance, phase)]
    own = {name: sum(_speaks(book, c, *where) for c in causes) for name, where in CONDITIONS.items()}
    here = sum(balance in e.told.get("balance", ()) and phase in e.told.get("phase", ()) for e in told)
    sources = {s for c in causes for s in _sources(c)}
    return Cell(balance, phase, len(causes), len(_fixes(book, causes)), len(sources), here, own)


def _felt(cause: Cause, balance: str, phase: str) -> bool:
    word = getattr(cause.feel, balance).get(phase)
    return word is not None and PROBABILITY[word] >= FELT


def _speaks(book: Book, cause: Cause, observation: str, answers: tuple[str, ...]) -> bool:
    """Whether the condition is more frequent with this cause than it usually is."""
    asked = book.observations.get(observation)
    said = next((s.answers for s in cause.signs if s.ask == observation), {})
    usual = {a: PROBABILITY[x.usual] for a, x in asked.answers.items()} if asked else {}
    return any(PROBABILITY[said[a]] > max(usual[a], FITS) for a in answers if a in said)


def _fixes(book: Book, causes: Iterable[Cause]) -> set[tuple[str, str]]:
    """Levers and directions that a cause names, or that give what it needs as most sources have it."""
    found: set[tuple[str, str]] = set()
    for cause in causes:
        found |= {(r.lever, r.direction) for r in cause.remedies}
        for need in cause.needs:
            for lever in book.levers.values():
                for gives in (g for g in lever.gives if g.effect == need.effect):
                    way = gives.way if gives.change == need.change else lever.ways[gives.way].opposite
                    found |= {(lever.id, way)} if way else set()
    return found


def _sources(cause: Cause) -> Iterator[str]:
    parts = (cause.feel, *cause.signs, *cause.odds, *cause.needs, *cause.remedies)
    yield from cause.source
    for part in parts:
        yield from part.source if part else ()


def table(cells: Iterable[Cell]) -> Iterator[str]:
    """The cells as lines; under each condition how many of the causes speak for it."""
    names = "".join(f"{name:>8}" for name in CONDITIONS)
    yield f"{'complaint':22}{'causes':>8}{'fixes':>8}{'sources':>8}{'scenes':>8} |{names} | thin"
    for cell in cells:
        numbers = "".join(f"{n:8}" for n in (cell.causes, cell.fixes, cell.sources, cell.scenarios))
        own = "".join(f"{n or '·':>8}" for n in cell.own.values())
        yield f"{cell.balance + ' ' + cell.phase:22}{numbers} |{own} | {cell.thin or '-'}"


def unseen(mind: Mind, folder: Path) -> list[str]:
    """Causes that no scenario names in what it expects; what stands for the rest of a group is nobody's aim."""
    named: set[str] = set()
    for path in sorted(folder.glob("*.yaml")):
        for scenario in read_scenarios(path, mind.book)[0]:
            named |= {*scenario.expect.cause, *scenario.expect.cause_in_first_three}
    return [c.id for c in mind.book.causes.values() if c.id not in named and not (c.undoes_change or c.rest)]
