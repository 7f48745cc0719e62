"""How strong a step is on this kart, by the kart model, and so how many steps are advised at once.

Only sizes: the direction stays that of the sources, and where the wheel loads say otherwise of a claim, they say
nothing of its size either, because then something else must be at work.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from advisor.inference.cures import Links
from advisor.inference.trials import Prospect
from advisor.mechanics import surface
from advisor.mechanics.known import Known
from advisor.mechanics.turns import held
from advisor.model.knowledge import Book
from advisor.model.levers import Lever

MOST = 2.0  # steps at once: more than that changes too much before one run (common practice, no source)
PART = 0.5  # steps are divided no finer; the model knows a strength to about a fifth
TOLD = 1.25  # from which ratio on a strength is told


@dataclass(frozen=True, slots=True)
class Size:
    """`strength` of a step beside a usual kart's (1 alike), and `times`: how many steps are advised, 1 at least."""

    strength: float
    times: float


USUAL = Size(1.0, 1.0)
Sizes = Mapping[tuple[str, str], Size]  # by lever and way


def sizes(book: Book, kart: Known, table: Links, prospects: Sequence[Prospect]) -> Sizes:
    """The size of each way that may cure something, for what it is to give; those alike a usual kart are left out."""
    if not kart.told:
        return {}
    built = surface.Built.like(kart)
    found: dict[tuple[str, str], Size] = {}
    for prospect in prospects:
        lever, gives = book.levers[prospect.lever], table[prospect.lever][prospect.best].gives
        if gives is None:
            continue
        strength = built.strength(lever.id, gives.effect)
        if strength is None or 1 / TOLD < strength < TOLD:
            continue
        if held(lever) and built.agrees(lever, gives):
            found[lever.id, prospect.way] = Size(strength, _times(lever, strength))
    return found


def _times(lever: Lever, strength: float) -> float:
    """As many steps as give what one gives on a usual kart; one is the least that a driver feels."""
    if lever.step is None or lever.grades or lever.dimension is None or lever.part:
        return 1.0
    return min(MOST, max(1.0, round(1 / strength / PART) * PART))
