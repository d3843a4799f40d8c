"""When a walk-around was done, as far as the phone's clock can be believed."""

from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defects.rules.walkarounds.timing import (
    LARGEST_SKEW,
    LONGEST_ON_THE_WAY,
    LONGEST_WALK,
    SKEW_TOLERATED,
    Timing,
    time_of,
)
from tests.support.submissions import RECEIVED, body, fault_told, given_check, leg_seen, report_on

MINUTE, HOUR, DAY = timedelta(minutes=1), timedelta(hours=1), timedelta(days=1)
TICK = timedelta(microseconds=1)
LAMP = given_check("lamps.trailer.stop", "", "fine")


Found = tuple[datetime, timedelta, int, tuple[str, ...], bool]


def found_of(timing: Timing) -> Found:
    return timing.performed_at, timing.skew, timing.offset_minutes, timing.flags, timing.known


def timed(finished: timedelta, sent: timedelta | None = None) -> Found:
    """A walk-around finished and sent so long after it came in, by the phone's own clock."""
    sent_at = None if sent is None else RECEIVED + sent
    return found_of(time_of(body(RECEIVED + finished, sent_at=sent_at), RECEIVED))


def test_sent_when_finished__that_time() -> None:
    assert timed(-HOUR, timedelta(0)) == (RECEIVED - HOUR, timedelta(0), 0, (), True)


@pytest.mark.parametrize("sent", [None, timedelta(0)])
def test_days_without_signal__the_time_it_was_done_and_nothing_flagged(sent: timedelta | None) -> None:
    assert timed(-3 * DAY, sent) == (RECEIVED - 3 * DAY, timedelta(0), 0, (), True)


@pytest.mark.parametrize("off", [-2 * DAY, -HOUR, -SKEW_TOLERATED - TICK, SKEW_TOLERATED + TICK, HOUR, 2 * DAY])
def test_clock_off_when_sending__times_put_right_and_flagged(off: timedelta) -> None:
    """Finished an hour before it was sent, whatever the clock said."""
    assert timed(off - HOUR, off) == (RECEIVED - HOUR, -off, 0, ("clock_skewed",), True)


@pytest.mark.parametrize("off", [-SKEW_TOLERATED, SKEW_TOLERATED])
def test_clock_off_by_what_is_tolerated__believed(off: timedelta) -> None:
    assert timed(off - HOUR, off) == (RECEIVED + off - HOUR, timedelta(0), 0, (), True)


def test_finished_a_moment_after_it_came_in__taken_as_come_in() -> None:
    assert timed(SKEW_TOLERATED) == (RECEIVED, -SKEW_TOLERATED, 0, (), True)


@pytest.mark.parametrize("ahead", [SKEW_TOLERATED + TICK, 2 * DAY, 3650 * DAY])
def test_ahead_and_no_time_of_sending__time_not_known(ahead: timedelta) -> None:
    assert timed(ahead) == (RECEIVED, -ahead, 0, ("clock_ahead",), False)


def test_finished_after_it_was_sent__time_not_known() -> None:
    assert timed(3 * HOUR, HOUR) == (RECEIVED, -3 * HOUR, 0, ("clock_skewed", "clock_ahead"), False)


def test_last_moment_on_the_way__believed_and_after_it_time_not_known() -> None:
    assert timed(-LONGEST_ON_THE_WAY) == (RECEIVED - LONGEST_ON_THE_WAY, timedelta(0), 0, (), True)
    late = LONGEST_ON_THE_WAY + TICK
    assert timed(-late) == (RECEIVED, late, 0, ("clock_behind",), False)


def test_clock_reset_to_1970_but_time_of_sending_known__put_right() -> None:
    reset = datetime(1970, 1, 1, tzinfo=UTC)
    walk = body(reset, sent_at=reset + HOUR)
    assert found_of(time_of(walk, RECEIVED)) == (RECEIVED - HOUR, RECEIVED - reset - HOUR, 0, ("clock_skewed",), True)


def test_offset_of_the_device__kept_in_minutes() -> None:
    west = timezone(-timedelta(hours=9, minutes=30))
    assert time_of(body(RECEIVED.astimezone(west)), RECEIVED).offset_minutes == -570


@pytest.mark.parametrize(
    ("took", "flags"),
    [
        (timedelta(0), ("walk_too_short",)),
        (LONGEST_WALK, ()),
        (LONGEST_WALK + TICK, ("walk_times_implausible",)),
        (-TICK, ("walk_times_implausible",)),
    ],
)
def test_length_of_the_walk__flagged_when_nobody_walks_so_long_or_in_no_time(
    took: timedelta, flags: tuple[str, ...]
) -> None:
    walk = body(RECEIVED - HOUR, started_at=RECEIVED - HOUR - took)
    assert found_of(time_of(walk, RECEIVED)) == (RECEIVED - HOUR, timedelta(0), 0, flags, True)


@given(
    st.datetimes(timezones=st.just(UTC)),
    st.datetimes(timezones=st.just(UTC)),
    st.none() | st.datetimes(timezones=st.just(UTC)),
)
def test_any_clock__never_raises_never_in_the_future_never_months_ago(
    started_at: datetime, finished_at: datetime, sent_at: datetime | None
) -> None:
    found = time_of(body(finished_at, started_at=started_at, sent_at=sent_at), RECEIVED)

    assert RECEIVED - LONGEST_ON_THE_WAY <= found.performed_at <= RECEIVED
    assert abs(found.skew) <= LARGEST_SKEW
    if found.known and abs(found.skew) < LARGEST_SKEW:
        assert found.performed_at == finished_at + found.skew
    if not found.known:
        assert found.performed_at == RECEIVED
        assert {"clock_ahead", "clock_behind"} & set(found.flags)


@pytest.mark.parametrize(
    ("took", "given", "flagged"),
    [
        (timedelta(0), {}, True),
        (timedelta(seconds=1), {}, False),
        (timedelta(seconds=3) - TICK, {"looked_at": [leg_seen("axles", "")], "checks": [LAMP, LAMP]}, True),
        (timedelta(seconds=3), {"looked_at": [leg_seen("axles", "")], "checks": [LAMP, LAMP]}, False),
        (timedelta(seconds=2) - TICK, {"faults": [fault_told("knocks"), fault_told("pulls")]}, True),
    ],
)
def test_walk_of_fewer_seconds_than_answers__flagged_and_believed(
    took: timedelta, given: dict[str, Any], flagged: bool
) -> None:
    walked = body(RECEIVED, started_at=RECEIVED - took, reports=[report_on("LR-45", **given)])
    timing = time_of(walked, RECEIVED)
    assert (timing.flags, timing.known) == (("walk_too_short",) if flagged else (), True)


def test_walk_whose_beginning_was_not_given__took_nobody_knows_how_long() -> None:
    assert time_of(body(RECEIVED, started_at=None), RECEIVED).flags == ()
