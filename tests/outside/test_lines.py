"""Lines and slopes against a published example and another library."""

import pytest

from common.prediction import fit_line, slope_band

SEN = list(zip((1, 2, 3, 4, 10, 12, 18), (9, 15, 19, 20, 45, 55, 78), strict=True))
Z_93 = 1.8119
"""The two-sided normal quantile of 93 %."""
TREADS = list(zip((0, 4_000, 8_100, 11_900, 16_200, 20_100), (12, 11, 10.5, 9, 8.5, 7), strict=True))
"""Invented: miles and depths in 32nds."""


def test_sens_example() -> None:
    """Sen (1968): slope 4, and 26/7 to 35/8 with 93 % confidence; from memory, SciPy's tests repeat it."""
    band = slope_band(SEN, z=Z_93)
    assert band is not None
    assert (band.low, band.median, band.high) == pytest.approx((26 / 7, 4, 35 / 8))


def test_line__and_its_prediction_bound() -> None:
    """statsmodels: `OLS(y, add_constant(x)).fit()`, `get_prediction([[1, at]]).summary_frame(alpha=.10)`."""
    line = fit_line(TREADS)
    assert line is not None
    assert (line.slope, line.at(0), line.deviation) == pytest.approx((-2.40961732e-04, 12.0883321, 0.30149584))
    for at, mean, lower in ((24_000, 6.305250510, 5.430383118), (30_000, 4.859480120, 3.829127212)):
        assert line.at(at) == pytest.approx(mean)
        assert line.at(at) - line.reach(at) == pytest.approx(lower, abs=2e-4)  # the quantile has three decimals


def test_line_of_two_points_or_one_place__is_none() -> None:
    assert fit_line(TREADS[:2]) is None
    assert fit_line([(1, 1), (1, 2), (1, 3)]) is None
    assert slope_band([(1, 1), (1, 2)]) is None
