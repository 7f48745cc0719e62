"""What the kart does and where: phase and balance are two questions about one observation, the cell that is felt."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from advisor.model.knowledge import BALANCES, PHASES

Answers = frozenset[str]

FEEL = "feel"
AXES = {"phase": PHASES, "balance": BALANCES}
# The answers of the one observation, each with what it says on either axis.
CELLS = {f"{phase} {balance}": (phase, balance) for phase in PHASES for balance in BALANCES}
NONE_TOLD: Answers = frozenset()
SECOND = "secondary."  # stands before the questions where a second fault is meant


def cells(phases: Collection[str] | None, balances: Collection[str] | None) -> Answers:
    """The cells that some phases and balances allow; None allows all of them."""
    return frozenset(
        cell
        for cell, (phase, balance) in CELLS.items()
        if (phases is None or phase in phases) and (balances is None or balance in balances)
    )


def told(felt: Answers, axis: str) -> Answers | None:
    """The answers left on an axis; None where all are, or nothing is told."""
    place = list(AXES).index(axis)
    left = frozenset(CELLS[cell][place] for cell in felt)
    return left if 0 < len(left) < len(AXES[axis]) else None


def axes(felt: Answers) -> dict[str, Answers]:
    """What is told on each axis, where something is."""
    return {axis: left for axis in AXES if (left := told(felt, axis))}


def turned(felt: Answers, axis: str, left: Answers | None) -> Answers:
    """The cells with these answers left on one axis (None: nothing told) and the other axis as it was."""
    now = cells(*(left if a == axis else told(felt, a) for a in AXES))
    return now if len(now) < len(CELLS) else NONE_TOLD


def by_question(answers: Mapping[str, Answers]) -> dict[str, Answers]:
    """The answers left to each question, from those of each observation."""
    found: dict[str, Answers] = {}
    for ident, left in answers.items():
        found.update(axes(left) if ident == FEEL else {ident: left})
    return found


def by_observation(
    answers: Mapping[str, Answers], question: str, left: Answers | None
) -> tuple[str, Answers]:
    """The observation that a question belongs to, and its answers when these are left to the question."""
    if question in AXES:
        return FEEL, turned(answers.get(FEEL, NONE_TOLD), question, left)
    return question, left or NONE_TOLD
