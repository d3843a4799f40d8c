"""The only place that reads the clock, and what a day means in a zone. Holds no business limits."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, date, datetime, timedelta, tzinfo
from zoneinfo import ZoneInfo

from common.errors import Invalid

_replayed: ContextVar[datetime | None] = ContextVar("replayed", default=None)


def now() -> datetime:
    """Return the present instant, aware, in UTC. Read once per request, task or command and handed down."""
    return _replayed.get() or datetime.now(UTC)  # noqa: TID251 - the one place


@contextmanager
def replayed_at(instant: datetime) -> Iterator[None]:
    """Let `now` give this aware instant until the block ends. For the demo's replay alone (decision 60)."""
    _require_aware(instant)
    token = _replayed.set(instant.astimezone(UTC))
    try:
        yield
    finally:
        _replayed.reset(token)


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


def refuse_future(instant: datetime, now: datetime, pointer: str) -> None:
    """Invalid `instant_in_future` for what has not happened yet."""
    if instant > now:
        raise Invalid("instant_in_future", pointer=pointer)


def refuse_early(instant: datetime, earliest: datetime, pointer: str) -> None:
    """Invalid `instant_too_early` for what cannot have happened yet; facts `earliest` and its `year`."""
    if instant < earliest:
        raise Invalid("instant_too_early", pointer=pointer, earliest=earliest, year=earliest.year)


def refuse_future_day(day: date | None, today: date, pointer: str) -> None:
    """Invalid `date_in_future` for a day that has not come yet."""
    if day is not None and day > today:
        raise Invalid("date_in_future", pointer=pointer)


def refuse_end_before(end: datetime, beginning: datetime, pointer: str) -> None:
    """Invalid `end_before_beginning` for an end that is not after the beginning."""
    if end <= beginning:
        raise Invalid("end_before_beginning", pointer=pointer, beginning=beginning)


def refuse_last_day_before(last: date | None, first: date | None, pointer: str) -> None:
    """Invalid `end_before_beginning` for a last day before the first one."""
    if last is not None and first is not None and last < first:
        raise Invalid("end_before_beginning", pointer=pointer, beginning=first)
