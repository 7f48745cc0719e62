"""How near the ground the axle sprocket and its chain run. SI units throughout."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.physics.chain import PLATE, outside_diameter, pitch_diameter


@dataclass(frozen=True, slots=True)
class Clearance:
    """axle_height, sprocket_clearance, chain_clearance: above flat ground [m]; kerb_warning: in words, or nothing."""

    axle_height: float
    sprocket_clearance: float
    chain_clearance: float
    kerb_warning: str


def clearance(
    *, axle_teeth: int, pitch: float, tyre_diameter: float, squash: float, kerb: float
) -> Clearance:
    """Height of sprocket and chain above flat ground, the tyre standing still.

    pitch, tyre_diameter (rear, off the ground), squash (how far it sinks under the kart), kerb (the height
    that must pass below) in [m]. Raises ValueError when the chain would touch the ground. Diameters: ASME
    B29.1, see `advisor.physics.chain`. A bent kerb, a lower tyre and a leaning kart take more.
    """
    height = tyre_diameter / 2 - squash
    lowest = pitch_diameter(axle_teeth, pitch) / 2 + PLATE * pitch / 2
    tips = height - outside_diameter(axle_teeth, pitch) / 2
    gap = height - lowest
    if min(gap, tips) <= 0:
        raise ValueError("the chain would drag on flat ground: check axle_teeth, pitch and tyre_diameter")
    warning = ""
    if gap < kerb:
        warning = (
            "the chain runs lower than the kerb is high: stay off it, fit a sprocket guard where the rules allow, "
            "or reach the same ratio with smaller sprockets on engine and axle"
        )
    return Clearance(height, tips, gap, warning)
