"""The median of pairwise slopes against figures published with statistics routines. Expected figures are typed here."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest

from fleet.rules.forecast import median_slope, rate_per_day
from fleet.rules.units.meters import Reading

PUBLISHED = [
    # Sen (1968), the example by which SciPy's own tests check `theilslopes` and R's `deming` its `theilsen`: 4.
    ([1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78], Fraction(4)),
    # SciPy's tests of `theilslopes`, basic case: 0.5.
    ([0, 1, 2], [0, 1, 1], Fraction(1, 2)),
    # The example in the manual of R's `statpsych::ci.theil`, with equal x among its points: "Should return 0.5".
    (
        [67, 28, 30, 28, 52, 40, 25, 37, 44, 10, 14, 20, 28, 40, 51],
        [21, 4, 9, 12, 35, 18, 10, 22, 24, 1, 6, 8, 13, 16, 19],
        Fraction(1, 2),
    ),
]


@pytest.mark.parametrize(("x", "y", "slope"), PUBLISHED)
def test_published_data__published_slope(x: list[int], y: list[int], slope: Fraction) -> None:
    points = [(Fraction(a), Fraction(b)) for a, b in zip(x, y, strict=True)]
    assert median_slope(points) == slope
    assert median_slope(points[::-1]) == slope


def test_cloud_seeding_data__slope_printed_in_the_textbook() -> None:
    """Hollander, Wolfe and Chicken, example 9.1 (data in R's NSM3, read); its printed -0.056 is from memory."""
    y = ["1.26", "1.27", "1.12", "1.16", "1.03"]
    points = [(Fraction(position), Fraction(value)) for position, value in enumerate(y, start=1)]
    slope = median_slope(points)
    assert slope is not None
    assert round(float(slope), 3) == -0.056


def test_published_data_as_readings__same_rate_a_day() -> None:
    x, y, _ = PUBLISHED[0]
    start = datetime(2026, 3, 1, tzinfo=UTC)
    series = [Reading(start + timedelta(days=day), Decimal(total)) for day, total in zip(x, y, strict=True)]
    assert rate_per_day(series) == Decimal(4)
