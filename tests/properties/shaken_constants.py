"""Noise on what the reasoning assumes (`advisor.model.assumed`), to see which of its constants matter.

A probability moves in log-odds, whatever else is above nothing by a factor, a count by a factor and to the next whole
number; rows that add up to one still do. The ear's thresholds and the weight of the words move likewise.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from random import Random
from types import ModuleType
from typing import Any
from unittest.mock import patch

from advisor.inference import belief, hearing
from advisor.learning import experience
from advisor.model import assumed

Constant = tuple[ModuleType, str]
ELSEWHERE = (hearing, belief)  # rooms with numbers of their own
Shift = Callable[[], float]


def constants() -> list[Constant]:
    """Every constant that can be moved, those of `assumed` first."""
    found: list[Constant] = [(assumed, name) for name in assumed.__annotations__]
    for module in ELSEWHERE:
        found += [(module, n) for n, v in vars(module).items() if n.isupper() and isinstance(v, int | float)]
    return found


@contextmanager
def moved(chosen: Sequence[Constant], shift: Shift) -> Iterator[None]:
    """The constants, each number of them moved by its own `shift`, until the context is left."""
    with ExitStack() as stack:
        for module, name in chosen:
            old = getattr(module, name)
            new = _moved(old, _is_chance(module, name), shift)
            if isinstance(old, dict):  # in place: others may hold it
                stack.enter_context(patch.dict(old, new))
            else:
                stack.enter_context(patch.object(module, name, new))
        experience._ways.cache_clear()
        yield
    experience._ways.cache_clear()


def _is_chance(module: ModuleType, name: str) -> bool:
    if module is assumed:
        return "Chance" in assumed.__annotations__[name]
    value = getattr(module, name)
    return isinstance(value, float) and 0 < value < 1


def _moved(value: Any, chance: bool, shift: Shift) -> Any:
    if isinstance(value, dict):
        row = {key: _moved(each, chance, shift) for key, each in value.items()}
        whole = all(isinstance(v, float) for v in value.values()) and abs(sum(value.values()) - 1) < 1e-9
        return {key: v / sum(row.values()) for key, v in row.items()} if whole else row
    if isinstance(value, tuple):
        return tuple(_moved(each, chance, shift) for each in value)
    factor = math.exp(shift())
    if isinstance(value, int):
        return max(1, round(value * factor))
    return value * factor / (1 - value + value * factor) if chance else value * factor


def one_deviation(sigma: float, source: Random) -> tuple[Shift, Shift]:
    """A standard deviation up or down for each number, at random, and the same the other way round."""
    signs: list[float] = []

    def there() -> float:
        signs.append(source.choice((-sigma, sigma)))
        return signs[-1]

    back = iter(signs)
    return there, lambda: -next(back)


def drawn(sigma: float, source: Random) -> Shift:
    """Normal draws."""
    return lambda: source.gauss(0.0, sigma)
