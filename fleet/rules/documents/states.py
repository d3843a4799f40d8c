"""What a document is on a given day and which reminders are due, from dates alone. Nothing of it is stored."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from fleet.rules.documents.periods import PeriodEnd, Reading

DEFAULT_LEAD_DAYS = (60, 30, 14, 7, 3, 1, 0)
OVERDUE_EVERY_DAYS = 7
_ONE_DAY = timedelta(days=1)


class DocumentState(StrEnum):
    """Good, to be renewed, past its last day, missing; or not known whether it should be there."""

    VALID = "valid"
    DUE = "due"
    EXPIRED = "expired"
    MISSING = "missing"
    NOT_KNOWN = "not_known"


@dataclass(frozen=True, slots=True)
class Span:
    """One document's period. `starts_on` empty: as long ago as anyone asks."""

    starts_on: date | None
    end: PeriodEnd


@dataclass(frozen=True, slots=True)
class Coverage:
    """Whether a day is covered and up to which last day, included, without a gap; None for no end."""

    covered: bool
    last_day: date | None


@dataclass(frozen=True, slots=True, order=True)
class Step:
    """One reminder step: `due_on` its day, `days_left` to the last day then (negative while overdue)."""

    due_on: date
    days_left: int

    @property
    def name(self) -> str:
        """Stable name for the key that lets a notification be created only once."""
        return f"{self.days_left}-days-left" if self.days_left >= 0 else f"{-self.days_left}-days-overdue"


def state_on(
    end: PeriodEnd | None,
    today: date,
    *,
    reading: Reading = Reading.BY_DAY,
    lead_days: Sequence[int] = DEFAULT_LEAD_DAYS,
    due_by: date | None = None,
) -> DocumentState:
    """The state of a document on `today`; `end` None when there is none.

    The last day itself is still in date. `due_by` is the last day on which a first document may still be lacking (a
    use-tax return for a newly used vehicle): until then its absence is `due`.
    """
    if end is None:
        within = due_by is not None and today <= due_by
        return DocumentState.DUE if within else DocumentState.MISSING
    last_day = end.last_day(reading)
    if last_day is None:
        return DocumentState.VALID
    if today > last_day:
        return DocumentState.EXPIRED
    counted = end.reminder_day(reading) or last_day
    if (counted - today).days <= max(lead_days, default=0):
        return DocumentState.DUE
    return DocumentState.VALID


def coverage(spans: Sequence[Span], day: date, reading: Reading = Reading.BY_DAY) -> Coverage:
    """How far the documents of one kind reach from `day` without a gap, a renewal already held included.

    Not covered: `last_day` is the newest last day before `day`, None if there is none.
    """
    periods = sorted((span.starts_on or date.min, span.end.last_day(reading) or date.max) for span in spans)
    next_uncovered = day
    for start, last in periods:
        if start <= next_uncovered <= last:
            if last == date.max:
                return Coverage(covered=True, last_day=None)
            next_uncovered = last + _ONE_DAY
    if next_uncovered > day:
        return Coverage(covered=True, last_day=next_uncovered - _ONE_DAY)
    return Coverage(covered=False, last_day=max((last for _, last in periods if last < day), default=None))


def step_now(
    ends_on: date,
    today: date,
    lead_days: Sequence[int] = DEFAULT_LEAD_DAYS,
    *,
    overdue_every_days: int = OVERDUE_EVERY_DAYS,
) -> Step | None:
    """The newest step whose day has come, in constant time however long overdue; None before the first.

    `lead_days` counts days before the last day `ends_on`; after it there is a step on the first day, then one every
    `overdue_every_days`.
    """
    overdue = (today - ends_on).days
    if overdue > 0:
        days = max(overdue - overdue % overdue_every_days, 1)
        return Step(ends_on + timedelta(days=days), -days)
    reached = [days for days in lead_days if -overdue <= days]
    return Step(ends_on - timedelta(days=min(reached)), min(reached)) if reached else None
