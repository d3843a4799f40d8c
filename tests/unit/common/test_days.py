"""Months, month ends, federal holidays and business days."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from common.days import add_months, end_of_month, federal_holidays, last_day_of_months, next_business_day

DAYS = st.dates(date(1990, 1, 1), date(2090, 12, 31))


@pytest.mark.parametrize(
    ("day", "months", "later"),
    [
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2024, 2, 29), 48, date(2028, 2, 29)),
        (date(2026, 11, 30), 3, date(2027, 2, 28)),
        (date(2026, 12, 1), 0, date(2026, 12, 1)),
        (date(2026, 3, 31), -1, date(2026, 2, 28)),
        (date(2026, 1, 15), -1, date(2025, 12, 15)),
    ],
)
def test_months_added__same_day_or_the_shorter_months_last(day: date, months: int, later: date) -> None:
    assert add_months(day, months) == later


@given(DAYS, st.integers(0, 240))
def test_months_added__in_the_right_month_and_in_order(day: date, months: int) -> None:
    later = add_months(day, months)
    assert (later.year * 12 + later.month) - (day.year * 12 + day.month) == months
    assert later.day == min(day.day, end_of_month(later).day)
    assert add_months(day + timedelta(days=1), months) >= later


@pytest.mark.parametrize(
    ("first", "months", "last"),
    [
        (date(2024, 3, 14), 12, date(2025, 3, 13)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2024, 2, 29), 36, date(2027, 2, 28)),
        (date(2024, 2, 29), 48, date(2028, 2, 28)),
        (date(2024, 2, 28), 12, date(2025, 2, 27)),
        (date(2026, 8, 31), 6, date(2027, 2, 28)),
        (date(2026, 3, 1), 12, date(2027, 2, 28)),
        (date(2027, 3, 1), 12, date(2028, 2, 29)),
    ],
)
def test_last_day_of_months__is_the_day_before_the_anniversary_or_the_months_end(
    first: date, months: int, last: date
) -> None:
    assert last_day_of_months(first, months) == last


@given(DAYS, st.integers(1, 240))
def test_last_day_of_months__the_next_day_starts_on_or_after_the_anniversary(first: date, months: int) -> None:
    following = last_day_of_months(first, months) + timedelta(days=1)
    assert add_months(first, months) <= following <= add_months(first, months) + timedelta(days=1)
    assert last_day_of_months(first + timedelta(days=1), months) >= last_day_of_months(first, months)


@given(DAYS)
def test_end_of_month__next_day_is_the_first(day: date) -> None:
    assert (end_of_month(day) + timedelta(days=1)).day == 1
    assert end_of_month(day) >= day


def test_holidays_of_2026__eleven_days() -> None:
    assert sorted(federal_holidays(2026)) == [
        date(2026, 1, 1),
        date(2026, 1, 19),
        date(2026, 2, 16),
        date(2026, 5, 25),
        date(2026, 6, 19),
        date(2026, 7, 3),  # the fourth is a Saturday
        date(2026, 9, 7),
        date(2026, 10, 12),
        date(2026, 11, 11),
        date(2026, 11, 26),
        date(2026, 12, 25),
    ]


def test_holidays_of_2029__a_november_that_begins_on_a_thursday() -> None:
    assert sorted(federal_holidays(2029)) == [
        date(2029, 1, 1),
        date(2029, 1, 15),
        date(2029, 2, 19),
        date(2029, 5, 28),
        date(2029, 6, 19),
        date(2029, 7, 4),
        date(2029, 9, 3),
        date(2029, 10, 8),
        date(2029, 11, 12),  # the eleventh is a Sunday
        date(2029, 11, 22),
        date(2029, 12, 25),
    ]


def test_new_years_day_on_a_saturday__observed_in_the_year_before() -> None:
    assert date(2027, 12, 31) in federal_holidays(2027)
    assert date(2028, 1, 1) not in federal_holidays(2028)


def test_juneteenth__only_since_2021() -> None:
    assert date(2020, 6, 19) not in federal_holidays(2020)
    assert date(2021, 6, 18) in federal_holidays(2021)


@given(DAYS)
def test_next_business_day__first_working_day_from_then_on(day: date) -> None:
    found = next_business_day(day)
    assert found.weekday() < 5
    assert found not in federal_holidays(found.year)
    for skipped in (day + timedelta(days=n) for n in range((found - day).days)):
        assert skipped.weekday() >= 5 or skipped in federal_holidays(skipped.year)
    assert (found - day).days <= 4
