"""The reasoning of the advisor with its inner sums done by numpy and what does not change between steps kept.

`quickly(mind)` puts these in the place of the originals; `tests/paddock/test_quick.py` plays whole days both ways and
asks for the same steps. Nothing is decided here: only sums are added up faster.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from typing import Any
from unittest.mock import patch

import numpy as np
import numpy.typing as npt

from advisor.inference import belief as believing
from advisor.inference import cures, pairs, trials
from advisor.inference.belief import Belief
from advisor.inference.cures import Links
from advisor.inference.evidence import Evidence
from advisor.inference.pairs import Together
from advisor.inference.tables import Tables
from advisor.inference.trials import Learnt, Moved, Prospect
from advisor.model import assumed, conditions
from advisor.model.advice import Question
from advisor.model.case import Case, Tried
from advisor.model.feel import AXES
from advisor.model.knowledge import Book, Observation
from advisor.model.scale import PROBABILITY
from advisor.planning import questions, ranking, repair, steps
from advisor.planning.ranking import Ranked
from advisor.planning.repair import FREE, Repair, base, begin
from advisor.planning.sizes import Sizes
from advisor.reasoning import weighing
from tests.paddock.kept import Kept

Numbers = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]
KEPT = 4000  # of each memo


def _paths(book: Book) -> tuple[str, ...]:
    """The facts that decide which claims of levers hold and what bars a way."""
    wheres = [gives.where for lever in book.levers.values() for gives in lever.gives]
    wheres += [guide.where for lever in book.levers.values() for guide in lever.guide]
    wheres += [way.done_if for lever in book.levers.values() for way in lever.ways.values()]
    wheres += [bar.where for bar in book.bars.values()]
    wheres += [fix.where for fix in book.fixes.values()]
    return tuple(sorted({path for where in wheres for path in where}))


class Rows:
    """The answers of all questions that are asked, one row each, with what each says of every hypothesis."""

    def __init__(self, tables: Tables) -> None:
        self.tables = tables
        asked = sorted(o for o in tables.usual if o in tables.book.observations and o not in AXES)
        self.observations = [tables.book.observations[o] for o in asked]
        self.answers = [(o, a) for o in asked for a in tables.book.observations[o].answers]
        self.first = np.cumsum([0, *(len(o.answers) for o in self.observations)])
        self.usual = np.array([tables.usual[o][a] for o, a in self.answers])
        self.moves = np.zeros((len(self.answers), len(tables.hypotheses)))
        for row, (o, a) in enumerate(self.answers):
            for i, term in tables.moves.get(o, {}).get(a, {}).items():
                self.moves[row, i] = term
        self.ratios = np.exp(self.moves)
        prior = np.array(tables.prior)
        self.strength = np.abs(self.moves) @ prior
        self.place = {o: n for n, o in enumerate(asked)}
        self.row = {one: row for row, one in enumerate(self.answers)}
        self.danger = np.array(
            [PROBABILITY[c.danger.at] if c.danger else np.inf for c in tables.book.causes.values()] + [np.inf]
        )

    def told(self, evidence: Evidence, able: Sequence[int]) -> Numbers:
        """P(answer | hypothesis) / usual of the answers to some questions, what overlaps and what is set off in it."""
        ratios = self.ratios
        changed: dict[int, Numbers] = {}
        for n in able:
            observation = self.observations[n]
            if (group := observation.overlaps) and group in self.tables.book.overlaps:
                mates = [
                    self.row[i, next(iter(a))]
                    for i, a in evidence.answers.items()
                    if (o := self.tables.book.observations.get(i))
                    and o.overlaps == group
                    and self.tables.rows.get(i)
                ]
                if mates:
                    self._overlap(n, mates, self.tables.book.overlaps[group].kept, changed)
            if observation.id in self.tables.stirred:
                self._stirred(n, evidence, changed)
        if changed:
            ratios = ratios.copy()
            for row, moves in changed.items():
                ratios[row] = np.exp(moves)
        return ratios

    def _span(self, n: int) -> range:
        return range(int(self.first[n]), int(self.first[n + 1]))

    def _overlap(self, n: int, mates: Sequence[int], kept: float, changed: dict[int, Numbers]) -> None:
        if not self.tables.rows.get(self.observations[n].id):
            return
        strongest = max(mates, key=lambda r: (self.strength[r], self.answers[r][0]))
        before = self.moves[strongest]
        for row in self._span(n):
            ours, theirs = (
                (self.strength[row], self.answers[row][0]),
                (
                    self.strength[strongest],
                    self.answers[strongest][0],
                ),
            )
            if ours > theirs:
                changed[row] = self.moves[row] + (kept - 1) * before
            else:
                changed[row] = kept * self.moves[row]

    def _stirred(self, n: int, evidence: Evidence, changed: dict[int, Numbers]) -> None:
        ident = self.observations[n].id
        for row in self._span(n):
            then = {**evidence.facts, f"observed.{ident}": frozenset((self.answers[row][1],))}
            for i, odds in self.tables.stirred[ident]:
                by = conditions.holds(odds.where, then) - conditions.holds(odds.where, evidence.facts)
                if by:
                    moves = changed.get(row)
                    moves = self.moves[row].copy() if moves is None else moves.copy()
                    moves[i] += math.log(odds.times) * by
                    changed[row] = moves


class Quick:
    """The originals' places are taken by the methods of this."""

    def __init__(self) -> None:
        self.rows: dict[int, Rows] = {}
        self.lines: dict[int, tuple[Mapping[int, float], Numbers]] = {}
        self.paths: dict[int, tuple[str, ...]] = {}
        self.kept = Kept(KEPT)
        self.alive: list[object] = []  # what is known by its id must not be thrown away
        self.links = cures.links
        self.learn = trials.learn
        self.barred = ranking._barred
        self.move = steps.move

    def regime(self, book: Book, facts: conditions.Facts) -> tuple[object, ...]:
        """All that the claims of levers, their windows and their bars hang on."""
        if id(book) not in self.paths:
            self.paths[id(book)] = _paths(book)
            self.alive.append(book)
        return (id(book), *(facts.get(path) for path in self.paths[id(book)]))

    def known_links(self, book: Book, evidence: Evidence) -> Links:
        key = ("links", evidence.changes, self.regime(book, evidence.facts))
        found: Links = self._keep(key, lambda: self.links(book, evidence))
        return found

    def known_learn(self, table: Links, tried: Iterable[Tried], size: int, _: object = None) -> Learnt:
        """A paddock has no journal, so its drivers err as the trade has it."""
        done = tuple(tried)
        key = ("learn", id(table), done, assumed.VERDICT_IF["cured"]["better"])
        found: Learnt = self._keep(key, lambda: self.learn(table, done, size))
        return found

    def _keep(self, key: object, make: Callable[[], Any]) -> Any:
        def made() -> Any:
            found = make()
            self.alive.append(found)
            return found

        if len(self.kept) >= KEPT:
            self.kept.clear()
            self.alive = [x for x in self.alive if isinstance(x, Book)]
        return self.kept.get_or(key, made)

    def believe(
        self, tables: Tables, evidence: Evidence, trials: Mapping[str, Sequence[float]] | None = None
    ) -> Belief:
        """As `belief.believe`; the lines of the ledger are arrays."""
        with patch.object(believing, "_line", self._line):
            ledger = {name: np.asarray(terms) for name, terms in believing._terms(tables, evidence)}
        ledger.update({name: np.asarray(terms) for name, terms in (trials or {}).items()})
        prior = np.array(tables.prior)
        logs = np.log(np.maximum(prior, 1e-300)) + sum(ledger.values(), np.zeros(len(prior)))
        weights = np.where(prior > 0, np.exp(logs - logs.max()), 0.0)
        return Belief(tuple((weights / weights.sum()).tolist()), tables.prior, ledger)  # type: ignore[arg-type]

    def _line(self, tables: Tables, moves: Mapping[int, float]) -> Numbers:
        """A line of the ledger; those of the tables' own answers are kept."""
        row = self.lines.get(id(moves))
        if row is None or row[0] is not moves:
            line = np.zeros(len(tables.hypotheses))
            line[list(moves)] = list(moves.values())
            if len(self.lines) >= KEPT:
                self.lines.clear()
            row = self.lines[id(moves)] = moves, line
        return row[1]

    # --- sums ------------------------------------------------------------------------------------------------------

    def prospects(self, table: Links, p: Sequence[float], moved: Moved) -> list[Prospect]:
        """As `trials.prospects`."""
        turns, where, cause, rate, either, stated = self._keep(
            ("rates", id(table), id(moved)), lambda: _rates(table, moved)
        )
        each = np.asarray(p)[cause] * rate
        chance = np.bincount(where, each, len(turns))
        total = np.bincount(where, np.asarray(p)[cause] * either, len(turns))
        order = np.lexsort((cause, each, stated, where))
        last = order[np.append(np.flatnonzero(np.diff(where[order])), len(order) - 1)]
        best = cause[last].tolist()
        rows = zip(turns, chance.tolist(), total.tolist(), best, strict=True)
        return [Prospect(lever, way, c, c / t, b) for (lever, way), c, t, b in rows if t > 0]

    def weigh(self, belief: Belief, among: int = pairs.AMONG) -> Together:
        """As `pairs.weigh`."""
        prior = np.array(belief.prior[:-1])
        ledger = np.array([terms[:-1] for terms in belief.ledger.values()]).reshape(-1, len(prior))
        causes = np.flatnonzero(prior > 0)
        best = prior * np.exp(np.maximum(ledger, 0.0).sum(axis=0))
        close = np.sort(causes[np.lexsort((causes, -best[causes]))][:among])
        of_two = _of_two(prior[causes])
        odds = assumed.TWO_AT_ONCE / (1 - assumed.TWO_AT_ONCE)
        scale = belief.probabilities[-1] / belief.prior[-1] * odds / of_two if of_two else 0.0
        some = ledger[:, close]
        one, other = some[:, :, None], some[:, None, :]
        both = np.where((one != 0) & (other != 0), np.logaddexp(one, other) - math.log(2), one + other)
        weights = scale * np.outer(prior[close], prior[close]) * np.exp(both.sum(axis=0))
        np.fill_diagonal(weights, 0.0)
        total = 1.0 + weights.sum() / 2
        omitted = max(0.0, scale * (_of_two(best[causes]) - _of_two(best[close])))
        shares = np.array(belief.probabilities) / total
        shares[close] += weights.sum(axis=1) / total / 2
        names, share = close.tolist(), (weights / total).tolist()
        found = {
            (names[a], names[b]): share[a][b] for a in range(len(names)) for b in range(a + 1, len(names))
        }
        return Together(tuple(shares.tolist()), found, omitted / (total + omitted))

    def known_rank(
        self,
        book: Book,
        case: Case,
        evidence: Evidence,
        prospects: Sequence[Prospect],
        sizes: Sizes,
        said: Mapping[tuple[str, str], float],
    ) -> list[Ranked]:
        """As `ranking.rank`, with the steps and bars of a regime kept: the karts of the paddock have no sheet."""
        regime = self.regime(book, evidence.facts)
        moves: dict[tuple[str, str], Any] = self._keep(("moves", regime), dict)
        bars: dict[tuple[str, str], Any] = self._keep(("bars", regime, evidence.tried), dict)

        def move(book: Book, lever: Any, way: str, case: Case, facts: conditions.Facts, size: Any) -> Any:
            if (lever.id, way) not in moves:
                moves[lever.id, way] = self.move(book, lever, way, case, facts, size)
            return moves[lever.id, way]

        def barred(book: Book, case: Case, evidence: Evidence, prospect: Prospect, step: Any) -> Any:
            turn = prospect.lever, prospect.way
            if turn not in bars:
                bars[turn] = self.barred(book, case, evidence, prospect, step)
            return bars[turn]

        with patch.object(ranking, "move", move), patch.object(ranking, "_barred", barred):
            return RANK(book, case, evidence, prospects, sizes, said)

    def next_question(
        self,
        tables: Tables,
        plan: Repair,
        evidence: Evidence,
        belief: Sequence[float],
        skipped: Collection[str],
        only: Callable[[Observation], bool] = lambda _: True,
        reading: float | None = None,
    ) -> Question | None:
        """As `questions.next_question`, where phase and balance are told."""
        if id(tables) not in self.rows:
            self.rows[id(tables)] = Rows(tables)
        rows = self.rows[id(tables)]
        told = evidence.told
        if not all(axis in told for axis in AXES):
            return NEXT(tables, plan, evidence, belief, skipped, only, reading)
        able = [
            n
            for n, o in enumerate(rows.observations)
            if o.asked and o.id not in told and o.id not in skipped and only(o)
            and conditions.holds(o.asked_if, evidence.facts)
        ]  # fmt: skip
        if not able:
            return None
        worths, minutes = self._worths(rows, plan, evidence, np.array(belief), able, skipped, reading)
        gains = worths - minutes
        best = int(np.argmax(gains / np.maximum(FREE, minutes)))
        if gains[best] <= 0:
            return None
        return questions.as_question(rows.observations[able[best]], float(gains[best]))

    def _worths(
        self,
        rows: Rows,
        plan: Repair,
        evidence: Evidence,
        belief: Numbers,
        able: Sequence[int],
        skipped: Collection[str],
        reading: float | None,
    ) -> tuple[Numbers, Numbers]:
        """What the answers are worth, and the minutes of the questions (`questions.outlook`, `repair._worths`)."""
        chosen = np.concatenate([np.arange(rows.first[n], rows.first[n + 1]) for n in able])
        sizes = [int(rows.first[n + 1] - rows.first[n]) for n in able]
        starts = np.cumsum([0, *sizes[:-1]])
        ratios = rows.told(evidence, able)[chosen]
        mean = ratios @ belief + (1 - belief.sum())
        usual = rows.usual[chosen] * (rows.usual[chosen] * mean > questions.LEAST)
        usual = usual / np.repeat(np.add.reduceat(usual * mean, starts), sizes)
        danger = np.where(belief < rows.danger, rows.danger, np.inf)
        after = ratios * belief
        found = np.add.reduceat(
            usual * np.where(after >= danger * mean[:, None], after, 0.0).sum(axis=1), starts
        )
        search = begin(plan, belief.tolist(), ())
        still = base(search)[0] / search.alive
        nats = _nats(after - belief, usual, belief, np.array(repair.aims(search)), starts)
        each_rate = questions.answer_rates(rows.tables, evidence, skipped)
        answered = np.array([each_rate[rows.observations[n].id] for n in able])
        each = assumed.READING if reading is None else reading
        minutes = np.array([(each + rows.observations[n].seconds) / 60 for n in able])
        saves = found * assumed.DANGER_MINUTES
        return answered * (assumed.TELLS * still * nats + saves), minutes


def _nats(more: Numbers, usual: Numbers, belief: Numbers, aims: Places, starts: Places) -> Numbers:
    """As `repair._nats`, of all questions at once; `more`: what each answer adds to the mass of each hypothesis."""
    _, place = np.unique(aims, return_inverse=True)
    into = np.zeros((len(belief), place.max() + 1))
    into[np.arange(len(belief)), place] = 1.0
    masses, moved = belief @ into, more @ into
    alive = belief.sum()
    mean = 1 + moved.sum(axis=1) / alive
    told = _entropic(masses, moved).sum(axis=1)
    nats = np.add.reduceat(usual * (told / alive - mean * np.log(np.maximum(mean, 1e-300))), starts)
    every = np.add.reduceat(usual, starts)[:, None]
    drift = np.add.reduceat(usual[:, None] * moved, starts, axis=0)
    off = _entropic(masses, drift + (every - 1) * masses).sum(axis=1)
    found: Numbers = np.maximum(0.0, nats - off / alive)
    return found


def _entropic(mass: Numbers, more: Numbers) -> Numbers:
    after = mass + more
    good = (after > 0) & (mass > 0)
    found: Numbers = np.where(
        good, after * np.log(np.where(good, after / np.where(mass > 0, mass, 1.0), 1.0)), 0.0
    )
    return found


def _of_two(weights: Numbers) -> float:
    return float((weights.sum() ** 2 - (weights * weights).sum()) / 2)


Flat = tuple[list[tuple[str, str]], Places, Places, Numbers, Numbers, npt.NDArray[np.bool_]]


def _rates(table: Links, moved: Moved) -> Flat:
    """Every way of every link: the ways, and for each link its way, its cause, its rates, and whether it is stated."""
    turns: dict[tuple[str, str], int] = {}
    rows: list[tuple[int, int, float, float, bool]] = []
    for lever, row in table.items():
        for i, link in row.items():
            each = trials.rates(link, moved.get(lever, {}).get(i))
            either = sum(rate for _, rate in each)
            rows += [
                (turns.setdefault((lever, way), len(turns)), i, rate, either, way == link.way)
                for way, rate in each
                if way is not None
            ]
    where, cause = (np.array([row[n] for row in rows], dtype=np.intp) for n in (0, 1))
    rate, acts = (np.array([row[n] for row in rows]) for n in (2, 3))
    return list(turns), where, cause, rate, acts, np.array([row[4] for row in rows])


RANK, NEXT = ranking.rank, questions.next_question


@contextmanager
def quickly(quick: Quick) -> Iterator[None]:
    """Reason with the faster sums until the context is left."""
    swaps: Mapping[tuple[object, str], object] = {
        (cures, "links"): quick.known_links,
        (trials, "learn"): quick.known_learn,
        (trials, "prospects"): quick.prospects,
        (pairs, "weigh"): quick.weigh,
        (questions, "next_question"): quick.next_question,
        (weighing, "rank"): quick.known_rank,
        (weighing, "believe"): quick.believe,
    }
    with ExitStack() as stack:
        for (module, name), by in swaps.items():
            stack.enter_context(patch.object(module, name, by))
        yield
