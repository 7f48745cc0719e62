"""Oil in the fuel of a two-stroke, by volume. SI units throughout."""

from __future__ import annotations

from dataclasses import dataclass

LITRE = 1e-3  # [m3]


@dataclass(frozen=True, slots=True)
class Premix:
    """ratio: fuel to one of oil; oil, fuel, mix: volumes [m3]; oil_per_litre: of fuel [m3]; oil_of_fuel,
    oil_of_mix: shares; joined_ratio: of both batches poured together; oil_to_add, fuel_to_add: what brings the
    two to `ratio` [m3]. None: no such volume was given."""

    ratio: float
    oil_per_litre: float
    oil_of_fuel: float
    oil_of_mix: float
    oil: float | None = None
    fuel: float | None = None
    mix: float | None = None
    joined_ratio: float | None = None
    oil_to_add: float | None = None
    fuel_to_add: float | None = None


def premix(
    *,
    ratio: float | None = None,
    oil_per_litre: float | None = None,
    oil_of_fuel: float | None = None,
    oil_of_mix: float | None = None,
    oil: float | None = None,
    fuel: float | None = None,
    mix: float | None = None,
    other_mix: float | None = None,
    other_ratio: float | None = None,
) -> Premix:
    """Oil for a batch, however the share is told, and what two batches come to.

    One of ratio (fuel to one of oil), oil_per_litre (of fuel) [m3], oil_of_fuel (share), oil_of_mix (share
    of the finished mix) and oil (in this batch) [m3]; fuel (before the oil) or mix (finished) [m3]; other_mix [m3] and
    other_ratio: a batch poured in, or alone. Raises ValueError where a batch is named in part. Volumes add up
    (petrol and oil shrink by less than 0.1 %: assumed). Definitions: common practice; published tables agree.
    """
    if oil is not None:
        fuel = mix - oil if mix is not None else fuel
        if fuel is None or fuel <= 0:
            raise ValueError("how much fuel is that oil in? give fuel, or more mix than oil")
        ratio, mix = fuel / oil, None
    parts = parts_of_fuel(ratio, oil_per_litre, oil_of_fuel, oil_of_mix)
    if mix is not None:
        fuel = mix * parts / (parts + 1)
    if (other_mix is None) != (other_ratio is None):
        raise ValueError("a second batch needs both other_mix and other_ratio")
    mixed = mix is not None and other_mix is not None  # what is in it already is asked of nobody
    joined = add_oil = add_fuel = None
    if other_mix is not None and other_ratio is not None:
        joined, add_oil, add_fuel = join(fuel or 0.0, parts, other_mix, other_ratio)
    return Premix(
        ratio=parts,
        oil_per_litre=LITRE / parts,
        oil_of_fuel=1 / parts,
        oil_of_mix=1 / (parts + 1),
        oil=fuel / parts if fuel is not None and not mixed else None,
        fuel=None if mixed else fuel,
        mix=fuel * (1 + 1 / parts) if fuel is not None else None,
        joined_ratio=joined,
        oil_to_add=add_oil,
        fuel_to_add=add_fuel,
    )


def parts_of_fuel(
    ratio: float | None, per_litre: float | None, of_fuel: float | None, of_mix: float | None
) -> float:
    """Parts of fuel to one of oil, from the one way in which it is told; see `premix` for the units."""
    if ratio is not None:
        return ratio
    if per_litre is not None:
        return LITRE / per_litre
    if of_fuel is not None:
        return 1 / of_fuel
    if of_mix is not None:
        return 1 / of_mix - 1
    raise ValueError("how much oil is not told")


def join(fuel: float, parts: float, other_mix: float, other_parts: float) -> tuple[float, float, float]:
    """Two batches together: parts of fuel to one of oil, and the oil or the fuel [m3] that brings them to `parts`.

    fuel: in the first batch [m3]; other_mix: the whole second batch [m3].
    """
    oil = fuel / parts + other_mix / (other_parts + 1)
    whole = fuel + other_mix * other_parts / (other_parts + 1)
    return whole / oil, max(0.0, whole / parts - oil), max(0.0, oil * parts - whole)
