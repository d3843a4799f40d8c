"""A day belongs to a zone, and its last moment is the midnight that ends it there, clock changes included."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from common import clock


def test_now__aware_and_in_utc() -> None:
    assert clock.now().utcoffset() == timedelta(0)


def test_replayed__now_is_that_instant_in_utc_until_the_block_ends() -> None:
    then = datetime(2031, 5, 1, 8, tzinfo=ZoneInfo("America/Chicago"))
    with clock.replayed_at(then):
        assert (clock.now(), clock.now().utcoffset()) == (then, timedelta(0))
    assert clock.now() < then


def test_replayed_block_that_fails__time_goes_on() -> None:
    def fail() -> None:
        with clock.replayed_at(datetime(2031, 5, 1, tzinfo=UTC)):
            raise KeyError

    with pytest.raises(KeyError):
        fail()
    assert clock.now() < datetime(2031, 5, 1, tzinfo=UTC)


def test_replayed_at_a_naive_instant__refused() -> None:
    with pytest.raises(ValueError, match="offset"), clock.replayed_at(datetime(2031, 5, 1)):  # noqa: DTZ001 - as said
        pass


@pytest.mark.parametrize(
    ("instant", "day"),
    [
        (datetime(2026, 11, 26, 5, 59, 59, tzinfo=UTC), date(2026, 11, 25)),
        (datetime(2026, 11, 26, 6, 0, 0, tzinfo=UTC), date(2026, 11, 26)),
    ],
)
def test_day_in_chicago__turns_at_its_own_midnight(instant: datetime, day: date) -> None:
    assert clock.day_in_zone(instant, "America/Chicago") == day
    assert clock.day_in_zone(instant, ZoneInfo("America/Chicago")) == day


def test_day_of_a_naive_instant__refused() -> None:
    with pytest.raises(ValueError, match="offset"):
        clock.day_in_zone(datetime(2026, 11, 26, 6), "America/Chicago")  # noqa: DTZ001 - the point of it


@pytest.mark.parametrize(
    ("day", "end"),
    [
        (date(2026, 11, 25), datetime(2026, 11, 26, 6, tzinfo=UTC)),
        (date(2026, 3, 8), datetime(2026, 3, 9, 5, tzinfo=UTC)),  # a day of 23 hours
        (date(2026, 11, 1), datetime(2026, 11, 2, 6, tzinfo=UTC)),  # a day of 25 hours
        (date(2028, 2, 29), datetime(2028, 3, 1, 6, tzinfo=UTC)),
        (date(2026, 12, 31), datetime(2027, 1, 1, 6, tzinfo=UTC)),
    ],
)
def test_end_of_day_in_chicago__midnight_there(day: date, end: datetime) -> None:
    assert clock.end_of_day(day, "America/Chicago") == end


def test_end_of_day_where_midnight_is_skipped__moment_of_the_change() -> None:
    assert clock.end_of_day(date(2026, 9, 5), "America/Santiago") == datetime(2026, 9, 6, 4, tzinfo=UTC)
