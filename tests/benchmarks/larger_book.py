"""How the reasoning grows with the book: invented books of more and more causes, in one run.

Run as `python -m tests.benchmarks.larger_book [CAUSES ...]`. Prints the time of one weighing of a case, of
choosing the next question, and the memory of the tables; asserts nothing.
"""

from __future__ import annotations

import sys
import tracemalloc
from dataclasses import replace
from random import Random
from time import perf_counter

from advisor.book import load
from advisor.model.case import Case
from advisor.model.knowledge import Answer, Book, Cause, Feel, Observation, Sign
from advisor.reasoning.advise import ask
from advisor.reasoning.weighing import make_ready, reason

OBSERVATIONS, SIGNS = 1000, 8
LIKELY = ("very unlikely", "unlikely", "about as likely as not", "likely", "very likely")


def invented(causes: int, seed: int = 1) -> Book:
    """A book with the shipped levers, effects and words, and invented causes and observations."""
    shipped, rng = load.book(), Random(seed)
    observations = {
        f"o{n}": Observation(
            id=f"o{n}",
            question="?",
            plain="",
            effort="remember",
            seconds=10,
            answers={a: Answer(text=a, usual="about as likely as not") for a in ("yes", "no")},
        )
        for n in range(OBSERVATIONS)
    }
    felt = {o: shipped.observations[o] for o in ("phase", "balance")}
    donors = [c for c in shipped.causes.values() if c.needs or c.remedies]
    return replace(shipped, observations={**felt, **observations}, overlaps={}, causes={
        f"c{n}": _cause(f"c{n}", donors[n % len(donors)], rng) for n in range(causes)
    })  # fmt: skip


def _cause(ident: str, donor: Cause, rng: Random) -> Cause:
    asked = rng.sample(range(OBSERVATIONS), SIGNS)
    signs = tuple(Sign(ask=f"o{o}", answers={"yes": rng.choice(LIKELY)}) for o in asked)
    feel = Feel(oversteer={"entry": rng.choice(LIKELY)})
    return replace(
        donor,
        id=ident,
        signs=signs,
        feel=feel,
        odds=(),
        danger=None,
        undoes_change=False,
        base="now and then",
    )


def measured(causes: int) -> tuple[float, float, float]:
    """Seconds of weighing a case and of choosing a question, and megabytes of the book made ready."""
    book = invented(causes)
    tracemalloc.start()
    mind = make_ready(book)
    size = tracemalloc.get_traced_memory()[0] / 1e6
    tracemalloc.stop()
    case = Case(observed={"balance": "oversteer", "phase": "entry"})
    start = perf_counter()
    done = reason(mind, case)
    weighed = perf_counter()
    ask(mind, done, frozenset())
    return weighed - start, perf_counter() - weighed, size


def main(sizes: list[int]) -> None:
    print(f"{OBSERVATIONS} observations, {SIGNS} signs a cause")
    first: tuple[float, float, float] | None = None
    for causes in sizes:
        found = measured(causes)
        first = first or found
        ratios = [a / b for a, b in zip(found, first, strict=True)]
        print(
            f"{causes:6} causes ({causes / sizes[0]:4.1f} x): "
            f"weigh {1e3 * found[0]:7.1f} ms ({ratios[0]:4.1f} x)   "
            f"question {1e3 * found[1]:7.1f} ms ({ratios[1]:4.1f} x)   "
            f"tables {found[2]:6.1f} MB ({ratios[2]:4.1f} x)",
            flush=True,
        )


if __name__ == "__main__":
    main([int(a) for a in sys.argv[1:]] or [250, 500, 1000, 2000])
