"""One day in the paddock: a policy asks and turns levers until the kart is cured or the day is over."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

from advisor.inference.trials import together
from advisor.model.advice import Question, Stop
from advisor.model.assumed import RUN_MINUTES
from advisor.model.case import Verdict
from advisor.model.knowledge import Book
from advisor.model.levers import Lever
from advisor.planning.ranking import minutes, runs
from tests.paddock.worlds import Complaint, Fault, Kart

MOST_RUNS = 12
MOST_STEPS = 150  # a guard against going round in circles; asking and looking costs minutes, not runs


@dataclass(frozen=True, slots=True)
class Ask:
    """Put a question to the driver."""

    question: Question


@dataclass(frozen=True, slots=True, order=True)
class Turn:
    """Change something, or check it, and judge what came of it; `beside`: what is changed before the same run."""

    lever: str
    way: str
    beside: tuple[tuple[str, str], ...] = ()

    @property
    def turns(self) -> tuple[tuple[str, str], ...]:
        return ((self.lever, self.way), *self.beside)


@dataclass(frozen=True, slots=True)
class Inspect:
    """Heed a stop: nothing is driven before what it names was looked at."""

    stop: Stop


Step = Ask | Turn | Inspect


class Policy(Protocol):
    """Decides what is done next from what it has heard."""

    def start(self, complaint: Complaint) -> None:
        """A complaint, the first or, after one of two faults was cured, the one that is left."""

    def next(self) -> Step | None:
        """The next step; None when nothing is left to try."""

    def heard(self, question: Question, answer: str | None) -> None:
        """An answer; None means that the driver does not know."""

    def judged(self, turn: Turn, verdict: Verdict) -> None:
        """What came of a change that did not end the search."""

    def sound(self, stop: Stop) -> None:
        """What a stop asked for was inspected, and the fault is still there."""


@dataclass(frozen=True, slots=True)
class Result:
    """What a day cost. A kart that was not cured has cost the whole day. `harm`: changes for the worse."""

    runs: float
    minutes: float
    questions: int
    harm: int
    cured: bool
    log: tuple[str, ...] = ()


def inspection(lever: Lever) -> bool:
    """A lever that is nothing but looked at, such as a gauge."""
    return lever.runs < 1


def look(book: Book, lever: str, way: str) -> bool:
    """A way that is looked at on the stand: what it finds is seen there, without a run."""
    return book.levers[lever].ways[way].look


def effort(book: Book, *turns: tuple[str, str]) -> tuple[float, float]:
    """Runs and minutes of changes that are made in one go; work that they share is done once."""
    driven = [runs(book.levers[lever], way) for lever, way in turns if not look(book, lever, way)]
    jobs = {lever: book.levers[lever].job for lever, _ in turns}
    known = [book.jobs[job].minutes for job in jobs.values() if job]
    shared = sum(known) - sum(book.jobs[job].minutes for job in {j for j in jobs.values() if j})
    work = sum(minutes(book.levers[lever], way) for lever, way in turns) - shared
    count = max(driven, default=0.0)
    return count, work + count * RUN_MINUTES


@dataclass
class Day:
    """What was spent and what is left to cure."""

    kart: Kart
    left: list[Fault]
    runs: float = 0.0
    minutes: float = 0.0
    questions: int = 0
    harm: int = 0
    turned: Counter[Turn] = field(default_factory=Counter)
    log: list[str] = field(default_factory=list)

    @property
    def book(self) -> Book:
        return self.kart.tables.book

    @property
    def over(self) -> bool:
        return not self.left or self.runs >= MOST_RUNS

    def ask(self, question: Question) -> str | None:
        """Put a question."""
        self.questions += 1
        self.minutes += self.book.observations[question.id].seconds / 60
        answer = self.kart.answer(question.id, self.left)
        self.log.append(f"{question.id}? {answer}")
        return answer

    def turn(self, turn: Turn) -> Verdict:
        """Try a change: "better" means that a fault is cured and the change kept; any other is put back.

        What was only taken for better is found out in one more run.
        """
        self._spend(*effort(self.book, *turn.turns))
        outcomes = [together([self.kart.outcome(*one, fault) for one in turn.turns]) for fault in self.left]
        outcome = next((o for o in ("cured", "hurt") if o in outcomes), "nothing")
        verdict: Verdict
        if look(self.book, turn.lever, turn.way):
            verdict = "better" if outcome == "cured" else "same"
        else:
            verdict = self.kart.verdict(turn.lever, turn.way, outcome, self.turned[turn])
        self.turned[turn] += 1
        self.harm += outcome == "hurt"
        self.log.append(f"{' + '.join(f'{i} {w}' for i, w in turn.turns)}: {outcome}, {verdict}")
        if verdict == "better" and outcome == "cured":
            self._mend(outcomes)
        elif verdict == "better":
            self._spend(1, RUN_MINUTES)
            return "same"
        return verdict

    def inspect(self, levers: Sequence[str]) -> bool:
        """Look at what a stop names, on the stand: True when that cures a fault."""
        mended = False
        for ident in levers:
            lever = self.book.levers[ident]
            turn = Turn(ident, "check" if "check" in lever.ways else next(iter(lever.ways)))
            if self.turned[turn] or not self.left:
                continue  # looked at already, and sound; or the fault was found
            self.turned[turn] += 1
            self._spend(0, minutes(lever, turn.way))
            outcomes = [self.kart.outcome(ident, turn.way, fault) for fault in self.left]
            self.log.append(f"stop, {ident}: {', '.join(outcomes)}")
            if "cured" in outcomes:
                self._mend(outcomes)
                mended = True
        return mended

    def _mend(self, outcomes: Sequence[str]) -> None:
        self.left = [f for f, o in zip(self.left, outcomes, strict=True) if o != "cured"]

    def _spend(self, runs: float, minutes: float) -> None:
        self.runs += runs
        self.minutes += minutes

    def result(self) -> Result:
        cured = not self.left and self.runs <= MOST_RUNS
        wasted = 0.0 if cured else max(0.0, MOST_RUNS - self.runs)
        return Result(
            min(self.runs + wasted, MOST_RUNS), self.minutes + wasted * RUN_MINUTES,
            self.questions, self.harm, cured, tuple(self.log),
        )  # fmt: skip


def play(policy: Policy, kart: Kart) -> Result:
    """A whole day of one policy with one kart."""
    day = Day(kart, list(kart.faults))
    policy.start(kart.complaint(day.left))
    for _ in range(MOST_STEPS):
        step = policy.next()
        if step is None:
            break
        _take(step, policy, day)
        if day.over:
            break
    return day.result()


def _take(step: Step, policy: Policy, day: Day) -> None:
    if isinstance(step, Ask):
        policy.heard(step.question, day.ask(step.question))
        return
    faults = len(day.left)
    if isinstance(step, Inspect):
        day.inspect(step.stop.inspect)
        policy.sound(step.stop)
    else:
        verdict = day.turn(step)
        if len(day.left) == faults:
            policy.judged(step, verdict)
    if day.left and len(day.left) < faults:
        policy.start(day.kart.complaint(day.left))
