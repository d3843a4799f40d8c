"""Notifies the next role of what nobody acknowledged: urgent events within minutes, late documents within days."""

import logging
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet

from fleet.enums import LATE_CODES, NotificationKind
from fleet.models import Notification
from fleet.rules.notifications.timing import DOCUMENT_ESCALATION, ESCALATE_WITHIN, ESCALATION
from fleet.services.notifications.create import (
    NotificationDraft,
    RecipientGroup,
    create_notifications,
    find_recipients,
    first_with_somebody_new,
)
from fleet.services.notifications.endings import still_active
from fleet.services.notifications.hours import habits_in_force
from fleet.services.notifications.skipped_records import in_batches

logger = logging.getLogger(__name__)

BATCH = 500
MOST_BATCHES = 20
"""A run ends well within a task's time; the rest is the next one's."""

URGENT = Q(urgent=True, kind__in=ESCALATION)
LATE = Q(kind=NotificationKind.DOCUMENT_ENDING, code__in=LATE_CODES)

Event = tuple[str, UUID, str]
"""What happened: the kind, the subject and the step (a fault under a load) that all notifications of it share."""


@dataclass(frozen=True)
class Escalation:
    """Which notifications escalate, to which roles by kind, and as which code.

    `waited` names the fact that counts the wait in whole `period`s; `step` is added to the step escalated.
    """

    part: str
    which: Q
    roles: Mapping[NotificationKind | str, Sequence[str]]
    code: str
    waited: str
    period: timedelta
    step: str
    urgent: bool


UNANSWERED = Escalation(
    "unanswered", URGENT, ESCALATION, "unanswered", "minutes", timedelta(minutes=1), ":escalated", urgent=True
)
LATE_DOCUMENTS = Escalation(
    "late documents",
    LATE,
    {NotificationKind.DOCUMENT_ENDING: DOCUMENT_ESCALATION},
    "unanswered_days",
    "days",
    timedelta(days=1),
    "/next",
    urgent=False,
)


def escalate_unanswered(*, now: datetime) -> int:
    """Notify the next role of what is urgent and unacknowledged; returns how many notifications are new."""
    return _escalate(UNANSWERED, habits_in_force(now).escalate_after, now)


def escalate_late_documents(*, now: datetime) -> int:
    """Notify the next role of each late document's reminder left unacknowledged; returns how many are new."""
    return _escalate(LATE_DOCUMENTS, habits_in_force(now).documents_after, now)


def _escalate(escalation: Escalation, wait: timedelta, now: datetime) -> int:
    """The first role that has someone new hears of it, once for each event and step.

    One acknowledgement by any recipient answers it, what has ended needs none, and what was snoozed waits for its day.
    Safe to run at once and again.
    """
    unanswered = still_active(_unanswered(escalation, wait, now)).order_by("created_at", "pk")
    return in_batches(
        f"escalate_notifications: {escalation.part}",
        list(unanswered.values_list("pk", flat=True)[: MOST_BATCHES * BATCH]),
        lambda batch: _escalate_batch(batch, escalation, wait, now),
        key=lambda notification: notification,
        size=BATCH,
        now=now,
    )


def _unanswered(escalation: Escalation, wait: timedelta, now: datetime) -> QuerySet[Notification]:
    answered = Notification.objects.filter(
        kind=OuterRef("kind"), subject_id=OuterRef("subject_id"), step=OuterRef("step"), acknowledged_at__isnull=False
    )
    return Notification.objects.filter(
        escalation.which,
        ~Exists(answered),
        Q(snoozed_until__isnull=True) | Q(snoozed_until__lte=now),
        acknowledged_at__isnull=True,
        escalated_at__isnull=True,
        created_at__lte=now - wait,
        created_at__gt=now - wait - ESCALATE_WITHIN,
    )


def _escalate_batch(keys: Sequence[UUID], escalation: Escalation, wait: timedelta, now: datetime) -> int:
    notifications = list(
        still_active(_unanswered(escalation, wait, now).filter(pk__in=keys))
        .select_for_update(skip_locked=True, of=("self",))
        .select_related("unit")
        .order_by("created_at", "pk")
    )
    if not notifications:
        return 0
    events = {
        (notification.kind, notification.subject_id, notification.step): notification
        for notification in notifications
        if notification.subject_id is not None
    }
    recipient_groups = {event: _recipient_groups(notification, escalation) for event, notification in events.items()}
    people = find_recipients(
        [recipient_group for each in recipient_groups.values() for recipient_group in each], now=now
    )
    notified = _notified(events, escalation)
    drafts = [
        _draft(
            notification,
            event[1],
            escalation,
            first_with_somebody_new(recipient_groups[event], people, notified[event]),
            wait,
        )
        for event, notification in events.items()
    ]
    created = create_notifications(drafts, now=now)
    Notification.objects.filter(pk__in=[notification.pk for notification in (*notifications, *created)]).update(
        escalated_at=now
    )
    return len(created)


def _recipient_groups(notification: Notification, escalation: Escalation) -> list[RecipientGroup]:
    site = notification.unit.home_site_id if notification.unit is not None else None
    return [RecipientGroup(role, site, on_call=escalation.urgent) for role in escalation.roles[notification.kind]]


def _notified(events: Iterable[Event], escalation: Escalation) -> Mapping[Event, set[UUID]]:
    """The first recipients, not those of a run at the same time: both must find the same next role."""
    notified: dict[Event, set[UUID]] = defaultdict(set)
    first = Notification.objects.filter(subject_id__in=[subject for _, subject, _ in events]).exclude(
        code=escalation.code
    )
    for kind, subject, step, person in first.values_list("kind", "subject_id", "step", "person_id"):
        if subject is not None:
            notified[kind, subject, step].add(person)
    return notified


def _draft(
    notification: Notification, subject: UUID, escalation: Escalation, people: list[UUID], wait: timedelta
) -> NotificationDraft:
    if not people:
        logger.error("%s about %s: nobody answers and nobody is left to tell", notification.kind, subject)
    return NotificationDraft(
        kind=NotificationKind(notification.kind),
        code=escalation.code,
        subject=subject,
        people=people,
        facts={
            escalation.waited: wait // escalation.period,
            "since_at": notification.created_at,
            "what": {"code": notification.code, "facts": notification.facts},
        },
        unit=notification.unit_id,
        step=f"{notification.step}{escalation.step}".removeprefix(":"),
        urgent=escalation.urgent,
    )
