"""What it costs to tell what each answer to a question would do; the first version made a whole answer for each.

`python -m tests.benchmarks.previews` prints the ratio of processor times, measured in one run, for the first question
of 36 complaints.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from statistics import quantiles

from advisor.interview import explanations, steps
from advisor.model.case import Case
from tests.app.complaints import FRESH, MET, UNTUNED
from tests.reasoning.minds import shipped

TURNS = 3  # the least of so many counts


def seconds(work: Callable[[], object]) -> float:
    found = []
    for _ in range(TURNS):
        start = time.process_time()
        work()
        found.append(time.process_time() - start)
    return min(found)


def main() -> None:
    mind = shipped()
    ratios, ours, theirs = [], 0.0, 0.0
    for words in (*MET, *FRESH, *UNTUNED):
        state = steps.begin(mind, Case(complaint=words))
        asked = steps.question(mind, steps.asking_more(state))
        if asked is None:  # danger in sight
            continue
        then = [steps.answered(mind, state, asked, answer) for answer in asked.answers]
        whole = seconds(lambda then=then: [steps.answer(mind, t) for t in then])  # type: ignore[misc]
        short = seconds(lambda s=state, q=asked: explanations.previews(mind, s, q))  # type: ignore[misc]
        ours, theirs = ours + short, theirs + whole
        ratios.append(short / whole)
    low, *_, high = quantiles(ratios, n=10)
    print(
        f"{len(ratios)} questions: {ours / theirs:.2f} of whole answers; eight in ten {low:.2f} to {high:.2f}"
    )


if __name__ == "__main__":
    main()
