"""What following the screen costs against the best that can be done: `python -m tests.optimum.shown [BOOKS [SEED]]`.

On small random books (small_books.py) each policy is followed through every day that may be: with the question, the
look-over, the look, the change, the bundle and the stop that are shown. Printed are the mean minutes, and the excess
over the exact optimum in per cent (mean, 95th percentile, greatest).
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from random import Random
from statistics import fmean

import numpy as np

from advisor.inference.evidence import Gathered
from advisor.model import assumed
from advisor.model.case import Case, Laps, Tried, Verdict
from advisor.planning import stopping
from advisor.planning.bundles import bundle
from advisor.reasoning import advise
from advisor.reasoning.weighing import Reasoning, reason
from tests.optimum.regret import summary
from tests.optimum.small_books import Mass, Small, no_errors, optimum, small

LEAST = 1e-5  # a day less likely than this is not followed; giving up is charged for it
Turns = tuple[tuple[str, str], ...]
# The stopwatch says the same; one driver's "worse" alone, which may err, would never turn the order round.
SEEN: dict[Verdict, Laps] = {"better": (1.0, 0.0, 0.0), "same": (0.0, 1.0, 0.0), "worse": (0.0, 0.0, 1.0)}


@dataclass(frozen=True, slots=True)
class History:
    """What was asked and answered (None: no answer), and what was tried."""

    told: tuple[tuple[str, str | None], ...] = ()
    tried: tuple[Tried, ...] = ()


@dataclass(frozen=True, slots=True)
class Move:
    """Questions put in one go, or changes made before one run; neither gives up."""

    ask: tuple[str, ...] = ()
    turns: Turns = ()


@dataclass
class Screen:
    """What is reasoned at each point of a day, once."""

    of: Small
    known: dict[History, Reasoning] = field(default_factory=dict)
    questions: dict[History, tuple[str, ...]] = field(default_factory=dict)

    def done(self, history: History) -> Reasoning:
        if history not in self.known:
            self.known[history] = reason(self.of.mind, self.case(history), self.gathered(history))
        return self.known[history]

    def case(self, history: History) -> Case:
        return Case(observed={q: a for q, a in history.told if a}, tried=history.tried)

    def gathered(self, history: History) -> Gathered:
        evidence = replace(self.of.bare.evidence, tried=history.tried)
        for question, answer in history.told:
            if answer is not None:
                evidence = evidence.answering(question, answer)
        return replace(self.of.bare, evidence=evidence)

    def question(self, history: History) -> tuple[str, ...]:
        """The question that is shown, with the looks that are listed with it."""
        if history not in self.questions:
            done, skipped = self.done(history), frozenset(q for q, _ in history.told)
            asked = advise.ask(self.of.mind, done, skipped)
            looks = advise.look_over(self.of.mind, done, skipped, asked) if asked else ()
            listed = tuple(look.question.id for look in looks) if looks else ((asked.id,) if asked else ())
            self.questions[history] = listed
        return self.questions[history]


Policy = Callable[[Screen, History], Move]


def shown(asks: bool = True, lists: bool = True, stops: bool = True, bundles: bool = False) -> Policy:
    """The screen, with or without its questions, its look-overs and its stop."""

    def move(screen: Screen, history: History) -> Move:
        if asks and (asked := screen.question(history)):
            return Move(ask=asked if lists else asked[:1])
        if stops and gives_up(screen, history):
            return Move()
        return Move(turns=bundled(screen, history) if bundles else shown_change(screen, history))

    return move


def gives_up(screen: Screen, history: History) -> bool:
    """The screen says that nothing left is worth its run."""
    done = screen.done(history)
    return stopping.enough(done.book, done.belief, done.together.shares, done.plan) is not None


def shown_change(screen: Screen, history: History) -> Turns:
    """The first look of those that stand above the changes, else the first change."""
    mind, done = screen.of.mind, screen.done(history)
    rows = [r for r in done.ranked if r.barred is None]
    driven = [r for r in rows if not mind.book.levers[r.prospect.lever].ways[r.prospect.way].look]
    first = next(iter((*advise.looks(mind, done), *(driven or rows))), None)
    return tuple((p.lever, p.way) for p in first.visit) if first else ()


def bundled(screen: Screen, history: History) -> Turns:
    """What is shown to fix it now: several before one run, after what is looked at first."""
    mind, done = screen.of.mind, screen.done(history)
    if advise.looks(mind, done):
        return shown_change(screen, history)
    chosen = bundle(
        mind.book, screen.case(history), done.ranked, done.links, done.moved, done.together.shares
    )
    turns = tuple((r.prospect.lever, r.prospect.way) for r in chosen)
    return turns or shown_change(screen, history)


# --- following ------------------------------------------------------------------------------------------------------


def followed(of: Small, policy: Policy, screen: Screen) -> float:
    """Expected minutes of a policy until the cure or until it gives up, over all days that may be."""
    acts = {lever: of.acts(lever) for lever in of.levers}
    size = (of.size, *(3 for _ in of.levers))
    mass = of.prior.reshape(-1, *(1 for _ in of.levers)) * np.ones(size)
    for place, lever in enumerate(of.levers):
        shape = [of.size, *(3 if p == place else 1 for p in range(len(of.levers)))]
        mass = mass * acts[lever].reshape(shape)
    return _follow(of, policy, screen, History(), mass)


def _follow(of: Small, policy: Policy, screen: Screen, history: History, mass: Mass) -> float:
    alive = float(mass.sum())
    if alive < LEAST:
        return alive * assumed.GIVE_UP
    move = policy(screen, history)
    if move.ask:
        return _asked(of, policy, screen, history, mass, move.ask)
    if not move.turns:
        return alive * assumed.GIVE_UP
    spent = alive * of.minutes(move.turns)
    (lever, way), *beside = move.turns
    for verdict, left in _verdicts(of, mass, move.turns):
        laps = SEEN[verdict] if verdict == "worse" else None
        trial = Tried(lever, way, verdict, tuple(beside), laps=laps)
        spent += _follow(of, policy, screen, replace(history, tried=(*history.tried, trial)), left)
    return spent


def _asked(
    of: Small,
    policy: Policy,
    screen: Screen,
    history: History,
    mass: Mass,
    questions: Sequence[str],
    listed: bool = False,
) -> float:
    """The questions of a list one after the other, whatever the answers are."""
    first, *others = questions
    reading = assumed.TICK if listed else assumed.READING
    spent = float(mass.sum()) * (reading + of.mind.book.observations[first].seconds) / 60
    for answer, chances in of.answers(first).items():
        after = mass * chances.reshape(-1, *(1 for _ in of.levers))
        then = replace(history, told=(*history.told, (first, answer)))
        if others and after.sum() >= LEAST:
            spent += _asked(of, policy, screen, then, after, others, listed=True)
        else:
            spent += _follow(of, policy, screen, then, after)
    return spent


def _verdicts(of: Small, mass: Mass, turns: Turns) -> Iterator[tuple[Verdict, Mass]]:
    """What is left uncured, by what is said; a cure and a harm hide each other."""
    cured, hurt = np.zeros(mass.shape, dtype=bool), np.zeros(mass.shape, dtype=bool)
    for lever, way in turns:
        ways = list(of.mind.book.levers[lever].ways)
        states = np.arange(3).reshape([3 if x == lever else 1 for x in ("", *of.levers)])
        cured = cured | (states == ways.index(way))
        if of.mind.book.levers[lever].ways[way].opposite:
            hurt = hurt | (states == 1 - ways.index(way))
    if (worse := mass * (hurt & ~cured)).any():
        yield "worse", worse
    if (same := mass * (hurt == cured)).any():
        yield "same", same


POLICIES: dict[str, Policy] = {
    "shown": shown(),
    "shown, each look asked alone": shown(lists=False),
    "shown, never stopping": shown(stops=False),
    "shown, no questions": shown(asks=False),
    "shown, no questions or stop": shown(asks=False, stops=False),
    "fix it now": shown(bundles=True),
    "fix it now, no questions": shown(asks=False, bundles=True),
}


def measured(source: Random, policies: Sequence[str]) -> dict[str, tuple[float, float]]:
    """Minutes and excess over the optimum of each policy on one random book."""
    with no_errors():
        of = small(source)
        least = optimum(of)
        screen = Screen(of)
        costs = {name: followed(of, POLICIES[name], screen) for name in policies}
    return {name: (cost, cost / least - 1) for name, cost in {"optimum": least, **costs}.items()}


def main(books: int = 40, seed: int = 1) -> None:
    source = Random(seed)
    drawn = [measured(source, list(POLICIES)) for _ in range(books)]
    print(f"{'':34}{'minutes':>9}{'excess %':>10}{'95 %':>9}{'most':>9}")
    for name in drawn[0]:
        mean, p95, most = summary(sorted(100 * d[name][1] for d in drawn))
        print(f"{name:34}{fmean(d[name][0] for d in drawn):9.2f}{mean:10.2f}{p95:9.2f}{most:9.2f}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
