"""The air that an engine breathes: density, vapour and the standard atmosphere. SI units throughout."""

from __future__ import annotations

import math
from dataclasses import dataclass

# ICAO Standard Atmosphere, Doc 7488/3 (1993) = ISO 2533:1975, section 2.
STANDARD_TEMPERATURE = 288.15  # [K]
STANDARD_DENSITY = 1.225  # [kg/m3]
LAPSE = 0.0065  # [K/m]
GAS_CONSTANT = 287.05287  # dry air [J/(kg K)]
POWER = 9.80665 / (GAS_CONSTANT * LAPSE)  # exponent of the pressure, 5.2559

VAPOUR = 0.621945  # molar mass of water over that of dry air: ASHRAE Handbook Fundamentals 2017, ch. 1
SAME_AIR = 0.01  # a change of density that no jet is changed for: common practice, no source


@dataclass(frozen=True, slots=True)
class Air:
    """density [kg/m3], vapour_pressure, dry_pressure, pressure [Pa], air_ratio (to standard air, 1 = 1.225 kg/m3),
    density_altitude [m], set_density: of the air in which the carburettor was set, where that was told [kg/m3],
    mixture_shift (share by which an unaltered carburettor runs leaner), jetting: in words, air_note: what was not
    told of it."""

    density: float
    air_ratio: float
    density_altitude: float
    pressure: float
    vapour_pressure: float
    dry_pressure: float
    mixture_shift: float
    jetting: str
    air_note: str
    set_density: float | None = None


def air(
    *,
    temperature: float,
    pressure: float | None = None,
    qnh: float | None = None,
    altitude: float | None = None,
    humidity: float | None = None,
    dew: float | None = None,
    set_density: float | None = None,
    set_temperature: float | None = None,
    set_pressure: float | None = None,
    set_humidity: float | None = None,
) -> Air:
    """Density of moist air, and what it asks of a carburettor that was set in other air.

    temperature, dew: [K]; pressure: of the air at the place itself [Pa]; or qnh: reduced to sea level, as
    forecasts tell it [Pa], and altitude of the place [m]; humidity: relative, 0..1, or the dew point, or
    neither (dry air). Of the air in which the carburettor was set: set_density [kg/m3], or set_temperature [K] with
    set_pressure [Pa], told as today's is, and set_humidity (0..1), what is not told of it as today; neither: standard
    air. Raises ValueError when the air would hold more vapour than it can, or when no pressure follows.

    Mixture of ideal gases (Dalton): ASHRAE Handbook Fundamentals 2017, ch. 1.
    """
    if pressure is None:
        if qnh is None or altitude is None:
            raise ValueError("give pressure at the place itself, or qnh and altitude")
        pressure = station_pressure(qnh, altitude)
    elif altitude is not None:
        raise ValueError(
            "pressure is that of the place itself, so its altitude is in it: leave altitude out, or tell the pressure "
            "of the forecast as qnh"
        )
    vapour = vapour_pressure(temperature, humidity, dew)
    if vapour >= pressure:
        raise ValueError("the vapour alone would have more than the whole pressure")
    rho = density(temperature, pressure, vapour)
    notes = [_dry(temperature, pressure)] if humidity is None and dew is None else []
    if set_temperature is not None:
        then = pressure
        if set_pressure is not None:
            then = set_pressure if altitude is None else station_pressure(set_pressure, altitude)
        damp = vapour / saturation_pressure(temperature) if set_humidity is None else set_humidity
        set_density = density(set_temperature, then, vapour_pressure(set_temperature, damp, None))
        if set_pressure is None:
            notes.append("the pressure of the day it was set is taken to be today's")
        if set_humidity is None and vapour:
            notes.append("the humidity of the day it was set is taken to be today's")
    elif set_pressure is not None or set_humidity is not None:
        raise ValueError("set_pressure and set_humidity need set_temperature too")
    shift = mixture_shift(rho, set_density or STANDARD_DENSITY)
    return Air(
        density=rho,
        air_ratio=rho / STANDARD_DENSITY,
        density_altitude=density_altitude(rho),
        pressure=pressure,
        vapour_pressure=vapour,
        dry_pressure=pressure - vapour,
        mixture_shift=shift,
        jetting=_jetting(rho, set_density, shift),
        air_note="; ".join(notes),
        set_density=set_density,
    )


def _dry(temperature: float, pressure: float) -> str:
    """What it may come to that nobody told the vapour."""
    wet = density(temperature, pressure, min(saturation_pressure(temperature), pressure))
    less = 1 - wet / density(temperature, pressure, 0.0)
    return (
        f"counted as dry air, as neither humidity nor dew was told: at 100 % it is {less * 100:.1f} % thinner"
    )


def saturation_pressure(temperature: float) -> float:
    """Pressure of saturated vapour [Pa] at a temperature [K], over ice below 0 degC and over water above.

    R. W. Hyland, A. Wexler, ASHRAE Transactions 89 (1983), as ASHRAE Handbook Fundamentals 2017, ch. 1,
    equations 5 and 6; -100 to 200 degC. Raises ValueError outside.
    """
    t = temperature
    if not 173.15 <= t <= 473.15:
        raise ValueError("vapour pressures are known from -100 to 200 °C")
    if t <= 273.16:  # the triple point
        ice = -5.6745359e3 / t + 6.3925247 - 9.677843e-3 * t + 6.2215701e-7 * t**2
        return math.exp(ice + 2.0747825e-9 * t**3 - 9.484024e-13 * t**4 + 4.1635019 * math.log(t))
    water = -5.8002206e3 / t + 1.3914993 - 4.8640239e-2 * t + 4.1764768e-5 * t**2
    return math.exp(water - 1.4452093e-8 * t**3 + 6.5459673 * math.log(t))


def vapour_pressure(temperature: float, humidity: float | None, dew: float | None) -> float:
    """Pressure of the vapour [Pa] from relative humidity (0..1) or dew point [K]; neither: dry air.

    Raises ValueError for a dew point above the temperature [K].
    """
    if dew is not None:
        if dew > temperature + 1e-9:
            raise ValueError("dew cannot lie above temperature")
        return saturation_pressure(dew)
    return saturation_pressure(temperature) * humidity if humidity else 0.0


def density(temperature: float, pressure: float, vapour: float) -> float:
    """Density of moist air [kg/m3] as a mixture of ideal gases.

    temperature [K]; pressure, vapour: of the whole and of the vapour in it [Pa]. ASHRAE Handbook Fundamentals
    2017, ch. 1. Real air is denser by about 0.05 % (CIPM-2007; Picard et al., Metrologia 45, 2008).
    """
    return (pressure - (1 - VAPOUR) * vapour) / (GAS_CONSTANT * temperature)


def station_pressure(qnh: float, altitude: float) -> float:
    """Pressure at a place [Pa] from the one reduced to sea level in the standard atmosphere [Pa], at `altitude` [m].

    ICAO Doc 7488/3 (1993), equation of the pressure below 11 km; it holds to about 1 % in weather.
    """
    return float(qnh * (1 - LAPSE * altitude / STANDARD_TEMPERATURE) ** POWER)


def density_altitude(rho: float) -> float:
    """Height in the standard atmosphere [m] at which the density [kg/m3] is this. ICAO Doc 7488/3 (1993)."""
    return float(STANDARD_TEMPERATURE / LAPSE * (1 - (rho / STANDARD_DENSITY) ** (1 / (POWER - 1))))


def mixture_shift(rho: float, before: float) -> float:
    """By which share an unaltered carburettor runs leaner in air of density `rho` than in air of `before` [kg/m3].

    The air that a venturi draws for its pressure drop goes with the root of the density, the fuel does not:
    air-fuel ratio ~ sqrt(density). J. B. Heywood, Internal Combustion Engine Fundamentals (1988), section 7.2
    (from memory). Negative: richer.
    """
    return math.sqrt(rho / before) - 1


def _jetting(rho: float, before: float | None, shift: float) -> str:
    than = "the air it was set in" if before else "standard air"
    change = rho / (before or STANDARD_DENSITY) - 1
    if abs(change) < SAME_AIR:
        return f"within 1 % of {than}: leave the carburettor as it is"
    now, runs, way = ("denser", "leaner", "richer") if change > 0 else ("thinner", "richer", "leaner")
    return (
        f"{abs(change):.1%} {now} than {than}; unaltered the carburettor runs about {abs(shift):.1%} {runs}: "
        f"go {way}, the maker's figures first, one small change, then look at the log"
    ).replace("%", " %")
