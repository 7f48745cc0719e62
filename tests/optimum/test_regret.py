"""The figures that are promised, on a small fixed sample; `regret.py` prints them for a large one."""

from __future__ import annotations

from functools import cache

import pytest

from tests.optimum.regret import ASKING, KINDS, asking_regrets, regrets, summary, table

SINGLE = [title for title, kind in KINDS.items() if not kind.bundles]
BUNDLED = [title for title, kind in KINDS.items() if kind.bundles]


@cache
def sample(titles: tuple[str, ...], models: int) -> dict[str, list[float]]:
    """Sorted regrets of each policy over the same number of models of each kind."""
    tables = [table(KINDS[title], models, 2, regrets) for title in titles]
    return {name: sorted(r for t in tables for r in t[name]) for name in tables[0]}


@pytest.mark.parametrize(
    ("titles", "models"),
    [*(((title,), 30) for title in SINGLE), (tuple(BUNDLED), 10)],  # batches take longer: kinds are pooled
)
def test_without_questions_we_are_close_to_the_optimum(titles: tuple[str, ...], models: int) -> None:
    found = sample(titles, models)
    mean, p95, most = summary(found["ours"])
    assert found["ours"][0] > -1e-6  # none beats the optimum
    assert mean <= 0.05
    assert p95 <= 0.5
    assert most <= 5.0


@pytest.mark.parametrize("titles", [*((title,) for title in SINGLE), tuple(BUNDLED)])
def test_we_beat_the_greedy_rule_a_list_sorted_once_and_chance(titles: tuple[str, ...]) -> None:
    found = sample(titles, 10 if len(titles) > 1 else 30)
    ours, greedy, once, chance = (summary(found[n])[0] for n in ("ours", "greedy", "sorted once", "random"))
    assert ours <= greedy + 1e-9
    assert greedy < once < chance


@pytest.mark.parametrize("title", list(ASKING)[:3])
def test_with_questions_we_beat_entropy_and_are_within_two_per_cent_of_the_best(title: str) -> None:
    found = table(ASKING[title], 6, 2, asking_regrets)
    means = {name: summary(regret)[0] for name, regret in found.items()}
    assert found["ours"][0] > -1e-6
    assert means["ours"] <= 2.0
    assert means["ours"] < means["entropy > .1 nats"]
    assert means["ours"] < means["entropy > .02 nats"]
    assert means["ours"] < means["no questions"]
