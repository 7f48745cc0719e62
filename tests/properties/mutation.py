"""Deletes each cause, claim of a lever and observation of the book in turn: would some scenario miss it?

`python -m tests.properties.mutation` prints the shares, and what no scenario would miss. `causes`, `claims` or
`observations` as an argument takes that kind alone. With `--without-names` a scenario may notice by advice, stops,
questions and the like only, not by a cause it names. What was understood of the words never counts.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from functools import cache, partial

from advisor.book import load
from advisor.inference.tables import compile_tables
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import Mind, Reasoning, make_ready, reason
from advisor.replay.scenario import Expect, Scenario, differences, read_scenarios
from tests.properties.random_cases import shipped

FELT = ("phase", "balance")  # the complaint itself; nothing is left without it
NO_MATTER = 0.02  # a cause believed less than this is not missed
SHORT_LIST = 3  # changes that are looked at


@cache
def scenarios() -> tuple[Scenario, ...]:
    """Every scenario of every file that expects more than that its words are understood."""
    found: list[Scenario] = []
    for path in sorted(load.shipped("scenarios").glob("*.yaml")):
        some, problems = read_scenarios(path, shipped().book)
        assert problems == [], problems
        found += [replace(s, expect=replace(s.expect, understood={}, warning=())) for s in some]
    return tuple(s for s in found if s.expect != Expect())


@cache
def reasons() -> tuple[Reasoning, ...]:
    """What is thought of each scenario with the whole book."""
    return tuple(reason(shipped(), s.case) for s in scenarios())


def fails(mind: Mind, scenario: Scenario) -> bool:
    """Whether a scenario gets something else than it expects; the next question is sought only where it matters."""
    skipped = frozenset() if scenario.expect.asks else frozenset(mind.book.observations)
    return any(differences(scenario.expect, advise(mind, scenario.case, skipped=skipped), scenario.told))


def nameless(scenario: Scenario) -> Scenario:
    """The scenario with no word about causes in what it expects."""
    silent = replace(scenario.expect, cause=(), kind=(), cause_in_first_three=(), cause_not_in_first_three=())
    return replace(scenario, expect=silent)


# --- the kinds of mutants: the names of all, and for one the mutated mind and the scenarios to try, likely ones first


def causes() -> Iterator[str]:
    yield from shipped().book.causes


def without_cause(cause: str) -> tuple[Mind, list[int]]:
    mind, place = shipped(), shipped().tables.index(cause)
    book = replace(mind.book, causes={i: c for i, c in mind.book.causes.items() if i != cause})
    believed = [r.belief.probabilities[place] for r in reasons()]
    order = sorted((n for n, p in enumerate(believed) if p > NO_MATTER), key=lambda n: -believed[n])
    return Mind(book, compile_tables(book), mind.lexicon, mind.ear), order


def claims() -> Iterator[str]:
    for lever in shipped().book.levers.values():
        yield from (f"{lever.id} {n} {g.way} {g.change} {g.effect}" for n, g in enumerate(lever.gives))


def without_claim(claim: str) -> tuple[Mind, list[int]]:
    mind, (lever, n, *_) = shipped(), claim.split()
    entry = mind.book.levers[lever]
    left = tuple(g for i, g in enumerate(entry.gives) if i != int(n))
    book = replace(mind.book, levers={**mind.book.levers, lever: replace(entry, gives=left)})
    return Mind(book, replace(mind.tables, book=book), mind.lexicon, mind.ear), _concerned(lever)


def _concerned(lever: str) -> list[int]:
    """The scenarios where a lever is near the top, or that name it; no other can miss a claim of it."""
    standing: list[tuple[int, int]] = []
    for n, scenario in enumerate(scenarios()):
        levers = [r.prospect.lever for r in reasons()[n].ranked if r.barred is None]
        place = levers.index(lever) if lever in levers else len(levers)
        if place < SHORT_LIST or lever in repr(scenario.expect):
            standing.append((place, n))
    return [n for _, n in sorted(standing)]


def observations() -> Iterator[str]:
    yield from (o for o in shipped().book.observations if o not in FELT)


def without_observation(ident: str) -> tuple[Mind, list[int]]:
    """The book that makes nothing of an observation; only what tells of it, or asks it, can miss it."""
    book, path = shipped().book, f"observed.{ident}"
    entry = book.observations[ident]
    dumb = {a: replace(x, alarm=None) for a, x in entry.answers.items()}
    deaf = replace(
        book,
        observations={**book.observations, ident: replace(entry, answers=dumb, asked=False)},
        causes={
            i: replace(
                c,
                signs=tuple(s for s in c.signs if s.ask != ident),
                odds=tuple(o for o in c.odds if path not in o.where),
            )
            for i, c in book.causes.items()
        },
        levers={
            i: replace(e, gives=tuple(g for g in e.gives if path not in g.where))
            for i, e in book.levers.items()
        },
    )
    told = [
        n
        for n, s in enumerate(scenarios())
        if ident in s.expect.asks or ident in reasons()[n].evidence.answers
    ]
    return make_ready(deaf), told


KINDS: dict[str, tuple[Callable[[], Iterator[str]], Callable[[str], tuple[Mind, list[int]]]]] = {
    "causes": (causes, without_cause),
    "claims": (claims, without_claim),
    "observations": (observations, without_observation),
}


def noticed(name: str, kind: str, named: bool = True) -> str | None:
    """The name of a scenario that fails without what is named; None where none does."""
    mind, order = KINDS[kind][1](name)
    for n in order:
        scenario = scenarios()[n] if named else nameless(scenarios()[n])
        if fails(mind, scenario):
            return scenario.name
    return None


def main(arguments: Sequence[str]) -> None:
    named = "--without-names" not in arguments
    kinds = [k for k in KINDS if k in arguments] or list(KINDS)
    failing = [s.name for s in scenarios() if fails(shipped(), s)]
    if failing:
        print(
            f"{len(failing)} scenarios fail with the whole book; they would notice anything:",
            *failing,
            sep="\n  ",
        )
        raise SystemExit(1)
    reasons()  # worked out once, before the workers part
    with ProcessPoolExecutor() as pool:
        for kind in kinds:
            names = list(KINDS[kind][0]())
            found = dict(zip(names, pool.map(partial(noticed, kind=kind, named=named), names), strict=True))
            missed = [name for name in names if found[name] is None]
            share = 1 - len(missed) / len(names)
            print(f"{len(names) - len(missed)} of {len(names)} deleted {kind} are noticed: {share:.0%}")
            print("not noticed:", *(missed or ["none"]), sep="\n  ", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
