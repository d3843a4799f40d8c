"""Which instants a request may name, how they are written, and in which offset they are kept. Reads no clock.

No instant outside `EARLIEST` to `LATEST` is ever stored: days are counted from instants in every zone and for as long
as any limit is, and the calendar has an end both ways.
"""

import re
from datetime import UTC, date, datetime, timedelta

EARLIEST, LATEST = datetime(1900, 1, 1, tzinfo=UTC), datetime(2199, 12, 31, tzinfo=UTC)
"""What lies outside is a slip of the pen, or a field that nobody set."""

NO_ZONES_OFFSET = timedelta(hours=16)
"""From here on PostgreSQL takes no offset (MAX_TZDISP_HOUR of its sources is 15), nor has any zone one."""

_RFC_3339 = re.compile(
    r"(?P<minute>\d{4}-\d\d-\d\dT\d\d:\d\d):(?P<second>\d\d)(?:\.(?P<fraction>\d{1,40}))?(?P<offset>Z|[+-]\d\d:\d\d)?",
    re.ASCII | re.IGNORECASE,
)
_LEAP = "60"


def read_instant(text: object) -> datetime | None:
    """An instant as RFC 3339 writes it, T and Z in either case, its fraction cut to what is kept (microseconds).

    Naive where no offset stands there. None for what is no such instant or has no place in UTC.
    """
    match = _RFC_3339.fullmatch(text) if isinstance(text, str) else None
    if match is None:
        return None
    second, fraction = match["second"], (match["fraction"] or "")[:6].ljust(6, "0")
    leap = timedelta(seconds=second == _LEAP)
    written = f"{match['minute']}:{'59' if leap else second}.{fraction}{match['offset'] or ''}"
    try:
        instant = datetime.fromisoformat(written.upper()) + leap
        return instant if instant.tzinfo is None else storable(instant)
    except (ValueError, OverflowError):
        return None


def read_day(text: str) -> date | None:
    """A day as RFC 3339 writes it, within the same ends; None for any other text."""
    if not re.fullmatch(r"\d{4}-\d\d-\d\d", text, re.ASCII):
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None
    return day if EARLIEST.date() <= day <= LATEST.date() else None


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
