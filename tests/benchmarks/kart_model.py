"""The kart model against numpy's own solver, in one run: all levers of one kart, and a thousand karts at once.

Run as `python -m tests.benchmarks.kart_model [ROUNDS]`. Prints times and ratios; asserts nothing.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from statistics import median
from time import process_time

import numpy as np

from advisor.book import load
from advisor.mechanics.outlook import Change, base, outlook
from advisor.mechanics.turns import TURNS, one_step
from advisor.physics.contacts import settle
from advisor.physics.elements import G
from advisor.physics.handling import Corner, drive, stand
from advisor.physics.kart import NAMES, Kart, sample, usual

THOUSAND = 1000
UNKNOWNS = 4  # wheel loads: what a general solver would find for each kart


def timed(work: Callable[[], object], rounds: int) -> float:
    """Median seconds of processor time of a piece of work: a machine that others use too spoils no ratio."""
    found = []
    for _ in range(rounds):
        start = process_time()
        work()
        found.append(process_time() - start)
    return median(found)


def all_levers() -> Kart:
    """One kart, and beside it the same kart with each lever turned by a step, as one array of karts."""
    book, kart = load.book(), usual()
    turned = [kart]
    for name, turn in TURNS.items():
        turned.append(turn.apply(kart, one_step(book.levers[name]), turn.size.usual))
    return Kart(**{name: np.array([float(getattr(k, name)) for k in turned]) for name in NAMES})


def solves(karts: int) -> Callable[[], object]:
    """As many linear systems of the size of the contact problem, in one call of numpy."""
    draw = np.random.default_rng(1)
    matrices = draw.normal(size=(karts, UNKNOWNS, UNKNOWNS)) + 4 * np.eye(UNKNOWNS)
    right = draw.normal(size=(karts, UNKNOWNS, 1))
    return lambda: np.linalg.solve(matrices, right)


def main(rounds: int) -> None:
    """Print what each piece takes, and how often a plain solve of the same size fits into it."""
    levers, many = all_levers(), sample(THOUSAND)
    corner = Corner(1.15 * G, 0.0, 15.0)
    across = Corner(1.15 * G, 0.0, many.radius)
    before = base({}, karts=THOUSAND)
    change = [Change("caster", "more", 0.035)]
    stood, standing = stand(levers, corner, 0.12)[0], stand(many, across, 0.12)[0]
    rows: list[tuple[str, Callable[[], object], int]] = [
        (f"{len(TURNS)} levers of one kart: loads", lambda: settle(stood), len(TURNS) + 1),
        (
            f"{len(TURNS)} levers of one kart: loads, slips, steer, balance",
            lambda: drive(levers, corner),
            len(TURNS) + 1,
        ),
        ("a thousand karts: loads", lambda: settle(standing), THOUSAND),
        ("a thousand karts: loads, slips, steer, balance", lambda: drive(many, across), THOUSAND),
        (
            "a thousand karts: their pace and three parts of the corner",
            lambda: base({}, karts=THOUSAND),
            THOUSAND,
        ),
        ("a thousand karts: one change and its spread", lambda: outlook(before, change), THOUSAND),
    ]
    for name, work, karts in rows:
        took, plain = timed(work, rounds), timed(solves(karts), rounds)
        print(
            f"{name:62} {1e3 * took:8.2f} ms  {took / plain:7.1f} numpy solves of {karts} systems of {UNKNOWNS}"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 30)
