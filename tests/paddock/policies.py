"""Those who search: ours as the interview does it, a fixed opponent, and others to measure both by."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager, nullcontext
from dataclasses import dataclass, field, replace
from typing import TypeVar
from unittest.mock import patch

import numpy as np
import numpy.typing as npt

from advisor.inference import pairs
from advisor.inference.belief import Belief, believe
from advisor.inference.cures import WHOLE, Links, links
from advisor.inference.evidence import Evidence
from advisor.inference.pairs import Together
from advisor.inference.tables import Tables
from advisor.inference.trials import learn, prospects, rates
from advisor.interview import steps
from advisor.model import assumed
from advisor.model.advice import Question, Stop
from advisor.model.case import Case, Tried, Verdict
from advisor.model.levers import Lever
from advisor.planning import questions
from advisor.planning.bundles import bundle
from advisor.reasoning.advise import ask, find_stop, looks
from advisor.reasoning.weighing import Mind, Reasoning, make_ready, reason
from tests.paddock.kept import Kept
from tests.paddock.play import Ask, Inspect, Policy, Step, Turn, effort, inspection, look
from tests.paddock.quick import Quick
from tests.paddock.worlds import FELT, VERDICT_IF, Act, Complaint, Fault, Kart, stream

SIX = 6  # questions that the opponents may ask before each run
ENDLESS = 1000
ENOUGH = 0.02  # nats: a question that is expected to tell less is not asked by the entropy-driven


def _case(complaint: Complaint, tried: tuple[Tried, ...] = ()) -> Case:
    first, *rest = [dict(zip(FELT, cell, strict=True)) for cell in complaint]
    return Case(observed=first, secondary=rest[0] if rest else {}, tried=tried)


def _evidence(mind: Mind, complaint: Complaint) -> Evidence:
    return steps.begin(mind, _case(complaint)).gathered.evidence


# --- ours ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Variant:
    """Ours, whole or with something taken away. `under` is what its reasoning runs under."""

    name: str
    mind: Mind
    most: int = ENDLESS
    looks: bool = True  # looks at first what is worth looking at on the stand
    bundles: bool = False  # several changes before one run
    under: Callable[[], AbstractContextManager[None]] = nullcontext


Memo = dict[object, Step | None]
T = TypeVar("T")


@dataclass
class Ours:
    """The interview as it is: stops, questions as long as they pay, the first change that is open, and again.

    `memo` keeps decisions: the same evidence leads to the same step, whatever the case.
    """

    variant: Variant
    memo: Memo = field(default_factory=dict)
    shared: Kept = field(default_factory=lambda: Kept(300))
    state: steps.State | None = None

    @property
    def now(self) -> steps.State:
        assert self.state is not None
        return self.state

    @property
    def evidence(self) -> Evidence:
        return self.now.gathered.evidence

    def start(self, complaint: Complaint) -> None:
        before = self.state
        case = _case(complaint, before.gathered.evidence.tried if before else ())
        self.state = steps.begin(self.variant.mind, case)
        if before is not None:
            self._know(replace(self.evidence, cleared=before.gathered.evidence.cleared))

    def next(self) -> Step | None:
        known = self.evidence
        key = (
            type(self), self.variant.name, known.second, frozenset(known.answers.items()),
            known.tried, known.cleared, self.now.skipped, self.now.asked,
        )  # fmt: skip
        if key not in self.memo:
            with self.variant.under():
                self.memo[key] = self._decide()
        return self.memo[key]

    def _decide(self) -> Step | None:
        mind, state = self.variant.mind, self.now
        done = self._shared("reasoned", lambda: reason(mind, state.case, state.gathered))
        if (stop := find_stop(mind, done)) is not None:
            return Inspect(stop)
        if state.asked < self.variant.most and (question := self._question(done)) is not None:
            return Ask(question)
        return self._change(done)

    def _shared(self, what: str, make: Callable[[], T]) -> T:
        """What every variant with the same book and beliefs finds alike."""
        known = self.evidence
        key = (
            what, id(self.variant.mind), self.variant.under, known.second, frozenset(known.answers.items()),
            known.tried, known.cleared, self.now.skipped,
        )  # fmt: skip
        found: T = self.shared.get_or(key, make)
        return found

    def _question(self, done: Reasoning) -> Question | None:
        return self._shared("asked", lambda: ask(self.variant.mind, done, self.now.skipped))

    def _change(self, done: Reasoning) -> Step | None:
        mind = self.variant.mind
        if self.variant.looks and (looked := looks(mind, done)):
            first = looked[0]
            return Turn(first.prospect.lever, first.prospect.way, tuple((p.lever, p.way) for p in first.also))
        if self.variant.bundles:
            chosen = bundle(
                mind.book, self.now.case, done.ranked, done.links, done.moved, done.together.shares
            )
            if turns := [(r.prospect.lever, r.prospect.way) for r in chosen]:
                return Turn(*turns[0], tuple(turns[1:]))
        best = next((r.prospect for r in done.ranked if r.barred is None), None)
        return Turn(best.lever, best.way) if best else None

    def heard(self, question: Question, answer: str | None) -> None:
        self.state = steps.answered(self.variant.mind, self.now, question, answer)

    def judged(self, turn: Turn, verdict: Verdict) -> None:
        tried = (*self.evidence.tried, Tried(turn.lever, turn.way, verdict, turn.beside))
        self._know(replace(self.evidence, tried=tried))

    def sound(self, stop: Stop) -> None:
        self.state = steps.checked(self.variant.mind, self.now, stop)

    def _know(self, evidence: Evidence) -> None:
        state = self.now
        self.state = replace(
            state,
            case=replace(state.case, tried=evidence.tried, cleared=tuple(sorted(evidence.cleared))),
            gathered=replace(state.gathered, evidence=evidence),
        )


@dataclass
class EntropyDriven(Ours):
    """Asks what tells most about the cause, whatever it costs and changes, six before each run; then ranks as ours."""

    telling: Telling = field(kw_only=True)

    def _question(self, done: Reasoning) -> Question | None:
        return self.telling.question(done.evidence, done.belief.probabilities, self.now.skipped)

    def judged(self, turn: Turn, verdict: Verdict) -> None:
        super().judged(turn, verdict)
        self.state = replace(self.now, asked=0)


Rows = npt.NDArray[np.float64]


class Telling:
    """How much each question is expected to tell about the cause, from the answer rows alone."""

    def __init__(self, tables: Tables) -> None:
        self.tables = tables
        self.observations = [o for o in tables.book.observations.values() if o.id not in FELT]
        every = []
        for observation in self.observations:
            usual = tables.usual[observation.id]
            rows = [tables.rows.get(observation.id, {}).get(i, usual) for i in range(len(tables.hypotheses))]
            every += [[row[a] for row in rows] for a in usual]
        sizes = [len(tables.usual[o.id]) for o in self.observations]
        self.starts = np.cumsum([0, *sizes[:-1]])
        self.rows: Rows = np.array(every)
        self.certain = np.where(
            self.rows > 0, self.rows * np.log(np.where(self.rows > 0, self.rows, 1.0)), 0.0
        )

    def question(
        self, evidence: Evidence, probabilities: Sequence[float], skipped: frozenset[str]
    ) -> Question | None:
        """The question of the most mutual information with the cause, if there is enough of it."""
        gains = self.information(np.array(probabilities))
        for place in np.argsort(-gains, kind="stable"):
            observation = self.observations[place]
            if gains[place] <= ENOUGH:
                return None
            if observation.id not in skipped and questions.askable(observation, evidence):
                return questions.as_question(observation, float(gains[place]))
        return None

    def information(self, belief: Rows) -> Rows:
        """Mutual information of the answer to each question and the cause, in nats."""
        said = self.rows @ belief
        each = self.certain @ belief - said * np.log(np.where(said > 0, said, 1.0))
        found: Rows = np.add.reduceat(each, self.starts)
        return found


# --- ours with something taken away ----------------------------------------------------------------


def certain_directions(mind: Mind) -> Mind:
    """The book with every direction as sure as statics: nobody disagrees."""
    levers = {
        ident: replace(lever, gives=tuple(replace(g, geometry=True) for g in lever.gives))
        for ident, lever in mind.book.levers.items()
    }
    return make_ready(replace(mind.book, levers=levers))


# What one believes who takes every verdict at its word, but for one in fifty.
SURE: dict[str, dict[Verdict, float]] = {
    outcome: {v: 0.98 if v == said else 0.01 for v in ("better", "same", "worse")}
    for outcome, said in (("cured", "better"), ("nothing", "same"), ("hurt", "worse"))
}


@contextmanager
def credulous() -> Iterator[None]:
    """Believe that verdicts, answers and feelings are hardly ever mistaken."""
    sure = dict.fromkeys(assumed.MISTAKEN, 0.0)
    with (
        patch.dict(assumed.VERDICT_IF, SURE),
        patch.dict(assumed.MISTAKEN, sure),
        patch.object(assumed, "FEEL_MISTAKEN", 0.001),
    ):
        yield


@contextmanager
def one_at_a_time() -> Iterator[None]:
    """Believe that there is never more than one cause."""

    def alone(belief: Belief) -> Together:
        return Together(belief.probabilities, {}, 0.0)

    with patch.object(pairs, "weigh", alone):
        yield


def variants(mind: Mind) -> tuple[Variant, ...]:
    """Ours, and ours without each of its parts. A part that is added later adds a line here."""
    with credulous():
        trusting = make_ready(mind.book)
    return (
        Variant("ours", mind),
        Variant("without questions", mind, most=0),
        Variant("at most six questions", mind, most=SIX),
        Variant("without looking first", mind, looks=False),
        Variant("fix it now", mind, bundles=True),
        Variant("fix it now, without shared work", make_ready(replace(mind.book, jobs={})), bundles=True),
        Variant("without pairs of causes", mind, under=one_at_a_time),
        Variant("without contested directions", certain_directions(mind)),
        Variant("without the noise model", trusting, under=credulous),
    )


# --- the fixed opponent ----------------------------------------------------------------------------

# The steps of the list after gauge and inspections.
FIXED = (
    ("tyre_pressure", "tyre_pressure_front", "tyre_pressure_rear"),
    ("front_track_width",),
    ("rear_track_width",),
    ("caster", "toe"),
    ("hub_stiffness", "rear_hub_length"),
    ("seat_stays",),
    ("axle_stiffness", "axle_length"),
    ("seat_fore_aft", "seat_height"),
)


class Unheeding:
    """Asks nothing and knows no stops."""

    def heard(self, question: Question, answer: str | None) -> None:
        raise AssertionError("nothing was asked")

    def sound(self, stop: Stop) -> None:
        raise AssertionError("nothing was stopped")


@dataclass
class Fixed(Unheeding):
    """The common advice as a list: look it over, then pressures, widths, caster and toe, hubs, stays, axle, seat.

    As strong as such a list can be made. It looks at everything on the stand first. It leaves out levers that no
    cause which feels like the complaint answers to. It turns each lever the way that the complaint alone makes
    likelier. Of the levers in one step it takes the likeliest, and comes back to the others when the list is
    through; all of them at once would take it about a third of a run more. At last it turns everything the other
    way. It answers "worse" by the opposite way at once. It asks nothing.
    """

    mind: Mind
    turns: list[Turn] = field(default_factory=list)
    tried: set[Turn] = field(default_factory=set)

    def start(self, complaint: Complaint) -> None:
        book, felt = self.mind.book, _levers_for(self.mind, complaint)
        chances = {t: p for t, p in chances_at_first(self.mind, complaint).items() if t.lever in felt}
        self.turns = [t for i, lever in book.levers.items() if inspection(lever) for t in _looks(i, lever)]
        rounds: list[list[Turn]] = [[], [], []]
        for step in FIXED:
            turns = sorted((t for t in chances if t.lever in step), key=lambda t: (-chances[t], t))
            right = list({t.lever: t for t in reversed(turns)}.values())[::-1]  # the likelier way of each
            rounds[0] += right[:1]
            rounds[1] += right[1:]
            rounds[2] += [t for t in turns if t not in right]
        self.turns += [t for turns in rounds for t in turns]

    def next(self) -> Step | None:
        while self.turns:
            turn = self.turns.pop(0)
            if turn not in self.tried:
                self.tried.add(turn)
                return turn
        return None

    def judged(self, turn: Turn, verdict: Verdict) -> None:
        opposite = self.mind.book.levers[turn.lever].ways[turn.way].opposite
        if verdict == "worse" and opposite:
            self.turns.insert(0, Turn(turn.lever, opposite))


def _looks(ident: str, lever: Lever) -> list[Turn]:
    """A whole inspection of a lever; where it has none each of its looks."""
    ways = [way for way, is_ in lever.ways.items() if is_.look]
    return [Turn(ident, way) for way in ([WHOLE] if WHOLE in ways else ways)]


def chances_at_first(mind: Mind, complaint: Complaint) -> dict[Turn, float]:
    """Chance that each way cures, from the complaint alone."""
    evidence = _evidence(mind, complaint)
    table = links(mind.book, evidence)
    found = prospects(table, believe(mind.tables, evidence).probabilities, {})
    return {Turn(p.lever, p.way): p.chance for p in found}


def _levers_for(mind: Mind, complaint: Complaint) -> set[str]:
    """Levers that answer some cause which the book says feels like the complaint."""
    felt = {
        i
        for i, cause in enumerate(mind.book.causes.values())
        if cause.feel and any(phase in getattr(cause.feel, balance) for phase, balance in complaint)
    }
    table = links(mind.book, _evidence(mind, complaint))
    return {lever for lever, row in table.items() if not felt.isdisjoint(row)}


# --- others ----------------------------------------------------------------------------------------


@dataclass
class MostProbable(Unheeding):
    """Asks like the entropy-driven, then always does what is best for the most probable cause."""

    mind: Mind
    telling: Telling
    evidence: Evidence | None = None
    asked: frozenset[str] = frozenset()

    @property
    def known(self) -> Evidence:
        assert self.evidence is not None
        return self.evidence

    def start(self, complaint: Complaint) -> None:
        tried = self.evidence.tried if self.evidence else ()
        self.evidence, self.asked = replace(_evidence(self.mind, complaint), tried=tried), frozenset()

    def next(self) -> Step | None:
        table = links(self.mind.book, self.known)
        learnt = learn(table, self.known.tried, len(self.mind.tables.hypotheses))
        p = believe(self.mind.tables, self.known, learnt.terms).probabilities
        if len(self.asked) < SIX:
            question = self.telling.question(self.known, p, self.asked)
            if question is not None:
                return Ask(question)
        for i in sorted(range(len(p) - 1), key=lambda i: -p[i]):
            if (turn := self._best_for(i, table)) is not None:
                return turn
        return None

    def _best_for(self, i: int, table: Links) -> Turn | None:
        moved = learn(table, self.known.tried, len(self.mind.tables.hypotheses)).moved
        done = {(t.lever, t.direction) for t in self.known.tried}
        worth: dict[Turn, float] = {}
        for lever, row in table.items():
            link = row.get(i)
            if link is None:
                continue
            for way, rate in rates(link, moved.get(lever, {}).get(i)):
                if way is not None and (lever, way) not in done:
                    worth[Turn(lever, way)] = rate / _price(self.mind, lever, way)
        return max(worth, key=lambda t: (worth[t], t), default=None)

    def heard(self, question: Question, answer: str | None) -> None:
        self.asked |= {question.id}
        if answer is not None:
            self.evidence = self.known.answering(question.id, answer)

    def judged(self, turn: Turn, verdict: Verdict) -> None:
        tried = (*self.known.tried, Tried(turn.lever, turn.way, verdict))
        self.evidence = replace(self.known, tried=tried)


def _price(mind: Mind, lever: str, way: str) -> float:
    return max(1.0, effort(mind.book, (lever, way))[1])


@dataclass
class Chance(Unheeding):
    """Turns anything, at random, but nothing twice."""

    mind: Mind
    case: int
    order: list[Turn] | None = None

    def start(self, complaint: Complaint) -> None:
        if self.order is None:
            levers = self.mind.book.levers
            self.order = [Turn(i, way) for i in sorted(levers) for way in sorted(levers[i].ways)]
            stream(self.case, "random").shuffle(self.order)

    def next(self) -> Step | None:
        return self.order.pop() if self.order else None

    def heard(self, question: Question, answer: str | None) -> None:
        raise AssertionError("it asks nothing")

    def judged(self, turn: Turn, verdict: Verdict) -> None:
        pass


@dataclass
class Oracle(Unheeding):
    """Knows every fault and what each lever would do about it, but neither the luck of a cure nor of a verdict.

    It does what has the best chance over its minutes, and may do it again when it was misjudged. No policy that
    has to find the fault can be expected to do better.
    """

    mind: Mind
    kart: Kart
    left: list[Fault] = field(default_factory=list)
    rates: dict[tuple[str, str], float] = field(default_factory=dict)  # fault, lever -> chance that it acts
    last: Turn | None = None

    def start(self, complaint: Complaint) -> None:
        if (last := self.last) is not None:  # one of two faults is gone, by what was done last
            self.left = [f for f in self.left if self.kart.outcome(last.lever, last.way, f) != "cured"]
            return
        self.left = list(self.kart.faults)
        self.rates = {(f.name, lever): act.rate for f in self.left for lever, act in f.acts.items()}

    def next(self) -> Step | None:
        worth: dict[Turn, float] = {}
        for fault in self.left:
            for lever, act in fault.acts.items():
                turn = Turn(lever, act.way)
                gain = self.rates[fault.name, lever] / _price(self.mind, lever, act.way)
                worth[turn] = worth.get(turn, 0.0) + gain
        best = max(worth, key=lambda t: (worth[t], t), default=None)
        self.last = best if best and worth[best] > 1e-9 else None
        return self.last

    def judged(self, turn: Turn, verdict: Verdict) -> None:
        for fault in self.left:
            act = fault.acts.get(turn.lever)
            if act and act.way == turn.way:
                key = fault.name, turn.lever
                self.rates[key] = self._after(self.rates[key], act, turn, verdict)

    def _after(self, rate: float, act: Act, turn: Turn, verdict: Verdict) -> float:
        """Chance that the lever acts after a verdict of a cure that was not kept."""
        if look(self.mind.book, turn.lever, turn.way):
            return 0.0
        cured, nothing = (VERDICT_IF[o][verdict] for o in ("cured", "nothing"))
        return rate * cured / (rate * cured + (1 - rate) * nothing)


@dataclass
class Paddock:
    """Makes all who search for the fault of one kart: ours first, its fixed opponent second."""

    mind: Mind
    memo: Memo = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.shared, self.quick = Kept(300), Quick()
        self.telling = Telling(self.mind.tables)
        self.whole, *self.less = variants(self.mind)
        self.now = next(v for v in self.less if v.name == "fix it now")
        self.less.remove(self.now)

    def everyone(self, kart: Kart) -> dict[str, Policy]:
        return {
            "ours": Ours(self.whole, self.memo, self.shared),
            "ours, fix it now": Ours(self.now, self.memo, self.shared),
            "fixed opponent": Fixed(self.mind),
            "most probable first": MostProbable(self.mind, self.telling),
            "entropy-driven": EntropyDriven(
                replace(self.whole, name="entropy-driven", most=SIX),
                self.memo,
                self.shared,
                telling=self.telling,
            ),
            "random": Chance(self.mind, kart.case),
            "oracle": Oracle(self.mind, kart),
        }

    def without(self) -> dict[str, Policy]:
        """Ours without one part each."""
        return {variant.name: Ours(variant, self.memo, self.shared) for variant in self.less}
