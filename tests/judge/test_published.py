"""The statistics against certified and published values, and against scipy."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import scipy.stats
from numpy.typing import NDArray

from advisor.judge.classic import run_scatter, summary, variances, welch
from advisor.judge.effect import least_squares
from advisor.judge.robust import biweight, mad, mean_variance, slope

NIST = Path(scipy.stats.__file__).parent / "tests" / "data"  # the StRD files as scipy ships them

# W. S. Gosset ("Student"), Biometrika 6, 1908: additional hours of sleep of ten patients under two drugs
SLEEP_1 = (0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0)
SLEEP_2 = (1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4)


def ordinary(
    columns: NDArray[np.float64], values: NDArray[np.float64]
) -> tuple[list[float], list[float], float]:
    """Coefficients, their standard errors and the residual s.d. of ordinary least squares, by `least_squares`."""
    fitted, inner, _ = least_squares(columns, values, np.eye(len(values)))
    left = values - columns @ fitted
    residual = math.sqrt(left @ left / (len(values) - columns.shape[1]))
    return list(fitted), list(residual * np.sqrt(np.diag(inner))), residual


def strd(name: str) -> NDArray[np.float64]:
    """The data of a file of the NIST Statistical Reference Datasets: its rows of two numbers below line 60."""
    lines = (NIST / name).read_text().splitlines()[60:]
    return np.array([[float(v) for v in line.split()] for line in lines if len(line.split()) == 2])


def test_a_drift_is_fitted_as_norris_is_certified() -> None:
    data = strd("nist_linregress/Norris.dat")
    assert len(data) == 36
    columns = np.column_stack([np.ones(36), data[:, 1]])
    fitted, errors, residual = ordinary(columns, data[:, 0])
    # NIST StRD, Norris, certified values
    assert fitted == pytest.approx([-0.262323073774029, 1.00211681802045], rel=1e-10)
    assert errors == pytest.approx([0.232818234301152, 0.429796848199937e-03], rel=1e-10)
    assert residual == pytest.approx(0.884796396144373, rel=1e-11)


@pytest.mark.parametrize(
    ("name", "f", "residual", "digits"),
    [
        # NIST StRD, SiRstv: 5 groups of 5, as five runs of five laps; certified values
        ("SiRstv", 1.18046237440255, 0.104076068334656, 1e-9),
        # NIST StRD, AtmWtAg: 2 groups of 24 values that agree in seven digits; certified values
        ("AtmWtAg", 15.9467335677930, 1.51048314446410e-05, 1e-6),
    ],
)
def test_variances_of_runs_and_laps_are_as_certified(
    name: str, f: float, residual: float, digits: float
) -> None:
    data = strd(f"nist_anova/{name}.dat")
    groups = [list(data[data[:, 0] == number, 1]) for number in np.unique(data[:, 0])]
    found = variances(groups)
    assert found.f == pytest.approx(f, rel=digits)
    assert found.lap_sd == pytest.approx(residual, rel=digits)


def test_sums_of_squares_of_sirstv_are_as_certified() -> None:
    data = strd("nist_anova/SiRstv.dat")
    found = variances([list(data[data[:, 0] == number, 1]) for number in np.unique(data[:, 0])])
    # NIST StRD, SiRstv: between 4 df, within 20 df
    assert found.between == pytest.approx(5.11462616000000e-02, rel=1e-9)
    assert found.within == pytest.approx(2.16636560000000e-01, rel=1e-9)
    assert (found.df_between, found.df_within) == (4, 20)


def test_run_scatter_is_that_of_the_expected_mean_squares() -> None:
    # by hand: runs 45.0 +- 0.1 and 45.6 +- 0.1, two laps each: MS between 0.36, MS within 0.02, n0 2
    assert run_scatter([[44.9, 45.1], [45.5, 45.7]]) == pytest.approx(math.sqrt((0.36 - 0.02) / 2))
    assert run_scatter([[44.0, 46.0], [45.0, 45.1]]) == 0.0  # laps scatter more than runs


def test_welch_on_the_gas_mileage_of_cars() -> None:
    # NIST e-Handbook 1.3.5.3, AUTO83B, as in Boost.Math's example students_t_two_samples.cpp
    found = welch((249, 20.14458, 6.41470), (79, 30.48101, 6.10771))
    assert found.t == pytest.approx(-12.946, abs=5e-4)
    assert found.df == pytest.approx(136.87, abs=5e-3)


def test_welch_on_samples_as_small_as_runs() -> None:
    # NAG Library, routine g07ca, example: 4 values against 8 of five times the spread
    found = welch((4, 25.0, 0.8185), (8, 21.0, 4.208))
    assert found.t == pytest.approx(2.5922, abs=2e-3)
    assert found.df == pytest.approx(7.9925, abs=2e-3)
    assert found.p == pytest.approx(0.0320, abs=2e-4)
    assert found.interval() == pytest.approx((0.4410, 7.5590), abs=3e-3)


def test_the_pooled_test_on_the_gas_mileage_of_cars() -> None:
    # NIST e-Handbook 1.3.5.3, AUTO83B: pooled T -12.62059 with 326 df. Values made to have those means and deviations.
    first, second = _made(249, 20.14458, 6.41470), _made(79, 30.48101, 6.10771)
    columns = np.column_stack([np.ones(328), [1.0] * 249 + [0.0] * 79])
    fitted, errors, residual = ordinary(columns, np.array(first + second))
    assert fitted[1] / errors[1] == pytest.approx(-12.62059, abs=2e-5)
    assert residual == pytest.approx(6.34260, abs=1e-5)  # computed from the same figures


def test_the_pooled_test_is_least_squares_with_a_column_for_the_change() -> None:
    # the same NAG example, pooled: t 1.8403 with 10 df. Values made to have those means and deviations.
    first, second = _made(4, 25.0, 0.8185), _made(8, 21.0, 4.208)
    columns = np.column_stack([np.ones(12), [1.0] * 4 + [0.0] * 8])
    fitted, errors, _ = ordinary(columns, np.array(first + second))
    assert fitted[1] / errors[1] == pytest.approx(1.8403, abs=1e-3)


def _made(count: int, mean: float, sd: float) -> list[float]:
    base = np.arange(count, dtype=float)
    made = (base - base.mean()) / base.std(ddof=1) * sd + mean
    return [float(v) for v in made]


def test_pairs_tell_more_than_two_heaps_on_students_sleep_data() -> None:
    # t -4.0621 with 9 df is Student's own 1908 comparison, 0.70 and 1.79 hours; df of Welch from scipy
    columns = np.column_stack([np.tile([1.0, 0.0], 10), *[np.repeat(np.eye(10)[i], 2) for i in range(10)]])
    values = np.array([v for pair in zip(SLEEP_1, SLEEP_2, strict=True) for v in pair])
    fitted, errors, _ = ordinary(columns, values)
    assert fitted[0] / errors[0] == pytest.approx(-4.0621, abs=5e-5)
    heaps = welch(summary(SLEEP_1), summary(SLEEP_2))
    assert heaps.t == pytest.approx(-1.8608, abs=5e-5)
    assert heaps.df == pytest.approx(17.776, abs=5e-4)
    assert heaps.p == pytest.approx(scipy.stats.ttest_ind(SLEEP_1, SLEEP_2, equal_var=False).pvalue, rel=1e-9)


def test_median_deviation_and_slope_are_those_of_scipy() -> None:
    values = [45.31, 45.40, 45.28, 47.90, 45.37, 45.33, 45.52]
    assert mad(values) == pytest.approx(scipy.stats.median_abs_deviation(values), rel=1e-12)
    points = list(enumerate(values))
    theil = scipy.stats.theilslopes(values, range(len(values))).slope
    assert slope([points]) == pytest.approx(theil, rel=1e-12)


def test_a_biweight_solves_its_equation_and_moves_little_for_a_lap_in_traffic() -> None:
    clean = [45.31, 45.40, 45.28, 45.37, 45.33, 45.52]
    found = biweight(clean)
    # the defining equation, sum u (1 - u^2)^2 = 0 over |u| < 1, by bisection here
    reach = 6 * mad(clean)

    def equation(centre: float) -> float:
        u = [(v - centre) / reach for v in clean]
        return sum(x * (1 - x * x) ** 2 for x in u if abs(x) < 1)

    low, high = 45.30, 45.42
    assert equation(low) > 0 > equation(high)
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if equation(middle) > 0 else (low, middle)
    assert found == pytest.approx(low, abs=1e-6)
    assert biweight([*clean, 48.0]) == pytest.approx(
        found, abs=0.02
    )  # regression value: the mean moves by 0.38


@pytest.mark.parametrize(("laps", "echo"), [(1, 0.5), (5, 0.0), (8, 0.3), (12, 0.6)])
def test_the_variance_of_a_mean_of_correlated_laps_by_the_whole_matrix(laps: int, echo: float) -> None:
    matrix = echo ** np.abs(np.subtract.outer(np.arange(laps), np.arange(laps)))
    assert mean_variance(laps, echo) == pytest.approx(matrix.sum() / laps**2, rel=1e-12)  # by brute force
