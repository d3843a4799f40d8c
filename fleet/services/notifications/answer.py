"""What the person told does with a notification: acknowledge it, or put it off with a reason."""

from datetime import date, datetime, timedelta
from uuid import UUID

from django.db import transaction

from common.clock import end_of_day
from common.errors import Conflict, Invalid, NotAllowed
from fleet.models import Notification, Person
from fleet.rules.notifications.timing import SNOOZE_AT_MOST, possible_answers
from fleet.services.notifications.hours import habits_in_force
from fleet.services.records.edits import lock_row


@transaction.atomic
def acknowledge_notification(*, notification: UUID, actor: Person, now: datetime) -> Notification:
    """Record that it was seen; once more changes nothing. NotFound `notification_unknown` for another person's."""
    row = _own(notification, actor)
    if row.acknowledged_at is None:
        row.acknowledged_at = now
        row.save(update_fields=["acknowledged_at"])
    return row


@transaction.atomic
def snooze_notification(*, notification: UUID, actor: Person, until: date, reason: str, now: datetime) -> Notification:
    """Put a notification off until a day's summary, the person's own day, at most 30 days from now.

    Raises NotFound `notification_unknown`, NotAllowed `notification_never_snoozed` for what bars a unit or puts a
    load at risk, Conflict `notification_acknowledged`, Invalid `snooze_reason_missing`, `snooze_not_later`,
    `snooze_too_long`.
    """
    row = _own(notification, actor)
    if row.acknowledged_at is not None:
        raise Conflict("notification_acknowledged")
    if "snooze" not in possible_answers(row.kind, urgent=row.urgent, acknowledged=False):
        raise NotAllowed("notification_never_snoozed", kind=row.kind)
    if not reason.strip():
        raise Invalid("snooze_reason_missing", pointer="/reason")
    row.snoozed_until, row.snooze_reason = _wake(until, actor, now), reason
    row.save(update_fields=["snoozed_until", "snooze_reason"])
    return row


def _own(notification: UUID, actor: Person) -> Notification:
    return lock_row(Notification.objects.filter(person=actor), notification, "notification_unknown")


def _wake(until: date, actor: Person, now: datetime) -> datetime:
    _, zone = habits_in_force(now).of(actor)
    today = now.astimezone(zone).date()
    if until <= today:
        raise Invalid("snooze_not_later", pointer="/until", today=today)
    if until > today + SNOOZE_AT_MOST:
        raise Invalid("snooze_too_long", pointer="/until", latest=today + SNOOZE_AT_MOST)
    return end_of_day(until - timedelta(days=1), zone)
