"""Each way a document ends: what it gives, and what it refuses."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from common.days import end_of_month
from fleet.rules.documents.periods import (
    BiennialByNumber,
    CalendarYear,
    ExplicitDate,
    MonthsFromStart,
    NoEnd,
    PeriodFacts,
    PeriodRefused,
    PeriodRule,
    Reading,
    UseTaxYear,
    YearsAfterModelYear,
    stored_end,
)

DAYS = st.dates(date(2000, 1, 1), date(2080, 12, 31))
SOME_DAY = date(2026, 3, 14)


@pytest.mark.parametrize(
    ("rule", "facts", "code", "field"),
    [
        (ExplicitDate(), PeriodFacts(), "required", "ends_on"),
        (ExplicitDate(), PeriodFacts(permanent=True), "may_not_be_permanent", "permanent"),
        (
            ExplicitDate(),
            PeriodFacts(starts_on=SOME_DAY, ends_on=SOME_DAY - timedelta(days=1)),
            "ends_before_start",
            "ends_on",
        ),
        (
            ExplicitDate(may_be_permanent=True),
            PeriodFacts(permanent=True, ends_on=SOME_DAY),
            "end_is_computed",
            "ends_on",
        ),
        (MonthsFromStart(12), PeriodFacts(), "required", "starts_on"),
        (MonthsFromStart(12), PeriodFacts(starts_on=SOME_DAY, permanent=True), "may_not_be_permanent", "permanent"),
        (MonthsFromStart(12), PeriodFacts(starts_on=SOME_DAY, ends_on=SOME_DAY), "end_is_computed", "ends_on"),
        (CalendarYear(), PeriodFacts(), "required", "starts_on"),
        (CalendarYear(), PeriodFacts(starts_on=SOME_DAY, permanent=True), "may_not_be_permanent", "permanent"),
        (CalendarYear(), PeriodFacts(starts_on=SOME_DAY, ends_on=SOME_DAY), "end_is_computed", "ends_on"),
        (UseTaxYear(), PeriodFacts(), "required", "starts_on"),
        (UseTaxYear(), PeriodFacts(starts_on=SOME_DAY, permanent=True), "may_not_be_permanent", "permanent"),
        (UseTaxYear(), PeriodFacts(starts_on=SOME_DAY, ends_on=SOME_DAY), "end_is_computed", "ends_on"),
        (BiennialByNumber(), PeriodFacts(usdot_number="0000000"), "required", "starts_on"),
        (BiennialByNumber(), PeriodFacts(starts_on=SOME_DAY), "malformed", "usdot_number"),
        (BiennialByNumber(), PeriodFacts(starts_on=SOME_DAY, usdot_number="7"), "malformed", "usdot_number"),
        (BiennialByNumber(), PeriodFacts(starts_on=SOME_DAY, usdot_number="12345X"), "malformed", "usdot_number"),
        (BiennialByNumber(), PeriodFacts(starts_on=SOME_DAY, usdot_number="1234²"), "malformed", "usdot_number"),
        (
            BiennialByNumber(),
            PeriodFacts(starts_on=SOME_DAY, usdot_number="0000000", permanent=True),
            "may_not_be_permanent",
            "permanent",
        ),
        (
            BiennialByNumber(),
            PeriodFacts(starts_on=SOME_DAY, usdot_number="0000000", ends_on=SOME_DAY),
            "end_is_computed",
            "ends_on",
        ),
        (YearsAfterModelYear(7), PeriodFacts(), "required", "model_year"),
        (YearsAfterModelYear(7), PeriodFacts(model_year=2019, ends_on=SOME_DAY), "end_is_computed", "ends_on"),
        (NoEnd(), PeriodFacts(ends_on=SOME_DAY), "end_is_computed", "ends_on"),
    ],
)
def test_facts_that_make_no_period__refused_with_code_and_field(
    rule: PeriodRule, facts: PeriodFacts, code: str, field: str
) -> None:
    with pytest.raises(PeriodRefused) as refusal:
        rule.end(facts)
    assert (refusal.value.code, refusal.value.field) == (code, field)


def test_printed_end_on_the_first_day__accepted() -> None:
    assert ExplicitDate().end(PeriodFacts(starts_on=SOME_DAY, ends_on=SOME_DAY)).last_day() == SOME_DAY


@pytest.mark.parametrize(
    ("rule", "facts"),
    [
        (ExplicitDate(may_be_permanent=True), PeriodFacts(permanent=True)),
        (YearsAfterModelYear(7), PeriodFacts(permanent=True)),
        (NoEnd(), PeriodFacts(starts_on=SOME_DAY)),
        (NoEnd(), PeriodFacts(permanent=True)),
    ],
)
def test_permanent_document__no_end_in_any_reading(rule: PeriodRule, facts: PeriodFacts) -> None:
    end = rule.end(facts)
    assert end.last_day(Reading.BY_DAY) is None
    assert end.last_day(Reading.BY_MONTH_END) is None
    assert end.reminder_day() is None


def test_both_readings_of_an_inspection__given_and_chosen_by_policy_or_program() -> None:
    own = MonthsFromStart(12).end(PeriodFacts(starts_on=SOME_DAY))
    assert (own.by_day, own.by_month_end) == (date(2027, 3, 13), date(2027, 3, 31))
    assert own.last_day(Reading.BY_DAY) == own.reminder_day(Reading.BY_DAY) == date(2027, 3, 13)
    assert own.last_day(Reading.BY_MONTH_END) == own.reminder_day(Reading.BY_MONTH_END) == date(2027, 3, 31)
    state = MonthsFromStart(12).end(PeriodFacts(starts_on=SOME_DAY, under_state_program=True))
    assert state.last_day(Reading.BY_DAY) == state.reminder_day(Reading.BY_DAY) == date(2027, 3, 31)


@pytest.mark.parametrize("given_end", [date(2027, 3, 13), date(2027, 3, 31)])
def test_either_reading_given_by_hand__accepted(given_end: date) -> None:
    assert MonthsFromStart(12).end(PeriodFacts(starts_on=SOME_DAY, ends_on=given_end)).by_day == date(2027, 3, 13)


@given(DAYS, st.integers(1, 60))
def test_months_from_start__month_end_never_earlier_nor_for_later_starts(start: date, months: int) -> None:
    rule = MonthsFromStart(months)
    end, later = rule.end(PeriodFacts(starts_on=start)), rule.end(PeriodFacts(starts_on=start + timedelta(days=1)))
    assert end.by_day is not None
    assert end.by_month_end is not None
    assert later.by_day is not None
    assert end.by_day <= end.by_month_end
    assert (end.by_month_end - end.by_day).days <= 31
    assert later.by_day >= end.by_day


def test_grace__counts_for_the_last_day_and_not_for_reminders() -> None:
    end = CalendarYear(aboard_by=(3, 1)).end(PeriodFacts(starts_on=date(2026, 1, 1)))
    assert (end.last_day(), end.reminder_day()) == (date(2027, 2, 28), date(2026, 12, 31))
    assert CalendarYear().end(PeriodFacts(starts_on=date(2026, 6, 1))).last_day() == date(2026, 12, 31)


@given(DAYS, st.text("0123456789", min_size=2, max_size=9))
def test_biennial_update__after_the_filings_month_within_two_years_and_a_month(filed: date, number: str) -> None:
    due = BiennialByNumber().end(PeriodFacts(starts_on=filed, usdot_number=number)).by_day
    assert due is not None
    assert (due.year, due.month) > (filed.year, filed.month)
    assert (due.year - filed.year) * 12 + due.month - filed.month <= 24
    assert due.year % 2 == int(number[-2]) % 2
    assert due == end_of_month(due)


@given(DAYS)
def test_use_tax_year__holds_the_day_of_use_and_its_grace_ends_after_it(used: date) -> None:
    end = UseTaxYear().end(PeriodFacts(starts_on=used))
    assert end.by_day is not None
    assert end.grace_until is not None
    assert date(end.by_day.year - 1, 7, 1) <= used <= end.by_day
    assert date(end.by_day.year, 8, 31) <= end.grace_until <= date(end.by_day.year, 9, 4)


@given(DAYS, st.booleans())
def test_both_readings_stored__the_same_end_again(start: date, by_state: bool) -> None:
    facts = PeriodFacts(
        starts_on=start, under_state_program=by_state, usdot_number="1234567", model_year=start.year, ends_on=None
    )
    for rule in (
        MonthsFromStart(12),
        CalendarYear(),
        CalendarYear(aboard_by=(3, 1)),
        UseTaxYear(),
        BiennialByNumber(),
        YearsAfterModelYear(7),
        NoEnd(),
    ):
        end = rule.end(facts)
        assert stored_end(rule, end.by_day, end.by_month_end, under_state_program=by_state) == end
    printed = ExplicitDate().end(PeriodFacts(ends_on=start))
    assert stored_end(ExplicitDate(), start, under_state_program=by_state) == printed
    assert stored_end(ExplicitDate(may_be_permanent=True), None).last_day() is None
