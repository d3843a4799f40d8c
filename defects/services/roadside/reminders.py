"""Calling to mind that an officer's report waits for its answer, which is due within 15 days (396.9(d)(3))."""

from collections.abc import Collection, Sequence
from datetime import date, datetime, timedelta
from uuid import UUID

from defects.models import RoadsideInspection
from defects.rules.roadside import BEFORE, step_due
from fleet.enums import NotificationKind, Role
from fleet.selectors.carrier.carrier import carriers_day
from fleet.services.notifications.create import NotificationDraft, RecipientGroup, create_notifications, find_recipients
from fleet.services.notifications.refresh import Content, Refresh
from fleet.services.notifications.skipped_records import in_batches

BATCH = 500

COUNTED = DUE_IN, DUE_TODAY, OVERDUE = (
    "roadside_answer_due_in",
    "roadside_answer_due_today",
    "roadside_answer_overdue",
)


def remind_of_answers(*, now: datetime) -> int:
    """Notify compliance of every answer whose day comes near or has passed; how many notifications are new.

    Each reminder step is due once, and of steps that were missed only the newest. By the carrier's day.
    """
    today = carriers_day(now)
    near = today + timedelta(days=max(BEFORE))
    waiting = RoadsideInspection.objects.filter(answer_due_on__lte=near, answered_at__isnull=True)
    rows = list(waiting.order_by("answer_due_on", "pk").values_list("pk", "report_number", "answer_due_on"))
    office = RecipientGroup(Role.COMPLIANCE)
    people = [person.pk for person in find_recipients([office], now=now)[office]]

    def remind(batch: Sequence[tuple[UUID, str, date | None]]) -> int:
        drafts = [_draft(key, number, due_on, today, people) for key, number, due_on in batch if due_on is not None]
        return len(create_notifications(drafts, now=now))

    return in_batches("remind_of_answers", rows, remind, key=lambda row: row[0], size=BATCH, now=now)


def count_to_answers(_: Collection[UUID], now: datetime) -> Refresh:
    """Have reminders of answers say how far off the day is when they are sent or read."""
    today = carriers_day(now)

    def refresh(_: UUID | None, content: Content) -> Content:
        code, facts = content
        if code not in COUNTED:
            return content
        left = (date.fromisoformat(facts["due_on"]) - today).days
        return _code(left), {**facts, "days": abs(left)}

    return refresh


def _code(left: int) -> str:
    if left > 0:
        return DUE_IN
    return OVERDUE if left < 0 else DUE_TODAY


def _draft(inspection: UUID, number: str, due_on: date, today: date, people: list[UUID]) -> NotificationDraft:
    left = (due_on - today).days
    return NotificationDraft(
        kind=NotificationKind.ROADSIDE_ANSWER_DUE,
        code=_code(left),
        subject=inspection,
        people=people,
        facts={"report_number": number, "due_on": due_on, "days": abs(left)},
        step=step_due(due_on, today) or "",
    )
