"""The book as numbers: priors over causes, and answer rows; what is felt where is one observation of them.

Hypotheses are the causes in the order of the book and, last, `unknown`: what the book does not hold.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field

from advisor.model import assumed
from advisor.model.feel import CELLS, FEEL
from advisor.model.knowledge import Book, Cause, Count, Feel, Group, Odds
from advisor.model.scale import BASE_RATE, PROBABILITY, UNKNOWN_SHARE

UNKNOWN = "unknown"

Row = dict[str, float]


@dataclass(frozen=True, slots=True)
class Tables:
    """`usual[o]`: answer row of observation o whatever the cause; `rows[o][c]`: the row under cause c,
    only where it differs; `stirred[o]`: odds of causes that an answer to o may set off.
    """

    book: Book
    hypotheses: tuple[str, ...]
    prior: tuple[float, ...]
    usual: dict[str, Row]
    rows: dict[str, dict[int, Row]]
    stirred: dict[str, tuple[tuple[int, Odds], ...]] = field(default_factory=dict)
    moves: dict[str, dict[str, dict[int, float]]] = field(init=False)  # log row / usual, by answer
    places: dict[str, int] = field(init=False)  # of each hypothesis

    def __post_init__(self) -> None:
        moves = {ident: _moves(each, self.rows.get(ident, {})) for ident, each in self.usual.items()}
        object.__setattr__(self, "moves", moves)
        object.__setattr__(self, "places", {h: i for i, h in enumerate(self.hypotheses)})

    def index(self, cause: str) -> int:
        return self.places[cause]


def compile_tables(book: Book) -> Tables:
    """Turn the words of the book into numbers; a cause that undoes a change starts with no prior."""
    causes = list(book.causes.values())
    prior = _prior(book, causes)
    usual = {
        o.id: _normalised({a: PROBABILITY[x.usual] for a, x in o.answers.items()})
        for o in book.observations.values()
    }
    usual[FEEL], felt = _felt(causes, prior)
    rows = {**_answer_rows(book, usual), FEEL: felt}
    stirred: dict[str, list[tuple[int, Odds]]] = {}
    for i, cause in enumerate(causes):
        for odds in cause.odds:
            for path in odds.where:
                if path.startswith("observed."):
                    stirred.setdefault(path.removeprefix("observed."), []).append((i, odds))
    odds_on = {ident: tuple(rows) for ident, rows in stirred.items()}
    return Tables(book, (*book.causes, UNKNOWN), prior, usual, rows, odds_on)


def _answer_rows(book: Book, usual: dict[str, Row]) -> dict[str, dict[int, Row]]:
    """The rows that the causes state themselves, and those of their groups; causes that say the same share a row."""
    shares = {ident: assumed.MISTAKEN[o.effort] for ident, o in book.observations.items()}
    of_group = {
        ident: {
            asked: _with_mistakes(row, usual[asked], shares[asked])
            for asked, row in _group_rows(group, book.counts.get(ident), usual).items()
        }
        for ident, group in book.groups.items()
    }
    stated: dict[tuple[str, ...], Row] = {}
    rows: dict[str, dict[int, Row]] = {}
    for i, cause in enumerate(book.causes.values()):
        for sign in cause.signs:
            said = (sign.ask, *sign.answers, *sign.answers.values())
            if said not in stated:
                row = _row({a: PROBABILITY[w] for a, w in sign.answers.items()}, usual[sign.ask])
                stated[said] = _with_mistakes(row, usual[sign.ask], shares[sign.ask])
            rows.setdefault(sign.ask, {})[i] = stated[said]
        for asked, row in of_group.get(cause.group, {}).items():
            rows.setdefault(asked, {}).setdefault(i, row)
    return rows


def _prior(book: Book, causes: list[Cause]) -> tuple[float, ...]:
    """Base rates: each group has its counted share, and its causes divide it by how often each is behind it.

    The last is `unknown`. Without groups all causes divide what `unknown` leaves.
    """
    words = [BASE_RATE[c.base] for c in causes]
    within = _within(book, causes, words)
    shares = group_shares(book, {_group(book, c): None for c, w in zip(causes, words, strict=True) if w})
    if not shares:
        return (*words, 1.0)
    prior = [shares.get(_group(book, c), 0.0) * w for c, w in zip(causes, within, strict=True)]
    return (*prior, 1 - sum(shares.values()))


def _within(book: Book, causes: list[Cause], words: list[float]) -> list[float]:
    """The share of each cause in its group: the author's words, worth `WORD_CASES` in all, and what was counted."""
    total: dict[str, float] = {}
    counted: dict[str, float] = {}
    for cause, word in zip(causes, words, strict=True):
        group = _group(book, cause)
        total[group] = total.get(group, 0.0) + word
        counted[group] = counted.get(group, 0.0) + (_count(book, cause) if word else 0.0)
    shares = []
    for cause, word in zip(causes, words, strict=True):
        group = _group(book, cause)
        said = word / (total[group] or 1.0)
        cases = _count(book, cause) if word else 0.0
        shares.append(
            (assumed.WORD_CASES * said + cases) / (assumed.WORD_CASES + counted[group]) if word else 0.0
        )
    return shares


def _count(book: Book, cause: Cause) -> float:
    count = book.counts.get(cause.group)
    return count.causes.get(cause.id, 0.0) if count else 0.0


def _group(book: Book, cause: Cause) -> str:
    return cause.group if book.groups else ""


def group_shares(book: Book, named: Iterable[str]) -> dict[str, float]:
    """The share of all complaints that each of some groups has; what is left is not held by the book.

    The trade's word counts as `TRADE_CASES` complaints beside those that were counted: the mean of a Dirichlet
    distribution (Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, section 3.4).
    """
    named = list(named)
    if not book.groups:
        return dict.fromkeys(named, (1 - UNKNOWN_SHARE) / max(1, len(named)))
    unknown = book.groups.get(UNKNOWN)
    trade = unknown.trade if unknown else 100 * UNKNOWN_SHARE
    told = sum(book.groups[g].trade for g in named)
    cases = {g: book.counts[g].cases if g in book.counts else 0.0 for g in (*named, UNKNOWN)}
    every = sum(cases.values())
    return {
        g: (assumed.TRADE_CASES * (1 - trade / 100) * book.groups[g].trade / told + cases[g])
        / (assumed.TRADE_CASES + every)
        for g in named
        if told
    }


def _group_rows(group: Group, count: Count | None, usual: dict[str, Row]) -> dict[str, Row]:
    """How often each answer is told with a trouble of this group, by its counts and the author's word."""
    rows = {
        sign.ask: _row({a: PROBABILITY[w] for a, w in sign.answers.items()}, usual[sign.ask])
        for sign in group.signs
    }
    for ident, counts in count.told.items() if count else ():
        before, told = rows.get(ident, usual[ident]), sum(counts.values())
        silent = max(0.0, count.rows - told) if count else 0.0  # whoever tells nothing of it is as usual
        rows[ident] = {
            a: ((assumed.USUAL_CASES + silent) * p + counts.get(a, 0.0))
            / (assumed.USUAL_CASES + silent + told)
            for a, p in before.items()
        }
    return rows


def safe_log(p: float) -> float:
    """Natural logarithm; of nothing, about that of the least positive float."""
    return math.log(p) if p > 0 else -745.0


def _moves(usual: Row, rows: dict[int, Row]) -> dict[str, dict[int, float]]:
    """log row / usual, by answer; worked out once for all causes that share a row."""
    shared = {id(row): row for row in rows.values()}
    of = {i: id(row) for i, row in rows.items()}
    moves = {}
    for answer, p in usual.items():
        logs = {at: safe_log(row[answer] / p) for at, row in shared.items()}
        moves[answer] = {i: logs[at] for i, at in of.items()}
    return moves


def _normalised(row: Row) -> Row:
    total = sum(row.values())
    return {a: p / total for a, p in row.items()}


def _row(listed: Row, usual: Row) -> Row:
    """Answers the author left out share what is left as usual; more than 1 in all is scaled down."""
    said = sum(listed.values())
    rest = sum([p for a, p in usual.items() if a not in listed])
    if rest == 0 or said >= 1:
        scaled = {a: listed.get(a, 0.0) / said for a in usual}
        return scaled if rest == 0 else _normalised({a: max(p, 0.01 * usual[a]) for a, p in scaled.items()})
    return {a: listed[a] if a in listed else (1 - said) * p / rest for a, p in usual.items()}


def _with_mistakes(row: Row, usual: Row, share: float) -> Row:
    return {a: (1 - share) * p + share * usual[a] for a, p in row.items()}


def _felt(causes: list[Cause], prior: tuple[float, ...]) -> tuple[Row, dict[int, Row]]:
    """The cells as usual, the mean of the causes that are felt, and as each of these has them."""
    rows = {i: _cells(c.feel) for i, c in enumerate(causes) if c.feel is not None}
    total = sum(prior[i] for i in rows)
    usual = {
        cell: sum(prior[i] * row[cell] for i, row in rows.items()) / total if total else 1 / len(CELLS)
        for cell in CELLS
    }
    return usual, {i: _with_mistakes(row, usual, assumed.FEEL_MISTAKEN) for i, row in rows.items()}


def _cells(feel: Feel) -> Row:
    words = {cell: getattr(feel, balance).get(phase) for cell, (phase, balance) in CELLS.items()}
    return _normalised({cell: PROBABILITY[w] if w else assumed.UNLISTED_CELL for cell, w in words.items()})
