"""What meters run in a day: a stray reading turns no trend, and miles and hours are held against each other."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from common.prediction import SlopeBand
from fleet.rules.units.meters import Reading
from fleet.rules.units.trends import MeterFlag, cross_check, daily

START = datetime(2026, 3, 1, tzinfo=UTC)


def readings(*totals: int) -> list[Reading]:
    return [Reading(START + timedelta(days=day), Decimal(total)) for day, total in enumerate(totals)]


def test_stray_reading__turns_no_trend() -> None:
    band = daily(readings(0, 400, 800, 1_900, 1_600, 2_000, 2_400))
    assert band is not None
    assert (band.median, band.low <= 400 <= band.high) == (400, True)


def test_three_readings__are_not_enough() -> None:
    assert daily(readings(0, 400, 800)) is None


@pytest.mark.parametrize(
    ("miles", "hours", "flag"),
    [
        (450, 10, None),
        (750, 10, None),
        (751, 10, MeterFlag.TOO_MANY_MILES),
        (150, 10, None),
        (149, 10, MeterFlag.TOO_MANY_HOURS),
        (0, 0, None),
        (10, 0, MeterFlag.TOO_MANY_MILES),
    ],
)
def test_miles_and_hours__explain_each_other_within_75_and_15_miles_an_hour(
    miles: int, hours: int, flag: MeterFlag | None
) -> None:
    assert cross_check(SlopeBand(miles, miles, miles), SlopeBand(hours, hours, hours)) == flag


def test_wide_band__flags_nothing_that_may_be_right() -> None:
    assert cross_check(SlopeBand(700, 900, 1_000), SlopeBand(9, 10, 11)) is None
    assert cross_check(None, SlopeBand(9, 10, 11)) is None
