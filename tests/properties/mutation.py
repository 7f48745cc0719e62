"""Deletes each cause of the book in turn: how many of them would be missed by some scenario?

`python -m tests.properties.mutation` prints the share, and the causes that no scenario would miss. With
`--without-names` a scenario may notice by advice, stops, questions and the like only, not by a cause it names.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from functools import cache, partial

from advisor.book import load
from advisor.model.knowledge import Book
from advisor.reasoning.advise import Mind, make_ready, reason
from advisor.replay.scenario import Scenario, play, read_scenarios
from tests.properties.random_cases import shipped


@cache
def scenarios() -> tuple[Scenario, ...]:
    """Every scenario of every file."""
    found: list[Scenario] = []
    for path in sorted(load.shipped("scenarios").glob("*.yaml")):
        some, problems = read_scenarios(path, shipped().book)
        assert problems == [], problems
        found += some
    return tuple(found)


@cache
def beliefs() -> tuple[tuple[float, ...], ...]:
    """The belief over the causes in each scenario, with the whole book."""
    return tuple(reason(shipped(), s.case).belief.probabilities for s in scenarios())


def without(book: Book, cause: str) -> Mind:
    """The book with one cause deleted, made ready."""
    return make_ready(replace(book, causes={i: c for i, c in book.causes.items() if i != cause}))


def nameless(scenario: Scenario) -> Scenario:
    """The scenario with no word about causes in what it expects."""
    silent = replace(scenario.expect, cause=(), kind=(), cause_in_first_three=(), cause_not_in_first_three=())
    return replace(scenario, expect=silent)


def noticed(cause: str, named: bool = True) -> str | None:
    """The name of a scenario that fails without the cause; those where it is most probable are played first."""
    place, mind = shipped().tables.index(cause), without(shipped().book, cause)
    order = sorted(range(len(scenarios())), key=lambda n: -beliefs()[n][place])
    for n in order:
        scenario = scenarios()[n] if named else nameless(scenarios()[n])
        if play(mind, scenario):
            return scenario.name
    return None


def main(arguments: Sequence[str]) -> None:
    named = "--without-names" not in arguments
    causes = list(shipped().book.causes)
    failing = [s.name for s in scenarios() if play(shipped(), s)]
    if failing:
        print(
            f"{len(failing)} scenarios fail with the whole book; they would notice anything:",
            *failing,
            sep="\n  ",
        )
        raise SystemExit(1)
    with ProcessPoolExecutor() as pool:
        found = dict(zip(causes, pool.map(partial(noticed, named=named), causes), strict=True))
    missed = [cause for cause in causes if found[cause] is None]
    print(
        f"{len(causes) - len(missed)} of {len(causes)} deleted causes are noticed: {1 - len(missed) / len(causes):.0%}"
    )
    print("not noticed:", *(missed or ["none"]), sep="\n  ")


if __name__ == "__main__":
    main(sys.argv[1:])
