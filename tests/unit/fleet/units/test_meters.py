"""Which readings enter a series, and what a replaced meter adds."""

import itertools
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.rules.units.meters import (
    LIMITS,
    Limit,
    Reading,
    ReadingProblem,
    Replacement,
    offset_at,
    offset_for,
    reading_problem,
    true_total,
)

Total = int | str | Decimal
NOW = datetime(2026, 3, 25, 12, tzinfo=UTC)
ODOMETER = LIMITS["odometer_mi"]
ENGINE = LIMITS["engine_h"]


def _reading(days: float, total: Total) -> Reading:
    return Reading(NOW - timedelta(days=days), Decimal(total))


def _problem(days: float, total: Total, series: list[Reading], limit: Limit = ODOMETER) -> str | None:
    problem = reading_problem(Decimal(total), _reading(days, total), series, limit, NOW)
    return None if problem is None else problem.code


def test_first_reading__accepted() -> None:
    assert _problem(0, 500_000, []) is None
    assert _problem(0, 0, []) is None


def test_shown_below_zero__negative() -> None:
    assert reading_problem(Decimal("-0.1"), _reading(0, 5), [], ODOMETER, NOW) == ReadingProblem("negative")


def test_read_after_now__future() -> None:
    late = Reading(NOW + timedelta(microseconds=1), Decimal(1))
    assert reading_problem(Decimal(1), late, [], ODOMETER, NOW) == ReadingProblem("future")
    assert _problem(0, 1, []) is None


@pytest.mark.parametrize(
    ("days_ago", "more", "code"),
    [
        (1, 1100, None),
        (1, "1100.1", "implausible"),
        (2, 2200, None),
        (2, "2200.1", "implausible"),
        (0, 1100, None),  # within an hour as within a day: 1,100 miles a day says nothing of one hour's speed
        (0, "1100.1", "implausible"),
        (1, 0, None),
        (1, "-0.1", "falling"),
    ],
)
def test_miles_since_the_reading_before__limit_itself_passes(days_ago: int, more: Total, code: str | None) -> None:
    before = _reading(days_ago, 100_000)
    assert _problem(0, Decimal(100_000) + Decimal(more), [before]) == code


@pytest.mark.parametrize(
    ("hours_ago", "more", "code"),
    [(24, 25, None), (24, "25.1", "implausible"), (1, 2, None), (1, "2.1", "implausible")],
)
def test_engine_hours__no_more_than_have_passed_and_a_whole_hour_shown(
    hours_ago: int, more: Total, code: str | None
) -> None:
    before = Reading(NOW - timedelta(hours=hours_ago), Decimal(1000))
    assert _problem(0, Decimal(1000) + Decimal(more), [before], ENGINE) == code


def test_late_reading__compared_with_both_neighbours() -> None:
    series = [_reading(4, 100_000), _reading(0, 101_000), _reading(9, 99_000)]
    assert _problem(2, 100_500, series) is None
    assert reading_problem(Decimal(101_001), _reading(2, 101_001), series, ODOMETER, NOW) == ReadingProblem(
        "falling", series[1]
    )
    assert reading_problem(Decimal(99_999), _reading(2, 99_999), series, ODOMETER, NOW) == ReadingProblem(
        "falling", series[0]
    )
    assert reading_problem(Decimal(97_000), _reading(10, 96_000), series, ODOMETER, NOW) == ReadingProblem(
        "implausible", series[2], Decimal(1100)
    )


def test_replaced_meter__total_goes_on_where_the_old_one_ended() -> None:
    changed = Replacement(NOW - timedelta(days=3), offset_for(Decimal(612_345), Decimal(12)))
    assert changed.offset == Decimal(612_333)
    assert true_total(Decimal(612_000), NOW - timedelta(days=4), [changed]) == Decimal(612_000)
    assert true_total(Decimal(12), changed.at, [changed]) == Decimal(612_345)
    again = Replacement(NOW - timedelta(days=1), Decimal(700_000))
    for rows in ([changed, again], [again, changed]):
        assert offset_at(rows, NOW) == Decimal(700_000)
        assert offset_at(rows, NOW - timedelta(days=2)) == Decimal(612_333)


def test_odometer_200_000_lower__falling_until_its_offset_is_recorded() -> None:
    """Day 24 of the scenario."""
    series = [_reading(1, 412_000)]
    shown = Decimal(212_310)
    assert reading_problem(shown, Reading(NOW, shown), series, ODOMETER, NOW) == ReadingProblem("falling", series[0])
    offset = offset_for(Decimal(412_310), shown)
    total = true_total(shown, NOW, [Replacement(NOW, offset)])
    assert total == Decimal(412_310)
    assert reading_problem(shown, Reading(NOW, total), series, ODOMETER, NOW) is None


@given(st.lists(st.tuples(st.integers(0, 1_000_000), st.integers(0, 1000)), max_size=12))
def test_series_built_from_accepted_readings__never_falls_and_never_leaps(candidates: list[tuple[int, int]]) -> None:
    series = [Reading(NOW - timedelta(minutes=1_000_001), Decimal(0)), Reading(NOW, Decimal(1000))]
    for minutes, total in candidates:
        reading = Reading(NOW - timedelta(minutes=minutes), Decimal(total))
        if reading_problem(reading.total, reading, series, ODOMETER, NOW) is None:
            series.append(reading)
    ordered = sorted(series, key=lambda row: (row.at, row.total))
    for earlier, later in itertools.pairwise(ordered):
        assert 0 <= later.total - earlier.total <= ODOMETER.most_within(later.at - earlier.at)
