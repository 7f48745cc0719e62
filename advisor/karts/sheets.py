"""What a kart is: its setup, tyres, trailer and class, wherever it is written.

A case holds these parts among others; a kart file holds them beside a name; a trailer or a class file
is one of them alone. So each part is read from wherever it stands in a document.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from advisor.book.marked import Marked
from advisor.karts.values import SAME_GRADE, Place, ValueReader, listed, same, told
from advisor.model.advice import FirstOfAll
from advisor.model.case import WEIGHS, WEIGHT, Case, Limit, Pieces, Value
from advisor.model.knowledge import Book
from advisor.model.levers import Lever
from advisor.problems import hint, printable
from advisor.units import Quantity

MOST_LAPS = 5000  # no set of tyres lives that long; more is a slip
KEYS = ("kart", "setup", "conditions", "kit", "rules", "keep")
TYRES = {"kind": ("slick", "wet"), "compound": ("soft", "medium", "hard")}


class SheetReader(ValueReader):
    """One method for each part; problems are collected, and a value that fails is left out."""

    def __init__(self, document: Marked, book: Book, at: Place = ()) -> None:
        super().__init__(document, book, at)
        self.settings: dict[str, Pieces] = {}  # all of the setup, in the order of the file

    def sheet(self, data: Mapping[str, Any]) -> Case:
        """The part of a case that belongs to a kart."""
        kart = self.mapping(data.get("kart"), ("kart",), ("class", "driver_mass"))
        setup, tyres = self.setup(data.get("setup"))
        return Case(
            kart_class=self.text(kart, ("kart", "class")),
            driver_mass=self.quantity(kart.get("driver_mass"), ("kart", "driver_mass"), ("mass",)),
            setup=setup,
            pieces={ident: found for ident, found in self.settings.items() if ident not in setup},
            tyres=tyres,
            conditions=self.conditions(data.get("conditions")),
            kit=self.kit(data.get("kit")),
            rules=self.rules(data.get("rules")),
            keep=self.lines(data, "keep"),
        )

    def text(self, data: Mapping[str, Any], path: Place) -> str:
        value = data.get(path[-1])
        if value is None:
            return ""
        if isinstance(value, bool | dict | list):
            self.fail(path, f"{path[-1]} must be text")
            return ""
        return printable(str(value))

    def lines(self, data: Mapping[str, Any], name: str) -> tuple[str, ...]:
        value = data.get(name)
        if value is None:
            return ()
        rows = value if isinstance(value, list) else [value]
        for i, row in enumerate(rows):
            if not isinstance(row, str):
                path = (name, i) if isinstance(value, list) else (name,)
                self.fail(path, f"{name} is a list of short texts")
        return tuple(printable(row) for row in rows if isinstance(row, str))

    def mapping(self, value: Any, path: Place, known: Collection[str] | None = None) -> dict[str, Any]:
        """The mapping that stands at a path, without the keys that are not known."""
        if value is None:
            return {}
        if not isinstance(value, dict):
            self.fail(path, " ".join((*path[-1:], "must be a mapping of keys to values")))
            return {}
        for key in value:
            if known is not None and key not in known:
                self.unknown((*path, key), known, f" in {path[-1]}" if path else "")
        return {k: v for k, v in value.items() if known is None or k in known}

    def setup(self, value: Any, at: Place = ("setup",)) -> tuple[dict[str, Value], dict[str, str]]:
        """The settings that a step can start from, and the tyres; `settings` keeps those of several values too."""
        setup: dict[str, Value] = {}
        tyres: dict[str, str] = {}
        for ident, item in self.mapping(value, at).items():
            lever, path = self.lever(ident, (*at, ident)), (*at, ident)
            if lever is None:
                continue
            if ident == "tyres":
                tyres = self._tyres(item, path)
            elif lever.form and item is not None and not isinstance(item, list | dict):
                self.fail(path, f'{ident} is {lever.form}, not "{printable(str(item))[:30]}"')
            elif isinstance(found := self.value(lever, item, path), tuple):
                self.settings[ident] = found
            elif found is not None:
                setup[ident] = found
                self.settings[ident] = (("", found),)
        return setup, tyres

    def _tyres(self, value: Any, path: Place) -> dict[str, str]:
        found: dict[str, str] = {}
        if not isinstance(value, dict):
            self.fail(path, "tyres is a mapping such as {kind: slick, compound: hard, laps: 60}")
            return found
        for key, item in value.items():
            if key == "laps":
                found |= self._laps(item, (*path, key))
            elif key not in TYRES:
                self.unknown((*path, key), (*TYRES, "laps"), " in tyres")
            elif item not in TYRES[key]:
                near = hint(str(item), TYRES[key])
                self.fail((*path, key), f"{key} must be one of {', '.join(TYRES[key])}{near}")
            else:
                found[key] = item
        return found

    def _laps(self, laps: Any, path: Place) -> dict[str, str]:
        if isinstance(laps, bool) or not isinstance(laps, int) or laps < 0:
            self.fail(path, "laps must be a whole number from 0 on")
            return {}
        if laps > MOST_LAPS:
            self.warn(path, f"{laps} laps on a set of tyres is unusual; is it right?")
        return {"laps": str(laps)}

    def conditions(self, value: Any, at: Place = ("conditions",)) -> dict[str, Quantity]:
        found: dict[str, Quantity] = {}
        known = ("air_temperature", "track_temperature", "tyre_temperature")
        for key, item in self.mapping(value, at, known).items():
            ends = item if isinstance(item, dict) else {None: item}
            for end, temperature in ends.items():
                path = (*at, key) if end is None else (*at, key, end)
                if end is not None and (key != "tyre_temperature" or end not in ("front", "rear")):
                    self.unknown(path, ("front", "rear"))
                elif (quantity := self.quantity(temperature, path, ("temperature",))) is not None:
                    found[key if end is None else f"{key}.{end}"] = quantity
        return found

    def kit(self, value: Any, at: Place = ("kit",)) -> dict[str, tuple[Value, ...]] | None:
        """The parts at hand; None when nothing is said of them."""
        if value is None:
            return None
        found: dict[str, tuple[Value, ...]] = {}
        for ident, items in self.mapping(value, at).items():
            lever = self.lever(ident, (*at, ident))
            if lever is None:
                continue
            rows = items if isinstance(items, list) else [items]
            if ident == "tyres":
                found[ident] = tuple(printable(str(i)) for i in rows)
                continue
            parts = [self.value(lever, row, (*at, ident, i)) for i, row in enumerate(rows)]
            found[ident] = tuple(v for part in parts for v in _as_parts(lever, part))
        return found

    def rules(self, value: Any, at: Place = ("rules",)) -> dict[str, Limit]:
        found: dict[str, Limit] = {}
        for ident, rule in self.mapping(value, at).items():
            if ident == WEIGHT:
                found |= self._least_weight(rule, (*at, ident))
                continue
            lever, path = self.lever(ident, (*at, ident)), (*at, ident)
            if lever is None:
                continue
            if not isinstance(rule, dict):
                self.fail(path, "a rule is a mapping such as {max: 1400 mm} or {only: [soft, medium]}")
                continue
            for key in rule:
                if key not in ("min", "max", "only"):
                    self.unknown((*path, key), ("min", "max", "only"), " in a rule")
            low, high = (self._bound(lever, rule, key, path) for key in ("min", "max"))
            only = rule.get("only", [])
            grades = tuple(
                SAME_GRADE.get(str(g), str(g)) for g in (only if isinstance(only, list) else [only])
            )
            found[ident] = Limit(low, high, grades)
            self._odd_rule(lever, found[ident], path)
        return found

    def _least_weight(self, rule: Any, path: Place) -> dict[str, Limit]:
        """The least weight of kart and driver together."""
        least = rule.get("min") if isinstance(rule, dict) and set(rule) == {"min"} else None
        if least is None:
            self.fail(path, "the rule for weight is the least of kart and driver, such as {min: 158 kg}")
            return {}
        mass = self.quantity(least, (*path, "min"), ("mass",))
        if mass is None:
            return {}
        if not WEIGHS[0] <= mass.si <= WEIGHS[1]:
            low, high = WEIGHS
            self.fail(
                (*path, "min"), f"kart and driver do not weigh {mass}: possible is {low:g} to {high:g} kg"
            )
        return {WEIGHT: Limit(least=mass)}

    def _bound(self, lever: Lever, rule: Mapping[str, Any], key: str, path: Place) -> Quantity | float | None:
        if key not in rule:
            return None
        value = self.value(lever, rule[key], (*path, key))
        if isinstance(value, str | tuple):
            self.fail((*path, key), f"{key} needs a value that can be compared; use only: [..] for grades")
            return None
        return value

    def _odd_rule(self, lever: Lever, rule: Limit, path: Place) -> None:
        low, high = (b.si if isinstance(b, Quantity) else b for b in (rule.least, rule.most))
        if low is not None and high is not None and low > high:
            self.warn(path, f"the rule for {lever.id} allows nothing: its min is above its max")
        odd = [g for g in rule.only if lever.grades and g not in lever.grades]
        if odd:
            near = hint(odd[0], lever.grades)
            self.warn(path, f'the rule for {lever.id} names "{printable(odd[0])}"{near}')


def _as_parts(lever: Lever, part: Value | Pieces | None) -> list[Value]:
    """What lies at hand: a pair is two parts, and teeth and lead are a word."""
    if not isinstance(part, tuple):
        return [] if part is None else [part]
    if lever.id.startswith("ballast"):
        return [f"lead {told(mass, {})}" for _, mass in part]
    if lever.form and part:
        return [listed(part, {}, " and ")]
    return [value for _, value in part]


def beyond(case: Case) -> list[str]:
    """A sentence for each value that the class does not allow as it stands."""
    found = _too_light(case)
    for ident, rule in case.rules.items():
        now = case.setup.get(ident)
        if isinstance(now, str) and rule.only and now not in rule.only:
            allowed = ", ".join(map(printable, rule.only))
            said = f"{ident} is {now}, and the class allows only {allowed}: put that right first"
            found.append(FirstOfAll(said))
        for bound, sign, word in ((rule.most, 1, "at most"), (rule.least, -1, "at least")):
            if now is not None and bound is not None and _is_past(now, bound, sign):
                stands, allowed = told(now, case.units), told(bound, case.units)
                said = (
                    f"{ident} stands at {stands}, and the class allows {word} {allowed}: put that right first"
                )
                found.append(FirstOfAll(said))
    return found


def _too_light(case: Case) -> list[str]:
    """That the scales tell less than the class asks for."""
    rule, scales = case.rules.get(WEIGHT), [value for _, value in case.pieces.get("corner_weights", ())]
    masses = [value for value in scales if isinstance(value, Quantity)]
    if rule is None or not isinstance(rule.least, Quantity) or len(masses) < 4:
        return []
    total = Quantity(sum(mass.si for mass in masses), masses[0].unit)
    if total.si > rule.least.si - 1e-9:
        return []
    stands, asked = told(total, case.units), told(rule.least, case.units)
    return [
        FirstOfAll(
            f"the corner weights come to {stands}, and the class asks for at least {asked}: put that right first"
        )
    ]


def _is_past(now: Value, bound: Quantity | float, sign: int) -> bool:
    """True when a value lies beyond a bound that it can be compared with."""
    if isinstance(now, Quantity) and isinstance(bound, Quantity):
        return now.dimension == bound.dimension and sign * (now.si - bound.si) > 1e-9 and not same(now, bound)
    if isinstance(now, int | float) and isinstance(bound, int | float):
        return sign * (now - bound) > 0
    return False
