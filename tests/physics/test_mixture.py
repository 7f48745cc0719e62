"""Mixture: published stoichiometric ratios, exact chemistry, Welch's test, and the trade's way of trying."""

from __future__ import annotations

import statistics

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import ttest_ind

from advisor.physics.mixture import ETHANOL, METHANOL, PETROL, mixture, spread, stoichiometric


@pytest.mark.parametrize(
    ("ethanol", "methanol", "least", "most"),
    # Tables of three public pages (seen): petrol 14.7, E10 14.13, E15 13.8, E85 9.7 to 9.75, ethanol 9.0,
    # methanol 6.4 to 6.45. They hold for one petrol each, so the blends within 1 %.
    [(0, 0, 14.7, 14.7), (0.1, 0, 14.13, 14.13), (0.15, 0, 13.8, 13.8), (0.85, 0, 9.7, 9.75), (1, 0, 9.0, 9.0),
     (0, 1, 6.4, 6.45)],
)  # fmt: skip
def test_published_ratios(ethanol: float, methanol: float, least: float, most: float) -> None:
    assert least * 0.99 <= stoichiometric(ethanol, methanol) <= most * 1.01


def burning(carbon: int, hydrogen: int, oxygen: int) -> float:
    """Air to one of CxHyOz by mass: x + y/4 - z/2 of O2, 4.76 mol of air for each, 28.96 g/mol (chemistry, by hand)."""
    air = (carbon + hydrogen / 4 - oxygen / 2) * 4.76 * 28.96
    return air / (12.011 * carbon + 1.008 * hydrogen + 15.999 * oxygen)


def test_exact_chemistry() -> None:
    """The alcohols as the trade has them; iso-octane is 15.1 and no petrol, which a page mixes up."""
    assert pytest.approx(burning(2, 6, 1), abs=0.03) == ETHANOL
    assert pytest.approx(burning(1, 4, 1), abs=0.03) == METHANOL
    assert burning(8, 18, 0) == pytest.approx(15.08, abs=0.02)
    assert abs(PETROL - burning(8, 18, 0)) > 0.3


@given(ethanol=st.floats(0, 0.9), more=st.floats(0.01, 0.1))
def test_more_alcohol_needs_less_air(ethanol: float, more: float) -> None:
    assert stoichiometric(ethanol + more, 0) < stoichiometric(ethanol, 0)
    assert stoichiometric(0, ethanol + more) < stoichiometric(0, ethanol)


@given(reading=st.floats(0.6, 1.4), ethanol=st.floats(0, 1))
def test_lambda_afr_and_phi_are_one_reading(reading: float, ethanol: float) -> None:
    one = mixture(lambda_=reading, ethanol=ethanol, methanol=0)
    same = mixture(afr=one.afr, ethanol=ethanol, methanol=0)
    assert same.lambda_ == pytest.approx(reading)
    assert one.phi == pytest.approx(1 / reading)


def test_rich_and_lean_and_how_much_fuel() -> None:
    """Most power of petrol lies at 12 to 13 of air, lambda .82 to .88 (a public table, seen): rich."""
    assert 0.81 < (mixture(afr=12.0, ethanol=0, methanol=0).lambda_ or 0) < 0.83
    found = mixture(lambda_=0.95, ethanol=0, methanol=0, target=0.9)
    assert found.state == "rich by 5.0 % against complete burning; lean of the target by 5.6 %"
    for reading, where in ((0.95, "lean of"), (0.85, "within"), (0.80, "rich of")):
        told = mixture(lambda_=reading, ethanol=0, methanol=0).state
        assert f"; {where} 0.82 to 0.88, where petrol usually gives most power" in told
    assert found.more_fuel == pytest.approx(0.95 / 0.9 - 1)


# --- a log before and after -----------------------------------------------------------------------------

BEFORE = (0.95, 0.96, 0.94, 0.95)


@pytest.mark.parametrize(
    ("after", "target", "said"),
    [
        ((0.90, 0.91, 0.90, 0.89), 0.88, "nearer to the target: keep it"),
        ((0.99, 1.00, 0.99, 1.01), 0.88, "further from the target: put it back, then go the other way"),
        ((0.95, 0.94, 0.96, 0.95), 0.88, "does not show that the change did anything"),
        ((0.90, 0.91, 0.90, 0.89), None, "made it richer by 5.3 %"),
    ],
)
def test_one_change_is_proved_by_the_log(after: tuple[float, ...], target: float | None, said: str) -> None:
    """Common practice, no source: the maker's base setting, one change, the log; the other way if it was wrong."""
    found = mixture(ethanol=0, methanol=0, target=target, before=BEFORE, after=after)
    assert said in found.verdict
    assert found.change == pytest.approx(statistics.mean(after) - statistics.mean(BEFORE))


ROW = st.lists(st.floats(0.7, 1.1), min_size=3, max_size=20).filter(lambda row: statistics.pstdev(row) > 1e-3)


@settings(max_examples=30)
@given(ROW, ROW)
def test_the_standard_error_is_welchs(before: list[float], after: list[float]) -> None:
    """scipy's test with unequal variances as the oracle: t = difference / standard error."""
    t = float(ttest_ind(after, before, equal_var=False).statistic)
    difference = statistics.mean(after) - statistics.mean(before)
    assert difference / spread(before, after) == pytest.approx(t, rel=1e-6, abs=1e-9)


def series(count: int, mean: float, deviation: float) -> list[float]:
    """Readings of which these are the mean and the standard deviation (n - 1), to the last digit."""
    half = deviation * ((count - 1) / (count - count % 2)) ** 0.5
    return [mean + sign * half for sign in (-1, 1) for _ in range(count // 2)] + [mean] * (count % 2)


@pytest.mark.parametrize(
    ("one", "other", "printed"),
    [
        # NIST/SEMATECH e-Handbook 1.3.5.3, AUTO83B, as a library of special functions prints it (seen)
        ((249, 20.14458, 6.41470), (79, 30.48101, 6.10771), -12.946),
        # A library's example of the two-sample t test (seen)
        ((4, 25.0, 0.8185), (8, 21.0, 4.208), 2.5922),
    ],
)
def test_the_standard_error_against_published_tests(
    one: tuple[int, float, float], other: tuple[int, float, float], printed: float
) -> None:
    """Welch's t, from the printed counts, means and deviations."""
    rows = series(*one), series(*other)
    assert [statistics.stdev(row) for row in rows] == pytest.approx([one[2], other[2]])
    assert (one[1] - other[1]) / spread(*rows) == pytest.approx(printed, abs=6e-4)


def test_what_is_no_log_and_no_fuel_is_refused() -> None:
    with pytest.raises(ValueError, match="both before and after"):
        mixture(ethanol=0, methanol=0, before=BEFORE)
    with pytest.raises(ValueError, match="three readings"):
        mixture(ethanol=0, methanol=0, before=BEFORE, after=(0.9, 0.9))
    with pytest.raises(ValueError, match="whole fuel"):
        mixture(lambda_=1.0, ethanol=0.7, methanol=0.4)
    with pytest.raises(ValueError, match="give lambda"):
        mixture(ethanol=0, methanol=0)
