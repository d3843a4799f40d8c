"""Ends of papers and days to file, against published tables, examples and rule texts. Expected days are typed here."""

from datetime import date
from typing import Any

import pytest

from fleet.rules.documents.filings import biennial_month, next_biennial_update, use_tax_due
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.periods import PeriodEnd, PeriodFacts, Reading


def _end(kind: str, **facts: Any) -> PeriodEnd:
    return load_document_kinds()[kind].rule.end(PeriodFacts(**facts))


@pytest.mark.parametrize(
    ("first_used", "due"),
    [
        # The tax authority's table "When Form 2290 taxes are due" gives the last day of the month after first use. The
        # days moved by weekends and holidays are derived from its rule with a calendar of 2023 and 2024.
        (date(2023, 7, 15), date(2023, 8, 31)),
        (date(2023, 8, 15), date(2023, 10, 2)),  # 30 September 2023 is a Saturday
        (date(2023, 9, 15), date(2023, 10, 31)),
        (date(2023, 10, 15), date(2023, 11, 30)),
        (date(2023, 11, 15), date(2024, 1, 2)),  # 31 December 2023 is a Sunday, 1 January a holiday
        (date(2023, 12, 15), date(2024, 1, 31)),
        (date(2024, 1, 15), date(2024, 2, 29)),
        (date(2024, 2, 15), date(2024, 4, 1)),  # 31 March 2024 is a Sunday
        (date(2024, 3, 15), date(2024, 4, 30)),
        (date(2024, 4, 15), date(2024, 5, 31)),
        (date(2024, 5, 15), date(2024, 7, 1)),  # 30 June 2024 is a Sunday
        (date(2024, 6, 15), date(2024, 7, 31)),
    ],
)
def test_use_tax_by_month_of_first_use__due_as_in_the_published_table(first_used: date, due: date) -> None:
    assert use_tax_due(first_used) == due


@pytest.mark.parametrize(
    ("first_used", "due"),
    [
        # Published on the tax authority's page: first used 1 July 2023, due 31 August 2023.
        (date(2023, 7, 1), date(2023, 8, 31)),
        # Tax Tip 2025-56: first used in July 2025, due 2 September 2025 (a Sunday, then Labor Day).
        (date(2025, 7, 1), date(2025, 9, 2)),
        (date(2025, 7, 31), date(2025, 9, 2)),
        # The authority's example as republished by a filing service: 2 November 2022, due 3 January 2023.
        (date(2022, 11, 2), date(2023, 1, 3)),
    ],
)
def test_use_tax_published_examples__same_day(first_used: date, due: date) -> None:
    assert use_tax_due(first_used) == due


def test_use_tax_year__runs_from_july_to_june() -> None:
    """Tax Tip 2025-56 names the period 1 July 2025 to 30 June 2026; the next return is due for July's use."""
    end = _end("heavy_vehicle_use_tax", starts_on=date(2025, 7, 1))
    assert end.by_day == date(2026, 6, 30)
    assert end.grace_until == date(2026, 8, 31)
    assert end.reminder_day() == date(2026, 8, 31)


@pytest.mark.parametrize("day", [date(2024, 3, 1), date(2024, 3, 14), date(2024, 3, 31)])
def test_state_program_inspection_in_march_2024__covered_through_31_march_2025(day: date) -> None:
    """396.17(f): twelve months from the last day of the month of inspection. The dated example is derived."""
    end = _end("periodic_inspection", starts_on=day, under_state_program=True)
    assert end.last_day(Reading.BY_DAY) == date(2025, 3, 31)
    assert end.last_day(Reading.BY_MONTH_END) == date(2025, 3, 31)


@pytest.mark.parametrize(
    ("inspected", "last_covered"),
    [
        # 396.17(c): within the preceding 12 months, without rounding, the day of inspection counted as the first day.
        (date(2024, 3, 14), date(2025, 3, 13)),
        (date(2025, 3, 1), date(2026, 2, 28)),
        (date(2023, 3, 1), date(2024, 2, 29)),
        (date(2024, 2, 28), date(2025, 2, 27)),
        (date(2024, 2, 29), date(2025, 2, 28)),  # no 29 February 2025: twelve months are over with the month
        (date(2025, 12, 31), date(2026, 12, 30)),
        (date(2025, 1, 1), date(2025, 12, 31)),
    ],
)
def test_own_or_agents_inspection__strict_last_day(inspected: date, last_covered: date) -> None:
    end = _end("periodic_inspection", starts_on=inspected)
    assert end.by_day == last_covered
    assert end.last_day(Reading.BY_DAY) == last_covered


@pytest.mark.parametrize(("year", "old_licence_honoured_until"), [(2024, date(2025, 2, 28)), (2027, date(2028, 2, 29))])
def test_fuel_tax_licence__two_months_of_grace(year: int, old_licence_honoured_until: date) -> None:
    """A State's page (Michigan) on the fuel-tax agreement, read: 1 January to 28 February, the new one from 1 March."""
    end = _end("fuel_tax_licence", starts_on=date(year, 1, 1))
    assert end.by_day == date(year, 12, 31)
    assert end.last_day() == old_licence_honoured_until


@pytest.mark.parametrize(
    ("last_digit", "month"), [(1, 1), (2, 2), (3, 3), (4, 4), (5, 5), (6, 6), (7, 7), (8, 8), (9, 9), (0, 10)]
)
def test_biennial_update_by_last_digit__month_of_390_19(last_digit: int, month: int) -> None:
    assert biennial_month(f"123456{last_digit}") == month


@pytest.mark.parametrize(
    ("number", "filed", "due"),
    [
        # 390.19: the next-to-last digit odd, odd years; even, even years; by the last day of the month.
        ("1234532", date(2023, 2, 20), date(2025, 2, 28)),
        ("1234522", date(2025, 1, 10), date(2026, 2, 28)),
        ("1234522", date(2022, 2, 28), date(2024, 2, 29)),
        ("1234510", date(2025, 9, 1), date(2025, 10, 31)),
        ("0000000", date(2026, 3, 2), date(2026, 10, 31)),
        ("0000000", date(2026, 10, 31), date(2028, 10, 31)),
        ("0000000", date(2026, 11, 1), date(2028, 10, 31)),
    ],
)
def test_biennial_update_by_digits__month_and_year_of_390_19(number: str, filed: date, due: date) -> None:
    assert next_biennial_update(number, filed) == due


@pytest.mark.parametrize(("model_year", "last_day"), [(2018, date(2025, 12, 31)), (2013, date(2020, 12, 31))])
def test_california_in_use_standard__end_of_the_seventh_year_after_the_model_year(
    model_year: int, last_day: date
) -> None:
    """13 CCR 2477, as the State agency's pages give it: by the end of the 7th year after the engine's model year."""
    assert _end("cooling_unit_in_use_standard", model_year=model_year).last_day() == last_day


def test_unified_registration__calendar_year() -> None:
    """State page: calendar year, due 31 December, no pro-rating."""
    assert _end("unified_registration_fee", starts_on=date(2026, 5, 1)).last_day() == date(2026, 12, 31)


def test_refrigerant_card__has_no_expiry() -> None:
    """40 CFR 82.161: no recertification is required."""
    assert _end("refrigerant_card", starts_on=date(1995, 1, 1)).last_day() is None
