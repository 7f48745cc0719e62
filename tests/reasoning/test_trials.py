"""Trials: what a change that was tried says of causes and of the direction of its lever."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.inference.belief import believe
from advisor.inference.cures import Link, Links, agreement, links
from advisor.inference.evidence import Evidence
from advisor.inference.trials import Prospect, learn, prospects, together
from advisor.model.assumed import VERDICT_IF
from advisor.model.case import VERDICTS, Case, Tried, Verdict
from advisor.reasoning.weighing import Mind, Reasoning, reason
from tests.reasoning.minds import patiently, shipped, small, some_evidence
from tests.reasoning.networks import blank

LOOSE = Case(observed={"phase": "mid", "balance": "oversteer"})


def test_ten_sources_to_seven_start_at_eleven_nineteenths() -> None:
    assert agreement(10, 7) == 11 / 19  # mean of a Beta(11, 8)
    assert agreement(0, 0) == 1 / 2


def test_links_of_the_small_book_are_as_worked_out_by_hand() -> None:
    tables = small().tables
    table = links(small().book, blank())

    wanted = {
        # 3 to 2 sources: 4/7; supplies .66, cures .66, .33 and .10
        ("rear_track_width", "light_rear"): ("narrower", 4 / 7, 0.66 * 0.66),
        ("rear_track_width", "light_front"): ("wider", 4 / 7, 0.66 * 0.33),
        ("rear_track_width", "cold_rubber"): ("narrower", 4 / 7, 0.66 * 0.10),
        # the remedy says how often it cures (.66), the claim of three sources which way it acts (4/5)
        ("seat_fore_aft", "light_rear"): ("back", 4 / 5, 0.66),
        # of two needs the more useful one: 2 to 1 sources for the front (3/5 * .4356) beats 4/5 * .2178
        ("seat_fore_aft", "light_front"): ("forward", 3 / 5, 0.66 * 0.66),
        ("inspect_steering", "bent_part"): ("check", 1.0, 0.90),
    }
    for (lever, cause), (way, stated, cures) in wanted.items():
        found = table[lever][tables.index(cause)]
        assert found.way == way
        assert (found.stated, found.cures) == pytest.approx((stated, cures), abs=1e-12)
    assert tables.index("bent_part") not in table["rear_track_width"]


# --- brute force over causes and directions -----------------------------------------------------------


def _turns(mind: Mind) -> list[tuple[str, str]]:
    return [(lever.id, way) for lever in mind.book.levers.values() for way in lever.ways]


def _some_trials(mind: Callable[[], Mind]) -> st.SearchStrategy[list[Tried]]:
    turns = st.deferred(lambda: st.sampled_from(_turns(mind())))
    one = st.builds(lambda turn, verdict: Tried(turn[0], turn[1], verdict), turns, st.sampled_from(VERDICTS))
    return st.lists(one, min_size=1, max_size=6)


STATES = ("as stated", "opposite", "nothing")  # what a lever does about a cause, drawn once


def _effect_of(link: Link | None, way: str, state: str) -> str:
    """What turning a lever one way does when the cause and what the lever does about it are given."""
    if link is None or state == "nothing" or way not in (link.way, link.opposite):
        return "nothing"
    if way == (link.way if state == "as stated" else link.opposite):
        return "cured"
    return "hurt" if link.opposite else "nothing"


def _jointly(
    priors: tuple[float, ...], table: Links, tried: list[Tried]
) -> tuple[list[float], dict[tuple[str, int, str], float]]:
    """Posterior of the causes, and P(state of a lever | cause), by adding up every joint state."""
    levers = sorted({k for t in tried for k in (t.lever, *(b for b, _ in t.beside))})
    of_cause = [0.0] * len(priors)
    shares: dict[tuple[str, int, str], float] = {}
    for i, prior in enumerate(priors):
        for states in product(STATES, repeat=len(levers)):
            weight, of = prior, dict(zip(levers, states, strict=True))
            for lever in levers:
                link = table.get(lever, {}).get(i)
                acts, stated = (link.cures, link.stated) if link else (0.0, 1.0)
                weight *= {
                    "as stated": acts * stated, "opposite": acts * (1 - stated), "nothing": 1 - acts
                }[of[lever]]  # fmt: skip
            for t in tried:
                turns = ((t.lever, t.direction), *t.beside)
                did = [_effect_of(table.get(k, {}).get(i), way, of[k]) for k, way in turns]
                weight *= VERDICT_IF[together(did)][t.verdict]
            of_cause[i] += weight
            for lever in levers:
                key = lever, i, of[lever]
                shares[key] = shares.get(key, 0.0) + weight
    total = sum(of_cause)
    known = {key: w / of_cause[key[1]] for key, w in shares.items() if of_cause[key[1]] > 0}
    return [w / total for w in of_cause], known


@patiently
@given(some_evidence(small), _some_trials(small))
def test_verdicts_weigh_as_every_joint_state_of_cause_and_lever_says(
    evidence: Evidence, tried: list[Tried]
) -> None:
    tables = small().tables
    table = links(small().book, evidence)
    before = believe(tables, evidence)
    causes, states = _jointly(before.probabilities, table, tried)
    after = believe(tables, evidence, learn(table, tried, len(tables.hypotheses)).terms)
    assert after.probabilities == pytest.approx(causes, abs=1e-12)
    moved = learn(table, tried, len(tables.hypotheses)).moved
    for lever, row in moved.items():
        for i, chances in row.items():
            wanted = [states[lever, i, state] for state in STATES[:2]]
            assert chances == pytest.approx(wanted, abs=1e-12)
    assert {(t.lever, i) for t in tried for i in table[t.lever]} == {
        (k, i) for k, r in moved.items() for i in r
    }


@patiently
@given(some_evidence(small), _some_trials(small), st.sampled_from(VERDICTS))
def test_a_bundle_weighs_as_every_joint_state_of_cause_and_levers_says(
    evidence: Evidence, turns: list[Tried], verdict: Verdict
) -> None:
    tables = small().tables
    table = links(small().book, evidence)
    first, *others = {t.lever: t for t in turns}.values()  # each lever once
    bundle = Tried(first.lever, first.direction, verdict, tuple((t.lever, t.direction) for t in others))
    causes, states = _jointly(believe(tables, evidence).probabilities, table, [bundle])
    learnt = learn(table, [bundle], len(tables.hypotheses))
    assert believe(tables, evidence, learnt.terms).probabilities == pytest.approx(causes, abs=1e-12)
    for lever, row in learnt.moved.items():
        for i, chances in row.items():
            assert chances == pytest.approx([states[lever, i, s] for s in STATES[:2]], abs=1e-12)


def test_a_cure_and_a_harm_at_once_hide_each_other() -> None:
    assert together(["cured", "nothing"]) == "cured"
    assert together(["hurt", "nothing", "hurt"]) == "hurt"
    assert together(["cured", "hurt"]) == together(["nothing"]) == "nothing"


@pytest.mark.parametrize("kind", VERDICT_IF)
def test_the_verdicts_of_each_outcome_add_up_to_1(kind: str) -> None:
    assert sum(VERDICT_IF[kind].values()) == pytest.approx(1, abs=1e-12)


# --- what a verdict does --------------------------------------------------------------------------------


def _after(mind: Mind, case: Case, *tried: Tried) -> Reasoning:
    return reason(mind, replace(case, tried=tried))


def _way(done: Reasoning, mind: Mind, lever: str, way: str) -> Prospect:
    """The prospect of one way of a lever, whether or not the ranking names it."""
    found = prospects(done.links, done.belief.probabilities, done.moved)
    return next(p for p in found if (p.lever, p.way) == (lever, way))


def test_a_change_without_effect_lowers_its_cause_and_not_only_its_rank() -> None:
    i = small().tables.index("light_rear")
    before = reason(small(), LOOSE)
    after = _after(small(), LOOSE, Tried("seat_fore_aft", "back", "same"))
    assert after.belief.probabilities[i] < before.belief.probabilities[i]
    untouched = small().tables.index("bent_part")
    assert after.belief.probabilities[untouched] > before.belief.probabilities[untouched]


def test_a_change_that_helped_raises_its_cause_and_the_trust_in_its_direction() -> None:
    i = small().tables.index("light_rear")
    before = reason(small(), LOOSE)
    after = _after(small(), LOOSE, Tried("rear_track_width", "narrower", "better"))
    assert after.belief.probabilities[i] > before.belief.probabilities[i]
    link = before.links["rear_track_width"][i]
    stated, opposite = after.moved["rear_track_width"][i]
    assert stated > link.stated * link.cures
    assert stated / (stated + opposite) > link.stated


@pytest.mark.parametrize("mind", [small, shipped], ids=["small book", "shipped book"])
def test_worse_on_a_contested_lever_speaks_for_the_other_way(mind: Callable[[], Mind]) -> None:
    ready = mind()
    before = reason(ready, LOOSE)
    after = _after(ready, LOOSE, Tried("rear_track_width", "narrower", "worse"))
    wider = [_way(r, ready, "rear_track_width", "wider") for r in (before, after)]
    narrower = [_way(r, ready, "rear_track_width", "narrower") for r in (before, after)]
    assert wider[1].chance > wider[0].chance
    assert narrower[1].confidence < narrower[0].confidence
    assert narrower[1].chance < narrower[0].chance


def test_twice_worse_turns_the_advice_of_a_contested_lever_round() -> None:
    case = Case(complaint="always loose in the rear, mid corner")
    done = _after(shipped(), case, *[Tried("rear_track_width", "narrower", "worse")] * 2)
    (entry,) = (r for r in done.ranked if r.prospect.lever == "rear_track_width")
    assert entry.prospect.way == "wider"
    assert entry.barred is None


COMPLAINTS = [
    Case(observed={"phase": "entry", "balance": "understeer"}),
    Case(observed={"phase": "exit", "balance": "oversteer"}),
    Case(observed={"phase": "mid", "balance": "hop"}),
    Case(observed={"phase": "mid", "balance": "bind"}),
    Case(observed={"balance": "slide", "track": "wet"}),
]


@pytest.mark.parametrize("case", COMPLAINTS)
def test_the_first_advice_of_the_shipped_book_loses_its_cause_when_it_does_nothing(case: Case) -> None:
    before = reason(shipped(), case)
    first = next(r for r in before.ranked if r.barred is None).prospect
    after = _after(shipped(), case, Tried(first.lever, first.way, "same"))
    assert after.belief.probabilities[first.best] < before.belief.probabilities[first.best]
    assert _way(after, shipped(), first.lever, first.way).chance < first.chance


@settings(patiently, max_examples=25)
@given(some_evidence(shipped), _some_trials(shipped))
def test_trials_keep_probabilities_between_0_and_1_and_adding_up_to_1(
    evidence: Evidence, tried: list[Tried]
) -> None:
    tables = shipped().tables
    table = links(shipped().book, evidence)
    belief = believe(tables, evidence, learn(table, tried, len(tables.hypotheses)).terms)
    assert all(0 <= p <= 1 for p in belief.probabilities)
    assert sum(belief.probabilities) == pytest.approx(1, abs=1e-9)
    moved = learn(table, tried, len(tables.hypotheses)).moved
    assert all(min(pair) >= 0 and sum(pair) <= 1 + 1e-12 for row in moved.values() for pair in row.values())
    for prospect in prospects(table, belief.probabilities, moved):
        assert 0 <= prospect.chance <= 1
        assert 0 <= prospect.confidence <= 1 + 1e-12


@patiently
@given(some_evidence(small), _some_trials(small))
def test_the_order_of_trials_does_not_matter(evidence: Evidence, tried: list[Tried]) -> None:
    tables = small().tables
    table = links(small().book, evidence)
    size = len(tables.hypotheses)
    forth = believe(tables, evidence, learn(table, tried, size).terms).probabilities
    back = believe(tables, evidence, learn(table, tried[::-1], size).terms).probabilities
    assert forth == pytest.approx(back, abs=1e-12)
