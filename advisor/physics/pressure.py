"""The pressure of a sealed tyre as it warms: a fixed amount of air in a fixed volume. SI units throughout."""

from __future__ import annotations

from dataclasses import dataclass

HOTTEST = 423.15  # [K] 150 degC: no tyre that still works is hotter; assumed


@dataclass(frozen=True, slots=True)
class Tyre:
    """cold, hot: gauge pressures [Pa]; to: the hot temperature [K]; rise: hot less cold [Pa]."""

    cold: float
    hot: float
    to: float
    rise: float


def pressure(
    *, at: float, ambient: float, cold: float | None = None, hot: float | None = None, to: float | None = None
) -> Tyre:
    """The third of cold pressure, hot pressure and hot temperature, from two of them.

    at: the temperature at which the cold pressure is read [K]; to: the temperature at which the hot one is
    [K]; cold, hot: gauge pressures [Pa]; ambient: the pressure of the air outside [Pa]. Exactly one of cold,
    hot and to is None. Raises ValueError when no tyre could be so.

    Gay-Lussac's law, (p + ambient) / T constant at constant volume; it holds for ABSOLUTE pressures: any
    text on thermodynamics, such as M. J. Moran, H. N. Shapiro, Fundamentals of Engineering Thermodynamics,
    ch. 3 (ideal gas; from memory).
    """
    if hot is None and cold is not None and to is not None:
        hot = warmed(cold, at, to, ambient)
    elif cold is None and hot is not None and to is not None:
        cold = warmed(hot, to, at, ambient)
    elif to is None and cold is not None and hot is not None:
        to = at * (hot + ambient) / (cold + ambient)
    if cold is None or hot is None or to is None:
        raise ValueError("two of cold, hot and to are needed")
    if min(cold, hot) < 0:
        raise ValueError("the tyre would have less pressure than the air outside: check the two temperatures")
    if to > HOTTEST:
        raise ValueError("that rise would take more than 150 °C: check the two pressures")
    return Tyre(cold, hot, to, hot - cold)


def warmed(gauge: float, before: float, after: float, ambient: float) -> float:
    """The gauge pressure [Pa] of a sealed tyre after its air went from `before` to `after` [K].

    gauge, ambient: gauge pressure before and absolute pressure outside [Pa]. See `pressure`.
    """
    return (gauge + ambient) * after / before - ambient
