"""Air and fuel: lambda, the air-fuel ratio, fuels blended, and a log before and after a change."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

# Air for one of fuel at complete burning, by mass, as the trade's tables have it; exact chemistry gives 8.98 and
# 6.45 for the alcohols; petrol is a blend, 14.7 by convention.
PETROL, ETHANOL, METHANOL = 14.7, 9.0, 6.45
DENSITY = {
    "petrol": 745.0,
    "ethanol": 789.0,
    "methanol": 792.0,
}  # [kg/m3] at about 20 degC; petrol 720 to 775
ALIKE = 0.01  # lambda nearer to its target than this is on target: what a probe can tell (common practice, no source)
SURE = 2.0  # standard errors that a difference must exceed


@dataclass(frozen=True, slots=True)
class Mixture:
    """stoichiometric: air for one of fuel by mass; lambda_, afr, phi: of the reading, or the mean after a change;
    more_fuel: share of fuel to add to reach the target (negative: take off); before_mean, after_mean, change:
    of lambda; standard_error of the change; state, verdict: in words."""

    stoichiometric: float
    lambda_: float | None = None
    afr: float | None = None
    phi: float | None = None
    more_fuel: float | None = None
    before_mean: float | None = None
    after_mean: float | None = None
    change: float | None = None
    standard_error: float | None = None
    state: str = ""
    verdict: str = ""


def mixture(
    *,
    lambda_: float | None = None,
    afr: float | None = None,
    ethanol: float,
    methanol: float,
    target: float | None = None,
    before: Sequence[float] = (),
    after: Sequence[float] = (),
) -> Mixture:
    """A reading, or logs of lambda before and after a change, against complete burning and against a target.

    lambda_, or afr (air to fuel by mass); ethanol, methanol: shares of the fuel by volume, the rest petrol;
    target: the lambda to reach; before, after: readings of lambda at the same place of the track. Raises
    ValueError where no reading is given or a log is too short. lambda = AFR / AFR_st, phi = 1 / lambda:
    J. B. Heywood, Internal Combustion Engine Fundamentals (1988), section 3.4.
    """
    if ethanol + methanol > 1 + 1e-9:
        raise ValueError("ethanol and methanol cannot be more than the whole fuel")
    if bool(before) != bool(after):
        raise ValueError("a log needs both before and after")
    if before and min(len(before), len(after)) < 3:
        raise ValueError("a log needs three readings at least, before and after")
    air = stoichiometric(ethanol, methanol)
    reading = sum(after) / len(after) if after else lambda_ if lambda_ is not None else (afr or 0) / air
    if not reading:
        raise ValueError("give lambda, afr, or before and after")
    first = sum(before) / len(before) if before else None
    error = spread(before, after) if before else None
    return Mixture(
        stoichiometric=air,
        lambda_=reading,
        afr=reading * air,
        phi=1 / reading,
        more_fuel=reading / target - 1 if target else None,
        before_mean=first,
        after_mean=reading if after else None,
        change=reading - first if first is not None else None,
        standard_error=error,
        state=_state(reading, target),
        verdict=_verdict(first, reading, error, target) if first is not None and error is not None else "",
    )


def stoichiometric(ethanol: float, methanol: float) -> float:
    """Air for one of fuel at complete burning, by mass, of a blend by volume (shares; the rest is petrol).

    The mean of PETROL, ETHANOL and METHANOL by mass: each part of the fuel burns with its own air.
    """
    shares = {"petrol": max(0.0, 1 - ethanol - methanol), "ethanol": ethanol, "methanol": methanol}
    masses = {fuel: share * DENSITY[fuel] for fuel, share in shares.items()}
    air = {"petrol": PETROL, "ethanol": ETHANOL, "methanol": METHANOL}
    return sum(masses[fuel] * air[fuel] for fuel in masses) / sum(masses.values())


def spread(before: Sequence[float], after: Sequence[float]) -> float:
    """Standard error of the difference of two means, each with its own scatter.

    B. L. Welch, Biometrika 34 (1947). Readings that follow each other are alike, so it is too small for a fast log.
    """
    return math.sqrt(sum(_variance(row) / len(row) for row in (before, after)))


def _variance(row: Sequence[float]) -> float:
    mean = sum(row) / len(row)
    return sum((x - mean) ** 2 for x in row) / (len(row) - 1)


# Lambda of most power with petrol, air to fuel of 12 to 13: public tables. A two-stroke's maker may ask for less.
POWER = (0.82, 0.88)


def _state(reading: float, target: float | None) -> str:
    burning = reading - 1
    text = "rich" if burning < -1e-9 else "lean" if burning > 1e-9 else "just complete burning"
    text += f" by {abs(burning) * 100:.1f} % against complete burning" if abs(burning) > 1e-9 else ""
    if target is None:
        return f"{text}; {_beside_power(reading)}"
    away = reading / target - 1
    if abs(away) < ALIKE:
        return f"{text}; on target"
    return f"{text}; {'lean' if away > 0 else 'rich'} of the target by {abs(away) * 100:.1f} %"


def _beside_power(reading: float) -> str:
    """Rich against complete burning may still be too lean for an engine at full throttle."""
    least, most = POWER
    where = "lean of" if reading > most else "rich of" if reading < least else "within"
    return f"{where} {least:g} to {most:g}, where petrol usually gives most power (the maker's figure counts)"


def _verdict(before: float, after: float, error: float, target: float | None) -> str:
    change = after - before
    if abs(change) <= SURE * error or abs(change) < 1e-9:
        return "the log does not show that the change did anything: it is within the scatter of the readings"
    text = f"the change made it {'leaner' if change > 0 else 'richer'} by {abs(change / before) * 100:.1f} %"
    if target is None:
        return text
    if abs(after - target) < abs(before - target):
        return f"{text}, nearer to the target: keep it"
    return f"{text}, further from the target: put it back, then go the other way"
