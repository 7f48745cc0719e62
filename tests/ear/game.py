"""The interview played by people who know what is behind a complaint: `python -m tests.ear.game`.

`answers_n.yaml`, `answers_p.yaml`: what driver and helper would answer to every question, written down beforehand by
hands that knew the cause of each complaint, the questions and nothing of what the program does with them; a question
that these people could not answer is left out. The rules of asking were chosen with N in view; P was kept apart.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from statistics import median

from advisor.interview import steps
from advisor.interview.steps import State
from advisor.model.assumed import TICK
from advisor.model.case import Case
from advisor.reasoning.weighing import Mind
from tests.ear.advice import minds, place, share
from tests.ear.examples import APART, Told, apart, read

TYPING = 5  # seconds beside those of the question
ENDLESS = 60


@dataclass(frozen=True, slots=True)
class Played:
    """Places, from 1, of a change that the judge named among his first three and of the true cause; what it took."""

    change: int
    cause: int
    questions: int
    seconds: int


def answers(author: str) -> Mapping[str, Mapping[str, str]]:
    """Question to answer, by complaint."""
    found: Mapping[str, Mapping[str, str]] = read(APART / f"answers_{author}.yaml")
    return found


def play(
    mind: Mind, told: Told, known: Mapping[str, str], asking: bool = True, listed: bool = True
) -> Played:
    """One interview; what a stop asks for is inspected and sound, and the search goes on."""
    state = sound(mind, steps.limited(mind, steps.begin(mind, Case(complaint=told.text)), None, "", "both"))
    seconds = 0.0
    while asking and state.asked < ENDLESS and (asked := steps.question(mind, state)) is not None:
        if looks := steps.look_over(mind, state, asked) if listed else ():
            seen = [(look.question, known.get(look.question.id)) for look in looks]
            seconds += TYPING + sum(TICK + (q.seconds if a else 0) for q, a in seen)
            state = sound(mind, steps.looked_over(mind, state, seen))
            continue
        answer = known.get(asked.id)
        seconds += TYPING + (asked.seconds if answer else 0)
        state = sound(mind, steps.answered(mind, state, asked, answer))
    found = steps.answer(mind, state)
    turns = [(a.lever, a.direction) for a in found.advice]
    cause = next((i for i, c in enumerate(found.causes, 1) if c.id in told.causes), 999)
    return Played(place(turns, set(told.levers[:3])), cause, state.asked, round(seconds))


def sound(mind: Mind, state: State) -> State:
    while (stop := steps.stopped(mind, state)) is not None:
        state = steps.checked(mind, state, stop)
    return state


def games(author: str, asking: bool = True, listed: bool = True) -> list[Played]:
    """Every complaint of an author that has answers."""
    known = answers(author)
    return [play(minds()[0], t, known[t.id], asking, listed) for t in apart(author) if t.id in known]


def report(name: str, played: list[Played]) -> str:
    """Changes, causes, and what it took, in one line."""
    causes = " ".join(f"{sum(p.cause <= w for p in played) / len(played):.2f}" for w in (1, 3, 5))
    return (
        f"{name}: {share([p.change for p in played])}; true cause {causes} in 1, 3, 5; "
        f"questions median {median(p.questions for p in played):g}, most {max(p.questions for p in played)}; "
        f"seconds {median(p.seconds for p in played):g}"
    )


def main() -> None:
    for author in ("n", "p"):
        print(report(f"{author.upper()}, words alone", games(author, asking=False)), flush=True)
        print(report(f"{author.upper()}, asked one by one", games(author, listed=False)), flush=True)
        print(report(f"{author.upper()}, with the look-over", games(author)), flush=True)


if __name__ == "__main__":
    main()
