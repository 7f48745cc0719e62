"""Registry, nomenclature and formulas fit together; a new sum is one file and one row."""

from __future__ import annotations

import inspect
import io
import math
import re
import subprocess
import sys
from dataclasses import dataclass, fields
from importlib import import_module
from types import ModuleType

import pint
import pytest

from advisor.sums import SUMS, asked, work
from advisor.sums.nomenclature import LOOKED_UP, MORE_UNITS, NAMES, unit
from advisor.sums.reading import read, split
from advisor.sums.rows import Sum
from advisor.sums.working import formula, parameter
from advisor.terminal import computed
from advisor.terminal.screen import PlainScreen

ROWS = list(SUMS.values())
ORACLE: pint.UnitRegistry[float] = pint.UnitRegistry()
# Names of our units in the oracle, where they differ; the SI unit of each dimension
THEIRS = {"inHg": "inch_Hg", "l": "liter", "ml": "milliliter", "gal": "US_liquid_gallon",
          "qt": "US_liquid_quart", "imp gal": "imperial_gallon", "fl oz": "US_fluid_ounce",
          "imp fl oz": "imperial_fluid_ounce",
          "km/h": "kilometer/hour", "mph": "mile/hour", "m/s": "meter/second", "%": "percent",
          "kg/m3": "kilogram/meter**3", "rpm": "revolution/minute", "gn": "standard_gravity",
          "kgf": "force_kilogram", "N/mm": "newton/millimeter", "Nm": "newton*meter",
          "Nm/deg": "newton*meter/degree"}  # fmt: skip
SI = {"length": "meter", "pressure": "pascal", "volume": "meter**3", "speed": "meter/second",
      "rotation": "radian/second", "share": "dimensionless", "density": "kilogram/meter**3",
      "acceleration": "meter/second**2", "force": "newton", "stiffness": "newton/meter",
      "torsion": "newton*meter/radian", "moment": "newton*meter"}  # fmt: skip


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_the_formula_takes_and_gives_what_the_row_lists(row: Sum) -> None:
    function = formula(row.name)
    signature = inspect.signature(function)
    assert set(signature.parameters) == {parameter(name) for name in row.takes}
    for name in row.takes:
        needed = signature.parameters[parameter(name)].default is inspect.Parameter.empty
        assert needed == (name in row.needs or name in row.assumes), name
    result = inspect.get_annotations(function, eval_str=True)["return"]
    assert {field.name.rstrip("_") for field in fields(result)} == set(row.gives)
    assert result.__dataclass_params__.frozen


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_every_formula_and_row_has_its_units_source_and_range(row: Sum) -> None:
    module = import_module(f"advisor.physics.{row.name}")
    text = " ".join((inspect.getdoc(formula(row.name)) or "").split())
    assert "Raises ValueError" in text
    assert re.search(r"\[\w|shares", text), "no unit in the docstring"
    sources = (
        (module.__doc__ or "")
        + text
        + "".join(inspect.getdoc(f) or "" for f in vars(module).values() if callable(f))
    )
    assert re.search(r"(19|20)\d\d|B29\.1|common practice|any text", sources)
    assert row.source
    assert row.holds
    assert row.formula
    assert row.care


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_the_ordinary_call_works_and_its_values_are_possible(row: Sum) -> None:
    done = work(row.name, [f"{key}={text}" for key, text in row.usual.items()])
    assert done.figures
    for figure in done.figures:
        if isinstance(figure.value, float | int):
            assert math.isfinite(figure.value)
    assert done.assumed == row.assumes
    assert list(done.plain()) == [figure.name for figure in done.figures]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_the_help_shows_every_input_with_unit_and_range(row: Sum) -> None:
    stream = io.StringIO()
    computed.takes(PlainScreen(stream, 300), row)
    shown = stream.getvalue()
    for name in row.takes:
        line = re.search(rf"^  {name}: (.*)$", shown, re.MULTILINE)
        assert line, name
        if math.isfinite(NAMES[name].least + NAMES[name].most):
            assert re.search(r"-?\d.* to \d", line[1]), line[1]
    for text in (row.formula, row.source, row.holds):
        assert text in shown


def test_every_name_is_used_and_means_one_thing() -> None:
    used = {name for row in ROWS for name in (*row.takes, *row.gives)}
    assert used == set(NAMES)
    assert all(row.says and row.least < row.most for row in NAMES.values())


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_what_is_assumed_is_read_without_a_problem(row: Sum) -> None:
    given = read(row, row.usual)
    assert not given.problems
    assert not given.missing


@pytest.mark.parametrize("name", sorted(MORE_UNITS))
def test_units_of_sums_against_the_oracle(name: str) -> None:
    own = unit(name)
    theirs = ORACLE.Quantity(3.7, THEIRS.get(name, name)).to(SI[own.dimension])
    assert 3.7 * own.factor == pytest.approx(
        float(theirs.magnitude), rel=2e-7
    )  # inHg has seven digits in SP 811
    assert LOOKED_UP[name.lower()] is own


def test_a_pressure_that_a_forum_converts_wrongly() -> None:
    """It takes 990 mbar for 29.92 inHg, which is 1013.25; another page has it right (seen): 29.235."""
    assert 990 * unit("mbar").factor / unit("inHg").factor == pytest.approx(29.235, abs=5e-4)


def test_a_new_sum_is_one_file_and_one_row(monkeypatch: pytest.MonkeyPatch) -> None:
    """A file of formulas and a row that uses known names: list, help, answer and question come by themselves."""

    @dataclass(frozen=True)
    class Half:
        total: float

    def half(*, mass: float) -> Half:
        return Half(mass / 2)

    file = ModuleType("advisor.physics.half")
    file.half = half  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "advisor.physics.half", file)
    row = Sum("half", "half of it", "m / 2", "by hand", "always", ("total",), {"mass": "4 kg"}, ("mass",),
              asks=(r"\bhalf of\b",))  # fmt: skip
    monkeypatch.setitem(SUMS, "half", row)
    assert work("half", ["mass=7 kg"]).plain() == {"total": {"value": 3.5, "unit": "kg"}}
    found = asked("what is half of seven kilos")
    assert found is not None
    assert found.outcome is not None
    assert found.outcome.figures[0].text == "3.5 kg"
    stream = io.StringIO()
    computed.everything(PlainScreen(stream, 80))
    computed.takes(PlainScreen(stream, 80), row)
    assert "half" in stream.getvalue()


def test_a_sum_loads_nothing_heavy() -> None:
    code = (
        "import sys; from advisor.cli import main; main(['compute', 'premix', 'fuel=5 l', 'ratio=40', '--json']);"
        "print([m for m in ('numpy', 'scipy', 'rich', 'pydantic', 'prompt_toolkit', 'sqlite3') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, encoding="utf-8", check=True)
    assert done.stdout.splitlines()[-1] == "[]"


def test_words_without_an_equals_sign_belong_to_the_value_before() -> None:
    problems: list[str] = []
    assert split(["cold=0.75", "bar", "at", "=", "20", "C", "to=60C"], problems) == {
        "cold": "0.75 bar",
        "at": "20 C",
        "to": "60C",
    }
    assert not problems
