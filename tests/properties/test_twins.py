"""Twins: two cases that differ in one value, part, rule, minute, condition, trial or wish, and so in their answer.

`python -m tests.properties.test_twins` prints the figures.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache, cached_property

from advisor.book import load
from advisor.model.advice import Answer
from advisor.model.case import Case, Limit, Tried
from advisor.replay.scenario import Scenario, differences, read_scenarios
from tests.properties.random_cases import quick, shipped

NAMED_PAIRS = 25
SETUP_PAIRS = 12  # fewer would make the share below mean little
BROKEN_SHARE = 0.9
NEAR_THE_TOP = 5  # entries whose reasons people read


@dataclass(frozen=True)
class Pair:
    """A scenario and the one after it, its twin."""

    one: Scenario
    other: Scenario

    @cached_property
    def answers(self) -> tuple[Answer, Answer]:
        return quick(self.one.case), quick(self.other.case)


@cache
def pairs() -> tuple[Pair, ...]:
    """Every pair of the file; each names its twin."""
    found, problems = read_scenarios(load.shipped("scenarios") / "setup_twins.yaml", shipped().book)
    assert problems == []
    assert len(found) % 2 == 0
    made = tuple(Pair(one, other) for one, other in zip(found[::2], found[1::2], strict=True))
    for pair in made:
        assert "and its twin" in pair.one.name, pair.one.name
        assert "the twin" in pair.other.name, pair.other.name
    return made


def stripped(case: Case) -> Case:
    """The case without its setup sheet."""
    return replace(case, setup={}, tyres={})


def setup_pairs() -> list[Pair]:
    """The pairs that differ in their setup sheet and in nothing else."""
    sheets = [p for p in pairs() if stripped(p.one.case) == stripped(p.other.case)]
    return [p for p in sheets if p.one.case != p.other.case]


# --- what differs, and whether it is named ------------------------------------------------------------


def told_apart(pair: Pair) -> bool:
    """Whether the first advice or the withheld list differs."""
    one, other = pair.answers
    return _first(one) != _first(other) or _withheld(one) != _withheld(other)


def _first(answer: Answer) -> tuple[str, str] | None:
    return (answer.advice[0].lever, answer.advice[0].direction) if answer.advice else None


def _withheld(answer: Answer) -> set[tuple[str, str]]:
    return {(w.lever, w.direction) for w in answer.withheld}


def named(pair: Pair) -> bool:
    """Whether a value that differs is named in a reason, by the answer to the case that holds it."""
    return any(
        text in reason
        for mine, theirs, answer in zip(
            (pair.one.case, pair.other.case), (pair.other.case, pair.one.case), pair.answers, strict=True
        )
        for text in differing(mine, theirs)
        for reason in _reasons(answer)
    )


def _reasons(answer: Answer) -> Iterator[str]:
    for entry in answer.advice[:NEAR_THE_TOP]:
        yield from entry.why
    yield from (w.reason for w in answer.withheld)


def differing(mine: Case, theirs: Case) -> Iterator[str]:
    """How the reasons would name what one case holds and the other does not."""
    held, others = dict(_held(mine)), dict(_held(theirs))
    yield from (text for place, text in held.items() if others.get(place) != text)


def _held(case: Case) -> Iterator[tuple[str, str]]:
    names = {i: entry.name for i, entry in shipped().book.levers.items()}
    for ident, value in case.setup.items():
        yield f"setup {ident}", str(value) if not isinstance(value, str) else f"{names[ident]} {value}"
        if isinstance(value, str):
            yield f"stop {ident}", f'"{value}" is the last grade'
    yield from ((f"tyres {key}", f"{key} {value}") for key, value in case.tyres.items())
    yield from ((f"conditions {key}", str(value)) for key, value in case.conditions.items())
    if case.driver_mass is not None:
        yield "driver", str(case.driver_mass)
    yield from ((f"rule {ident}", _rule(rule)) for ident, rule in case.rules.items())
    if case.kit is not None:
        for ident in (i for i, entry in shipped().book.levers.items() if entry.part):
            yield f"kit {ident}", _parts(names[ident], case.kit.get(ident, ()))
    if case.minutes is not None:
        yield "minutes", f"{case.minutes:g} are left"
    yield from ((f"wish {wish}", "which you want to keep") for wish in case.keep)
    yield from ((f"trial {t.lever} {t.direction}", _trial(t)) for t in case.tried)


def _rule(rule: Limit) -> str:
    if rule.only:
        return f"only {', '.join(rule.only)}"
    return (
        f"the class allows at most {rule.most}"
        if rule.most
        else f"the class allows no less than {rule.least}"
    )


def _parts(name: str, parts: tuple[object, ...]) -> str:
    return f"(there: {', '.join(map(str, parts))})" if parts else f"no part for the {name}"


def _trial(trial: Tried) -> str:
    return f"already tried: {trial.verdict}"


# --- without the sheet --------------------------------------------------------------------------------


def fails_without_sheet(pair: Pair) -> bool:
    """Whether one of the two no longer gets what is expected once nothing of the sheet is read."""
    bare = [replace(s, case=stripped(s.case)) for s in (pair.one, pair.other)]
    return any(any(wrong(s)) for s in bare)


def wrong(scenario: Scenario) -> Iterator[str]:
    """What is not as expected, the next question aside: it is not looked for here."""
    return differences(replace(scenario.expect, asks=()), quick(scenario.case), scenario.told)


def broken(pair: Pair) -> bool:
    """Whether one fails its expectation, or the two answers become equal."""
    return fails_without_sheet(pair) or quick(stripped(pair.one.case)) == quick(stripped(pair.other.case))


def share(of: list[bool]) -> float:
    return sum(of) / len(of)


# --- tests --------------------------------------------------------------------------------------------


def test_the_answers_of_twins_differ_and_the_value_is_named() -> None:
    good = [p for p in pairs() if told_apart(p) and named(p)]
    assert len(good) >= NAMED_PAIRS


def test_the_answers_of_setup_twins_are_never_equal() -> None:
    assert [p.one.name for p in setup_pairs() if p.answers[0] == p.answers[1]] == []


def test_twins_play_as_expected_with_their_sheet() -> None:
    """Else a failure without the sheet would prove nothing."""
    assert [s.name for p in pairs() for s in (p.one, p.other) if any(wrong(s))] == []


def test_twins_break_without_the_setup_sheet() -> None:
    assert len(setup_pairs()) >= SETUP_PAIRS
    assert share([broken(p) for p in setup_pairs()]) >= BROKEN_SHARE


def test_twins_break_by_what_is_expected_of_them_alone() -> None:
    """Stricter: that two equal cases get equal answers does not count."""
    assert share([fails_without_sheet(p) for p in setup_pairs()]) >= BROKEN_SHARE


def report() -> None:
    apart = [p for p in pairs() if told_apart(p)]
    print(f"{len(pairs())} pairs, {len(apart)} told apart by the first change or what is withheld")
    unnamed = [p.one.name for p in apart if not named(p)]
    print(f"{len(apart) - len(unnamed)} of them name the value in a reason")
    sheets = setup_pairs()
    print(
        f"without the setup sheet {share([broken(p) for p in sheets]):.0%} of {len(sheets)} setup twins break, "
        f"{share([fails_without_sheet(p) for p in sheets]):.0%} by their expectations alone"
    )
    for title, names in (
        ("told apart, value not named", unnamed),
        ("not told apart", [p.one.name for p in pairs() if not told_apart(p)]),
        ("expectations hold without the sheet", [p.one.name for p in sheets if not fails_without_sheet(p)]),
    ):
        print(f"{title}:", *(names or ["none"]), sep="\n  ")


if __name__ == "__main__":
    report()
