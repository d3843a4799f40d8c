"""What a unit's meters run in a day, with a band, and whether its miles and its engine hours explain each other."""

from collections.abc import Sequence
from datetime import timedelta
from enum import StrEnum

from common.prediction import SlopeBand, slope_band
from fleet.rules.units.meters import Reading

FEWEST = 4
"""Fewer readings say nothing: our own figure."""
FASTEST_MPH, SLOWEST_MPH = 75, 15
"""What a tractor averages over its engine hours, at most and at least: our own figures. Below, it idles mostly."""


class MeterFlag(StrEnum):
    """What speaks against two meters of a unit."""

    TOO_MANY_MILES = "too_many_miles"
    TOO_MANY_HOURS = "too_many_hours"


def daily(readings: Sequence[Reading]) -> SlopeBand | None:
    """Theil's slope by days with Sen's band, of readings oldest first; None of fewer than four."""
    if len(readings) < FEWEST:
        return None
    first = readings[0].at
    return slope_band([((reading.at - first) / timedelta(days=1), float(reading.total)) for reading in readings])


def cross_check(miles: SlopeBand | None, hours: SlopeBand | None) -> MeterFlag | None:
    """Whether the hours cannot explain the miles, or the miles the hours, whatever in their bands is true."""
    if miles is None or hours is None:
        return None
    if miles.low > FASTEST_MPH * max(hours.high, 0):
        return MeterFlag.TOO_MANY_MILES
    if hours.low > 0 and miles.high < SLOWEST_MPH * hours.low:
        return MeterFlag.TOO_MANY_HOURS
    return None
