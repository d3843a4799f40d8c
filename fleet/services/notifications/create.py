"""Writing what is owed: one notification for each person told, and the deliveries of what is urgent."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from itertools import groupby
from uuid import UUID

from django.conf import settings
from django.db import connection
from django.db.transaction import TransactionManagementError

from common.causes import present_cause
from fleet.enums import Channel, NotificationKind
from fleet.models import Delivery, Notification
from fleet.selectors.notifications.reach import channels_of, open_webhook
from fleet.services.notifications.stored_facts import stored_facts


@dataclass(frozen=True, kw_only=True)
class NotificationDraft:
    """One thing that happened, and the people who are to be told of it.

    `subject` is the key of what it is about (a hold, a document); kind, subject, `step` (of a ladder of reminders,
    at most 60 characters) and person together name a notification, so that each person is told once. `facts` fill the
    sentence registered for `code`: texts, whole numbers, decimals, dates, instants (named `at` or ending in `_at`,
    shown in the reader's zone) and `Message`s. An urgent notification leaves at once, whatever the hour.
    """

    kind: NotificationKind
    code: str
    subject: UUID
    people: Collection[UUID]
    facts: Mapping[str, object] = field(default_factory=dict)
    unit: UUID | None = None
    step: str = ""
    urgent: bool = False

    def dedupe_key(self, person: UUID) -> str:
        """What the database keeps unique."""
        return f"{self.kind.value}:{self.subject}:{self.step}:{person}"


def create_notifications(
    drafts: Iterable[NotificationDraft], *, now: datetime, caused_by: UUID | None = None
) -> list[Notification]:
    """The notifications newly owed, written in the caller's transaction in four statements at most.

    `caused_by` is the key of the signed body that brought them about, where there is one.

    What was owed already is left alone. The urgent ones of one call reach a person as one message on each channel;
    a person without an address has the notification on the list and no delivery. TransactionManagementError outside a
    transaction: what is owed must stand or fall with what it tells of.
    """
    if not connection.in_atomic_block:
        raise TransactionManagementError("notices are owed inside the transaction of what they tell of")
    # In key order, so that two transactions that owe the same never wait for each other in a circle.
    rows = sorted((row for draft in drafts for row in _rows(draft, now, caused_by)), key=lambda row: row.dedupe_key)
    if not rows:
        return []
    Notification.objects.bulk_create(rows, ignore_conflicts=True)
    owed: list[Notification] = list(
        Notification.objects.filter(pk__in=[row.pk for row in rows])
        .select_related("person")
        .annotate(posted=open_webhook("person_id"))
        .order_by("person_id", "pk")
    )
    _owe_deliveries([notification for notification in owed if notification.urgent], now)
    return owed


def message_id(name: str, channel: Channel) -> str:
    """The Message-ID (RFC 5322) of what is named so: the same however often it is sent, of the sender's domain."""
    domain = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].rstrip(">")
    return f"<{name}.{channel.value}@{domain}>"


def _rows(draft: NotificationDraft, now: datetime, caused_by: UUID | None) -> Iterator[Notification]:
    facts = stored_facts(draft.facts)
    for person in dict.fromkeys(draft.people):
        yield Notification(
            kind=draft.kind,
            dedupe_key=draft.dedupe_key(person),
            person_id=person,
            unit_id=draft.unit,
            subject_id=draft.subject,
            step=draft.step,
            code=draft.code,
            facts=facts,
            urgent=draft.urgent,
            owed_at=now,
            caused_by=caused_by,
        )


def _owe_deliveries(notifications: Iterable[Notification], now: datetime) -> None:
    carries = Delivery.notices.through
    made = [
        (_delivery(together, channel, now), together)
        for together in _by_person(notifications)
        for channel in channels_of(together[0].person, posted=together[0].posted)  # type: ignore[attr-defined]  # annotated
    ]
    if made:
        Delivery.objects.bulk_create([delivery for delivery, _ in made])
        carries.objects.bulk_create(
            [
                carries(delivery_id=delivery.pk, notification_id=notification.pk)
                for delivery, together in made
                for notification in together
            ]
        )


def _by_person(notifications: Iterable[Notification]) -> list[list[Notification]]:
    return [list(group) for _, group in groupby(notifications, key=lambda notification: notification.person_id)]


def _delivery(together: Sequence[Notification], channel: Channel, now: datetime) -> Delivery:
    return Delivery(
        person=together[0].person,
        channel=channel,
        owed_at=now,
        next_try_at=now,
        cause=present_cause(),
        message_id=message_id(f"notice.{together[0].pk}", channel),
    )
