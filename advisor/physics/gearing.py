"""Sprockets of a kart with one fixed ratio: how far it rolls, how fast, and what else fits. SI units throughout."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

Pair = tuple[int, int]  # teeth on the engine, teeth on the axle

# Axle teeth that usually stand behind so many engine teeth (least, most): common practice, no source.
USUAL: dict[int, tuple[int, int | None]] = {11: (77, 82), 12: (80, 86), 13: (85, None)}
NEAR = 6  # pairs of a kit that are told
BESIDE = 1  # engine teeth more and fewer for which the same ratio is told


@dataclass(frozen=True, slots=True)
class Gearing:
    """ratio: axle teeth to one engine tooth; per_turn: way for each turn of the engine [m]; speed [m/s];
    rpm [rad/s]; nearest: pairs of the kit, the nearest ratio first; same_ratio: axle teeth for other engine
    sprockets; others: ratios of pairs to compare; compared, usual: in words. None: not known."""

    ratio: float
    per_turn: float | None = None
    speed: float | None = None
    rpm: float | None = None
    others: Mapping[str, float] = field(default_factory=dict)
    nearest: Mapping[str, float] = field(default_factory=dict)
    same_ratio: Mapping[str, float] = field(default_factory=dict)
    compared: str = ""
    usual: str = ""


def gearing(
    *,
    engine_teeth: int,
    axle_teeth: int,
    rollout: float | None = None,
    tyre_diameter: float | None = None,
    rpm: float | None = None,
    speed: float | None = None,
    compare: Sequence[Pair] = (),
    engine_kit: Sequence[int] = (),
    axle_kit: Sequence[int] = (),
) -> Gearing:
    """Ratio, way for each engine turn, speed at revs or revs at speed, and what other sprockets give.

    rollout: what the rear tyre rolls in one turn [m], or its diameter [m]; rpm: of the engine [rad/s], or
    speed [m/s]; compare: other pairs; engine_kit, axle_kit: teeth of the sprockets at hand. Raises ValueError
    when revs or speed come without a tyre, or the sprockets are the wrong way round. Without slip and with one ratio
    between crankshaft and axle: R. C. Juvinall, K. M. Marshek, Fundamentals of Machine Component Design, ch. 19
    (chain drives; from memory).
    """
    if axle_teeth <= engine_teeth:
        raise ValueError("the axle has more teeth than the engine: are the two the wrong way round?")
    around = rollout if rollout is not None else math.pi * tyre_diameter if tyre_diameter else None
    if around is None and (rpm or speed):
        raise ValueError("revs and speed belong together only with a tyre: give rollout or tyre_diameter too")
    ratio = axle_teeth / engine_teeth
    way = around / ratio if around else None
    if way is not None:
        speed = way * rpm / (2 * math.pi) if rpm else speed
        rpm = speed / way * 2 * math.pi if speed and not rpm else rpm
    return Gearing(
        ratio=ratio,
        per_turn=way,
        speed=speed,
        rpm=rpm,
        others={_pair(p): p[1] / p[0] for p in compare},
        nearest=nearest(ratio, engine_kit or (engine_teeth,), axle_kit) if axle_kit else {},
        same_ratio=same_ratio(engine_teeth, axle_teeth),
        compared="; ".join(_compared((engine_teeth, axle_teeth), p) for p in compare),
        usual=usual(engine_teeth, axle_teeth),
    )


def nearest(ratio: float, engine: Iterable[int], axle: Iterable[int]) -> dict[str, float]:
    """Ratios of the pairs of a kit, the nearest to `ratio` (axle teeth to one engine tooth) first, at most NEAR."""
    pairs = {(n, m) for n in engine for m in axle}
    order = sorted(pairs, key=lambda p: (abs(math.log(p[1] / p[0] / ratio)), p))
    return {_pair(p): p[1] / p[0] for p in order[:NEAR]}


def same_ratio(engine_teeth: int, axle_teeth: int) -> dict[str, float]:
    """The nearest to the same ratio with engine teeth more and fewer: whole teeth, so rarely the same exactly."""
    found = {}
    for teeth in (engine_teeth - BESIDE, engine_teeth + BESIDE):
        if teeth > 1:
            axle = round(axle_teeth * teeth / engine_teeth)
            found[_pair((teeth, axle))] = axle / teeth
    return found


def usual(engine_teeth: int, axle_teeth: int) -> str:
    """A sentence where a pair is not one that people usually fit (USUAL: common practice, no source), or nothing."""
    if engine_teeth not in USUAL:
        return ""
    least, most = USUAL[engine_teeth]
    if axle_teeth < least or (most and axle_teeth > most):
        span = f"{least} to {most}" if most else f"{least} or more"
        return f"{engine_teeth} in front usually goes with {span} behind (common practice, no source)"
    return ""


def _pair(pair: Pair) -> str:
    return f"{pair[0]}/{pair[1]}"


def _compared(one: Pair, other: Pair) -> str:
    change = (other[1] / other[0]) / (one[1] / one[0]) - 1  # of the way for each turn of the engine
    if abs(change) < 5e-4:
        return (
            f"{_pair(one)} and {_pair(other)} are the same; the bigger axle sprocket runs nearer the ground"
        )
    way, so = (
        ("longer", "more top speed, less drive") if change > 0 else ("shorter", "more drive, less top speed")
    )
    return f"{_pair(one)} is {abs(change) * 100:.1f} % {way} than {_pair(other)}: {so}"
