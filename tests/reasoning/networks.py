"""Small published networks, and how to ask them of the belief engine.

The engine weighs single hypotheses. A network becomes such a problem when each joint state of the
nodes that are not observed is one hypothesis, and each observed node is an observation.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, dataclass, fields
from importlib import import_module
from itertools import product
from typing import Any

from advisor.inference.belief import believe
from advisor.inference.evidence import Evidence
from advisor.inference.tables import UNKNOWN, Tables
from advisor.model.knowledge import Answer, Book, Cause, Observation, Words

gum: Any = import_module("pyagrum")  # it has no types

States = Mapping[str, str]  # node -> state
Marginals = dict[str, dict[str, float]]
_LISTS: dict[str, Any] = {f.name: () for f in fields(Words) if f.default is MISSING}
NO_WORDS = Words(**{**_LISTS, "classes": {}})


@dataclass(frozen=True)
class Node:
    """A node and its table: a row of probabilities of its states for each row of states of its parents."""

    name: str
    states: tuple[str, ...]
    parents: tuple[str, ...]
    rows: Mapping[tuple[str, ...], tuple[float, ...]]

    def probability(self, states: States) -> float:
        row = self.rows[tuple(states[p] for p in self.parents)]
        return row[self.states.index(states[self.name])]


Network = tuple[Node, ...]  # parents before children


def yes_no(name: str, *parents: str, yes: Mapping[tuple[str, ...], float] | float) -> Node:
    """A node of two states from the probability of `yes`, for each row of its parents."""
    rows = yes if isinstance(yes, Mapping) else {(): yes}
    return Node(name, ("yes", "no"), parents, {row: (p, 1 - p) for row, p in rows.items()})


def blank(answers: Mapping[str, frozenset[str]] | None = None) -> Evidence:
    """Evidence of plain answers: nothing felt, no values of a case."""
    return Evidence(answers or {}, {})


def naive_tables(
    priors: Mapping[str, float],
    rows: Mapping[str, Mapping[str, Mapping[str, float]]],
    usual: Mapping[str, Mapping[str, float]],
    book: Book | None = None,
) -> Tables:
    """Tables by hand: prior of each cause, `rows[observation][cause]`; the rest of the prior is `unknown`."""
    names = (*priors, UNKNOWN)
    shares = (*priors.values(), max(0.0, 1 - sum(priors.values())))
    by_index = {o: {names.index(c): dict(row) for c, row in table.items()} for o, table in rows.items()}
    usual_rows = {o: dict(row) for o, row in usual.items()}
    return Tables(book or _bare_book(priors, usual), names, shares, usual_rows, by_index)


def _bare_book(causes: Mapping[str, float], usual: Mapping[str, Mapping[str, float]]) -> Book:
    return Book(
        sources={},
        effects={},
        overlaps={},
        observations={o: observation(o, tuple(row)) for o, row in usual.items()},
        causes={c: Cause(id=c, name=c, kind="setup", plain="", base="often") for c in causes},
        levers={},
        words=NO_WORDS,
    )


def observation(ident: str, answers: tuple[str, ...], overlaps: str | None = None) -> Observation:
    choices = {a: Answer(text=a, usual="likely") for a in answers}
    return Observation(
        id=ident, question="", plain="", effort="look", seconds=1, answers=choices, overlaps=overlaps
    )


def by_belief(network: Network, seen: States) -> Marginals:
    """Marginals of the nodes that are not seen, by advisor.inference.belief."""
    worlds = _worlds(network, seen)
    tables = _world_tables(network, seen, worlds)
    belief = believe(tables, blank({name: frozenset((state,)) for name, state in seen.items()}))
    found: Marginals = {n.name: dict.fromkeys(n.states, 0.0) for n in network if n.name not in seen}
    for states, p in zip(worlds.values(), belief.probabilities, strict=False):
        for name, row in found.items():
            row[states[name]] += p
    return found


def _worlds(network: Network, seen: States) -> dict[str, States]:
    """Every state of the nodes that shape the rest: all but the observed ones without children."""
    parents = {p for n in network for p in n.parents}
    inner = [n for n in network if n.name not in seen or n.name in parents]
    found: dict[str, States] = {}
    for combination in product(*(n.states for n in inner)):
        states = dict(zip((n.name for n in inner), combination, strict=True))
        found["_".join(f"{n}_{s}" for n, s in states.items())] = states
    return found


def _world_tables(network: Network, seen: States, worlds: Mapping[str, States]) -> Tables:
    nodes = {n.name: n for n in network}
    priors = {}
    for ident, states in worlds.items():
        p = 1.0
        for name in states:
            p *= nodes[name].probability(states)
        priors[ident] = p
    rows = {name: {ident: _row(nodes[name], states) for ident, states in worlds.items()} for name in seen}
    usual = {name: dict.fromkeys(nodes[name].states, 1 / len(nodes[name].states)) for name in seen}
    return naive_tables(priors, rows, usual)


def _row(node: Node, states: States) -> dict[str, float]:
    """How likely each state of an observed node is in one world; certain where the world holds the node."""
    if node.name in states:
        return {s: float(s == states[node.name]) for s in node.states}
    return {s: node.probability({**states, node.name: s}) for s in node.states}


def by_pyagrum(network: Network, seen: States) -> Marginals:
    """The same marginals by an independent library."""
    net = as_pyagrum(network)
    engine = gum.LazyPropagation(net)
    engine.setEvidence(dict(seen))
    engine.makeInference()
    found: Marginals = {}
    for node in network:
        if node.name not in seen:
            posterior = engine.posterior(node.name)
            found[node.name] = {s: float(posterior[{node.name: s}]) for s in node.states}
    return found


def as_pyagrum(network: Network) -> Any:
    """The network as that library holds it. Tables are filled in place: its files are single precision."""
    net = gum.BayesNet()
    for node in network:
        net.add(gum.LabelizedVariable(node.name, "", list(node.states)))
    for node in network:
        for parent in node.parents:
            net.addArc(parent, node.name)
    for node in network:
        table = net.cpt(node.name)
        for states, row in node.rows.items():
            if node.parents:
                table[dict(zip(node.parents, states, strict=True))] = list(row)
            else:
                table.fillWith(list(row))
    return net


# Jensen and Nielsen, Bayesian Networks and Decision Graphs, 2nd edition, 2007: car start problem.
CAR_START: Network = (
    yes_no("fuel", yes=0.98),
    yes_no("clean", yes=0.96),
    Node(
        "meter",
        ("full", "half", "empty"),
        ("fuel",),
        {("yes",): (0.39, 0.60, 0.01), ("no",): (0.001, 0.001, 0.998)},
    ),
    yes_no(
        "start",
        "fuel",
        "clean",
        yes={("yes", "yes"): 0.99, ("yes", "no"): 0.01, ("no", "yes"): 0.0, ("no", "no"): 0.0},
    ),
)

# Lauritzen and Spiegelhalter, Local computations with probabilities, J. R. Stat. Soc. B 50, 1988: chest clinic.
CHEST_CLINIC: Network = (
    yes_no("asia", yes=0.01),
    yes_no("smoke", yes=0.5),
    yes_no("tub", "asia", yes={("yes",): 0.05, ("no",): 0.01}),
    yes_no("lung", "smoke", yes={("yes",): 0.1, ("no",): 0.01}),
    yes_no("bronc", "smoke", yes={("yes",): 0.6, ("no",): 0.3}),
    yes_no(
        "either",
        "tub",
        "lung",
        yes={("yes", "yes"): 1.0, ("yes", "no"): 1.0, ("no", "yes"): 1.0, ("no", "no"): 0.0},
    ),
    yes_no("xray", "either", yes={("yes",): 0.98, ("no",): 0.05}),
    yes_no(
        "dysp",
        "either",
        "bronc",
        yes={("yes", "yes"): 0.9, ("yes", "no"): 0.7, ("no", "yes"): 0.8, ("no", "no"): 0.1},
    ),
)


def alarm(burglary: float, earthquake: float) -> Network:
    """Russell and Norvig, Artificial Intelligence: A Modern Approach: the burglary alarm network."""
    rows: dict[tuple[str, ...], float] = {
        ("yes", "yes"): 0.95,
        ("yes", "no"): 0.94,
        ("no", "yes"): 0.29,
        ("no", "no"): 0.001,
    }
    return (
        yes_no("burglary", yes=burglary),
        yes_no("earthquake", yes=earthquake),
        yes_no("alarm", "burglary", "earthquake", yes=rows),
        yes_no("john", "alarm", yes={("yes",): 0.90, ("no",): 0.05}),
        yes_no("mary", "alarm", yes={("yes",): 0.70, ("no",): 0.01}),
    )
