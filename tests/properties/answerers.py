"""Sittings of invented teams whose people answer as often as the trade has it, more rarely, or more often.

A team holds 15 sittings, in each of which twelve questions are put, drawn evenly; whether one gets an answer is drawn
from what is true of the team: by kind of question, and of each question. Two foretell the next answer: a stranger, who
knows the trade, and the one who learns (`learning/answering`); what the sitting itself shows comes on top of either.
Scored is the mean logarithm of the chance given to what came, by sitting.

Then the sixteenth: a trouble drawn from the book, the complaint told, and questions as the program chooses them, until
`SECONDS` are spent; unanswered ones cost theirs too. Scored is the true cause: the logarithm of its chance.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache

import numpy as np

from advisor.learning import answering
from advisor.model import assumed
from advisor.model.case import Asked, Case
from advisor.model.feel import AXES, CELLS, FEEL
from advisor.reasoning.advise import ask
from advisor.reasoning.weighing import reason
from tests.paddock.worlds import answer_row
from tests.properties import months
from tests.properties.teams import Floats
from tests.reasoning.minds import shipped

SITTINGS, PUT = 15, 12
SECONDS = 180.0
EFFORTS = ("remember", "look", "measure")
WHO = "both"


@dataclass(frozen=True, slots=True)
class Kind:
    """Log odds beside the trade's by what a question takes, s.d. of the team's and of each question's."""

    name: str
    log_odds: Mapping[str, float] = field(default_factory=dict)
    team: float = 0.0
    each: float = 0.0


KINDS = (
    Kind("like the trade"),
    Kind("as teams differ", team=0.6, each=0.6),
    Kind("who answer less", dict.fromkeys(EFFORTS, -1.5)),
    Kind("who cannot look or measure", {"look": -2.5, "measure": -2.5}),
    Kind("who answer more", dict.fromkeys(EFFORTS, 1.0)),
)


@cache
def able() -> tuple[str, ...]:
    """The questions that are put."""
    return tuple(sorted(o.id for o in shipped().book.observations.values() if o.asked and o.id not in AXES))


@cache
def usual() -> Floats:
    """How often each is answered, by the trade."""
    known = shipped().book.observations
    return np.array([assumed.ANSWERED[WHO][known[q].effort] for q in able()])


def _moved(chances: Floats, log_odds: Floats) -> Floats:
    return np.asarray(1 / (1 + (1 - chances) / chances * np.exp(-log_odds)))


@dataclass
class Team:
    """What is true of one team, and what it was asked so far."""

    kind: Kind
    rng: np.random.Generator
    rates: Floats = field(init=False)
    sittings: list[list[tuple[int, bool]]] = field(default_factory=list)

    def __post_init__(self) -> None:
        efforts = [shipped().book.observations[q].effort for q in able()]
        own = {
            e: self.kind.log_odds.get(e, 0.0) + self.kind.team * self.rng.standard_normal() for e in EFFORTS
        }
        each = self.kind.each * self.rng.standard_normal(len(efforts))
        self.rates = _moved(usual(), np.array([own[e] for e in efforts]) + each)

    def play(self) -> Team:
        for _ in range(SITTINGS):
            chosen = self.rng.choice(len(able()), PUT, replace=False)
            self.sittings.append([(int(q), bool(self.rng.random() < self.rates[q])) for q in chosen])
        return self

    def asked(self, until: int) -> tuple[Asked, ...]:
        """What the journal tells after so many sittings."""
        counts: dict[int, list[int]] = {}
        for sitting in self.sittings[:until]:
            for q, answered in sitting:
                row = counts.setdefault(q, [0, 0])
                row[0] += 1
                row[1] += answered
        return tuple(Asked(able()[q], WHO, *row) for q, row in sorted(counts.items()))


def teams(kind: Kind, many: int, seed: int) -> list[Team]:
    """So many teams of a kind, with their sittings."""
    return [Team(kind, np.random.default_rng([seed, n])).play() for n in range(many)]


def scored(team: Team, learns: bool) -> Floats:
    """By sitting, the mean log chance of whether each question was answered."""
    found = []
    for n, sitting in enumerate(team.sittings):
        rates = usual()
        if learns:
            known = answering.learn(shipped().book, team.asked(n), WHO)
            rates = np.array(
                [known[q].here if q in known else u for q, u in zip(able(), usual(), strict=True)]
            )
        found.append(np.mean([np.log(rates[q] if came else 1 - rates[q]) for q, came in sitting]))
    return np.array(found)


def interviewed(team: Team, seed: int, learns: bool) -> tuple[float, int, int]:
    """The log chance of the true cause after the sixteenth sitting, the questions put, and those answered."""
    mind, rng = shipped(), np.random.default_rng([seed, 16])
    tables = mind.tables
    prior = np.array(tables.prior[:-1])
    truth = int(rng.choice(len(prior), p=prior / prior.sum()))
    cells = tables.rows[FEEL].get(truth, tables.usual[FEEL])
    weights = np.array(list(cells.values()))
    phase, balance = CELLS[list(cells)[rng.choice(len(cells), p=weights / weights.sum())]]
    chances = rng.random((len(able()), 2))  # whether each question is answered, and what: the same for both
    case = Case(observed={"phase": phase, "balance": balance}, who=WHO)
    case = replace(case, asked=team.asked(SITTINGS) if learns else ())
    skipped: frozenset[str] = frozenset()
    seconds, told = 0.0, 0
    while True:
        done = reason(mind, replace(case, unanswered=tuple(skipped)))
        spent = ask(mind, done, skipped)
        if spent is None or seconds >= SECONDS:
            return float(np.log(done.belief.probabilities[truth])), len(skipped), told
        seconds += assumed.READING + spent.seconds
        skipped |= {spent.id}
        place = able().index(spent.id)
        if chances[place, 0] < team.rates[place]:
            told += 1
            case = replace(
                case, observed={**case.observed, spent.id: _drawn(truth, spent.id, chances[place, 1])}
            )


def _drawn(truth: int, question: str, chance: float) -> str:
    row = answer_row(shipped().tables, question, truth)
    ends = np.cumsum(list(row.values()))
    return list(row)[min(len(row) - 1, int(np.searchsorted(ends, chance * ends[-1])))]


def report(kind: Kind, many: int, seed: int, interviews: int) -> list[str]:
    """What learning how often people answer is worth, by sitting, and what the sixteenth sitting finds."""
    found = teams(kind, many, seed)
    alone = np.array([scored(t, False) for t in found])
    gain = np.array([scored(t, True) for t in found]) - alone
    each = " ".join(f"{gain[:, k : k + 3].mean():+.3f}" for k in range(0, SITTINGS, 3))
    low, high = months.interval(gain[:, -3:].mean(axis=1))
    lines = [
        f"{kind.name}: {many} teams, {SITTINGS} sittings of {PUT} questions",
        f"  answered or not: stranger {alone.mean():.3f}; gained by three sittings {each}; "
        f"the last three {gain[:, -3:].mean():+.3f} ({low:+.3f} to {high:+.3f})",
    ]
    if interviews:
        both = [
            [interviewed(t, seed + n, side) for side in (False, True)]
            for n, t in enumerate(found[:interviews])
        ]
        one, other = np.array(both, dtype=np.float64).transpose(1, 0, 2)
        low, high = months.interval(other[:, 0] - one[:, 0])
        lines.append(
            f"  {len(both)} interviews of {SECONDS:g} s, true cause: stranger {one[:, 0].mean():.3f}; gained "
            f"{(other - one)[:, 0].mean():+.3f} ({low:+.3f} to {high:+.3f}); answered of asked "
            f"{one[:, 2].mean():.1f} of {one[:, 1].mean():.1f}, {other[:, 2].mean():.1f} of {other[:, 1].mean():.1f}"
        )
    return lines


STRENGTHS = (3.0, 5.0, 10.0, 20.0, 40.0)


def fit(many: int, seed: int) -> None:
    """Print the log chance of what was answered by both strengths, and the best of each half scored on the other."""
    found = teams(KINDS[1], many, seed)
    grid: Sequence[tuple[float, float]] = [(t, q) for t in STRENGTHS for q in STRENGTHS]
    old = assumed.ANSWERS_TRADE, assumed.ANSWERS_QUESTION
    alone = np.array([scored(t, False).mean() for t in found])
    gains = np.zeros((len(grid), many))
    try:
        for g, (assumed.ANSWERS_TRADE, assumed.ANSWERS_QUESTION) in enumerate(grid):
            gains[g] = [scored(t, True).mean() for t in found] - alone
    finally:
        assumed.ANSWERS_TRADE, assumed.ANSWERS_QUESTION = old
    print(f"answers, {many} teams {KINDS[1].name}; gained over nothing learnt ({alone.mean():.4f}):")
    print(f"{'kind / question':>16}" + "".join(f"{d:>9g}" for d in STRENGTHS))
    for k, t in enumerate(STRENGTHS):
        row = gains[k * len(STRENGTHS) : (k + 1) * len(STRENGTHS)].mean(axis=1)
        print(f"{t:>16g}" + "".join(f"{x:>+9.4f}" for x in row))
    for here, there in ((slice(0, None, 2), slice(1, None, 2)), (slice(1, None, 2), slice(0, None, 2))):
        best = int(gains[:, here].mean(axis=1).argmax())
        print(f"  best of one half {grid[best]}, on the other {gains[best, there].mean():+.4f}", flush=True)
