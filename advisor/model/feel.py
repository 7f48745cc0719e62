"""What the kart does and where: phase and balance are two questions about one observation, the cell that is felt."""

from __future__ import annotations

from collections.abc import Collection

from advisor.model.knowledge import BALANCES, PHASES

Answers = frozenset[str]

FEEL = "feel"
AXES = {"phase": PHASES, "balance": BALANCES}
# The answers of the one observation, each with what it says on either axis.
CELLS = {f"{phase} {balance}": (phase, balance) for phase in PHASES for balance in BALANCES}


def cells(phases: Collection[str] | None, balances: Collection[str] | None) -> Answers:
    """The cells that some phases and balances allow; None allows all of them."""
    return frozenset(
        cell
        for cell, (phase, balance) in CELLS.items()
        if (phases is None or phase in phases) and (balances is None or balance in balances)
    )
