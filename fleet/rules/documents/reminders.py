"""What a document reminds of on a day: which reminder step, and in which words. Knows nobody who is told."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from fleet.enums import ENDING, IN_GRACE, OVERDUE
from fleet.rules.documents.periods import PeriodEnd, Reading
from fleet.rules.documents.states import DEFAULT_LEAD_DAYS, OVERDUE_EVERY_DAYS, step_now


@dataclass(frozen=True, slots=True)
class Reminder:
    """The newest step that has come. `step` names it for good: the day counted to, and how far from it.

    `code` follows what the document is today, not the step. `own_end` is the end the document itself says, `last_day`
    the last day on which it is honoured or may be renewed; `days` counts to it, or from it once overdue. `good_through`
    is the last day on which it is honoured, a grace included.
    """

    code: str
    step: str
    own_end: date
    last_day: date
    days: int
    good_through: date


def reminder_now(
    end: PeriodEnd,
    today: date,
    *,
    reading: Reading = Reading.BY_DAY,
    lead_days: Sequence[int] = DEFAULT_LEAD_DAYS,
    overdue_every_days: int = OVERDUE_EVERY_DAYS,
    overdue_for_days: int | None = None,
) -> Reminder | None:
    """The reminder of a document on `today`; None without an end, before the first step, and past `overdue_for_days`.

    The steps count to the day the document asks to be renewed by; after that, within a grace, to the grace's end.
    Only past the last of its days is a document overdue.
    """
    renew_by, last_day = end.reminder_day(reading), end.last_day(reading)
    if renew_by is None or last_day is None:
        return None
    if overdue_for_days is not None and (today - last_day).days > overdue_for_days:
        return None
    counted = renew_by if today <= renew_by else last_day
    step = step_now(counted, today, lead_days, overdue_every_days=overdue_every_days)
    if step is None:
        return None
    code = ENDING if today <= renew_by else IN_GRACE if today <= last_day else OVERDUE
    return Reminder(code, f"{counted}:{step.name}", renew_by, counted, abs((counted - today).days), last_day)


def missing_step(kind: str, state: str, today: date) -> str:
    """The step under which the absence of a document of that kind is told: once a week, from Monday on (ISO 8601).

    `state` is empty for a document that serves everywhere.
    """
    year, week, _ = today.isocalendar()
    return ":".join((kind, *filter(None, (state,)), f"{year}-W{week:02}"))
