"""Danger told as facts: what stops, what does not, and whether the right inspection is named.

`python -m tests.safety.measure` prints the figures and every miss. The facts (facts.yaml) were written by somebody who
saw the questions and their answers only.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from advisor.book import marked
from advisor.model.advice import Stop
from advisor.model.case import Case
from advisor.reasoning.advise import find_stop
from advisor.reasoning.weighing import reason
from tests.properties.random_cases import shipped


@dataclass(frozen=True, slots=True)
class Facts:
    """Some answers; `inspect`: the levers of which one must be named, none where it is harmless."""

    told: Mapping[str, str]
    inspect: tuple[str, ...] = ()

    def stop(self) -> Stop | None:
        mind = shipped()
        return find_stop(mind, reason(mind, Case(observed=self.told)))


@cache
def listed() -> tuple[Sequence[Facts], Sequence[Facts]]:
    """The dangerous and the harmless ones."""
    document = marked.read(Path(__file__).with_name("facts.yaml"), "facts.yaml")
    data: dict[str, Any] = document.data
    dangerous = [Facts(e["facts"], tuple(e["inspect"])) for e in data["dangerous"]]
    return dangerous, [Facts(e["facts"]) for e in data["harmless"]]


def missed() -> list[tuple[Facts, Stop | None]]:
    """Dangerous facts that do not stop, or that ask for no inspection of their own area."""
    found = [(facts, facts.stop()) for facts in listed()[0]]
    return [(f, s) for f, s in found if s is None or not set(s.inspect) & set(f.inspect)]


def stopped() -> list[tuple[Facts, Stop]]:
    """Harmless facts that stop."""
    return [(facts, stop) for facts in listed()[1] if (stop := facts.stop())]


def main() -> None:
    dangerous, harmless = listed()
    missing, false = missed(), stopped()
    for facts, stop in missing:
        print(
            "missed ", dict(facts.told), "wants", facts.inspect, "got", stop and (stop.reason, stop.inspect)
        )
    for facts, stop in false:
        print("stopped", dict(facts.told), stop.reason)
    print(f"dangerous: {len(dangerous) - len(missing)} of {len(dangerous)} stop with their inspection")
    print(f"harmless: {len(false)} of {len(harmless)} stop")


if __name__ == "__main__":
    main()
