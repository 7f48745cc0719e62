"""Looking ahead to every answer of every question: ours against bare numpy and two libraries, in one run.

The work: what the answer to each question is expected to tell about what to do, after the belief that each answer
would bring; the libraries find that belief only. Run as `python -m tests.benchmarks.looking_ahead [ROUNDS]`; what
is not installed is left out. Prints times and ratios; asserts nothing.
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
from numpy.typing import NDArray

from advisor.book import load
from advisor.inference.tables import Tables
from advisor.model.case import Case
from advisor.model.feel import AXES
from advisor.model.knowledge import Observation
from advisor.planning import questions
from advisor.planning.repair import Repair, aims, begin
from advisor.reasoning.weighing import Mind, Reasoning, make_ready, reason


class Problem:
    """What all contenders are given: the shipped book, a complaint, and what is known after it."""

    def __init__(self, mind: Mind, done: Reasoning) -> None:
        self.tables: Tables = mind.tables
        self.evidence = done.evidence
        self.belief = done.together.shares
        self.plan: Repair = done.plan
        self.skipped = frozenset(mind.book.observations) - {o.id for o in self._open(mind, done)}
        self.open = self._open(mind, done)

    @staticmethod
    def _open(mind: Mind, done: Reasoning) -> list[Observation]:
        return [
            o
            for o in mind.book.observations.values()
            if o.id in mind.tables.rows and o.id not in AXES and questions.askable(o, done.evidence)
        ]


def ours(given: Problem) -> str:
    """The function that chooses the question."""
    asked = questions.next_question(given.tables, given.plan, given.evidence, given.belief, given.skipped)
    return asked.id if asked else ""


def dense(given: Problem) -> Callable[[], NDArray[np.float64]]:
    """Mutual information of each answer and what to do, with whole matrices made ready outside of the time taken."""
    size = len(given.belief)
    rows, first = [], [0]
    for observation in given.open:
        for answer, usual in given.tables.usual[observation.id].items():
            listed = given.tables.rows[observation.id]
            rows.append([listed[i][answer] if i in listed else usual for i in range(size)])
        first.append(len(rows))
    likelihood, belief = np.array(rows), np.array(given.belief)
    aim = np.array(aims(begin(given.plan, given.belief, ())))
    groups = np.zeros((size, len(given.plan.actions) + 1))
    groups[np.arange(size), aim] = 1.0

    def run() -> NDArray[np.float64]:
        joint = (likelihood * belief) @ groups
        alone = joint.sum(axis=1, keepdims=True) * (belief @ groups)
        told = np.where(
            joint > 0, joint * np.log(np.where(joint > 0, joint / np.where(alone > 0, alone, 1), 1)), 0
        )
        return np.add.reduceat(told.sum(axis=1), first[:-1])

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
    given = Problem(mind, reason(mind, Case(observed={"balance": "oversteer", "phase": "entry"})))
    numpy_ = dense(given)
    contenders: dict[str, Callable[[], Any]] = {"ours": lambda: ours(given), "bare numpy": numpy_}
    if find_spec("pyagrum"):
        contenders["pyAgrum"] = with_pyagrum(given)
    if find_spec("pgmpy"):
        contenders["pgmpy"] = with_pgmpy(given)
    answers = sum(len(given.tables.usual[o.id]) for o in given.open)
    sizes = f"{len(given.belief)} hypotheses, {len(given.plan.actions)} options"
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
