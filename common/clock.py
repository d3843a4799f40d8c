"""The only place that reads the clock, and what a day means in a zone. Holds no business limits."""

from datetime import UTC, date, datetime, timedelta, tzinfo
from zoneinfo import ZoneInfo


def now() -> datetime:
    """Return the present instant, aware, in UTC. Read once per request, task or command and handed down."""
    return datetime.now(UTC)  # noqa: TID251 - the one place


def day_in_zone(instant: datetime, zone: tzinfo | str) -> date:
    """Return the calendar day of an aware instant in a zone (an object or an IANA name); ValueError for a naive one."""
    _require_aware(instant)
    return instant.astimezone(_zone(zone)).date()


def end_of_day(day: date, zone: tzinfo | str) -> datetime:
    """Return the instant, in UTC, at which a day limit has passed: the midnight that ends that day in the zone.

    The last day counts in full, so something is still in date while `instant < end_of_day(last_day, zone)`. The
    calendar's own last day never passes.
    """
    if day == date.max:
        return datetime.max.replace(tzinfo=UTC)
    following = day + timedelta(days=1)
    return datetime(following.year, following.month, following.day, tzinfo=_zone(zone)).astimezone(UTC)


def _zone(zone: tzinfo | str) -> tzinfo:
    return ZoneInfo(zone) if isinstance(zone, str) else zone


def _require_aware(instant: datetime) -> None:
    if instant.utcoffset() is None:
        msg = "an instant needs its offset"
        raise ValueError(msg)
