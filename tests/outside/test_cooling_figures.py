"""What is learned of cooling units, against SciPy 1.17 and statsmodels 0.15 over series invented here.

Each docstring names the call that gave the figure; the figures are typed from what it printed.
"""

from datetime import UTC, datetime
from decimal import Decimal

import pytest

from common.prediction import median_slope, next_value, t_95
from fleet.rules.cooling.fuel import Stretch, burn_of
from fleet.rules.cooling.pull_down import fit_approach
from fleet.rules.cooling.temperatures import from_celsius, to_celsius
from fleet.rules.cooling.warm_up import leakage_index

AT = datetime(2026, 3, 1, tzinfo=UTC)


@pytest.mark.parametrize(
    ("degrees", "t"),
    [(1, 6.314), (2, 2.920), (4, 2.132), (5, 2.015), (9, 1.833), (10, 1.812), (20, 1.725), (29, 1.699), (30, 1.697)],
)
def test_quantile_of_t(degrees: int, t: float) -> None:
    """`scipy.stats.t.ppf(.95, degrees)`, as in the table of the NIST handbook, 1.3.6.7.2."""
    assert t_95(degrees) == t


@pytest.mark.parametrize("degrees", [31, 60, 1000])
def test_quantile_of_t__beyond_the_table_is_on_the_cautious_side(degrees: int) -> None:
    """`scipy.stats.t.ppf(.95, d)` is 1.6955, 1.6706 and 1.6464."""
    assert 1.645 < {31: 1.6955, 60: 1.6706, 1000: 1.6464}[degrees] < t_95(degrees)


def test_burn__is_weighted_least_squares_through_the_origin() -> None:
    """`WLS(gallons, hours, weights=1 / hours)`: 0.80638723; upper 95 % for a trip of 10 h 9.0638, of 40 h 34.7041.

    The bounds are `get_prediction([[h]], weights=1 / h).summary_frame(alpha=.10)`, `obs_ci_upper`.
    """
    hours, gallons = (8.5, 6.2, 10.4, 5.0, 12.7, 7.3), (6.9, 4.6, 8.8, 4.3, 9.6, 6.2)
    burn = burn_of([Stretch(AT, AT, *each) for each in zip(hours, gallons, strict=True)])
    assert burn is not None
    assert burn.gal_per_h == pytest.approx(0.80638723, abs=5e-9)
    assert burn.most(10) == pytest.approx(9.0638, abs=5e-5)
    assert burn.most(40) == pytest.approx(34.704123, abs=2e-4)


def test_pull_down__is_the_least_squares_curve() -> None:
    """`curve_fit(lambda t, f, a, tau: f + a * exp(-t / tau), …, p0=(15, 57, 2))`: 14.05612808, 57.77, 2.19572757."""
    hours, air = (0, 0.5, 1, 1.5, 2, 3, 4), (71.8, 60.1, 50.7, 43.2, 37.4, 28.6, 23.5)
    fit = fit_approach(list(zip(hours, air, strict=True)))
    assert fit is not None
    assert fit.floor_f == pytest.approx(14.05612808, abs=1e-6)
    assert fit.tau_h == pytest.approx(2.19572757, abs=1e-6)


def test_next_value__is_the_prediction_of_the_mean() -> None:
    """`OLS(values, ones).get_prediction([[1]]).summary_frame(alpha=.10)`: mean 13.95, lower bound 12.6265."""
    found = next_value([14.2, 13.1, 15.0, 14.4, 13.6, 12.9, 14.8, 13.9, 14.1, 13.5])
    assert found.mean == pytest.approx(13.95)
    assert found.mean - found.reach == pytest.approx(12.6265, abs=2e-4)


def test_median_slope__is_that_of_theil_and_sen() -> None:
    """`scipy.stats.theilslopes(y, x)`: -0.054929577464788715, whatever the stray 26.0 does."""
    points = [(0, 21.5), (11, 21.0), (25, 20.2), (40, 26.0), (58, 18.4), (71, 17.6)]
    assert median_slope(points) == pytest.approx(-0.054929577464788715)


def test_leakage_index__is_the_time_constant_of_the_curve() -> None:
    """By hand: 80 °F outside, from 0 to 80 · (1 - 1/e) = 50.5696 °F in 18 hours is one time constant of 18 hours."""
    assert leakage_index(18, (0, 50.5696), 80) == pytest.approx(18, abs=1e-4)


@pytest.mark.parametrize(
    ("celsius", "fahrenheit"),
    [("0", "32"), ("100", "212"), ("-40", "-40"), ("37", "98.6"), ("-18", "-0.4"), ("4", "39.2"), ("-28.9", "-20.02")],
)
def test_temperatures__defined_points_there_and_back(celsius: str, fahrenheit: str) -> None:
    """Freezing and boiling water and -40 are the scales' own; the others from t/°F = 9/5 · t/°C + 32 (NIST SP 811)."""
    assert from_celsius(Decimal(celsius)) == Decimal(fahrenheit)
    assert to_celsius(Decimal(fahrenheit)) == Decimal(celsius)
