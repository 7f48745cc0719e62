"""Looking ahead to every answer of every question: ours against bare numpy and two libraries, in one run.

The work: the belief over the causes after each possible answer to each question, and the changes ranked
by chance over cost after each. Run as `python -m tests.benchmarks.looking_ahead [ROUNDS]`; libraries that
are not installed are left out. Prints times and ratios; asserts nothing.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib import import_module
from importlib.util import find_spec
from statistics import median
from time import perf_counter
from typing import Any

import numpy as np

from advisor.book import load
from advisor.model.case import Case
from advisor.reasoning import advise, questions
from advisor.reasoning.advise import Mind, Reasoning, make_ready
from advisor.reasoning.questions import Search
from advisor.reasoning.tables import Tables

Rank = list[int]


class Problem:
    """What all contenders are given: the shipped book, a complaint, and what is known after it."""

    def __init__(self, mind: Mind, done: Reasoning) -> None:
        self.tables: Tables = mind.tables
        self.evidence = done.evidence
        self.belief = done.belief.probabilities
        self.space: Search = advise.space(mind, done)
        self.open = [
            o
            for o in mind.book.observations.values()
            if o.id in mind.tables.rows
            and o.id not in done.evidence.answers
            and o.id not in ("phase", "balance")
        ]


def ours(given: Problem) -> list[Rank]:
    """The functions that choose the questions, and a full ranking after each answer."""
    found = []
    _, chances = questions.best_option(given.space, given.belief)
    costs = given.space.costs
    for observation in given.open:
        for shift in questions.outlook(given.tables, observation, given.evidence, given.belief):
            shift.belief(given.belief)
            then = questions.shifted(given.space, given.belief, chances, shift)
            found.append(
                sorted(range(len(then)), key=[-c / m for c, m in zip(then, costs, strict=True)].__getitem__)
            )
    return found


def dense(given: Problem) -> Callable[[], list[Rank]]:
    """The same arithmetic with whole matrices, which are made ready outside of the time taken."""
    size = len(given.belief)
    rows = []
    for observation in given.open:
        for answer, usual in given.tables.usual[observation.id].items():
            listed = given.tables.rows[observation.id]
            rows.append([listed[i][answer] if i in listed else usual for i in range(size)])
    likelihood = np.array(rows)
    rates = np.zeros((size, len(given.space.costs)))
    for k, pairs in enumerate(given.space.rates):
        for i, r in pairs:
            rates[i, k] = r
    costs, belief = np.array(given.space.costs), np.array(given.belief)

    def run() -> list[Rank]:
        joint = likelihood * belief
        after = joint / joint.sum(axis=1, keepdims=True)
        return np.argsort(-(after @ rates) / costs, axis=1, kind="stable").tolist()  # type: ignore[no-any-return]

    return run


def with_pyagrum(given: Problem) -> Callable[[], Any]:
    """One node for the cause, one for each question; the posterior of the cause after each answer."""
    gum: Any = import_module("pyagrum")
    net = gum.BayesNet()
    size = len(given.belief)
    cause = net.add(gum.LabelizedVariable("cause", "", size))
    net.cpt(cause).fillWith(list(given.belief))
    for observation in given.open:
        usual, listed = given.tables.usual[observation.id], given.tables.rows[observation.id]
        node = net.add(gum.LabelizedVariable(observation.id, "", len(usual)))
        net.addArc(cause, node)
        table = net.cpt(node)
        for i in range(size):
            table[{"cause": i}] = [listed[i][a] if i in listed else u for a, u in usual.items()]
    engine = gum.LazyPropagation(net)
    engine.setTargets({"cause"})

    def run() -> None:
        for observation in given.open:
            for place in range(len(given.tables.usual[observation.id])):
                engine.setEvidence({observation.id: place})
                engine.makeInference()
                engine.posterior("cause")

    return run


def with_pgmpy(given: Problem) -> Callable[[], Any]:
    """The same network, asked by variable elimination."""
    cpd: Any = import_module("pgmpy.factors.discrete").TabularCPD
    size = len(given.belief)
    net = import_module("pgmpy.models").DiscreteBayesianNetwork([("cause", o.id) for o in given.open])
    net.add_cpds(cpd("cause", size, [[p] for p in given.belief]))
    for observation in given.open:
        usual, listed = given.tables.usual[observation.id], given.tables.rows[observation.id]
        rows = [[listed[i][a] if i in listed else u for i in range(size)] for a, u in usual.items()]
        net.add_cpds(cpd(observation.id, len(usual), rows, ["cause"], [size]))
    engine = import_module("pgmpy.inference").VariableElimination(net)

    def run() -> None:
        for observation in given.open:
            for place in range(len(given.tables.usual[observation.id])):
                engine.query(["cause"], evidence={observation.id: place}, show_progress=False)

    return run


def main(rounds: int = 15) -> None:
    mind = make_ready(load.book(), load.ear())
    given = Problem(mind, advise.reason(mind, Case(observed={"balance": "oversteer", "phase": "entry"})))
    numpy_ = dense(given)
    contenders: dict[str, Callable[[], Any]] = {"ours": lambda: ours(given), "bare numpy": numpy_}
    if find_spec("pyagrum"):
        contenders["pyAgrum"] = with_pyagrum(given)
    if find_spec("pgmpy"):
        contenders["pgmpy"] = with_pgmpy(given)
    answers = sum(len(given.tables.usual[o.id]) for o in given.open)
    sizes = f"{len(given.belief)} hypotheses, {len(given.space.costs)} options"
    print(f"{len(given.open)} questions, {answers} answers, {sizes}")
    taken: dict[str, list[float]] = {name: [] for name in contenders}
    for turn in range(rounds):
        for name, run in contenders.items():
            if turn and name in ("pyAgrum", "pgmpy") and turn > 2:
                continue
            start = perf_counter()
            run()
            taken[name].append(perf_counter() - start)
    base = median(taken["ours"])
    for name, times in taken.items():
        print(f"{name:12} {1e3 * median(times):9.2f} ms   {median(times) / base:8.2f} x ours")
    print(f"ours is {base / median(taken['bare numpy']):.1f} x bare numpy")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 15)
