"""What scenarios say must not come: would it come if they told something else, or the book said something else?

`python -m tests.properties.must_not` prints every such expectation that stays green whatever fact is taken away or
told otherwise, with the causes concerned ten times as frequent, and with the lever turned round: it guards against
nothing. Names of files take those alone.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from itertools import chain, combinations
from typing import Any

from advisor.book import load
from advisor.model.case import Case
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import Mind, reason
from advisor.replay.scenario import Expect, Scenario, differences, read_scenarios
from tests.properties.random_cases import shipped

KEYS = ("not_in_first_three", "not_advised", "cause_not_in_first_three")
TIMES = 10  # two words of the scale
CLAUSES = re.compile(r"(?<=[.,;!?])\s+")


@dataclass(frozen=True, slots=True)
class MustNot:
    """One thing that one scenario says must not come."""

    scenario: Scenario
    key: str
    name: str

    @property
    def alone(self) -> Expect:
        alone: dict[str, Any] = {self.key: (self.name,)}
        return replace(Expect(), **alone)


def all_of(scenario: Scenario) -> Iterator[MustNot]:
    for key in KEYS:
        yield from (MustNot(scenario, key, name) for name in getattr(scenario.expect, key))


def less(case: Case) -> Iterator[Case]:
    """The case without one of the facts that it tells: a field, an entry of one, a clause of the words."""
    parts = CLAUSES.split(case.complaint)
    for i in range(len(parts)):
        yield replace(case, complaint=" ".join(parts[:i] + parts[i + 1 :]))
    for one in fields(Case):
        value: Any = getattr(case, one.name)
        if isinstance(value, Mapping):
            for key in value:
                yield _with(case, one.name, {k: v for k, v in value.items() if k != key})
        elif isinstance(value, tuple):
            for i in range(len(value)):
                yield _with(case, one.name, value[:i] + value[i + 1 :])
    yield from (_with(case, name, None) for name in ("kit", "minutes", "driver_mass") if getattr(case, name))


def _with(case: Case, name: str, value: Any) -> Case:
    changes: dict[str, Any] = {name: value}
    return replace(case, **changes)


def bare(case: Case) -> Iterator[Case]:
    """The case without two of its observed answers, with one of them alone, and with none."""
    told = dict(case.observed)
    for pair in combinations(told, 2):
        yield replace(case, observed={k: v for k, v in told.items() if k not in pair})
    yield from (replace(case, observed={k: v}) for k, v in told.items())
    yield replace(case, observed={})


def otherwise(mind: Mind, case: Case) -> Iterator[Case]:
    """The case with one of its observed answers replaced by another."""
    for ident, given in case.observed.items():
        for answer in mind.book.observations[ident].answers:
            if answer != given:
                yield replace(case, observed={**case.observed, ident: answer})


def frequent(mind: Mind, must_not: MustNot) -> Mind:
    """The book in which the causes behind what must not come are `TIMES` as frequent."""
    case = must_not.scenario.case
    lever, _, way = must_not.name.partition(":")
    table = reason(mind, case).links.get(lever, {})
    concerned = {i for i, link in table.items() if not way or link.acts(way) or link.opposite == way}
    concerned |= {i for i, ident in enumerate(mind.tables.hypotheses) if ident == must_not.name}
    prior = [p * (TIMES if i in concerned else 1) for i, p in enumerate(mind.tables.prior)]
    return replace(mind, tables=replace(mind.tables, prior=tuple(p / sum(prior) for p in prior)))


def turned(mind: Mind, must_not: MustNot) -> Mind:
    """The book in which the lever that must not come acts the other way round."""
    book, ident = mind.book, must_not.name.partition(":")[0]
    lever = book.levers.get(ident)
    if lever is None:
        return mind
    other = {name: way.opposite or name for name, way in lever.ways.items()}
    gives = tuple(replace(g, way=other[g.way]) for g in lever.gives)
    causes = {
        i: replace(
            c,
            remedies=tuple(
                replace(r, direction=other[r.direction]) if r.lever == ident else r for r in c.remedies
            ),
        )
        for i, c in book.causes.items()
    }
    book = replace(book, levers={**book.levers, ident: replace(lever, gives=gives)}, causes=causes)
    return replace(mind, book=book, tables=replace(mind.tables, book=book))


def green(mind: Mind, scenario: Scenario) -> list[MustNot]:
    """Those expectations of a scenario that nothing turns red."""
    left = list(all_of(scenario))
    for case in chain(less(scenario.case), otherwise(mind, scenario.case), bare(scenario.case)):
        if not left:
            return []
        left = _still(mind, left, case)
    return [
        m for m in left if not any(_red(change(mind, m), m, scenario.case) for change in (frequent, turned))
    ]


def _still(mind: Mind, left: Sequence[MustNot], case: Case) -> list[MustNot]:
    found = advise(mind, case, skipped=frozenset(mind.book.observations))
    return [m for m in left if not any(differences(m.alone, found))]


def _red(mind: Mind, must_not: MustNot, case: Case) -> bool:
    return not _still(mind, [must_not], case)


def main(arguments: Sequence[str]) -> None:
    mind, every, weak = shipped(), 0, 0
    for path in sorted(load.shipped("scenarios").glob("*.yaml")):
        if arguments and path.name not in arguments:
            continue
        for scenario in read_scenarios(path, mind.book)[0]:
            every += sum(1 for _ in all_of(scenario))
            for m in green(mind, scenario):
                weak += 1
                print(f"{path.name}:{scenario.line}: {m.key} {m.name}: {scenario.name}", flush=True)
    print(f"{weak} of {every} stay green whatever is told otherwise")


if __name__ == "__main__":
    main(sys.argv[1:])
