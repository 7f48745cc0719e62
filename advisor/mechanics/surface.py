"""The kart model as a response surface: what a step changes, without arrays, for the first screens of a sitting.

A first-order surface in the logarithms of the figures, fitted to the model over wide ranges of karts (G. E. P. Box &
K. B. Wilson, On the experimental attainment of optimum conditions, J. Royal Stat. Soc. B 13, 1951). The coefficients
stand in `fitted`; `python -m tests.mechanics.surfaces` writes them. It knows a direction only where nineteen karts
of twenty share it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import exp, log, sqrt
from statistics import NormalDist

from advisor.mechanics.fitted import CENTRES, FORMS, LIFTS, REACH
from advisor.mechanics.known import Known
from advisor.mechanics.rows import HIGH, LOW, Row
from advisor.mechanics.turns import SIDED, TURNS, sign_of
from advisor.model.levers import Gives, Lever
from advisor.physics.figures import FIGURES, Figure

KARTS = 200  # that are drawn for a spread
Coefficients = Mapping[str, float]
SIZE = "size"  # what is not known of a lever's size, beside the figures of the kart
# What makes a kart strong or weak to a lever; the day and the corner (grip, radius) are none of it.
BUILT = (
    "mass", "driver_share", "height", "front_share", "front_track", "rear_track", "caster", "front_rate",
    "rear_rate", "axle_stiffness", "frame",
)  # fmt: skip
FORCES = frozenset(  # effects measured by a force or a moment: the same share of the weight is felt alike (ours)
    (
        "front_bite_entry", "front_bite_mid", "front_bite_exit", "rear_side_bite", "rear_release", "rear_traction",
        "braking_stability", "steering_ease",
    )
)  # fmt: skip

TINY = 0.01  # of the centre of a figure: less is a slip of whoever wrote it


@dataclass(frozen=True, slots=True)
class Form:
    """A fitted figure: its sign, the logarithm of its size at the centre, coefficients, and the scatter about it."""

    sign: int
    centre: float
    by: Coefficients
    scatter: float


def family(kart: Known) -> str:
    """Which of the two surfaces a kart lies on: that of children's karts or that of all others."""
    return "small" if kart.figures["wheelbase"].usual < 1.0 else "usual"


LIFT = "lifts_at"  # what stands for the effect `inside_rear_lift`: the earlier, the more of it


def form(of: str, lever: str, effect: str) -> Form | None:
    """The surface of an effect (or `lifts_at`) over one step of a lever, turned the way that raises it."""
    found = FORMS[of].get(f"{lever} {LIFT if effect == 'inside_rear_lift' else effect}")
    if found is None:
        return None
    sign, centre, by, scatter = found
    return Form(-sign if effect == "inside_rear_lift" else sign, centre, by, scatter)


def reached(kart: Known) -> bool:
    """True where the usual figures of a kart lie in the ranges that the surface was fitted over."""
    ends = REACH[family(kart)]
    return all(low <= kart.figures[name].usual <= high for name, (low, high) in ends.items())


def lift(kart: Known) -> float | None:
    """Lateral acceleration at which the inside rear of the middle kart leaves the ground [g]; None out of reach."""
    of = family(kart)
    if not reached(kart):
        return None
    found = Form(*LIFTS[of])
    parts = (by * _part(name, kart.figures[name].usual, CENTRES[of][name]) for name, by in found.by.items())
    return exp(found.centre + sum(parts))


def moved(kart: Known, lever: str, effect: str, steps: float) -> Row | None:
    """What so many steps do to an effect (or `lifts_at`), negative against the way that raises; None where unknown.

    `before` and `after` are no level, but 0 and the change.
    """
    of = family(kart)
    found = form(of, lever, effect)
    if found is None or not reached(kart) or (lever in SIDED and not kart.turn):
        return None
    sign = found.sign * (-1 if lever in SIDED and kart.turn == "right" else 1)
    sizes = sorted(steps * sign * exp(z) for z in _drawn(found, lever, kart.figures, CENTRES[of]))
    low, middle, high = (_quantile(sizes, part) for part in (LOW, 0.5, HIGH))
    return Row(0.0, middle, low, middle, high)


@dataclass(frozen=True, slots=True)
class Built:
    """A kart for its strengths, worked out once: its surface, and what it has other than the middle kart of that.

    `parts`: by figure, as the surface has them; `weight`: of the usual kart's.
    """

    of: str
    reached: bool
    parts: Coefficients
    weight: float

    @staticmethod
    def like(kart: Known) -> Built:
        """What counts of a kart; the day and the corner are as usual."""
        of = family(kart)
        figures = {name: kart.figures[name].usual for name in BUILT}
        parts = {name: _part(name, value, CENTRES[of][name]) for name, value in figures.items()}
        other = {name: part for name, part in parts.items() if part}
        return Built(of, reached(kart), other, figures["mass"] / CENTRES["usual"]["mass"])

    def strength(self, lever: str, effect: str) -> float | None:
        """How strongly a lever gives an effect beside a usual kart: 1 alike; None where it is not known.

        Forces and moments count as shares of the weight.
        """
        here, usual = form(self.of, lever, effect), form("usual", lever, effect)
        if not self.reached or here is None or usual is None or here.sign != usual.sign:
            return None
        more = sum(here.by.get(name, 0.0) * part for name, part in self.parts.items())
        return exp(here.centre - usual.centre + more) / (self.weight if effect in FORCES else 1.0)

    def agrees(self, lever: Lever, gives: Gives) -> bool:
        """True where the wheel loads of such a kart say of a claim what its sources say."""
        found = form(self.of, lever.id, gives.effect)
        return found is not None and (found.sign * sign_of(lever, gives.way) > 0) == (gives.change == "more")


def strength(kart: Known, lever: str, effect: str) -> float | None:
    """The strength of one lever on a kart, see `Built.strength`."""
    return Built.like(kart).strength(lever, effect)


def _part(name: str, value: float, centre: float) -> float:
    """A figure as the surface has it: the logarithm of its ratio to the centre, or what it has more than that.

    What no kart has ("139 mm" for a track) counts as the least that could be.
    """
    return log(max(value / centre, TINY)) if name == SIZE or FIGURES[name].low > 0 else value - centre


def _drawn(found: Form, lever: str, figures: Mapping[str, Figure], centres: Coefficients) -> Iterator[float]:
    """Logarithms of a fitted figure for karts that fill the ranges of what is not known."""
    columns = []
    for place, (name, by) in enumerate(found.by.items(), start=1):
        figure, centre = (
            (figures[name], centres[name]) if name != SIZE else (TURNS[lever].size, TURNS[lever].size.usual)
        )
        columns.append([by * _part(name, _between(figure, part), centre) for part in _parts(place)])
    normal = NormalDist(0.0, found.scatter or 1e-9)
    columns.append([normal.inv_cdf(part) for part in _parts(0)])
    return (found.centre + sum(row) for row in zip(*columns, strict=True))


def _between(figure: Figure, part: float) -> float:
    """The value at a part of a range, half of it on either side of the usual one; see `kart.drawn`."""
    if part < 0.5:
        return figure.low + 2 * part * (figure.usual - figure.low)
    return figure.usual + (2 * part - 1) * (figure.high - figure.usual)


@lru_cache
def _parts(place: int) -> tuple[float, ...]:
    """Parts of a range that fill it evenly and go with no other place; see `kart.drawn`."""
    root = sqrt(_prime(place))
    return tuple((i * root) % 1.0 for i in range(1, KARTS + 1))


def _prime(place: int) -> int:
    found, number = -1, 1
    while found < place:
        number += 1
        found += all(number % d for d in range(2, int(sqrt(number)) + 1))
    return number


def _quantile(values: list[float], part: float) -> float:
    """The value below which a part of some sorted values lies, between the two nearest."""
    place = part * (len(values) - 1)
    first = int(place)
    rest = place - first
    return values[first] if rest == 0 else values[first] * (1 - rest) + values[first + 1] * rest
