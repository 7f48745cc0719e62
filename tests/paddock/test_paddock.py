"""The virtual paddock on a few fixed cases: it is repeatable and fair, and ours does not lose in it.

How much ours wins is printed by `python -m tests.paddock.report`, with intervals.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from tests.paddock import report
from tests.paddock.play import MOST_RUNS, Day, Result, Turn, look, play
from tests.paddock.policies import Oracle, Paddock, chances_at_first
from tests.paddock.quick import quickly
from tests.paddock.worlds import OURS, WORLDS, Kart, World, kart, shipped

CASES = range(200, 205)  # a case of the whole book takes seconds; the report takes hundreds
SLOW = ("ours", "ours, fix it now", "entropy-driven", "most probable first")  # they reason at every step
OTHERS = ("ours", "fixed opponent", "most probable first", "entropy-driven", "random")


@cache
def paddock() -> Paddock:
    return Paddock(shipped())


@cache
def made(case: int) -> Kart:
    return kart(shipped(), case, OURS)


@cache
def results(name: str) -> list[Result]:
    """What became of every case with one policy."""
    with quickly(paddock().quick):
        return [play(paddock().everyone(made(case))[name], made(case)) for case in CASES]


def mean(name: str, value: Callable[[Result], float]) -> float:
    return sum(map(value, results(name))) / len(CASES)


@pytest.mark.parametrize("world", WORLDS, ids=lambda w: w.name)
def test_a_case_is_the_same_every_time(world: World) -> None:
    first, second = (kart(shipped(), 7, world) for _ in range(2))
    assert first == second
    afresh = Paddock(shipped())
    slow = SLOW[1:] if world == WORLDS[0] else SLOW
    for name, policy in paddock().everyone(first).items():
        if name not in slow:
            with quickly(paddock().quick):
                played = play(policy, first)
            with quickly(afresh.quick):
                assert played == play(afresh.everyone(second)[name], second)


def test_all_policies_hear_the_same_answers_and_verdicts() -> None:
    for place, case in enumerate(CASES):
        heard: dict[str, str] = {}
        for name in (*OTHERS, "oracle"):
            own: dict[str, str] = {}
            for line in results(name)[place].log:
                thing, _, said = line.partition("? " if "? " in line else ": ")
                own.setdefault(thing, said)  # what is tried again may be judged otherwise
            for thing, said in own.items():
                assert heard.setdefault(thing, said) == said, f"case {case}, {name}: {thing}"


@pytest.mark.parametrize("name", OTHERS)
def test_nobody_needs_fewer_runs_than_who_knows_the_fault(name: str) -> None:
    assert mean("oracle", lambda r: r.runs) <= mean(name, lambda r: r.runs)


def test_ours_needs_no_more_minutes_than_the_fixed_opponent() -> None:
    """A handful of cases tells minutes; runs and harm differ by less than so few can tell, see the report."""
    assert mean("ours", lambda r: r.minutes) <= mean("fixed opponent", lambda r: r.minutes)


def test_ours_makes_it_worse_in_few_cases() -> None:
    assert mean("ours", lambda r: r.harm) <= 0.4


def test_who_knows_the_fault_makes_nothing_worse() -> None:
    assert mean("oracle", lambda r: r.harm) == 0


def test_changes_cure_in_our_world_as_often_as_the_book_says() -> None:
    expected, cured = [], []
    for case in range(300):
        hidden = kart(shipped(), case, OURS)
        chances = first_chances(hidden.complaint(hidden.faults))
        turn = max(chances, key=lambda t: (chances[t], t))
        expected.append(chances[turn])
        cured.append(hidden.outcome(turn.lever, turn.way, hidden.faults[0]) == "cured")
    # the share of cures lies within three standard errors of the mean chance, as the book has it
    error = np.sqrt(np.mean([p * (1 - p) for p in expected]) / len(expected))
    assert abs(np.mean(cured) - np.mean(expected)) < 3 * error


@cache
def first_chances(complaint: tuple[tuple[str, str], ...]) -> dict[Turn, float]:
    return chances_at_first(shipped(), complaint)


def acting(outcome: str) -> tuple[Kart, Turn]:
    """A kart and a change that has an outcome, one that is judged after a run."""
    for case in range(200):
        hidden = kart(shipped(), case, OURS)
        for lever, act in hidden.faults[0].acts.items():
            way = act.way if outcome == "cured" else act.opposite
            looked = look(shipped().book, lever, act.way)
            if way and not looked and hidden.outcome(lever, way, hidden.faults[0]) == outcome:
                return hidden, Turn(lever, way)
    raise AssertionError(f"no case has a change that is {outcome}")


@pytest.mark.parametrize("outcome", ["cured", "hurt"])
def test_a_change_made_again_does_the_same_again(outcome: str) -> None:
    hidden, turn = acting(outcome)
    assert {hidden.outcome(turn.lever, turn.way, hidden.faults[0]) for _ in range(20)} == {outcome}


def test_a_cure_that_is_kept_ends_the_day_and_one_that_is_misjudged_does_not() -> None:
    hidden, turn = acting("cured")
    day = Day(hidden, list(hidden.faults))
    while (verdict := day.turn(turn)) != "better":
        assert day.left
        assert verdict in ("same", "worse")
    assert not day.left


def test_what_is_wrongly_taken_for_better_costs_one_run_more() -> None:
    hidden, turn = acting("hurt")
    lever = shipped().book.levers[turn.lever]
    day = Day(hidden, list(hidden.faults))
    for _ in range(200):
        before = day.runs
        said = day.turn(turn)
        taken_for_better = day.log[-1].endswith("better")
        assert day.runs - before == lever.runs + taken_for_better
        assert said != "better"
        if taken_for_better:
            return
    raise AssertionError("in 200 trials of a change for the worse none was taken for better")


def test_an_inspection_takes_no_run_and_is_never_misjudged() -> None:
    levers = shipped().book.levers
    looks = [Turn(i, way) for i, lever in levers.items() for way, is_ in lever.ways.items() if is_.look]
    for case in CASES:
        day = Day(made(case), list(made(case).faults))
        for turn in looks:
            if day.left:
                verdict = day.turn(turn)
                cured = made(case).outcome(turn.lever, turn.way, made(case).faults[0]) == "cured"
                assert verdict == ("better" if cured else "same")
        assert day.runs == 0
        assert day.minutes > 0


def test_a_kart_that_is_not_cured_has_cost_the_whole_day() -> None:
    class Idle(Oracle):
        def next(self) -> None:
            return None

    result = play(Idle(shipped(), made(0)), made(0))
    assert (result.runs, result.cured) == (MOST_RUNS, False)


def test_two_faults_are_two_and_both_must_be_cured() -> None:
    world = next(w for w in WORLDS if w.faults == 2)
    hidden = kart(shipped(), 3, world)
    assert len({f.name for f in hidden.faults}) == 2
    day = Day(hidden, list(hidden.faults))
    day.left.pop()
    assert not day.over
    assert not day.result().cured


def test_a_ratio_lies_in_its_interval_and_a_policy_against_itself_is_one() -> None:
    some, others = np.array([1.0, 2.0, 6.0, 3.0]), np.array([2.0, 5.0, 9.0, 4.0])
    middle, low, high = report.ratio(some, others)
    assert middle == pytest.approx(12 / 20)  # sums computed by hand
    assert low < middle < high
    assert report.ratio(some, some) == pytest.approx((1, 1, 1))


def test_the_opponent_saves_nothing_and_who_knows_the_fault_everything() -> None:
    ours, theirs, least = (np.array(x) for x in ([4.0, 3.0, 2.0], [8.0, 5.0, 2.5], [2.0, 1.0, 1.5]))
    middle, low, high = report.saved(ours, theirs, least)
    assert middle == pytest.approx(6.5 / 11)  # sums computed by hand
    assert low < middle < high
    assert report.saved(theirs, theirs, least) == pytest.approx((0, 0, 0))
    assert report.saved(least, theirs, least) == pytest.approx((1, 1, 1))


def test_the_tables_go_between_their_marks_and_nowhere_else(tmp_path: Path) -> None:
    page = tmp_path / "page.md"
    page.write_text("before\n<!-- paddock -->\nold\n<!-- /paddock -->\nafter\n", encoding="utf-8")
    report.write("| new |", page)
    report.write("| newer |", page)
    assert page.read_text(encoding="utf-8") == (
        "before\n<!-- paddock -->\n\n| newer |\n<!-- /paddock -->\nafter\n"
    )


def test_a_page_without_marks_is_left_alone(tmp_path: Path) -> None:
    page = tmp_path / "page.md"
    page.write_text("before\n", encoding="utf-8")
    with pytest.raises(SystemExit):
        report.write("| new |", page)
    assert page.read_text(encoding="utf-8") == "before\n"
