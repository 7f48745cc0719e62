"""The belief engine against networks whose tables and posteriors are in print or computed elsewhere."""

from __future__ import annotations

from itertools import combinations, product

import pytest

from tests.reasoning.networks import (
    CAR_START,
    CHEST_CLINIC,
    Network,
    States,
    alarm,
    by_belief,
    by_pyagrum,
)

# Published: Jensen and Nielsen 2007, as a tutorial of another library prints them.
CAR_START_PRINTED: list[tuple[States, str, str, float]] = [
    ({}, "start", "no", 0.068216),
    ({}, "meter", "full", 0.38222),
    ({}, "meter", "half", 0.58802),
    ({}, "meter", "empty", 0.02976),
    ({"start": "no"}, "fuel", "no", 0.29318635),
    ({"start": "no"}, "clean", "no", 0.58062625),
    ({"start": "no"}, "meter", "full", 0.27595051),
    ({"start": "no"}, "meter", "half", 0.42438138),
    ({"start": "no"}, "meter", "empty", 0.29966811),
    ({"start": "no", "meter": "half"}, "fuel", "no", 6.90855832e-04),
    ({"start": "no", "meter": "half"}, "clean", "no", 0.80434963),
]

# Tables published (Lauritzen and Spiegelhalter 1988); these posteriors computed by pyAgrum, and in part
# cross-checked with pgmpy.
CHEST_CLINIC_COMPUTED: list[tuple[States, dict[str, float]]] = [
    (
        {},
        {
            "tub": 0.010400,
            "lung": 0.055000,
            "bronc": 0.450000,
            "xray": 0.110290,
            "either": 0.064828,
            "dysp": 0.435971,
        },
    ),
    (
        {"dysp": "yes"},
        {"tub": 0.018845, "lung": 0.102759, "bronc": 0.833967, "xray": 0.162098, "smoke": 0.633997},
    ),
    (
        {"asia": "yes", "dysp": "yes"},
        {"tub": 0.087751, "lung": 0.099525, "bronc": 0.811402, "xray": 0.219539, "smoke": 0.625920},
    ),
    (
        {"asia": "yes", "dysp": "yes", "smoke": "no"},
        {"tub": 0.112835, "lung": 0.022567, "bronc": 0.717942},
    ),
    (
        {"asia": "yes", "dysp": "yes", "smoke": "no", "xray": "no"},
        {"tub": 0.002735, "lung": 0.000547, "bronc": 0.772830},
    ),
    (
        {"asia": "yes", "dysp": "yes", "xray": "yes"},
        {"tub": 0.391712, "lung": 0.444271, "bronc": 0.628822, "smoke": 0.702025},
    ),
]


@pytest.mark.parametrize(("seen", "node", "state", "printed"), CAR_START_PRINTED)
def test_the_car_that_does_not_start_has_the_printed_posteriors(
    seen: States, node: str, state: str, printed: float
) -> None:
    assert by_belief(CAR_START, seen)[node][state] == pytest.approx(printed, rel=2e-8, abs=5e-9)


def test_a_half_full_meter_explains_the_dirty_plugs_and_clears_the_fuel() -> None:
    before = by_belief(CAR_START, {"start": "no"})
    after = by_belief(CAR_START, {"start": "no", "meter": "half"})
    assert after["fuel"]["no"] < before["fuel"]["no"] < 0.5 < before["clean"]["no"] < after["clean"]["no"]


@pytest.mark.parametrize(("seen", "computed"), CHEST_CLINIC_COMPUTED)
def test_the_chest_clinic_has_the_computed_posteriors(seen: States, computed: dict[str, float]) -> None:
    found = by_belief(CHEST_CLINIC, seen)
    assert {n: found[n]["yes"] for n in computed} == pytest.approx(computed, abs=5e-7)


def test_two_calls_leave_a_burglary_at_the_textbook_figure() -> None:
    found = by_belief(alarm(0.001, 0.002), {"john": "yes", "mary": "yes"})["burglary"]["yes"]
    assert found == pytest.approx(0.284, abs=5e-4)  # published: Russell and Norvig
    assert found == pytest.approx(0.284172, abs=5e-7)  # computed


def test_the_earthquake_file_of_other_libraries_has_other_priors_and_another_figure() -> None:
    found = by_belief(alarm(0.01, 0.02), {"john": "yes", "mary": "yes"})["burglary"]["yes"]
    assert found == pytest.approx(0.556522, abs=5e-7)  # computed


def _all_evidence(network: Network, most: int) -> list[States]:
    """Every way of seeing up to `most` nodes, impossible ones (a probability of zero) left out."""
    found: list[States] = []
    for count in range(most + 1):
        for nodes in combinations(network, count):
            for states in product(*(n.states for n in nodes)):
                found.append(dict(zip((n.name for n in nodes), states, strict=True)))
    return [seen for seen in found if _possible(network, seen)]


def _possible(network: Network, seen: States) -> bool:
    for combination in product(*(n.states for n in network)):
        world = dict(zip((n.name for n in network), combination, strict=True))
        if all(world[n] == s for n, s in seen.items()) and all(n.probability(world) > 0 for n in network):
            return True
    return False


@pytest.mark.parametrize(
    ("network", "most"),
    [
        pytest.param(CAR_START, 3, id="car start"),
        pytest.param(CHEST_CLINIC, 2, id="chest clinic"),
        pytest.param(alarm(0.001, 0.002), 3, id="burglary alarm"),
    ],
)
def test_every_small_set_of_evidence_agrees_with_another_library(network: Network, most: int) -> None:
    cases = _all_evidence(network, most)
    assert len(cases) > 50
    for seen in cases:
        ours, theirs = by_belief(network, seen), by_pyagrum(network, seen)
        assert ours.keys() == theirs.keys()
        for node, row in theirs.items():
            assert ours[node] == pytest.approx(row, abs=1e-9), (seen, node)
