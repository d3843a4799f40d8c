"""When a document's last day is over, by the carrier's own clock, on the days when United States clocks change.

Uniform Time Act, 15 U.S.C. 260a (from memory): clocks go forward on the second Sunday of March, 8 March 2026, and back
on the first Sunday of November, 1 November 2026, at 2 a.m. local time; Arizona does not take part. The offsets from UTC
(Eastern -5/-4, Central -6/-5, Pacific -8/-7, Arizona -7) are typed here. No zone of the catalogue is asked for them.
"""

from datetime import UTC, date, datetime, timedelta

import pytest

from common.clock import day_in_zone
from fleet.rules.documents.periods import PeriodEnd
from fleet.rules.documents.states import DocumentState, state_on

BOTH = [
    (zone, last_day, datetime.combine(last_day, datetime.min.time(), UTC) + timedelta(days=1, hours=hours))
    for zone, winter, summer in (
        ("America/New_York", 5, 4),
        ("America/Chicago", 6, 5),
        ("America/Los_Angeles", 8, 7),
        ("America/Phoenix", 7, 7),
    )
    for last_day, hours in (
        (date(2026, 3, 7), winter),  # the night before the change: still winter time at midnight
        (date(2026, 3, 8), summer),  # the day of 23 hours
        (date(2026, 10, 31), summer),
        (date(2026, 11, 1), winter),  # the day of 25 hours
        (date(2028, 2, 29), winter),
        (date(2026, 12, 31), winter),
    )
]


@pytest.mark.parametrize(("zone", "last_day", "midnight"), BOTH)
def test_last_day__counts_in_full_and_not_a_microsecond_longer(zone: str, last_day: date, midnight: datetime) -> None:
    end = PeriodEnd(by_day=last_day)
    before, after = (day_in_zone(instant, zone) for instant in (midnight - timedelta(microseconds=1), midnight))
    assert (before, after) == (last_day, last_day + timedelta(days=1))
    assert state_on(end, before) == DocumentState.DUE
    assert state_on(end, after) == DocumentState.EXPIRED
