"""What trials say: of the causes, and of what each lever that was turned does about each cause.

What a lever does about a cause is drawn once: it cures by the way stated, by the opposite way, or it does
nothing. So a change that was made in vain is less likely to cure when it is made again. Several changes
made before one run are one trial: its verdict is shared out over all that they may have done together.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from advisor.inference.cures import Link, Links
from advisor.model import assumed
from advisor.model.case import Laps, Tried, Verdict

SEEN: Mapping[str, int] = {"cured": 0, "nothing": 1, "hurt": 2}  # places of Laps
RIGHT: Mapping[str, Verdict] = {"cured": "better", "nothing": "same", "hurt": "worse"}

Erring = Callable[[str], float]  # how many times the trade's odds of a wrong word, by driver

Acting = tuple[float, float, float]  # chances that it cures by its way, by the opposite, does nothing
Moved = Mapping[str, Mapping[int, tuple[float, float]]]  # lever -> hypothesis -> chances that each way cures


@dataclass(frozen=True, slots=True)
class Learnt:
    """`terms`: ledger lines, log P(verdicts | cause) / P(verdicts | a cause it does not touch); `moved`: see Moved."""

    terms: Mapping[str, list[float]]
    moved: Moved


def as_the_trade(_: str) -> float:
    """Drivers who err as often as the trade has it."""
    return 1.0


def verdict_if(effect: str, verdict: Verdict, laps: Laps | None, odds: float = 1.0) -> float:
    """P(what the driver and the stopwatch said | what the change really did), up to a factor of the laps."""
    told = said_if(effect, verdict, odds)
    return told if laps is None else told * laps_if(effect, laps)


def said_if(effect: str, verdict: Verdict, odds: float = 1.0) -> float:
    """P(what the driver said | what the change really did); `odds`: of a wrong word, times those of the trade.

    Which wrong word it is stays as the trade has it.
    """
    row = assumed.VERDICT_IF[effect]
    if odds == 1.0:
        return row[verdict]
    right = row[RIGHT[effect]]
    wrong = (1 - right) * odds / (right + (1 - right) * odds)
    return 1 - wrong if verdict == RIGHT[effect] else row[verdict] / (1 - right) * wrong


def laps_if(effect: str, laps: Laps) -> float:
    """P(what the stopwatch said | what the change really did), up to a factor."""
    return 1 - assumed.LAPS_TELL + assumed.LAPS_TELL * 3 * laps[SEEN[effect]]


def at_first(link: Link) -> Acting:
    """What a lever does about a cause before any trial."""
    return link.stated * link.cures, (1 - link.stated) * link.cures, 1 - link.cures


def learn(table: Links, tried: Iterable[Tried], size: int, erring: Erring = as_the_trade) -> Learnt:
    """Weigh the trials one after the other; `erring` says how far the word of each driver is to be believed.

    Exact, whatever the order, for single changes; after a bundle what its levers do is kept lever by
    lever, so that a second trial of one of them is weighed as if the others had been apart.
    """
    terms: dict[str, list[float]] = {}
    states: dict[str, dict[int, Acting]] = {}
    for trial in tried:
        turns = ((trial.lever, trial.direction), *trial.beside)
        line = terms.setdefault(
            f"tried {' and '.join(dict.fromkeys(lever for lever, _ in turns))}", [0.0] * size
        )
        for lever, _ in turns:
            states.setdefault(lever, {i: at_first(link) for i, link in table.get(lever, {}).items()})
        touched = {i for lever, _ in turns for i in states[lever]}
        odds = erring(trial.driver)
        for i in touched:
            mine = _each_once([(lever, way, table[lever][i]) for lever, way in turns if i in states[lever]])
            before = [states[lever][i] for lever, _, _ in mine]
            did = [_effects(link, way) for _, way, link in mine]
            said = {e: verdict_if(e, trial.verdict, trial.laps, odds) for e in assumed.VERDICT_IF}
            weight, after = _weigh(before, did, said)
            line[i] += math.log(weight / said["nothing"])
            for (lever, _, _), state in zip(mine, after, strict=True):
                states[lever][i] = state
    moved = {lever: {i: state[:2] for i, state in row.items()} for lever, row in states.items()}
    return Learnt(terms, moved)


def _each_once(turns: list[tuple[str, str, Link]]) -> list[tuple[str, str, Link]]:
    """Each lever once: of several looks of one inspection, the one that answers this cause."""
    chosen: dict[str, tuple[str, str, Link]] = {}
    for lever, way, link in turns:
        if lever not in chosen or link.acts(way):
            chosen[lever] = (lever, way, link)
    return list(chosen.values())


def _effects(link: Link, way: str) -> tuple[str, str, str]:
    """What turning the lever that way does, in each state it may be in."""
    if link.acts(way):
        return "cured", "hurt" if link.opposite else "nothing", "nothing"
    if way == link.opposite:
        return "hurt", "cured", "nothing"
    return "nothing", "nothing", "nothing"


def _weigh(
    before: Sequence[Acting], did: Sequence[tuple[str, str, str]], said: Mapping[str, float]
) -> tuple[float, list[Acting]]:
    """P(what was said), and the chances of each lever's states after it, over all they may have done together.

    `said`: P(what was said | what the changes did together).
    """
    total = 0.0
    after = [[0.0, 0.0, 0.0] for _ in before]
    for states in product(range(3), repeat=len(before)):
        weight = math.prod(b[s] for b, s in zip(before, states, strict=True))
        if weight <= 0:
            continue
        weight *= said[together([d[s] for d, s in zip(did, states, strict=True)])]
        total += weight
        for row, s in zip(after, states, strict=True):
            row[s] += weight
    return total, [(a / total, b / total, c / total) for a, b, c in after]


def together(effects: Sequence[str]) -> str:
    """What several changes do at once: a cure and a harm hide each other."""
    kinds = set(effects) - {"nothing"}
    return kinds.pop() if len(kinds) == 1 else "nothing"


def rates(link: Link, moved: tuple[float, float] | None) -> tuple[tuple[str | None, float], ...]:
    """The ways of a link with the chance that each cures, given its cause."""
    stated, opposite = moved or at_first(link)[:2]
    return (link.way, stated), (link.opposite, opposite)


@dataclass(frozen=True, slots=True)
class Prospect:
    """What one way of one lever is worth now: `chance` that it cures, `confidence` that it acts as stated.

    `best` is the hypothesis that carries most of it.
    """

    lever: str
    way: str
    chance: float
    confidence: float
    best: int


def prospects(table: Links, p: Sequence[float], moved: Moved) -> list[Prospect]:
    """Every way of every lever that may cure something, under the probabilities `p` of the hypotheses."""
    found = []
    for lever, row in table.items():
        sums: dict[str, list[float]] = {}
        carriers: dict[str, tuple[bool, float, int]] = {}
        for i, link in row.items():
            each = rates(link, moved.get(lever, {}).get(i))
            either = sum(rate for _, rate in each)
            for way, rate in each:
                if way is None:
                    continue
                row_sums = sums.setdefault(way, [0.0, 0.0])
                row_sums[0] += p[i] * rate
                row_sums[1] += p[i] * either
                # a way is explained by a cause that it helps as the sources have it, if there is one
                carriers[way] = max(carriers.get(way, (False, -1.0, -1)), (way == link.way, p[i] * rate, i))
        for way, (chance, total) in sums.items():
            if total > 0:
                found.append(Prospect(lever, way, chance, chance / total, carriers[way][2]))
    return found
