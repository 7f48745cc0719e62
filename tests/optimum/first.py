"""Is the first change of the plan the one on the screen? `python -m tests.optimum.first [COMPLAINTS [SEED]]`.

Complaints of author N are told in words and answered as `tests/ear/answers_n.yaml` has it. At the start, after each of
the first answers, and where the first change failed then, what the plan would make first is held against what the
screen puts first: a look that stands above the changes, else the first change that is driven. Where they differ, the
reason is told.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from random import Random

from advisor.interview import steps
from advisor.interview.steps import State
from advisor.model.case import Case
from advisor.planning import repair
from advisor.reasoning.weighing import Mind
from tests.ear.advice import minds
from tests.ear.examples import Told, apart
from tests.ear.game import answers, sound

Turn = tuple[str, str]
ANSWERS = 4


@dataclass(frozen=True, slots=True)
class Point:
    """A point of a sitting: when, what the plan makes first, what stands first on the screen, and whether it stops."""

    of: str
    when: str
    planned: Turn | None
    shown: Turn | None
    stops: bool

    @property
    def why(self) -> str:
        if self.planned == self.shown:
            return "the same"
        if self.planned is None and self.stops:
            return "both give up, and the screen shows a change below"
        return f"another change: {self.of} {self.when}, {self.planned} and not {self.shown}"


def shown(mind: Mind, state: State) -> tuple[Turn | None, bool]:
    """What the screen puts first, and whether it says that nothing is worth a run."""
    found = steps.answer(mind, state)
    driven = [a for a in found.advice if not mind.book.levers[a.lever].ways[a.direction].look]
    first = next(iter((*steps.look_first(mind, state), *(driven or found.advice))), None)
    return (first.lever, first.direction) if first else None, found.enough is not None


def point(mind: Mind, told: Told, state: State, when: str) -> Point:
    """What the plan and the screen put first in a state."""
    done = steps.reasoning(mind, state)
    found = repair.first(done.plan, done.together.shares)
    planned = None if found is None else done.plan.actions[found].name
    return Point(told.id, when, planned, *shown(mind, state))


def points(mind: Mind, told: Told, known: dict[str, str]) -> Iterator[Point]:
    """The points of one sitting."""
    state = sound(mind, steps.limited(mind, steps.begin(mind, Case(complaint=told.text)), None, "", "both"))
    for asked in range(ANSWERS + 1):
        now = point(mind, told, state, "after answers" if asked else "at the start")
        yield now
        question = steps.question(mind, state)
        if now.shown and (question is None or asked in (0, ANSWERS)):
            yield point(mind, told, steps.tried(mind, state, *now.shown, "same"), "after a failure")
        if question is None:
            return
        state = sound(mind, steps.answered(mind, state, question, known.get(question.id)))


def sample(complaints: int, seed: int) -> list[Point]:
    """The points of some complaints, drawn without return."""
    known = answers("n")
    able = [t for t in apart("n") if t.id in known]
    drawn = Random(seed).sample(able, min(complaints, len(able)))
    return [p for told in drawn for p in points(minds()[0], told, dict(known[told.id]))]


def main(complaints: int = 60, seed: int = 1) -> None:
    found = sample(complaints, seed)
    for when in dict.fromkeys(p.when for p in found):
        these = [p for p in found if p.when == when]
        print(f"{when:18}{sum(p.planned == p.shown for p in these)} of {len(these)}")
    print(f"{'all':18}{sum(p.planned == p.shown for p in found) / len(found):.3f} of {len(found)}")
    for why, count in Counter(p.why for p in found).most_common():
        print(f"  {why}: {count}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
