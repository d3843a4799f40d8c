"""States, coverage by several documents, and the reminder steps."""

from collections.abc import Sequence
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.rules.documents.periods import PeriodEnd, Reading
from fleet.rules.documents.states import (
    DEFAULT_LEAD_DAYS,
    Coverage,
    DocumentState,
    Span,
    Step,
    coverage,
    state_on,
    step_now,
)

LAST = date(2026, 3, 13)
NEAR_DAYS = st.dates(date(2025, 1, 1), date(2027, 12, 31))


def _end(last_day: date) -> PeriodEnd:
    return PeriodEnd(by_day=last_day)


@pytest.mark.parametrize(
    ("today", "state"),
    [
        (LAST - timedelta(days=61), DocumentState.VALID),
        (LAST - timedelta(days=60), DocumentState.DUE),
        (LAST, DocumentState.DUE),
        (LAST + timedelta(days=1), DocumentState.EXPIRED),
    ],
)
def test_days_around_the_end__last_day_included(today: date, state: DocumentState) -> None:
    assert state_on(_end(LAST), today) is state


def test_no_document__missing_until_then_due_if_it_may_still_come() -> None:
    assert state_on(None, LAST) is DocumentState.MISSING
    assert state_on(None, LAST, due_by=LAST) is DocumentState.DUE
    assert state_on(None, LAST + timedelta(days=1), due_by=LAST) is DocumentState.MISSING


def test_document_without_end__current() -> None:
    assert state_on(PeriodEnd(), date.max) is DocumentState.VALID


def test_reading_of_the_carrier__decides_the_days_between() -> None:
    end = PeriodEnd(by_day=LAST, by_month_end=date(2026, 3, 31))
    between = date(2026, 3, 20)
    assert state_on(end, between, reading=Reading.BY_DAY) is DocumentState.EXPIRED
    assert state_on(end, between, reading=Reading.BY_MONTH_END) is DocumentState.DUE


def test_days_of_grace__due_and_not_expired() -> None:
    end = PeriodEnd(by_day=date(2026, 12, 31), grace_until=date(2027, 2, 28))
    assert state_on(end, date(2026, 10, 31)) is DocumentState.VALID
    assert state_on(end, date(2026, 11, 1)) is DocumentState.DUE
    assert state_on(end, date(2027, 2, 28)) is DocumentState.DUE
    assert state_on(end, date(2027, 3, 1)) is DocumentState.EXPIRED


def test_renewal_held_already__covers_on_without_a_gap() -> None:
    old, new = Span(None, _end(LAST)), Span(LAST + timedelta(days=1), _end(date(2027, 3, 13)))
    for spans in ([old, new], [new, old]):
        assert coverage(spans, LAST) == Coverage(covered=True, last_day=date(2027, 3, 13))
    late = Span(LAST + timedelta(days=2), _end(date(2027, 3, 13)))
    assert coverage([old, late], LAST) == Coverage(covered=True, last_day=LAST)
    assert coverage([old, late], LAST + timedelta(days=1)) == Coverage(covered=False, last_day=LAST)


def test_documents_that_do_not_cover__newest_ended_or_none() -> None:
    assert coverage([], LAST) == Coverage(covered=False, last_day=None)
    assert coverage([Span(LAST, PeriodEnd())], LAST - timedelta(days=1)) == Coverage(covered=False, last_day=None)
    assert coverage([Span(LAST, PeriodEnd())], LAST) == Coverage(covered=True, last_day=None)


PERIODS = st.lists(
    st.tuples(NEAR_DAYS, st.integers(0, 400)).map(lambda pair: (pair[0], pair[0] + timedelta(days=pair[1]))), max_size=5
)


@given(PERIODS, NEAR_DAYS)
def test_coverage__every_day_up_to_the_last_is_in_some_document_and_the_next_in_none(
    periods: list[tuple[date, date]], day: date
) -> None:
    def within(some_day: date) -> bool:
        return any(starts_on <= some_day <= last for starts_on, last in periods)

    held = coverage([Span(starts_on, _end(last)) for starts_on, last in periods], day)
    assert held.covered is within(day)
    if held.covered:
        assert held.last_day is not None
        assert all(within(day + timedelta(days=n)) for n in range((held.last_day - day).days + 1))
        assert not within(held.last_day + timedelta(days=1))
    elif held.last_day is not None:
        assert held.last_day == max(last for _, last in periods if last < day)


def steps_due(
    ends_on: date,
    today: date,
    lead_days: Sequence[int] = DEFAULT_LEAD_DAYS,
    *,
    since: date = date.min,
    overdue_every_days: int = 7,
) -> list[Step]:
    """Every step whose day has come after `since` by `today`, oldest first: the steps written out day by day."""
    overdue = {1, *range(overdue_every_days, max((today - ends_on).days, 0) + 1, overdue_every_days)}
    left = [*sorted(set(lead_days), reverse=True), *(-days for days in sorted(overdue))]
    steps = [Step(ends_on - timedelta(days=days), days) for days in left]
    return [step for step in steps if since < step.due_on <= today]


def test_steps__each_day_one_step() -> None:
    owed = {}
    for back in range(70, -22, -1):
        today = LAST - timedelta(days=back)
        for step in steps_due(LAST, today, since=today - timedelta(days=1)):
            owed[back] = step.name
    assert owed == {
        60: "60-days-left",
        30: "30-days-left",
        14: "14-days-left",
        7: "7-days-left",
        3: "3-days-left",
        1: "1-days-left",
        0: "0-days-left",
        -1: "1-days-overdue",
        -7: "7-days-overdue",
        -14: "14-days-overdue",
        -21: "21-days-overdue",
    }


def test_nights_missed__caught_up_with_the_newest_step_last() -> None:
    today = LAST + timedelta(days=8)
    steps = steps_due(LAST, today, since=LAST - timedelta(days=2))
    assert [step.days_left for step in steps] == [1, 0, -1, -7]
    assert step_now(LAST, today) == steps[-1] == Step(LAST + timedelta(days=7), -7)


def test_document_entered_late__all_steps_passed_and_one_to_say() -> None:
    today = LAST - timedelta(days=5)
    assert [step.days_left for step in steps_due(LAST, today)] == [60, 30, 14, 7]
    assert step_now(LAST, today) == Step(LAST - timedelta(days=7), 7)


def test_before_the_first_step__none() -> None:
    assert steps_due(LAST, LAST - timedelta(days=61)) == []
    assert step_now(LAST, LAST - timedelta(days=61)) is None


def test_lead_days_of_its_own__used_as_given() -> None:
    assert [s.days_left for s in steps_due(LAST, LAST + timedelta(days=20), (10, 2), overdue_every_days=10)] == [
        10,
        2,
        -1,
        -10,
        -20,
    ]


@given(NEAR_DAYS, st.integers(-200, 800), st.integers(0, 400))
def test_jobs_at_any_rhythm__every_step_owed_once_and_the_newest_is_step_now(
    ends_on: date, days: int, pause: int
) -> None:
    today = ends_on + timedelta(days=days)
    before = today - timedelta(days=pause)
    everything = steps_due(ends_on, today)
    assert steps_due(ends_on, before) + steps_due(ends_on, today, since=before) == everything
    assert step_now(ends_on, today) == (everything[-1] if everything else None)
    assert len(set(everything)) == len(everything)
    assert all(step.due_on == ends_on - timedelta(days=step.days_left) for step in everything)
    assert {step.days_left for step in everything if step.days_left >= 0} <= set(DEFAULT_LEAD_DAYS)
