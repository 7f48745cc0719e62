"""Danger and other matters heard: `python -m tests.ear.danger`, on authors who are kept apart.

The thresholds of danger and of other matters were set with the figures of U and Q in view; of Z, half of whose
sentences are twins of the other half, the shares were seen while they were set, no sentence; X and Y came afterwards
(X's shares were seen when `train.STOPPED` was chosen, Y's when `hearing.STOPS` went from .85 to .8).
"""

from __future__ import annotations

from itertools import product
from pathlib import Path

from advisor.model.case import Case
from advisor.planning.alarms import doubted
from advisor.reasoning.advise import advise, find_stop
from advisor.reasoning.weighing import Mind, reason
from tests.ear.advice import minds
from tests.ear.examples import apart, dangers, others

HERE = Path(__file__).parent


def fate(mind: Mind, text: str) -> str:
    """`stop`, `ask`, or `drive`."""
    done = reason(mind, Case(complaint=text))
    if find_stop(mind, done):
        return "stop"
    return "ask" if doubted(mind.book, done.evidence, frozenset()) else "drive"


def main() -> None:
    mind = minds()[0]
    for name, kind in product(("u", "q", "z", "x", "y"), (True, False)):
        fates = [fate(mind, d.text) for d in dangers(HERE / f"danger_{name}.yaml") if d.dangerous is kind]
        shares = {f: round(fates.count(f) / len(fates), 3) for f in ("stop", "ask", "drive")}
        print(f"author {name}, {'dangerous' if kind else 'harmless'}", len(fates), shares)
    for name in ("n", "p", "d", "v", "w", "j", "l"):
        for judged in (True, False):
            fates = [fate(mind, t.text) for t in apart(name) if t.stop is judged]
            shares = {f: round(fates.count(f) / len(fates), 3) for f in ("stop", "ask", "drive")}
            print(f"author {name}, judge {'stops' if judged else 'lets drive'}", len(fates), shares)
    quiet = [not advise(mind, Case(complaint=t)).advice for t in others(HERE / "other_o.yaml")]
    print("other matters answered with no advice", sum(quiet), "of", len(quiet))
    silent = [bool(advise(mind, Case(complaint=t.text)).advice) for t in apart("p")]
    print("author p answered with advice", sum(silent), "of", len(silent))


if __name__ == "__main__":
    main()
