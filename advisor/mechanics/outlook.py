"""What a change does to a kart: loads, lift and balance before and after, with the spread of all that is not known."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from advisor.mechanics.lead import Spot, bolted
from advisor.mechanics.measures import MEASURES, Phases, pace, phases
from advisor.mechanics.rows import HIGH, LOW, SIGNED, Row
from advisor.mechanics.turns import SIDED, TURNS, place_of
from advisor.physics.elements import DEGREE, G
from advisor.physics.figures import Figure
from advisor.physics.handling import Number, Real, State
from advisor.physics.kart import Kart, drawn, sample

KARTS = 400  # that are drawn for a spread: its ends stand within a few hundredths of it, see the tests


@dataclass(frozen=True, slots=True)
class Change:
    """A lever turned by an amount: SI, grades or pieces, negative against the way that raises it.

    `spot`: where lead is bolted on or taken off; the amount is its mass then.
    """

    lever: str
    way: str
    amount: float
    spot: Spot | None = None


def sided(change: Change) -> bool:
    """True for what does one thing in a left-hander and another in a right-hander."""
    return change.lever in SIDED if change.spot is None else change.spot.left != 0


def mirrored(change: Change) -> Change:
    """The change seen from a right-hander, in which the inner side is the right."""
    if change.spot is not None:
        return replace(change, spot=change.spot.mirrored)
    return replace(change, amount=-change.amount) if change.lever in SIDED else change


@dataclass(frozen=True, slots=True)
class Outlook:
    """Before and after of some changes. rows: by the names of `ROWS`; effects: by the ids of the knowledge base.

    first: share of the karts whose front gives up first, before and after; lateral [g], radius [m], steer
    [degrees]: the corner of the middle kart.
    """

    rows: Mapping[str, Row]
    effects: Mapping[str, Row]
    first: tuple[float, float]
    lateral: float
    radius: float
    karts: int


@dataclass(frozen=True, slots=True)
class _Read:
    unit: str
    tiny: float
    take: Callable[[State], Real]


ROWS: dict[str, _Read] = {
    "front_inner": _Read("N", 1.0, lambda s: s.loads.front_inner),
    "front_outer": _Read("N", 1.0, lambda s: s.loads.front_outer),
    "rear_inner": _Read("N", 1.0, lambda s: s.loads.rear_inner),
    "rear_outer": _Read("N", 1.0, lambda s: s.loads.rear_outer),
    "height": _Read("mm", 0.05, lambda s: 1e3 * s.loads.rear_gap),
    "twist": _Read("mm", 0.05, lambda s: 1e3 * s.jack.twist),
    "steer": _Read("degrees", 0.03, lambda s: s.steer / DEGREE),
    "lifts_at": _Read("g", 0.004, lambda s: s.lifts_at / G),
    "tips_at": _Read("g", 0.004, lambda s: s.tips_at / G),
    "resisting": _Read("N m", 1.0, lambda s: s.resisting),
    "drag": _Read("N", 0.1, lambda s: s.drag),
    "front_left": _Read("N", 2.5, lambda s: s.front_left),
    "rear_left": _Read("N", 2.5, lambda s: s.rear_left),
    # How much nearer to its end the front is than the rear, in points of a hundred: more is more understeer.
    "balance": _Read("points", 0.1, lambda s: 100 * (s.front_use - s.rear_use)),
}


@dataclass(frozen=True, slots=True)
class Base:
    """Karts as they stand, in their corner: what every change is held against."""

    kart: Kart
    driven: Real
    seen: Phases


def base(
    figures: Mapping[str, Figure],
    lateral: float | None = None,
    radius: float | None = None,
    karts: int = KARTS,
) -> Base:
    """Karts of these figures (those that are left out are the usual ones), driven through their corner.

    lateral: acceleration of the corner [m/s2], that of `pace` where None; radius [m].
    """
    kart = sample(karts, figures)
    if radius is not None:
        kart = replace(kart, radius=np.full(karts, radius))
    driven = pace(kart) if lateral is None else np.full(karts, lateral)
    return Base(kart, driven, phases(kart, driven, kart.radius))


def outlook(before: Base, changes: Sequence[Change]) -> Outlook:
    """What the changes do to the karts; the corner, its speed and the driver are the same before and after.

    Raises KeyError for a lever that is not in the model.
    """
    karts = len(before.driven)
    after = phases(turned(before.kart, changes, karts), before.driven, before.kart.radius)
    old = before.seen
    return Outlook(
        rows={name: _row(read.take(old.mid), read.take(after.mid), read.tiny) for name, read in ROWS.items()},
        effects={name: _row(m.take(old), m.take(after), m.tiny) for name, m in MEASURES.items()},
        first=(_front_first(old), _front_first(after)),
        lateral=float(np.median(before.driven)) / G,
        radius=float(np.median(before.kart.radius)),
        karts=karts,
    )


def turned(kart: Kart, changes: Sequence[Change], karts: int) -> Kart:
    """The karts with the changes made, each lever with sizes of its own."""
    for change in changes:
        if change.spot is not None:
            kart = bolted(kart, change.amount, change.spot, karts)
            continue
        turn = TURNS[change.lever]
        size: Number = drawn(karts, place_of(change.lever), turn.size)
        kart = turn.apply(kart, change.amount, size)
    return kart


def _front_first(seen: Phases) -> float:
    return float(np.mean(seen.mid.front_use > seen.mid.rear_use))


def _row(before: Real, after: Real, tiny: float) -> Row:
    before, after = (np.broadcast_to(values, np.shape(after)) for values in (before, after))
    moved = after - before
    low, middle, high = (float(end) for end in np.quantile(moved, [LOW, 0.5, HIGH]))
    stood, told = float(np.median(before)), SIGNED * tiny
    up, down = float(np.mean(moved > told)), float(np.mean(moved < -told))
    return Row(stood, stood + middle, low, middle, high, tiny, up, down)
