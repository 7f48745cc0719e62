"""Fix it now: what several changes are worth together, and which go together."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product
from math import prod

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.inference.cures import Link
from advisor.inference.evidence import gather
from advisor.inference.trials import prospects
from advisor.interview import steps
from advisor.model.assumed import AT_ONCE, AT_ONCE_MINUTES
from advisor.model.case import Case
from advisor.planning.bundles import bundle, cures
from advisor.planning.ranking import rank
from tests.reasoning.minds import patiently, shipped

CHANCE = st.floats(0, 0.5)
ACTS = st.lists(st.dictionaries(st.integers(0, 3), st.tuples(CHANCE, CHANCE), max_size=4), max_size=3)
SHARES = [0.4, 0.3, 0.2, 0.1]
COMPLAINTS = [
    "it pushes mid corner",
    "loose in the rear on the way out",
    "it hops in the fast ones",
    "no grip, it rains",
]


def _counted(acts: list[dict[int, tuple[float, float]]]) -> float:
    """The same by going through everything that each change may do, independent of this room's formula."""
    found = 0.0
    for i, share in enumerate(SHARES):
        mine = [change.get(i, (0.0, 0.0)) for change in acts]
        for did in product(("cures", "harms", "nothing"), repeat=len(mine)):
            if "cures" in did and "harms" not in did:
                each: list[Mapping[str, float]] = [
                    {"cures": c, "harms": h, "nothing": 1 - c - h} for c, h in mine
                ]
                found += share * prod(p[d] for p, d in zip(each, did, strict=True))
    return found


@patiently
@given(ACTS)
def test_a_bundle_cures_where_something_cures_and_nothing_harms(
    acts: list[dict[int, tuple[float, float]]],
) -> None:
    assert cures(acts, SHARES) == pytest.approx(_counted(acts), abs=1e-12)


def test_what_the_others_cure_already_adds_little_and_what_may_harm_takes_away() -> None:
    first = {0: (0.8, 0.0)}
    assert cures([first, first], SHARES) == pytest.approx(0.4 * 0.96)  # not .64
    assert cures([first, {0: (0.3, 0.5)}], SHARES) < cures([first], SHARES)


@pytest.mark.parametrize("complaint", COMPLAINTS)
@pytest.mark.parametrize("minutes", [None, 12.0])
def test_a_bundle_is_small_short_and_turns_nothing_twice(complaint: str, minutes: float | None) -> None:
    mind = shipped()
    changes = steps.at_once(mind, steps.begin(mind, Case(complaint=complaint, minutes=minutes)))
    whole = [next((w.id for w in mind.book.levers.values() if c.lever in w.parts), c.lever) for c in changes]
    jobs = {mind.book.levers[c.lever].job for c in changes} - {None}
    shared = sum(mind.book.jobs[j].minutes for j in jobs if j in mind.book.jobs) * (len(changes) - 1)
    assert len(whole) == len(set(whole)) <= AT_ONCE
    assert sum(c.minutes for c in changes) - shared <= min(AT_ONCE_MINUTES, minutes or AT_ONCE_MINUTES)


def test_the_second_change_answers_what_the_first_does_not() -> None:
    """Of two that cure the likelier cause and one that cures the other, one of each, however likely the third alone."""
    book, case = shipped().book, Case(observed={"balance": "oversteer"})
    evidence = gather(case, book, shipped().lexicon).evidence
    ways = {"rear_track_width": ("wider", 0), "caster": ("less", 0), "front_track_width": ("narrower", 1)}
    links = {
        lever: {i: Link(lever, way, book.levers[lever].ways[way].opposite, 1.0, 0.8)}
        for lever, (way, i) in ways.items()
    }
    shares = [0.5, 0.4]
    ranked = rank(book, case, evidence, prospects(links, shares, {}), {})
    chosen = bundle(book, case, ranked, links, {}, shares)
    assert len(chosen) == 2
    assert "front_track_width" in {r.prospect.lever for r in chosen}
