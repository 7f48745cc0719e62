"""Roller chain on two sprockets: links, centre distance, diameters. SI units throughout."""

from __future__ import annotations

import math
from dataclasses import dataclass

PLATE = (
    0.95  # height of a link plate, of the pitch, at most: ASME B29.1 as in Machinery's Handbook (from memory)
)
RULE = 10  # links more than all teeth together: a shop's rule of thumb for the small kart pitch


@dataclass(frozen=True, slots=True)
class Chain:
    """links_exact: by the formula; links: the chain to fit; centre_distance: for that chain [m]; shorter_distance:
    for a chain two links shorter [m]; chain_note: what to know of the count, in words."""

    links: int
    links_exact: float
    centre_distance: float
    shorter_distance: float
    chain_note: str = ""


def chain(
    *,
    pitch: float,
    engine_teeth: int,
    axle_teeth: int,
    centre_distance: float | None = None,
    links: int | None = None,
) -> Chain:
    """From centre distance to links or back; with neither, a rule of thumb for the links.

    pitch, centre_distance: [m]. Raises ValueError where the sprockets would touch or the chain is too short.
    Formulas: `links_for` and `distance_for`.
    """
    note = ""
    if centre_distance is not None:
        apart(centre_distance, pitch, engine_teeth, axle_teeth)
        exact = links_for(centre_distance / pitch, engine_teeth, axle_teeth)
        links = 2 * math.ceil(exact / 2 - 1e-9)
    else:
        if links is None:
            links = engine_teeth + axle_teeth + RULE
            links += links % 2
            note = "links by a rule of thumb (all teeth and ten): measure the centre distance for your kart"
        exact = float(links)
    if links % 2:
        note = (
            f"{links} is odd: a chain joined with a plain link has an even count, {links - 1} or {links + 1}"
        )
    return Chain(
        links=links,
        links_exact=exact,
        centre_distance=_distance(links, pitch, engine_teeth, axle_teeth),
        shorter_distance=_distance(links - 2, pitch, engine_teeth, axle_teeth, check=False),
        chain_note=note,
    )


def links_for(pitches: float, engine_teeth: int, axle_teeth: int) -> float:
    """Length of a chain in links for a centre distance in pitches.

    ASME B29.1, also J. E. Shigley, C. R. Mischke, Mechanical Engineering Design, ch. 17 (from memory): the
    first terms of the exact length, which is up to a tenth of a link longer on a kart.
    """
    n, m = sorted((engine_teeth, axle_teeth))
    return 2 * pitches + (m + n) / 2 + (m - n) ** 2 / (4 * math.pi**2 * pitches)


def distance_for(links: float, engine_teeth: int, axle_teeth: int) -> float:
    """Centre distance in pitches for a chain of so many links: the inverse of `links_for`, same source.

    Raises ValueError for a chain that does not reach around both sprockets.
    """
    n, m = sorted((engine_teeth, axle_teeth))
    b = links - (m + n) / 2
    inside = b * b - 8 * ((m - n) / (2 * math.pi)) ** 2
    if b <= 0 or inside < 0:
        raise ValueError(f"a chain of {links:g} links is too short for {engine_teeth} and {axle_teeth} teeth")
    return (b + math.sqrt(inside)) / 4


def pitch_diameter(teeth: int, pitch: float) -> float:
    """Diameter of the circle on which the rollers lie [m]; pitch [m]. ASME B29.1 (from memory)."""
    return pitch / math.sin(math.pi / teeth)


def outside_diameter(teeth: int, pitch: float) -> float:
    """Diameter over the tips of the teeth [m]; pitch [m]. ASME B29.1 (from memory); makers differ by 0.03 in."""
    return pitch * (0.6 + 1 / math.tan(math.pi / teeth))


def apart(centre_distance: float, pitch: float, engine_teeth: int, axle_teeth: int) -> None:
    """Raise ValueError where the sprockets would touch at this centre distance; lengths in [m]."""
    if 2 * centre_distance <= outside_diameter(engine_teeth, pitch) + outside_diameter(axle_teeth, pitch):
        raise ValueError(
            "the sprockets would touch: centre_distance is too small for these teeth and this pitch"
        )


def _distance(links: int, pitch: float, engine_teeth: int, axle_teeth: int, check: bool = True) -> float:
    found = distance_for(links, engine_teeth, axle_teeth) * pitch
    if check:
        apart(found, pitch, engine_teeth, axle_teeth)
    return found
