"""Small tests on facts, as knowledge files write them: `setup.tyre_pressure_rear: "< 9 psi"`.

A condition is a mapping of paths to tests; it holds when all of them hold. A path starts with
`setup`, `kart`, `conditions` or `observed`. A test is `< quantity`, `> quantity` (a plain number where a
count is meant, such as laps), two of them joined by `and`, or words joined by `|`. A fact that is not known
makes no condition true, save the word `unknown`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from advisor import units
from advisor.units import Quantity

ROOMS = ("setup", "kart", "conditions", "observed")
UNKNOWN = "unknown"  # the word that holds while nothing is known
Facts = Mapping[str, Quantity | str | frozenset[str]]


@dataclass(frozen=True, slots=True)
class Test:
    """A parsed test: either a bound (`sign` -1 for below, +1 for above) or a set of words."""

    path: str
    sign: int = 0
    bound: Quantity | float | None = None
    words: frozenset[str] = frozenset()
    also: Test | None = None

    def holds(self, facts: Facts) -> bool:
        value = facts.get(self.path)
        if self.also is not None and not self.also.holds(facts):
            return False
        if value is None:
            return UNKNOWN in self.words
        if isinstance(self.bound, float):
            return isinstance(value, str) and value.isdigit() and self.sign * (int(value) - self.bound) > 0
        if self.bound is not None:
            if not isinstance(value, Quantity) or value.dimension != self.bound.dimension:
                return False
            return self.sign * (value.si - self.bound.si) > 1e-9
        if isinstance(value, frozenset):
            return value <= self.words
        return value in self.words


@lru_cache(maxsize=4096)
def parse(path: str, test: str) -> Test:
    """Read one path and its test. Raises ValueError with a sentence for a person."""
    if path.split(".")[0] not in ROOMS or "." not in path:
        raise ValueError(f'a condition starts with one of {", ".join(r + "." for r in ROOMS)}, not "{path}"')
    if test[:1] in "<>" and " and " in test:
        first, _, second = test.partition(" and ")
        return replace(parse(path, first), also=parse(path, second.strip()))
    if test[:1] in "<>":
        number = test[1:].strip()
        bound: Quantity | float = float(number) if number.isdigit() else units.parse(number)
        return Test(path, sign=1 if test[0] == ">" else -1, bound=bound)
    words = frozenset(w.strip() for w in test.split("|"))
    if "" in words:
        raise ValueError(f'"{test}" holds an empty word')
    return Test(path, words=words)


def holds(condition: Mapping[str, str], facts: Facts) -> bool:
    """True when every test of the condition holds; an empty condition always does."""
    return all(parse(path, test).holds(facts) for path, test in condition.items())
