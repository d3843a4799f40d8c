"""Arithmetic on calendar days: months, month ends, federal holidays, business days. Knows no document and no clock."""

from calendar import monthrange
from datetime import date, timedelta

SATURDAY = 5
SUNDAY = 6
JUNETEENTH_SINCE = 2021


def add_months(day: date, months: int) -> date:
    """The same day of the month `months` later; the month's last day where that month is shorter."""
    years, month = divmod(day.month - 1 + months, 12)
    return date(day.year + years, month + 1, min(day.day, monthrange(day.year + years, month + 1)[1]))


def last_day_of_months(first: date, months: int) -> date:
    """The last of so many months of which `first` is the first day: the day before the same day of the later month.

    Where that month has no such day it is over with its last one: twelve months from 29 February 2024 run to 28
    February 2025.
    """
    anniversary = add_months(first, months)
    return anniversary if anniversary.day < first.day else anniversary - timedelta(days=1)


def end_of_month(day: date) -> date:
    """The last day of the month that `day` is in."""
    return day.replace(day=monthrange(day.year, day.month)[1])


def federal_holidays(year: int) -> frozenset[date]:
    """The days off of a calendar year under 5 U.S.C. 6103 as observed: Saturday's on Friday, Sunday's on Monday.

    From memory of the statute. Inauguration Day, which counts only in and around the capital, is left out. The New
    Year's Day of the year after is in it when it is observed on 31 December.
    """
    fixed = [date(year, 1, 1), date(year, 7, 4), date(year, 11, 11), date(year, 12, 25), date(year + 1, 1, 1)]
    if year >= JUNETEENTH_SINCE:
        fixed.append(date(year, 6, 19))
    moving = [
        _nth_monday(year, 1, 3),
        _nth_monday(year, 2, 3),
        _last_monday_of_may(year),
        _nth_monday(year, 9, 1),
        _nth_monday(year, 10, 2),
        _fourth_thursday_of_november(year),
    ]
    observed = [_observed(day) for day in fixed]
    return frozenset(day for day in (*observed, *moving) if day.year == year)


def next_business_day(day: date) -> date:
    """`day` itself, or the next day that is no Saturday, Sunday or federal holiday (26 U.S.C. 7503 for tax days)."""
    while day.weekday() in (SATURDAY, SUNDAY) or day in federal_holidays(day.year):
        day += timedelta(days=1)
    return day


def _observed(day: date) -> date:
    if day.weekday() == SATURDAY:
        return day - timedelta(days=1)
    if day.weekday() == SUNDAY:
        return day + timedelta(days=1)
    return day


def _nth_monday(year: int, month: int, nth: int) -> date:
    first = date(year, month, 1)
    return first + timedelta(days=(-first.weekday()) % 7 + 7 * (nth - 1))


def _last_monday_of_may(year: int) -> date:
    last = date(year, 5, 31)
    return last - timedelta(days=last.weekday())


def _fourth_thursday_of_november(year: int) -> date:
    first = date(year, 11, 1)
    return first + timedelta(days=(3 - first.weekday()) % 7 + 21)
