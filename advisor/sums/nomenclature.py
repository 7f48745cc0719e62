"""Names of all that the sums take and give: one meaning, one unit and one range each, shared by every sum.

A parameter and a result of a formula in `advisor.physics` has its name here (`lambda_` stands as `lambda`), and
`tests/sums` compares them. `least` and `most` are what is possible, in the unit of the row: beyond them is a slip.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from advisor.model.case import WEIGHS
from advisor.physics.elements import G
from advisor.units import UNITS, Unit

Kind = Literal["quantity", "number", "count", "counts", "numbers", "pairs", "places", "choice", "words"]

# Units that only sums read, beside those of `advisor.units`. Factors: NIST Special Publication 811 (2008), B.8.
GALLON = 231 * 0.0254**3  # US liquid gallon [m3], exact
IMPERIAL_GALLON = 4.54609e-3  # [m3], exact (Weights and Measures Act 1985, schedule 1)
MORE_UNITS = {
    unit.name: unit
    for unit in (
        Unit("ft", "length", 0.3048, decimals=1),
        Unit("Pa", "pressure", 1.0, decimals=0),
        Unit("hPa", "pressure", 1e2, decimals=1),
        Unit("mbar", "pressure", 1e2, decimals=1),
        Unit("inHg", "pressure", 3386.389, decimals=2),
        Unit("l", "volume", 1e-3, decimals=3),
        Unit("ml", "volume", 1e-6, decimals=1),
        Unit("gal", "volume", GALLON, decimals=3),
        Unit("qt", "volume", GALLON / 4, decimals=3),
        Unit("imp gal", "volume", IMPERIAL_GALLON, decimals=3),
        Unit("fl oz", "volume", GALLON / 128, decimals=2),
        Unit("imp fl oz", "volume", IMPERIAL_GALLON / 160, decimals=2),
        Unit("km/h", "speed", 1 / 3.6, decimals=1),
        Unit("mph", "speed", 0.44704, decimals=1),
        Unit("m/s", "speed", 1.0, decimals=1),
        Unit("rpm", "rotation", math.pi / 30, decimals=0),
        Unit("%", "share", 1e-2, decimals=1),
        Unit("kg/m3", "density", 1.0, decimals=3),
        Unit("gn", "acceleration", G, decimals=2),  # shown as g
        Unit("kgf", "force", G, decimals=1),  # shown as kg
        Unit("Nm", "moment", 1.0, decimals=0),
        Unit("N/mm", "stiffness", 1e3, decimals=0),
        Unit("Nm/deg", "torsion", 180 / math.pi, decimals=0),
    )
}
_ALIASES = {"litre": "l", "litres": "l", "liter": "l", "liters": "l", "gallon": "gal", "gallons": "gal",
            "floz": "fl oz", "kmh": "km/h", "kph": "km/h", "rev/min": "rpm", "per cent": "%", "percent": "%",
            "millilitres": "ml", "cc": "ml", "metres": "m", "meters": "m", "metre": "m", "meter": "m",
            "feet": "ft", "foot": "ft", "psig": "psi",
            "quart": "qt", "quarts": "qt", "imp gallon": "imp gal", "imp gallons": "imp gal",
            "millibar": "mbar", "millibars": "mbar", "mil": "ml", "mils": "ml", "mls": "ml",
            "milliliters": "ml", "millilitre": "ml", "milliliter": "ml"}  # fmt: skip
LOOKED_UP = {name.lower(): unit for name, unit in MORE_UNITS.items()} | {
    alias: MORE_UNITS.get(name) or UNITS[name] for alias, name in _ALIASES.items()
}


PITCHES = {
    "219": "7.774 mm",
    "35": "9.525 mm",
    "428": "12.7 mm",
}  # of chains by their number, as shops print them


@dataclass(frozen=True, slots=True)
class Name:
    """One name: what it is, how it is written, the unit of the row and what is possible, in that unit.

    `bare`: a number without a unit is taken in the unit of the row. `decimals`: shown; None: those of the unit.
    """

    id: str
    says: str
    kind: Kind = "quantity"
    unit: str = ""
    least: float = -math.inf
    most: float = math.inf
    bare: bool = False
    decimals: int | None = None
    choices: tuple[str, ...] = ()
    fixed: bool = False  # shown in the unit of the row, whatever was typed

    @property
    def dimension(self) -> str:
        """The dimension of its unit; empty for plain numbers and words."""
        return unit(self.unit).dimension if self.unit else ""


def unit(name: str) -> Unit:
    """The unit of that name, of all that sums know."""
    return MORE_UNITS.get(name) or UNITS[name]


def _number(ident: str, says: str, least: float, most: float, decimals: int = 2) -> Name:
    return Name(ident, says, "number", "", least, most, decimals=decimals)


def _count(ident: str, says: str, least: float, most: float) -> Name:
    return Name(ident, says, "count", "", least, most, decimals=0)


def _of(
    ident: str,
    says: str,
    unit_name: str,
    least: float = -math.inf,
    most: float = math.inf,
    decimals: int | None = None,
) -> Name:
    return Name(ident, says, "quantity", unit_name, least, most, decimals=decimals)


def _words(ident: str, says: str) -> Name:
    return Name(ident, says, "words")


_ROWS = (
    # tyres
    _of("cold", "tyre pressure as it is set, by the gauge", "bar", 0, 4),
    _of("hot", "tyre pressure as it comes in, by the gauge", "bar", 0, 4),
    _of("at", "temperature of the tyre when the cold pressure is read", "degC", -30, 70),
    _of("to", "temperature of the air in the tyre when hot", "degC", -30, 150),
    _of("ambient", "pressure of the air outside, at the place", "hPa", 600, 1100),
    _of("rise", "hot less cold pressure", "bar"),
    # air
    _of("temperature", "temperature of the air", "degC", -40, 60),
    _of("pressure", "pressure of the air at the place itself (not reduced to sea level)", "hPa", 600, 1100),
    _of("qnh", "pressure reduced to sea level, as forecasts tell it", "hPa", 900, 1085),
    _of("altitude", "height of the place above the sea", "m", -430, 4000),
    _of("humidity", "relative humidity", "%", 0, 100),
    _of("dew", "dew point", "degC", -60, 40),
    _of("set_density", "density of the air in which the carburettor was set", "kg/m3", 0.7, 1.6),
    _of("set_temperature", "temperature of the air in which the carburettor was set", "degC", -40, 60),
    _of("set_pressure", "pressure of that day, told in the same way as today's", "hPa", 600, 1100),
    _of("set_humidity", "relative humidity of that day", "%", 0, 100),
    _of("density", "density of the air", "kg/m3"),
    _number("air_ratio", "density to that of standard air (1.225 kg/m3)", 0, 2, 3),
    _of("density_altitude", "height of the standard atmosphere with this density", "m", decimals=0),
    _of("vapour_pressure", "pressure of the vapour in the air", "hPa"),
    _of("dry_pressure", "pressure of the air without its vapour", "hPa"),
    _of("mixture_shift", "how much leaner an unaltered carburettor runs (less than 0: richer)", "%"),
    _words("jetting", "what that asks of the carburettor"),
    _words("air_note", "what was not told of the air"),
    # gearing
    _count("engine_teeth", "teeth of the engine sprocket", 5, 40),
    _count("axle_teeth", "teeth of the axle sprocket", 10, 140),
    _of("rollout", "what the rear tyre rolls in one turn", "mm", 400, 1500),
    _of("tyre_diameter", "diameter of the rear tyre, off the ground", "mm", 150, 450),
    Name("rpm", "turns of the engine a minute", "quantity", "rpm", 100, 30_000, bare=True),
    _of("speed", "speed of the kart", "km/h", 1, 300),
    Name("compare", "other pairs of sprockets, engine/axle, such as 11/80, 12/82", "pairs"),
    Name("engine_kit", "engine sprockets at hand, such as 10, 11, 12 or 10-12", "counts", "", 5, 40),
    Name("axle_kit", "axle sprockets at hand, such as 78, 80, 82 or 76-84", "counts", "", 10, 140),
    _number("ratio", "so many to one: axle teeth to engine teeth, or fuel to oil", 5, 200, 3),
    _of("per_turn", "way for each turn of the engine", "mm"),
    _number("others", "ratios of the other pairs", 1, 30, 3),
    _number("nearest", "pairs of the kit, the nearest ratio first", 1, 30, 3),
    _number("same_ratio", "the nearest to this ratio with one engine tooth fewer and more", 1, 30, 3),
    _words("compared", "which is longer, and by how much"),
    _words("usual", "what people usually fit"),
    # chain
    _of("pitch", "pitch of the chain, from pin to pin (219: 7.774 mm, 35: 9.525 mm, 428: 12.7 mm)", "mm", 6, 20),
    _of("centre_distance", "from the middle of the crankshaft to the middle of the axle", "mm", 60, 1500),
    _count("links", "links of the chain", 30, 250),
    _number("links_exact", "links by the formula", 10, 400, 2),
    _of("shorter_distance", "centre distance of a chain two links shorter", "mm"),
    _words("chain_note", "about the count"),
    _of("squash", "how far the rear tyre sinks under the kart", "mm", 0, 40),
    _of("kerb", "height that must pass below the chain", "mm", 0, 120),
    _of("axle_height", "middle of the axle above the ground", "mm"),
    _of("sprocket_clearance", "tips of the axle sprocket above the ground", "mm"),
    _of("chain_clearance", "chain on the axle sprocket above the ground", "mm"),
    _words("kerb_warning", "kerbs"),
    # fuel and oil
    Name("oil_per_litre", "oil for each litre of fuel", "quantity", "ml", 2, 150, fixed=True),
    _of("oil_of_fuel", "oil as a share of the fuel", "%", 0.2, 15, 3),
    _of("oil_of_mix", "oil as a share of the finished mix", "%", 0.2, 13, 3),
    _of("fuel", "fuel, before the oil", "l", 0.01, 300),
    _of("mix", "finished mix, fuel and oil together", "l", 0.01, 300),
    _of("other_mix", "finished mix that is poured in", "l", 0.01, 300),
    _number("other_ratio", "fuel to one of oil in that mix", 5, 200, 2),
    _of("oil", "oil for this batch", "ml", 1, 20_000),
    _number("joined_ratio", "fuel to one of oil when all of it is together", 1, 200, 2),
    _of("oil_to_add", "oil that brings all of it to ratio", "ml"),
    _of("fuel_to_add", "fuel that brings all of it to ratio", "l"),
    # weight
    _of("front_left", "scale under the front left wheel, driver in the seat", "kg", 0, 200),
    _of("front_right", "scale under the front right wheel", "kg", 0, 200),
    _of("rear_left", "scale under the rear left wheel", "kg", 0, 200),
    _of("rear_right", "scale under the rear right wheel", "kg", 0, 200),
    _of("minimum", "least mass that the class asks for, with driver", "kg", *WEIGHS),
    _of("wheelbase", "middle of the front wheels to middle of the rear axle", "mm", 600, 1400),
    _of("total", "kart and driver", "kg", 50, 400),
    _of("front", "weight on the front wheels", "%", 20, 70),
    _of("left", "weight on the left wheels", "%"),
    _of("cross", "weight on front right and rear left", "%"),
    _of("over_minimum", "over what the class asks for (less than 0: too light)", "kg"),
    _of("cg_to_axle", "centre of gravity in front of the rear axle", "mm"),
    _of("mass", "lead to place", "kg", 0.1, 60),
    Name("places", "where lead may go: name, or name@forward of the rear axle/left of the middle", "places"),
    _of("track", "distance of the wheels' middles across, mean of front and rear", "mm", 500, 1400),
    _of("target_front", "wanted share on the front", "%", 20, 70),
    _of("target_left", "wanted share on the left", "%", 30, 70),
    _of("piece", "the lead comes in pieces of about this", "kg", 0.05, 20),
    _of("place_limit", "most lead in one place (rulebook)", "kg", 0.1, 60),
    _of("per_bolt", "most lead on one bolt (rulebook)", "kg", 0.1, 20),
    _of("placing", "lead by place", "kg"),
    _count("bolts", "bolts for it", 1, 100),
    _of("front_before", "weight on the front wheels without the lead", "%"),
    _of("left_before", "weight on the left wheels without the lead", "%"),
    _of("off_target", "distance from both targets together", "%"),
    _of("front_mass", "front axle on the scales, on the level", "kg", 5, 300),
    _of("rear_mass", "rear axle on the scales, on the level", "kg", 5, 300),
    _of("low_mass", "the axle that stayed down, on the scales, the other lifted", "kg", 5, 400),
    _of("lift", "how far the other axle was lifted", "mm", 50, 1000),
    Name("lifted", "which axle was lifted", "choice", choices=("front", "rear")),
    _of("front_radius", "middle of the front wheels above the ground", "mm", 60, 250),
    _of("rear_radius", "middle of the rear axle above the ground", "mm", 60, 250),
    _of("cg_height", "centre of gravity above the ground, which is above the axles", "mm", 130, 600),
    _of("per_kilogram", "how far one kilogram on the scales moves that height", "mm"),
    # the kart in a corner
    Name("lateral", "acceleration towards the inside of the corner, in g", "quantity", "gn", 0.05, 4, bare=True),
    Name("along", "acceleration along the track, in g; less than 0: braking", "quantity", "gn", -1.5, 1, bare=True),
    _of("radius", "radius of the path of the kart", "m", 3, 300, decimals=1),
    _of("steer", "mean angle of the front wheels", "deg", 0, 40),
    _of("cg_offset", "centre of gravity towards the inside, from the middle", "mm", -150, 150),
    _of("front_track", "between the middles of the front wheels", "mm", 600, 1400),
    _of("rear_track", "between the middles of the rear wheels", "mm", 600, 1400),
    _of("caster", "lean of the king-pins to the rear", "deg", 0, 35),
    _of("inclination", "lean of the king-pins to the inside", "deg", 0, 25),
    _of("arm", "king-pin to the middle of the wheel, at the spindle", "mm", 0, 250),
    _of("front_rate", "radial rate of a front tyre", "N/mm", 20, 600),
    _of("rear_rate", "radial rate of a rear tyre", "N/mm", 20, 1200),
    _of("frame", "torsional stiffness of the whole frame", "Nm/deg", 20, 2000),
    _of("front_inner", "what the inside front wheel carries", "kgf"),
    _of("front_outer", "what the outside front wheel carries", "kgf"),
    _of("rear_inner", "what the inside rear wheel carries", "kgf"),
    _of("rear_outer", "what the outside rear wheel carries", "kgf"),
    _of("rear_height", "inside rear wheel above the ground", "mm"),
    _of("lifts_at", "lateral acceleration at which the inside rear lifts, at this steer", "gn"),
    _of("lands_at", "lateral acceleration at which it is down again, the steering straight", "gn"),
    _of("tips_at", "lateral acceleration at which the kart goes over", "gn"),
    _words("first_end", "what gives way first"),
    _of("front_in_hand", "side force that the front could still hold (less than 0: short of it)", "kgf"),
    _of("rear_in_hand", "the same of the rear", "kgf"),
    _of("axle_moment", "by which the locked axle resists the turn", "Nm"),
    _of("axle_drag", "by which the locked axle drags", "kgf"),
    # mixture
    _number("lambda", "air to what complete burning needs", 0.4, 2, 3),
    _number("afr", "air to one of fuel, by mass", 2, 30, 2),
    _of("ethanol", "ethanol in the fuel, by volume", "%", 0, 100),
    _of("methanol", "methanol in the fuel, by volume", "%", 0, 100),
    _number("target", "lambda to reach, the engine maker's", 0.6, 1.2, 3),
    Name("before", "readings of lambda before the change, or @FILE", "numbers", "", 0.4, 2),
    Name("after", "readings of lambda after the change, or @FILE", "numbers", "", 0.4, 2),
    _number("stoichiometric", "air to one of this fuel at complete burning, by mass", 2, 20, 2),
    _number("phi", "fuel to what the air can burn, 1 / lambda", 0.4, 3, 3),
    _of("more_fuel", "fuel to add to reach the target (less than 0: to take off)", "%"),
    _number("before_mean", "mean of lambda before", 0.4, 2, 3),
    _number("after_mean", "mean of lambda after", 0.4, 2, 3),
    _number("change", "change of lambda", -2, 2, 3),
    _number("standard_error", "its standard error", 0, 2, 4),
    _words("state", "rich or lean"),
    _words("verdict", "what the log shows"),
)  # fmt: skip
NAMES = {row.id: row for row in _ROWS}
