"""Ask the advisor about a complaint, and count how well the answers fare."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache, reduce
from itertools import chain, combinations
from math import sqrt
from operator import or_

from advisor.book import load
from advisor.model.case import Case
from advisor.model.knowledge import Book
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import Mind, make_ready
from tests.real_complaints.reading import Complaint

Z95 = 1.959964  # two-sided 95 % point of the standard normal distribution
DRIVER = frozenset({"driver"})
NOBODY: frozenset[str] = frozenset()

ANY_WAY = ("check", "practise")
Turn = tuple[str, str]  # lever, way


@dataclass(frozen=True, slots=True)
class Result:
    """What was listed for a complaint, best first, one entry a lever; `chance`: stated for the first entry."""

    complaint: Complaint
    listed: tuple[Turn, ...]
    cause: str
    understood: str
    stopped: bool
    chance: float = 0.0

    def rank(self, without: frozenset[str] = NOBODY) -> int | None:
        """Place, from 1, of the first accepted entry whose lever is not in `without`."""
        for place, turn in enumerate(self.listed, start=1):
            if turn[0] not in without and accepts(self.complaint, turn):
                return place
        return None

    def hit(self, window: int, without: frozenset[str] = NOBODY) -> bool:
        place = self.rank(without)
        return place is not None and place <= window


@cache
def mind() -> Mind:
    """The shipped book, compiled once."""
    return make_ready(load.book(), load.ear())


def accepts(complaint: Complaint, turn: Turn) -> bool:
    """True when the lever is accepted whichever way, or this way of it is; `check` and `practise` stand for any."""
    lever, way = turn
    return not {lever, f"{lever}:{way}", *(f"{lever}:{w}" for w in ANY_WAY)}.isdisjoint(complaint.accept)


def ask(complaint: Complaint, *, fields: bool, by: Mind | None = None) -> Result:
    """The answer to one complaint; `fields` adds what was observed to the words, `by` is another book's mind.

    The next question is not sought: nothing here looks at it, and it would take most of the time.
    """
    case = Case(complaint=complaint.text)
    if fields:
        case = Case(complaint=complaint.text, observed=complaint.observed, secondary=complaint.secondary)
    asked = by or mind()
    answer = advise(asked, case, skipped=frozenset(asked.book.observations))
    return Result(
        complaint,
        tuple((entry.lever, entry.direction) for entry in answer.advice),
        f"{answer.causes[0].id} {answer.causes[0].probability:.2f}" if answer.causes else "-",
        ", ".join(f"{key}={value}" for key, value in answer.understood.items()),
        answer.stop is not None,
        answer.advice[0].chance if answer.advice else 0.0,
    )


def run(told: Sequence[Complaint], *, fields: bool, by: Mind | None = None) -> list[Result]:
    """The answers to all of them."""
    return [ask(complaint, fields=fields, by=by) for complaint in told]


def hits(results: Iterable[Result], window: int, without: frozenset[str] = NOBODY) -> int:
    """How many complaints have an accepted lever among the first `window` entries."""
    return sum(result.hit(window, without) for result in results)


def wrong_way(result: Result, book: Book) -> int | None:
    """Place of the first entry that is the opposite of an accepted way and not accepted itself."""
    for place, (lever, way) in enumerate(result.listed, start=1):
        opposite = book.levers[lever].ways[way].opposite
        if (
            opposite
            and f"{lever}:{opposite}" in result.complaint.accept
            and not accepts(result.complaint, (lever, way))
        ):
            return place
    return None


def wrong_ways(results: Iterable[Result], book: Book, window: int) -> int:
    """How many complaints have such an entry among the first `window`."""
    return sum((wrong_way(result, book) or window + 1) <= window for result in results)


def wrong_first(results: Iterable[Result], book: Book) -> int:
    """How many complaints have such an entry above every accepted one."""
    pairs = ((wrong_way(result, book), result.rank()) for result in results)
    return sum(wrong is not None and (right is None or wrong < right) for wrong, right in pairs)


def directed(complaint: Complaint, book: Book) -> list[tuple[Turn, str]]:
    """The accepted ways whose opposite is not accepted, each with its opposite: where a direction can be wrong."""
    found = []
    for accepted in complaint.accept:
        lever, _, way = accepted.partition(":")
        opposite = book.levers[lever].ways[way].opposite if way else None
        if opposite and not accepts(complaint, (lever, opposite)):
            found.append(((lever, way), opposite))
    return found


def directions(results: Iterable[Result], book: Book) -> tuple[int, int, int]:
    """Of all ways in `directed`: how many are listed as accepted, the other way round, and not at all.

    A lever stands in a list once, so what is listed the other way round stands above what is accepted.
    """
    right = wrong = absent = 0
    for result in results:
        listed = dict(result.listed)
        for (lever, way), opposite in directed(result.complaint, book):
            right += listed.get(lever) == way
            wrong += listed.get(lever) == opposite
            absent += listed.get(lever) not in (way, opposite)
    return right, wrong, absent


def turns(book: Book) -> list[Turn]:
    """Every way of every lever."""
    return [(lever.id, way) for lever in book.levers.values() for way in lever.ways]


def best_constant(
    told: Sequence[Complaint], among: Iterable[Turn], without: frozenset[str] = NOBODY
) -> tuple[int, tuple[Turn, ...]]:
    """The three entries, or fewer, that would suit most complaints, given to all of them alike.

    Every triple is tried. A lever named both ways round would earn nothing for the second, so no
    triple names one twice.
    """
    suits: dict[Turn, int] = {}
    for turn in among:
        if turn[0] not in without:
            suits[turn] = sum(1 << i for i, complaint in enumerate(told) if accepts(complaint, turn))
    useful = [turn for turn, cases in suits.items() if cases]
    best: tuple[int, tuple[Turn, ...]] = (0, ())
    for few in chain.from_iterable(combinations(useful, size) for size in (1, 2, 3)):
        if len({lever for lever, _ in few}) == len(few):
            count = reduce(or_, (suits[turn] for turn in few)).bit_count()
            best = max(best, (count, few), key=lambda found: found[0])
    return best


def wilson(count: int, total: int) -> tuple[float, float]:
    """95 % interval of a share by E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209-212."""
    if not total:
        return 0.0, 1.0
    share, z2 = count / total, Z95 * Z95
    middle = share + z2 / (2 * total)
    half = Z95 * sqrt(share * (1 - share) / total + z2 / (4 * total * total))
    scale = 1 + z2 / total
    return max(0.0, (middle - half) / scale), min(1.0, (middle + half) / scale)
