from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from fleet.rules.notifications.timing import (
    BACK_OFF,
    PARK_AFTER,
    NotificationHours,
    after_quiet,
    hours_from,
    is_quiet,
    minutes_from,
    morning_of,
    possible_answers,
    retry_at,
    summary_day,
)

CHICAGO = ZoneInfo("America/Chicago")
HOURS = NotificationHours(morning=time(6), quiet_from=time(20), quiet_until=time(6))
DAY_HOURS = NotificationHours(morning=time(6), quiet_from=time(12), quiet_until=time(13))
NO_QUIET = NotificationHours(morning=time(6), quiet_from=time(0), quiet_until=time(0))


def local(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=CHICAGO)


@pytest.mark.parametrize(
    ("attempts", "wait"),
    [(1, timedelta(minutes=1)), (2, timedelta(minutes=5)), (3, timedelta(minutes=30)), (4, timedelta(hours=2))],
)
def test_failed_before_the_fifth_time__tried_again_later_and_later(attempts: int, wait: timedelta) -> None:
    now = datetime(2026, 3, 2, 12, tzinfo=UTC)

    assert retry_at(attempts, now) == now + wait


@pytest.mark.parametrize("attempts", [5, 6])
def test_failed_five_times__not_tried_again(attempts: int) -> None:
    assert retry_at(attempts, datetime(2026, 3, 2, 12, tzinfo=UTC)) is None


def test_back_off__covers_every_attempt_before_parking() -> None:
    assert len(BACK_OFF) == PARK_AFTER - 1


@pytest.mark.parametrize(
    ("clock", "quiet"),
    [("19:59:59", False), ("20:00:00", True), ("23:30:00", True), ("05:59:59", True), ("06:00:00", False)],
)
def test_quiet_hours_across_midnight__from_included_until_not(clock: str, quiet: bool) -> None:
    assert is_quiet(local(f"2026-03-02T{clock}").astimezone(UTC), HOURS, CHICAGO) is quiet


@pytest.mark.parametrize(("clock", "quiet"), [("11:59", False), ("12:00", True), ("12:59", True), ("13:00", False)])
def test_quiet_hours_within_a_day__from_included_until_not(clock: str, quiet: bool) -> None:
    assert is_quiet(local(f"2026-03-02T{clock}"), DAY_HOURS, CHICAGO) is quiet


def test_quiet_hours_of_equal_ends__never_quiet() -> None:
    assert not any(is_quiet(local(f"2026-03-02T{hour:02}:00"), NO_QUIET, CHICAGO) for hour in range(24))


@pytest.mark.parametrize(
    ("instant", "moved"),
    [
        ("2026-03-02T19:00", "2026-03-02T19:00"),
        ("2026-03-02T20:00", "2026-03-03T06:00"),
        ("2026-03-03T05:59", "2026-03-03T06:00"),
        ("2026-03-03T06:00", "2026-03-03T06:00"),
    ],
)
def test_instant_in_quiet_hours__moved_to_their_end(instant: str, moved: str) -> None:
    assert after_quiet(local(instant), HOURS, CHICAGO) == local(moved)


def test_night_of_the_clock_change__quiet_until_six_by_the_wall_clock() -> None:
    # 8 March 2026: 02:00 becomes 03:00, so 06:00 is 11:00 UTC, an hour earlier than the day before.
    assert after_quiet(datetime(2026, 3, 7, 6, tzinfo=UTC), HOURS, CHICAGO) == datetime(2026, 3, 7, 12, tzinfo=UTC)
    assert after_quiet(datetime(2026, 3, 8, 6, tzinfo=UTC), HOURS, CHICAGO) == datetime(2026, 3, 8, 11, tzinfo=UTC)


@pytest.mark.parametrize(
    ("zone", "morning"),
    [
        ("America/Chicago", datetime(2026, 11, 1, 12, tzinfo=UTC)),
        ("America/Phoenix", datetime(2026, 11, 1, 13, tzinfo=UTC)),
        ("America/New_York", datetime(2026, 11, 1, 11, tzinfo=UTC)),
    ],
)
def test_morning_after_the_clocks_went_back__six_by_the_wall_clock(zone: str, morning: datetime) -> None:
    assert morning_of(date(2026, 11, 1), HOURS, ZoneInfo(zone)) == morning


@pytest.mark.parametrize(
    ("instant", "day"),
    [
        ("2026-03-02T05:59", None),
        ("2026-03-02T06:00", date(2026, 3, 2)),
        ("2026-03-02T19:59", date(2026, 3, 2)),
        ("2026-03-02T20:00", None),
        ("2026-03-02T23:59", None),
    ],
)
def test_digest__leaves_from_the_morning_until_the_quiet_hours(instant: str, day: date | None) -> None:
    assert summary_day(local(instant).astimezone(UTC), HOURS, CHICAGO) == day


@pytest.mark.parametrize(
    ("zone", "day", "six_utc"),
    [
        # Clocks go forward on 8 March 2026 and back on 1 November, at 02:00 (15 U.S.C. 260a, from memory).
        ("America/New_York", date(2026, 3, 7), 11),
        ("America/New_York", date(2026, 3, 8), 10),
        ("America/New_York", date(2026, 10, 31), 10),
        ("America/New_York", date(2026, 11, 1), 11),
        ("America/Chicago", date(2026, 3, 7), 12),
        ("America/Chicago", date(2026, 3, 8), 11),
        ("America/Chicago", date(2026, 10, 31), 11),
        ("America/Chicago", date(2026, 11, 1), 12),
        ("America/Los_Angeles", date(2026, 3, 7), 14),
        ("America/Los_Angeles", date(2026, 3, 8), 13),
        ("America/Los_Angeles", date(2026, 10, 31), 13),
        ("America/Los_Angeles", date(2026, 11, 1), 14),
    ],
)
def test_clock_change_in_three_zones__digest_leaves_at_six_local_time(zone: str, day: date, six_utc: int) -> None:
    place = ZoneInfo(zone)
    six = datetime(day.year, day.month, day.day, six_utc, tzinfo=UTC)
    second, evening = timedelta(seconds=1), six - timedelta(hours=9)

    assert morning_of(day, HOURS, place) == six
    assert (summary_day(six - second, HOURS, place), summary_day(six, HOURS, place)) == (None, day)
    assert (is_quiet(six - second, HOURS, place), is_quiet(six, HOURS, place)) == (True, False)
    assert after_quiet(evening, HOURS, place) == after_quiet(six - second, HOURS, place) == six


def test_digest_with_a_morning_after_the_quiet_hours__waits_for_the_morning() -> None:
    hours = NotificationHours(morning=time(8), quiet_from=time(20), quiet_until=time(6))

    assert summary_day(local("2026-03-02T07:59"), hours, CHICAGO) is None
    assert summary_day(local("2026-03-02T08:00"), hours, CHICAGO) == date(2026, 3, 2)


def test_hours_of_a_policy__those_given_and_the_usual_for_the_rest() -> None:
    assert hours_from({"morning": "07:30"}) == NotificationHours(morning=time(7, 30))
    assert hours_from({"quiet_from": "22:00", "quiet_until": "05:00"}) == NotificationHours(
        morning=time(6), quiet_from=time(22), quiet_until=time(5)
    )
    assert hours_from({}) == NotificationHours()


@pytest.mark.parametrize(
    "value", [None, [], "06:00", {"morning": 6}, {"morning": "dawn"}, {"morning": "25:00"}, {"evening": "20:00"}]
)
def test_hours_of_another_form__refused(value: object) -> None:
    with pytest.raises((TypeError, ValueError)):
        hours_from(value)


def test_minutes_of_a_policy__read_as_a_wait() -> None:
    assert minutes_from(45) == timedelta(minutes=45)


@pytest.mark.parametrize("value", [0, -1, True, "15", 1.5, None])
def test_minutes_of_another_form__refused(value: object) -> None:
    with pytest.raises(ValueError, match="no whole number"):
        minutes_from(value)


@pytest.mark.parametrize(
    ("kind", "urgent", "acknowledged", "answers"),
    [
        ("expected_time_moved", False, False, ["acknowledge", "snooze"]),
        ("expected_time_moved", True, False, ["acknowledge"]),
        ("hold_placed", False, False, ["acknowledge"]),
        ("order_by_officer", False, False, ["acknowledge"]),
        ("load_at_risk", False, False, ["acknowledge"]),
        ("expected_time_moved", False, True, []),
        ("hold_placed", True, True, []),
    ],
)
def test_answers_to_a_notification__fewer_for_what_bars_and_none_once_acknowledged(
    kind: str, urgent: bool, acknowledged: bool, answers: list[str]
) -> None:
    assert possible_answers(kind, urgent=urgent, acknowledged=acknowledged) == answers
