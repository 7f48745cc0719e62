"""Fits the response surfaces of `advisor/mechanics/surface.py` to the kart model and writes them.

Run as `python -m tests.mechanics.surfaces`: it prints what was fitted and how well, and writes
`advisor/mechanics/fitted.py`; with `--beside` it prints how near the shipped surfaces come to the model on six karts,
and writes nothing. No chance is in it, so the same model gives the same file.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from advisor.book import load
from advisor.mechanics import surface
from advisor.mechanics.beside import SAID
from advisor.mechanics.known import known
from advisor.mechanics.measures import MEASURES, Phases, pace, phases
from advisor.mechanics.outlook import Change, base, outlook, turned
from advisor.mechanics.turns import TURNS, held, one_step, place_of
from advisor.model.case import Case
from advisor.model.knowledge import Book
from advisor.physics.elements import DEGREE, G
from advisor.physics.figures import FIGURES, SMALL, Figure
from advisor.physics.kart import Kart, Real, drawn, sample
from advisor.units import parse

KARTS = 3000
SHARED = 0.95  # of karts as they are usual must move one way
WIDELY = 0.90  # and of those of the wide ranges
ROUGH = 0.45  # scatter of the logarithm from which on a surface is of no use
SLIGHT = 0.05  # of the logarithm: what a coefficient must move at least (s.d.) to be kept
LEVEL = 0.005  # likewise of the level itself
TARGET = Path(__file__).parents[2] / "advisor" / "mechanics" / "fitted.py"


def _wider(figures: Mapping[str, Figure], **ends: tuple[float, float]) -> dict[str, Figure]:
    return {n: Figure(f.usual, *ends.get(n, (f.low, f.high)), "fit") for n, f in figures.items()}


def _rates(by: float, to: float) -> dict[str, tuple[float, float]]:
    return {n: (by * FIGURES[n].usual, to * FIGURES[n].usual) for n in ("front_rate", "rear_rate")}


USUAL = dict(FIGURES)
CHILDREN = {**FIGURES, **SMALL}
# The usual ranges, widened by what a sheet may tell and by light and heavy drivers.
WIDE = {
    "usual": _wider(
        USUAL,
        mass=(125, 205), driver_share=(0.28, 0.56), height=(0.19, 0.32), front_track=(0.94, 1.18),
        rear_track=(1.02, 1.20), caster=(8 * DEGREE, 24 * DEGREE), friction=(1.1, 2.1), radius=(7, 40),
        front_share=(0.38, 0.47), offset=(-0.03, 0.03), cross=(-0.03, 0.03), brake_front=(0.0, 0.6),
        axle_stiffness=(0.65 * FIGURES["axle_stiffness"].usual, 1.4 * FIGURES["axle_stiffness"].usual),
        **_rates(0.5, 1.7),
    ),
    "small": _wider(
        CHILDREN,
        mass=(78, 132), driver_share=(0.24, 0.52), height=(0.18, 0.30), front_track=(0.84, 1.02),
        rear_track=(0.84, 1.00), caster=(8 * DEGREE, 24 * DEGREE), friction=(1.0, 2.0), radius=(7, 35),
        front_share=(0.38, 0.47), offset=(-0.03, 0.03), cross=(-0.03, 0.03), brake_front=(0.0, 0.6),
        **_rates(0.5, 1.7),
    ),
}  # fmt: skip
SIGNED_BY = {"usual": USUAL, "small": CHILDREN}


@dataclass(frozen=True)
class Karts:
    """Karts of some ranges in their corner."""

    kart: Kart
    driven: Real
    seen: Phases

    @staticmethod
    def of(figures: Mapping[str, Figure], many: int) -> Karts:
        kart = sample(many, figures)
        driven = pace(kart)
        return Karts(kart, driven, phases(kart, driven, kart.radius))

    def after(self, change: Change) -> Phases:
        many = len(self.driven)
        return phases(turned(self.kart, [change], many), self.driven, self.kart.radius)


def figures_moved(old: Phases, new: Phases) -> dict[str, Real]:
    """By how much each effect and the lift move, kart by kart."""
    found = {name: m.take(new) - m.take(old) for name, m in MEASURES.items()}
    return {**found, "lifts_at": (new.mid.lifts_at - old.mid.lifts_at) / G}


def columns(figures: Mapping[str, Figure], kart: Kart) -> dict[str, Real]:
    """The figures that vary, as the surface has them: about the usual one, in logarithms where they are positive."""
    found = {}
    for name, figure in figures.items():
        if figure.high <= figure.low:
            continue
        values = np.asarray(getattr(kart, name))
        found[name] = np.log(values / figure.usual) if FIGURES[name].low > 0 else values - figure.usual
    return found


def fitted(
    table: Mapping[str, Real], wanted: Real, slight: float = SLIGHT
) -> tuple[float, dict[str, float], float]:
    """Centre, coefficients that move something, and scatter, by least squares."""
    names = list(table)
    for _ in range(2):
        matrix = np.column_stack([np.ones(len(wanted)), *(table[n] for n in names)])
        found, *_ = np.linalg.lstsq(matrix, wanted, rcond=None)
        kept = [n for n, c in zip(names, found[1:], strict=True) if abs(c) * np.std(table[n]) >= slight]
        if kept == names:
            break
        names = kept
    matrix = np.column_stack([np.ones(len(wanted)), *(table[n] for n in names)])
    found, *_ = np.linalg.lstsq(matrix, wanted, rcond=None)
    scatter = float(np.std(wanted - matrix @ found))
    by = {n: round(float(c), 3) for n, c in zip(names, found[1:], strict=True)}
    return round(float(found[0]), 4), by, round(scatter, 3)


def surfaces(many: int = KARTS) -> dict[str, dict[str, object]]:
    """All that is written, by name."""
    book = load.book()
    lifts: dict[str, object] = {}
    forms: dict[str, object] = {}
    for of, wide in WIDE.items():
        karts = Karts.of(wide, many)
        table = columns(wide, karts.kart)
        lifts[of] = (1, *fitted(table, np.log(karts.seen.mid.lifts_at / G), LEVEL))
        forms[of] = _forms(book, table, karts, Karts.of(SIGNED_BY[of], many // 3))
    centres = {of: {n: round(f.usual, 6) for n, f in wide.items()} for of, wide in WIDE.items()}
    reach = {
        of: {n: (round(f.low, 6), round(f.high, 6)) for n, f in wide.items() if f.high > f.low}
        for of, wide in WIDE.items()
    }
    return {"CENTRES": centres, "REACH": reach, "LIFTS": lifts, "FORMS": forms}  # type: ignore[dict-item]


def _forms(book: Book, table: Mapping[str, Real], karts: Karts, usual: Karts) -> dict[str, object]:
    """The surfaces of one family, by lever and effect."""
    forms: dict[str, object] = {}
    for ident, turn in TURNS.items():
        lever = book.levers[ident]
        if not held(lever) or turn.size.low <= 0:
            continue
        change = Change(ident, turn.raises, one_step(lever))
        at_usual = figures_moved(usual.seen, usual.after(change))
        sized = dict(table)
        if turn.size.high > turn.size.low:
            sized["size"] = np.log(drawn(len(karts.driven), place_of(ident), turn.size) / turn.size.usual)
        for name, moved in figures_moved(karts.seen, karts.after(change)).items():
            found = _form(sized, moved, at_usual[name]) if name in (*SAID, surface.LIFT) else None
            if found:
                forms[f"{ident} {name}"] = found
    return forms


def _form(
    table: Mapping[str, Real], moved: Real, at_usual: Real
) -> tuple[int, float, dict[str, float], float] | None:
    up, up_usual = float(np.mean(moved > 0)), float(np.mean(at_usual > 0))
    sign = 1 if up_usual > 0.5 else -1
    shares = (up, up_usual) if sign > 0 else (float(np.mean(moved < 0)), float(np.mean(at_usual < 0)))
    if shares[0] < WIDELY or shares[1] < SHARED:
        return None
    with_sign = sign * moved > 0
    centre, by, scatter = fitted({n: c[with_sign] for n, c in table.items()}, np.log(sign * moved[with_sign]))
    return None if scatter > ROUGH else (sign, centre, by, scatter)


HEAD = '''"""Coefficients of the response surfaces, see `surface`; written by `python -m tests.mechanics.surfaces`."""

# ruff: noqa: E501
# fmt: off

from __future__ import annotations

Form = tuple[int, float, dict[str, float], float]
'''
TYPES = {
    "CENTRES": "dict[str, dict[str, float]]",
    "REACH": "dict[str, dict[str, tuple[float, float]]]",
    "LIFTS": "dict[str, Form]",
    "FORMS": "dict[str, dict[str, Form]]",
}


def text(found: Mapping[str, object]) -> str:
    """The module as it is written, a line for each surface."""
    return HEAD + "".join(f"{name}: {kind} = {_literal(found[name])}\n" for name, kind in TYPES.items())


def _literal(value: object, deep: int = 0) -> str:
    if (
        not isinstance(value, dict)
        or deep > 1
        or not any(isinstance(v, dict | tuple) for v in value.values())
    ):
        return repr(value)
    pad = "    " * (deep + 1)
    rows = "".join(f"{pad}{key!r}: {_literal(v, deep + 1)},\n" for key, v in value.items())
    return f"{{\n{rows}{'    ' * deep}}}"


KARTS_BESIDE = {
    "usual": Case(),
    "heavy senior": Case(driver_mass=parse("98 kg"), observed={"driver_mass": "heavy"}),
    "light junior": Case(driver_mass=parse("45 kg"), observed={"driver_mass": "light"}),
    "light child": Case(driver_mass=parse("30 kg"), observed={"machine": "cadet", "driver_mass": "light"}),
    "gearbox, rubber": Case(observed={"machine": "gearbox", "track": "rubbered"}),
    "narrow": Case(setup={"rear_track_width": parse("1300 mm"), "front_track_width": parse("1100 mm")}),
}


def beside() -> None:
    """Print the middle of each change by its surface over that by the model: median, and the ends of nine in ten."""
    book = load.book()
    for name, case in KARTS_BESIDE.items():
        kart = known(case)
        karts, ratios = base(kart.figures), []
        level = surface.lift(kart) or np.nan
        model = outlook(karts, []).rows["lifts_at"].before
        for ident, turn in TURNS.items():
            if held(book.levers[ident]):
                seen = outlook(karts, [Change(ident, turn.raises, one_step(book.levers[ident]))])
                for effect in ("lifts_at", *SAID):
                    row = surface.moved(kart, ident, effect, 1.0)
                    exact = seen.rows.get(effect) or seen.effects[effect]
                    ratios += [row.middle / exact.middle] if row else []
        low, middle, high = np.quantile(ratios, [0.05, 0.5, 0.95])
        told = f"{name}: {len(ratios)} figures {middle:.2f} ({low:.2f} to {high:.2f})"
        print(f"{told}, lifts at {level:.2f} ({model:.2f}) g")


def main(*options: str) -> None:
    """Fit, print and write."""
    if "--beside" in options:
        beside()
        return
    found = surfaces()
    for of, forms in found["FORMS"].items():
        print(f"{of}: {len(forms)} surfaces")  # type: ignore[arg-type]
        for name, form in forms.items():  # type: ignore[attr-defined]
            print(f"  {name}: sign {form[0]:+d}, scatter {form[3]:.2f}, {len(form[2])} figures")
    TARGET.write_text(text(found), "utf-8")


if __name__ == "__main__":
    main(*sys.argv[1:])
