"""Lead that is bolted on or taken off: where it goes, as people say it, and what it makes of a kart."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from advisor.physics.ballast import MORE_PLACES, PLACES
from advisor.physics.figures import FIGURES, Figure

if TYPE_CHECKING:  # arrays are loaded by who works a change out, not by who reads what it is
    from advisor.physics.kart import Kart

LEVER = "ballast_total"
MOST = 40.0  # [kg] of lead in one change
PLACE_OF_SIZES = len(FIGURES) + 40  # behind the figures and levers that are drawn; see `kart.drawn`
USUAL = 2.0  # [kg] where no amount is told


@dataclass(frozen=True, slots=True)
class Spot:
    """A place for lead: as it is said, forward of the rear axle, left of the middle, above the ground [m]."""

    says: str
    forward: float
    left: float
    up: float

    @property
    def mirrored(self) -> Spot:
        """The same place on the other side."""
        return replace(self, left=-self.left)


_AT = {name: (forward, left) for name, forward, left in (*PLACES, *MORE_PLACES)}


def _spot(name: str, up: float, says: str) -> Spot:
    return Spot(says, *_AT[name], up)


_OF_SEAT = r"(?: of)? (?:the |my )?seat"
# Where lead goes, the special before the general; heights are assumptions of ours.
_SPOTS = (
    (
        r"(?:under(?:neath)?|below|beneath) (?:the |my )?seat|seat (?:bottom|pan)",
        _spot("under the seat", 0.04, "under the seat"),
    ),
    (rf"(?:back|rear|behind){_OF_SEAT}|seat ?back", _spot("seat back", 0.25, "on the seat back")),
    (
        rf"front{_OF_SEAT}|seat front|under (?:the |my )?(?:knees|legs)",
        _spot("seat front", 0.08, "at the front of the seat"),
    ),
    (r"left (?:hand )?(?:side ?)?pod|pod on the left", _spot("left pod", 0.1, "on the left pod")),
    (r"right (?:hand )?(?:side ?)?pod|pod on the right", _spot("right pod", 0.1, "on the right pod")),
    (r"\bleft\b", _spot("seat left", 0.15, "on the left of the seat")),
    (r"\bright\b", _spot("seat right", 0.15, "on the right of the seat")),
    (r"floor|pedals|\bfeet\b", _spot("floor", 0.05, "on the floor")),
    (r"\bnose\b|\bfront\b", _spot("nose", 0.12, "at the nose")),
    (r"rear bumper|\baxle\b|\btail\b|\brear\b|\bback\b", _spot("behind the axle", 0.15, "behind the axle")),
)
_ABOUT = {"forward": 0.08, "left": 0.04, "up": 0.04}  # [m] either way, as nobody measured it; assumption
_MASS = re.compile(r"(\d{1,3}(?:[.,]\d{1,3})?) ?(kgs?|kilos?|lbs?|pounds?)\b")
_MOVED = re.compile(r"\b(?:move|shift|relocate|swap|raise|lower|higher|up|down)\b|\bfrom\b.*\bto\b")
_ON = re.compile(r"\b(?:add|put|bolt|mount|fix|fit|hang|screw|strap|extra|more)\b")
_OFF = re.compile(r"\b(?:take|remove|unbolt|off|less)\b")
_WHERE = re.compile(
    r"^\W*\d[\d.,]* ?(?:kgs?|kilos?|lbs?|pounds?)\b(?: of (?:lead|ballast))? (?:at|on|under|to|in|behind|below)\b"
)
KILOGRAMS = {"k": 1.0, "l": 0.45359237, "p": 0.45359237}
EXAMPLE = '"add 5 kg lead under the seat"'


def read(part: str) -> tuple[float, Spot | None] | None:
    """Kilograms that a part of a change bolts on, below 0 off, and where; None for what is no such change."""
    mass, named = _MASS.search(part), re.search(r"\b(?:lead|ballast)\b", part)
    if _MOVED.search(part) or not (named or mass):
        return None
    spot = next((spot for pattern, spot in _SPOTS if re.search(pattern, part)), None)
    on, off = bool(_ON.search(part)), bool(_OFF.search(part))
    if mass and (named or on or _WHERE.match(part)):
        kilograms = float(mass[1].replace(",", ".")) * KILOGRAMS[mass[2][0]]
    elif named and ((on and not off) or (spot is None and (on or off))):
        kilograms = USUAL
    else:
        return None
    return (-kilograms if off else kilograms), spot


def told(kilograms: float, spot: Spot) -> str:
    """The change as it is said."""
    if kilograms < 0:
        return f"take off {-kilograms:.3g} kg of lead {spot.says}"
    return f"add {kilograms:.3g} kg of lead {spot.says}"


def first(kilograms: float, spot: Spot) -> str:
    """The first link of the chain."""
    side = f", {abs(spot.left):g} m to the {'left' if spot.left > 0 else 'right'}" if spot.left else ""
    along = f"{abs(spot.forward):g} m {'in front of' if spot.forward > 0 else 'behind'} the rear axle"
    more = "more" if kilograms > 0 else "less"
    return f"the kart weighs {abs(kilograms):.3g} kg {more}, {along}{side}, {spot.up:g} m above the ground (assumed)"


def bolted(kart: Kart, kilograms: float, spot: Spot, karts: int) -> Kart:
    """Karts with so much lead more in a place, which is known to some centimetres: moments about each axis.

    T. D. Gillespie, Fundamentals of Vehicle Dynamics (1992), ch. 1.
    """
    from advisor.physics.kart import drawn

    at = {}
    for i, (name, by) in enumerate(_ABOUT.items()):
        value = getattr(spot, name)
        at[name] = drawn(karts, PLACE_OF_SIZES + i, Figure(value, value - by, value + by, "assumption"))
    mass = kart.mass + kilograms
    return replace(
        kart,
        mass=mass,
        driver_share=kart.driver_share * kart.mass / mass,
        front_share=(kart.front_share * kart.mass + kilograms * at["forward"] / kart.wheelbase) / mass,
        offset=(kart.offset * kart.mass + kilograms * at["left"]) / mass,
        height=(kart.height * kart.mass + kilograms * at["up"]) / mass,
        cross=kart.cross * kart.mass / mass,
    )
