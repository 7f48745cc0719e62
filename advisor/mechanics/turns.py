"""Levers as the kart model has them: which figures of a kart a step moves, and by how much.

How much a grade, a bar or a piece of lead moves is told nowhere, so each such size has a range of its own, which
widens the spread of what is said of it. Levers that act by heat, rubber, damping or the driver are not in the model.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeAlias

from advisor import units
from advisor.model.levers import Lever
from advisor.physics.figures import FIGURES, FRONT_AIR, REAR_AIR, Figure

if TYPE_CHECKING:  # arrays are loaded by who turns a lever, not by who asks what it is
    from advisor.physics.kart import Kart, Number

Apply: TypeAlias = "Callable[[Kart, Number, Number], Kart]"
ONE = Figure(1.0, 1.0, 1.0, "")
DISC = 0.26  # [m] across a front tyre or the discs that toe is measured on; common practice, no source


@dataclass(frozen=True, slots=True)
class Turn:
    """A lever in the model. `raises`: the way that makes the amount positive; `first`: what that does, and what
    the other way does, as the first link of a chain; `apply`: kart, amount (SI, grades or pieces) and size -> kart;
    `size`: what is not known of it, with its range; `kind`: dimension of the amount; `step`: for a lever whose record
    has none.
    """

    raises: str
    first: tuple[str, str]
    apply: Apply
    size: Figure = ONE
    kind: str = "count"
    step: float = 1.0


def _caster(kart: Kart, amount: Number, size: Number) -> Kart:
    return replace(kart, caster=kart.caster + amount)


def _front_track(kart: Kart, amount: Number, size: Number) -> Kart:
    return replace(kart, front_track=kart.front_track + amount, arm=kart.arm + 0.5 * amount)


def _rear_track(kart: Kart, amount: Number, size: Number) -> Kart:
    return replace(kart, rear_track=kart.rear_track + amount)


def _axle(kart: Kart, amount: Number, size: Number) -> Kart:
    return replace(kart, axle_stiffness=kart.axle_stiffness * (1 + size) ** amount)


def _hub(kart: Kart, amount: Number, size: Number) -> Kart:
    return replace(kart, hub_grip=kart.hub_grip + amount * size)


def _frame(kart: Kart, amount: Number, size: Number) -> Kart:
    return replace(kart, frame=kart.frame * (1 + size) ** amount)


def _front_air(kart: Kart, amount: Number, size: Number) -> Kart:
    return replace(kart, front_rate=kart.front_rate * (1 + amount / FRONT_AIR) ** size)


def _rear_air(kart: Kart, amount: Number, size: Number) -> Kart:
    return replace(kart, rear_rate=kart.rear_rate * (1 + amount / REAR_AIR) ** size)


def _all_air(kart: Kart, amount: Number, size: Number) -> Kart:
    return _rear_air(_front_air(kart, amount, size), amount, size)


def _lead_along(kart: Kart, amount: Number, size: Number) -> Kart:
    moved = LEAD * size * amount / (kart.mass * kart.wheelbase)
    return replace(kart, front_share=kart.front_share + moved)


def _lead_up(kart: Kart, amount: Number, size: Number) -> Kart:
    return replace(kart, height=kart.height + LEAD * size * amount / kart.mass)


def _lead_across(kart: Kart, amount: Number, size: Number) -> Kart:
    """Towards the right; in the left-hander that is meant the inner side is the left."""
    return replace(kart, offset=kart.offset - LEAD * size * amount / kart.mass)


def _seat_along(kart: Kart, amount: Number, size: Number) -> Kart:
    moved = kart.driver_share * amount / kart.wheelbase
    return replace(kart, front_share=kart.front_share + moved)


def _seat_up(kart: Kart, amount: Number, size: Number) -> Kart:
    return replace(kart, height=kart.height + kart.driver_share * amount)


def _front_up(kart: Kart, amount: Number, size: Number) -> Kart:
    up = size * amount
    return replace(kart, height=kart.height + kart.front_share * up, caster=kart.caster + up / kart.wheelbase)


def _rear_up(kart: Kart, amount: Number, size: Number) -> Kart:
    up = size * amount
    return replace(
        kart, height=kart.height + (1 - kart.front_share) * up, caster=kart.caster - up / kart.wheelbase
    )


def _toe(kart: Kart, amount: Number, size: Number) -> Kart:
    return replace(kart, toe=kart.toe + amount / DISC)


def _ackermann(kart: Kart, amount: Number, size: Number) -> Kart:
    return replace(kart, ackermann=kart.ackermann + size * amount)


def _stagger(kart: Kart, amount: Number, size: Number) -> Kart:
    return replace(kart, stagger=kart.stagger + amount)


def _bias(kart: Kart, amount: Number, size: Number) -> Kart:
    """Only karts that have front brakes have a bias."""
    import numpy as np

    front = np.clip(kart.brake_front + size * amount, 0.0, 1.0)
    return replace(kart, brake_front=np.where(np.asarray(kart.brake_front) > 0, front, 0.0))


def _cross(kart: Kart, amount: Number, size: Number) -> Kart:
    return replace(kart, cross=kart.cross + size * amount)


LEAD = 2.0  # [kg] that is moved
AIR = Figure(
    0.8, 0.4, 1.2, "rate of a tyre over its pressure: carcass alone 0, air alone up to 2; assumption"
)
_BRACED = ("the frame twists less under the same load", "the frame twists more under the same load")

TURNS: dict[str, Turn] = {
    "caster": Turn(
        "more",
        (
            "turning the wheel pushes the inner front further down and draws the outer one further up",
            "turning the wheel pushes the inner front down less and draws the outer one up less",
        ),
        _caster,
        kind="angle",
    ),
    "front_track_width": Turn(
        "wider",
        (
            "the front wheels swing on longer arms, so the same lock moves them further up and down",
            "the front wheels swing on shorter arms, so the same lock moves them less up and down",
        ),
        _front_track,
        kind="length",
    ),
    "rear_track_width": Turn(
        "wider",
        (
            "the rear stands on a broader base, so the same side force moves less load across it, and the outer "
            "and inner paths lie further apart",
            "the rear stands on a narrower base, so the same side force moves more load across it, and the outer "
            "and inner paths lie closer together",
        ),
        _rear_track,
        kind="length",
    ),
    "axle_stiffness": Turn(
        "stiffer",
        (
            "the ends of the axle bend less, so the rear stands a little stiffer",
            "the ends of the axle bend more, so the rear stands a little softer",
        ),
        _axle,
        Figure(0.15, 0.05, 0.30, "bending stiffness from grade to grade, assumption"),
    ),
    "rear_hub_length": Turn(
        "longer",
        (
            "less free axle is left to bend, so the rear stands a little stiffer",
            "more free axle is left to bend, so the rear stands a little softer",
        ),
        _hub,
        Figure(0.8, 0.5, 1.0, "of a longer hub, what it holds inwards, assumption"),
        kind="length",
    ),
    "front_torsion_bar": Turn("add", _BRACED, _frame, Figure(0.08, 0.03, 0.20, "best added tube 20 %")),
    "rear_torsion_bar": Turn("add", _BRACED, _frame, Figure(0.08, 0.03, 0.20, "best added tube 20 %")),
    "side_bars": Turn("tighten", _BRACED, _frame, Figure(0.02, 0.0, 0.05, "assumption")),
    "seat_stays": Turn("add", _BRACED, _frame, Figure(0.04, 0.01, 0.10, "assumption")),
    "seat_flex": Turn("stiffer", _BRACED, _frame, Figure(0.06, 0.02, 0.15, "assumption")),
    "tyre_pressure": Turn(
        "up",
        ("all four tyres stand stiffer on their air", "all four tyres stand softer"),
        _all_air,
        AIR,
        kind="pressure",
    ),
    "tyre_pressure_front": Turn(
        "up",
        ("the front tyres stand stiffer on their air", "the front tyres stand softer"),
        _front_air,
        AIR,
        kind="pressure",
    ),
    "tyre_pressure_rear": Turn(
        "up",
        ("the rear tyres stand stiffer on their air", "the rear tyres stand softer"),
        _rear_air,
        AIR,
        kind="pressure",
    ),
    "ballast_fore_aft": Turn(
        "forward",
        ("weight goes from the rear wheels to the front", "weight goes from the front wheels to the rear"),
        _lead_along,
        Figure(0.6, 0.3, 0.9, "metres that 2 kg are moved, assumption"),
    ),
    "ballast_height": Turn(
        "raise",
        (
            "the mass sits higher, so a corner tips more load outwards",
            "the mass sits lower, so a corner tips less load outwards",
        ),
        _lead_up,
        Figure(0.3, 0.15, 0.45, "metres that 2 kg are moved, assumption"),
    ),
    "ballast_side": Turn(
        "right",
        ("weight goes to the right-hand wheels", "weight goes to the left-hand wheels"),
        _lead_across,
        Figure(0.5, 0.3, 0.7, "metres that 2 kg are moved, assumption"),
    ),
    "seat_fore_aft": Turn(
        "forward",
        ("weight goes from the rear wheels to the front", "weight goes from the front wheels to the rear"),
        _seat_along,
        kind="length",
    ),
    "seat_height": Turn(
        "raise",
        (
            "the driver sits higher, so a corner tips more load outwards",
            "the driver sits lower, so a corner tips less load outwards",
        ),
        _seat_up,
        kind="length",
    ),
    "front_ride_height": Turn(
        "raise",
        (
            "the nose comes up: the mass sits higher and the king-pins lean back a little more",
            "the nose goes down: the mass sits lower and the king-pins lean back a little less",
        ),
        _front_up,
        Figure(0.006, 0.003, 0.010, "metres of a grade, assumption"),
    ),
    "rear_ride_height": Turn(
        "raise",
        (
            "the tail comes up: the mass sits higher and the king-pins lean back a little less",
            "the tail goes down: the mass sits lower and the king-pins lean back a little more",
        ),
        _rear_up,
        Figure(0.006, 0.003, 0.010, "metres of a grade, assumption"),
    ),
    "toe": Turn(
        "out",
        ("the inner front turns a little more and the outer one less", "both fronts turn more alike"),
        _toe,
        kind="length",
    ),
    "ackermann": Turn(
        "more",
        ("the inner front turns more and the outer one less", "both fronts turn more alike"),
        _ackermann,
        Figure(0.25, 0.10, 0.40, "of full Ackermann from grade to grade, assumption"),
    ),
    "stagger": Turn(
        "more",
        (
            "the axle rolls to the left by itself, so a left-hander asks less slip of it",
            "the axle rolls straighter by itself, so a left-hander asks more slip of it",
        ),
        _stagger,
        kind="length",
    ),
    "brake_bias": Turn(
        "front",
        ("the front tyres brake more and the rears less", "the rear tyres brake more and the fronts less"),
        _bias,
        Figure(0.08, 0.04, 0.12, "of all braking from grade to grade, assumption"),
    ),
    "corner_weights": Turn(
        "more_cross",
        (
            "right front and left rear carry more when standing, the others less",
            "right front and left rear carry less when standing, the others more",
        ),
        _cross,
        Figure(0.01, 0.01, 0.01, "one point of the weight"),
    ),
}
SIDED = frozenset(("ballast_side", "stagger", "corner_weights"))  # what turns round with the corner
_PLACE = {name: place for place, name in enumerate(TURNS, start=len(FIGURES))}


def place_of(lever: str) -> int:
    """The place of a lever's size among the figures that are drawn; see `kart.drawn`."""
    return _PLACE[lever]


def held(lever: Lever) -> bool:
    """True for a lever that the model holds as its record has it; a team's own record may count it otherwise."""
    turn = TURNS.get(lever.id)
    if turn is None or turn.raises not in lever.ways:
        return False
    unit = units.find_unit(lever.step.amount.rpartition(" ")[2]) if lever.step else None
    return turn.kind == (unit.dimension if unit else "count")


def one_step(lever: Lever) -> float:
    """What one step of a lever changes in all: SI for a quantity, else grades or pieces. Needs a lever of `TURNS`."""
    turn = TURNS[lever.id]
    if lever.step is None:
        return turn.step
    number, _, unit = lever.step.amount.partition(" ")
    if unit in ("grade", "piece"):
        return float(number)
    quantity = units.parse(lever.step.amount)
    return quantity.value * quantity.unit.factor * lever.step.counts


def sign_of(lever: Lever, way: str) -> int:
    """1 for the way that raises, -1 for its opposite, 0 for a way that is neither."""
    turn = TURNS.get(lever.id)
    if turn is None:
        return 0
    if way == turn.raises:
        return 1
    return -1 if lever.ways[way].opposite == turn.raises else 0
