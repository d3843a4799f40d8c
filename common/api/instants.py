"""Which instants a request may name, and in which offset they are kept. Reads no clock."""

from datetime import UTC, datetime, timedelta

EARLIEST, LATEST = datetime(1900, 1, 1, tzinfo=UTC), datetime(2199, 12, 31, tzinfo=UTC)
"""What lies outside is a slip of the pen: days are counted from instants, and the calendar has an end both ways."""

NO_ZONES_OFFSET = timedelta(hours=16)
"""From here on PostgreSQL takes no offset (MAX_TZDISP_HOUR of its sources is 15), nor has any zone one."""


def in_reach(instant: datetime) -> bool:
    """Whether days can be counted from an aware instant, in any zone and for as long as any limit is."""
    return EARLIEST <= instant <= LATEST


def storable(instant: datetime) -> datetime:
    """The same instant in the offset it came with, or in UTC where no zone has that offset.

    OverflowError for one that has no place in UTC.
    """
    in_utc = instant.astimezone(UTC)
    offset = instant.replace(tzinfo=UTC) - in_utc
    return instant if abs(offset) < NO_ZONES_OFFSET else in_utc
