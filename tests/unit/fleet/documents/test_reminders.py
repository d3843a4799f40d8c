from datetime import date, timedelta

import pytest

from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.periods import PeriodEnd, stored_end
from fleet.rules.documents.reminders import Reminder, missing_step, reminder_now

END = date(2026, 12, 31)
FUEL_TAX = stored_end(load_document_kinds()["fuel_tax_licence"].rule, END)
GRACE_END = date(2027, 2, 28)
USE_TAX = stored_end(load_document_kinds()["heavy_vehicle_use_tax"].rule, date(2026, 6, 30))


def said(end: PeriodEnd, today: date) -> tuple[str, str, int] | None:
    reminder = reminder_now(end, today)
    return None if reminder is None else (reminder.code, reminder.step, reminder.days)


@pytest.mark.parametrize(
    ("days", "expected"),
    [
        (-61, None),
        (-60, ("document_ending", "2026-12-31:60-days-left", 60)),
        (-31, ("document_ending", "2026-12-31:60-days-left", 31)),
        (-30, ("document_ending", "2026-12-31:30-days-left", 30)),
        (0, ("document_ending", "2026-12-31:0-days-left", 0)),
        (1, ("document_overdue", "2026-12-31:1-days-overdue", 1)),
        (6, ("document_overdue", "2026-12-31:1-days-overdue", 6)),
        (7, ("document_overdue", "2026-12-31:7-days-overdue", 7)),
        (20, ("document_overdue", "2026-12-31:14-days-overdue", 20)),
        (3650, ("document_overdue", "2026-12-31:3647-days-overdue", 3650)),
    ],
)
def test_document_with_one_end__newest_step_in_words_of_today(days: int, expected: tuple[str, str, int] | None) -> None:
    assert said(PeriodEnd(by_day=END), END + timedelta(days=days)) == expected


@pytest.mark.parametrize(
    ("today", "expected"),
    [
        (date(2026, 12, 31), Reminder("document_ending", "2026-12-31:0-days-left", END, END, 0, GRACE_END)),
        (
            date(2027, 1, 1),
            Reminder("document_in_grace", "2027-02-28:60-days-left", END, date(2027, 2, 28), 58, GRACE_END),
        ),
        (
            date(2027, 2, 28),
            Reminder("document_in_grace", "2027-02-28:0-days-left", END, date(2027, 2, 28), 0, GRACE_END),
        ),
        (
            date(2027, 3, 1),
            Reminder("document_overdue", "2027-02-28:1-days-overdue", END, date(2027, 2, 28), 1, GRACE_END),
        ),
        (
            date(2027, 3, 7),
            Reminder("document_overdue", "2027-02-28:7-days-overdue", END, date(2027, 2, 28), 7, GRACE_END),
        ),
    ],
)
def test_fuel_tax_licence__in_grace_until_the_end_of_february_and_overdue_only_then(
    today: date, expected: Reminder
) -> None:
    assert reminder_now(FUEL_TAX, today) == expected


def test_use_tax__counts_to_the_day_the_next_return_is_due() -> None:
    assert said(USE_TAX, date(2026, 7, 1)) is None
    assert said(USE_TAX, date(2026, 8, 31)) == ("document_ending", "2026-08-31:0-days-left", 0)
    assert said(USE_TAX, date(2026, 9, 1)) == ("document_overdue", "2026-08-31:1-days-overdue", 1)


def test_document_without_an_end__nothing() -> None:
    assert reminder_now(PeriodEnd(), END) is None


def test_end_moved__another_step_even_at_the_same_distance() -> None:
    first = reminder_now(PeriodEnd(by_day=END), END - timedelta(days=30))
    mended = reminder_now(PeriodEnd(by_day=END + timedelta(days=1)), END - timedelta(days=29))

    assert first is not None
    assert mended is not None
    assert first.step != mended.step


def test_absence__one_step_a_week_from_monday_on() -> None:
    days = [date(2026, 12, 27), date(2026, 12, 28), date(2027, 1, 3), date(2027, 1, 4)]

    assert [missing_step("registration", "", day) for day in days] == [
        "registration:2026-W52",
        "registration:2026-W53",
        "registration:2026-W53",
        "registration:2027-W01",
    ]


def test_steps__fit_the_column_of_a_notification() -> None:
    assert missing_step("k" * 48, "OR", END) == f"{'k' * 48}:OR:2026-W53"
    assert len(missing_step("k" * 48, "OR", END)) == 60
