"""Where a meter will stand: the median of pairwise slopes (Theil 1950, Sen 1968). Accepts and refuses no reading."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import combinations
from statistics import median

from fleet.rules.units.meters import Reading

RECENT_READINGS = 60
_MICROSECOND = timedelta(microseconds=1)
_MICROSECONDS_A_DAY = timedelta(days=1) // _MICROSECOND


def median_slope(points: Sequence[tuple[Fraction, Fraction]]) -> Fraction | None:
    """The median of the slopes of all pairs of (x, y) with different x, exact; None where there is no such pair.

    Of an even number of slopes it is the mean of the middle two. One wild point in a handful cannot move it far.
    """
    slopes = [(later[1] - earlier[1]) / (later[0] - earlier[0]) for earlier, later in _pairs(points)]
    return median(slopes) if slopes else None


def rate_per_day(series: Sequence[Reading], recent: int = RECENT_READINGS) -> Decimal | None:
    """Miles or hours a day over the `recent` newest readings, never below 0; None from fewer than two instants."""
    slope = _slope_per_microsecond(series, recent)
    return None if slope is None else _decimal(slope * _MICROSECONDS_A_DAY)


def forecast_total(series: Sequence[Reading], at: datetime, recent: int = RECENT_READINGS) -> Decimal | None:
    """The true total expected at an instant after the last reading, in tenths; None from fewer than two instants.

    It starts from the last reading rather than from a fitted line: where the meter stood then is known, not estimated.
    """
    slope = _slope_per_microsecond(series, recent)
    if slope is None:
        return None
    last = _last(series)
    elapsed = Fraction((at - last.at) // _MICROSECOND)
    return _decimal(Fraction(last.total) + slope * elapsed).quantize(Decimal("0.1"))


def forecast_instant(series: Sequence[Reading], total: Decimal, recent: int = RECENT_READINGS) -> datetime | None:
    """When a true total is expected, not before the last reading; None if the meter stands still or is unknown."""
    slope = _slope_per_microsecond(series, recent)
    last = _last(series) if series else None
    if last is None:
        return None
    if total <= last.total:
        return last.at
    if not slope:
        return None
    try:
        return last.at + timedelta(microseconds=int((Fraction(total) - Fraction(last.total)) / slope))
    except OverflowError:  # further ahead than the calendar reaches
        return None


def _slope_per_microsecond(series: Sequence[Reading], recent: int) -> Fraction | None:
    newest = sorted(series, key=lambda row: (row.at, row.total))[-recent:]
    if not newest:
        return None
    origin = newest[0].at
    slope = median_slope([(Fraction((row.at - origin) // _MICROSECOND), Fraction(row.total)) for row in newest])
    return None if slope is None else max(slope, Fraction(0))


def _pairs(
    points: Sequence[tuple[Fraction, Fraction]],
) -> list[tuple[tuple[Fraction, Fraction], tuple[Fraction, Fraction]]]:
    return [(one, other) for one, other in combinations(points, 2) if one[0] != other[0]]


def _last(series: Sequence[Reading]) -> Reading:
    return max(series, key=lambda row: (row.at, row.total))


def _decimal(value: Fraction) -> Decimal:
    return Decimal(value.numerator) / Decimal(value.denominator)
