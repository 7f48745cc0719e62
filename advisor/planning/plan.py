"""The one plan: the changes that the list shows, each worth what it is worth there, as a search for a cure.

What is shown first, what a question is worth, what is looked over and when to stop all come from it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from advisor.inference.cures import Links
from advisor.inference.trials import Moved, rates
from advisor.model import assumed
from advisor.model.knowledge import Book
from advisor.model.levers import Lever
from advisor.planning.ranking import Ranked, Said, runs
from advisor.planning.repair import Action, Repair

Cures = dict[int, float]  # by hypothesis, the chance that a way cures


@dataclass(frozen=True, slots=True)
class _Turned:
    """A lever with what its ways cure, what the words make of them, and whether a run follows a look as well."""

    lever: Lever
    ways: Mapping[str, Cures]
    said: Said
    preparing: bool

    def action(
        self, entry: Ranked, shares: Sequence[float], tried: Sequence[str], pair: int, after: int
    ) -> Action:
        """An entry of the list as the search sees it: `gains` are its worth there, shared out over the causes.

        An inspection takes no run; only what a run judges is judged with errors.
        """
        way = self.lever.ways[entry.prospect.way]
        run = runs(self.lever, entry.prospect.way) * assumed.RUN_MINUTES
        listed = max(1.0, entry.minutes + run)
        fresh = self._gains(entry, ())
        before = sum([shares[i] * g for i, g in fresh.items()])
        # rounded, because the list adds up in another order, and ties must stay ties
        scale = round(entry.worth * listed / before, 12) if before > 0 else 0.0
        gains = tuple([(i, scale * g) for i, g in (self._gains(entry, tried) if tried else fresh).items()])
        if way.look and not self.preparing:
            listed, run = max(1.0, entry.minutes), 0.0
        cures = {i: rate for prospect in entry.visit for i, rate in self.ways[prospect.way].items()}
        hit = 1.0 if way.look or run < assumed.RUN_MINUTES else assumed.VERDICT_IF["cured"]["better"]
        name = self.lever.id, entry.prospect.way
        return Action(listed - run, run, tuple(cures.items()), pair, name, gains, hit, after)

    def _gains(self, entry: Ranked, tried: Sequence[str]) -> Cures:
        """What an entry is worth under each cause; the way back counts a part of what it cures, unless it was tried."""
        gains: Cures = {}
        for prospect in entry.visit:
            heard = self.said.get((prospect.lever, prospect.way), 1.0)
            for i, rate in self.ways[prospect.way].items():
                gains[i] = gains.get(i, 0.0) + heard * rate
            back = self.lever.ways[prospect.way].opposite
            if back and back not in tried:
                for i, rate in self.ways.get(back, {}).items():
                    gains[i] = gains.get(i, 0.0) + heard * assumed.OTHER_WAY * rate
        return gains


def plan_of(
    book: Book,
    ranked: Sequence[Ranked],
    links: Links,
    moved: Moved,
    shares: Sequence[float],
    said: Said,
    preparing: bool = False,
) -> Repair:
    """The changes that are open, in the order of the list; behind each what stands in its place once it failed."""
    actions: list[Action] = []
    for pair, first in enumerate(r for r in ranked if r.barred is None):
        lever = book.levers[first.prospect.lever]
        turned = _Turned(lever, _ways(links, moved, lever.id), said, preparing)
        after, tried = -1, list[str]()
        for entry in _chain(lever, first):
            actions.append(turned.action(entry, shares, tried, pair, after))
            after, tried = len(actions) - 1, [*tried, *(p.way for p in entry.visit)]
    return Repair(tuple(actions), assumed.GIVE_UP, assumed.PATIENCE)


def _chain(lever: Lever, first: Ranked) -> Iterator[Ranked]:
    """An entry and those that follow it, as long as they are advised once the ones before them were made in vain."""
    unseen = 1 - assumed.VERDICT_IF["cured"]["better"]
    tried: dict[str, float] = {}
    for entry in (first, *first.then):
        back = lever.ways[entry.prospect.way].opposite
        chance = entry.prospect.chance
        if back in tried:
            sure = chance / (chance + unseen * tried[back]) if chance > 0 else 0.0
        else:
            sure = entry.prospect.confidence
        if entry is not first and sure < assumed.SURE:
            return
        yield entry
        tried |= {p.way: p.chance for p in entry.visit}


def _ways(links: Links, moved: Moved, lever: str) -> Mapping[str, Cures]:
    ways: dict[str, Cures] = {}
    changed = moved.get(lever, {})
    for i, link in links[lever].items():
        for way, rate in rates(link, changed.get(i)):
            if way is not None and rate > 0:
                ways.setdefault(way, {})[i] = rate
    return ways
