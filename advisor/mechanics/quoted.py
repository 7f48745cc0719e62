"""What the kart model says of one step of a lever on a kart, in a sentence: for beside an explanation."""

from __future__ import annotations

from advisor.mechanics.chain import brief
from advisor.mechanics.known import known
from advisor.mechanics.outlook import Change, base, outlook
from advisor.mechanics.turns import SIDED, held, one_step, sign_of
from advisor.model.case import Case
from advisor.model.knowledge import Book

QUOTED = 200  # karts: a sentence needs no finer ends


def quote(book: Book, lever: str, way: str, case: Case | None = None) -> str:
    """What one step of a lever does to this kart, with its spread; empty where the model holds nothing of it.

    Loads numpy and takes about a tenth of a second, so call it for what is looked at, not for every rank.
    """
    entry = book.levers[lever]
    if not held(entry) or way not in entry.ways:
        return ""
    sign = sign_of(entry, way)
    if sign == 0:
        return ""
    kart = known(case or Case())
    mirrored = lever in SIDED and kart.turn == "right"
    amount = sign * one_step(entry) * (-1 if mirrored else 1)
    seen = outlook(base(kart.figures, karts=QUOTED), [Change(lever, way, amount)])
    if all(row.sign == "nothing" for row in (*seen.effects.values(), *seen.rows.values())):
        return "one step changes too little for the wheel loads to tell."
    corner = f"in a {'right' if mirrored else 'left'}-hander, " if lever in SIDED else ""
    return f"{corner}{brief(seen)}"
