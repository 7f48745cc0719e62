"""The book as numbers: priors over causes, answer rows, and how each balance and phase is felt.

Hypotheses are the causes in the order of the book and, last, `unknown`: what the book does not hold.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from advisor.model.knowledge import BALANCES, PHASES, Book, Cause, Feel, Observation, Odds
from advisor.model.scale import BASE_RATE, PROBABILITY, UNKNOWN_SHARE

UNKNOWN = "unknown"
UNLISTED_CELL = PROBABILITY["exceptionally unlikely"]
# Share of answers that are mistaken (misheard, misread, misremembered) and then fall as usual.
MISTAKEN = {"remember": 0.08, "look": 0.05, "measure": 0.02}

Row = dict[str, float]
Cells = dict[tuple[str, str], float]


@dataclass(frozen=True, slots=True)
class Tables:
    """`usual[o]`: answer row of observation o whatever the cause; `rows[o][c]`: the row under cause c,
    only where it differs; `feel[c]`: probability of each (phase, balance) cell, `mean_feel` the average;
    `stirred[o]`: odds of causes that an answer to o may set off.
    """

    book: Book
    hypotheses: tuple[str, ...]
    prior: tuple[float, ...]
    usual: dict[str, Row]
    rows: dict[str, dict[int, Row]]
    feel: dict[int, Cells]
    mean_feel: Cells
    stirred: dict[str, tuple[tuple[int, Odds], ...]] = field(default_factory=dict)
    moves: dict[str, dict[str, dict[int, float]]] = field(init=False)  # log row / usual, by answer

    def __post_init__(self) -> None:
        moves = {
            ident: {
                a: {i: safe_log(row[a] / usual) for i, row in self.rows.get(ident, {}).items()}
                for a, usual in each.items()
            }
            for ident, each in self.usual.items()
        }
        object.__setattr__(self, "moves", moves)

    def index(self, cause: str) -> int:
        return self.hypotheses.index(cause)


def compile_tables(book: Book) -> Tables:
    """Turn the words of the book into numbers; a cause that undoes a change starts with no prior."""
    causes = list(book.causes.values())
    weights = [0.0 if c.undoes_change else BASE_RATE[c.base] for c in causes]
    total = sum(weights) or 1.0
    prior = (*((1 - UNKNOWN_SHARE) * w / total for w in weights), UNKNOWN_SHARE if any(weights) else 1.0)
    usual = {
        o.id: _normalised({a: PROBABILITY[x.usual] for a, x in o.answers.items()})
        for o in book.observations.values()
    }
    rows: dict[str, dict[int, Row]] = {}
    for i, cause in enumerate(causes):
        for sign in cause.signs:
            observation = book.observations[sign.ask]
            row = _row({a: PROBABILITY[w] for a, w in sign.answers.items()}, usual[sign.ask])
            rows.setdefault(sign.ask, {})[i] = _with_mistakes(row, usual[sign.ask], observation)
    feel = {i: _cells(c.feel) for i, c in enumerate(causes) if c.feel is not None}
    stirred: dict[str, list[tuple[int, Odds]]] = {}
    for i, cause in enumerate(causes):
        for odds in cause.odds:
            for path in odds.where:
                if path.startswith("observed."):
                    stirred.setdefault(path.removeprefix("observed."), []).append((i, odds))
    odds_on = {ident: tuple(rows) for ident, rows in stirred.items()}
    return Tables(book, (*book.causes, UNKNOWN), prior, usual, rows, feel, _mean(feel, weights), odds_on)


def safe_log(p: float) -> float:
    """Natural logarithm; of nothing, about that of the least positive float."""
    return math.log(p) if p > 0 else -745.0


def _normalised(row: Row) -> Row:
    total = sum(row.values())
    return {a: p / total for a, p in row.items()}


def _row(listed: Row, usual: Row) -> Row:
    """Answers the author left out share what is left as usual; more than 1 in all is scaled down."""
    said = sum(listed.values())
    rest = sum(p for a, p in usual.items() if a not in listed)
    if rest == 0 or said >= 1:
        scaled = {a: listed.get(a, 0.0) / said for a in usual}
        return scaled if rest == 0 else _normalised({a: max(p, 0.01 * usual[a]) for a, p in scaled.items()})
    return {a: listed[a] if a in listed else (1 - said) * p / rest for a, p in usual.items()}


def _with_mistakes(row: Row, usual: Row, observation: Observation) -> Row:
    share = MISTAKEN[observation.effort]
    return {a: (1 - share) * p + share * usual[a] for a, p in row.items()}


def _cells(feel: Feel) -> Cells:
    cells = {}
    for balance in BALANCES:
        listed = getattr(feel, balance)
        for phase in PHASES:
            word = listed.get(phase)
            cells[phase, balance] = PROBABILITY[word] if word else UNLISTED_CELL
    total = sum(cells.values())
    return {cell: p / total for cell, p in cells.items()}


def _mean(feel: dict[int, Cells], weights: list[float]) -> Cells:
    total = sum(weights[i] for i in feel)
    if not total:
        return {(p, b): 1 / (len(PHASES) * len(BALANCES)) for p in PHASES for b in BALANCES}
    return {
        (p, b): sum(weights[i] * cells[p, b] for i, cells in feel.items()) / total
        for p in PHASES
        for b in BALANCES
    }


def share(cause: Cause) -> float:
    """The base rate of a cause as a number, relative to the others."""
    return BASE_RATE[cause.base]
