"""The job of every minute: what time alone makes due, and one daily summary for each person. `deliveries` sends it."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby, islice
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import DateField, Exists, OuterRef, Q, QuerySet, Value
from django.db.models.functions import Coalesce, TruncDate

from common.causes import present_cause
from fleet.models import Delivery, Notification, Person
from fleet.rules.notifications.timing import morning_of, summary_day
from fleet.selectors.notifications.addresses import HAS_ADDRESS, channels_of, open_webhook
from fleet.services.notifications.create import message_id
from fleet.services.notifications.endings import still_active
from fleet.services.notifications.escalate import escalate_late_documents, escalate_unanswered
from fleet.services.notifications.hours import habits_in_force
from fleet.services.notifications.skipped_records import in_batches

BATCH = 2_000

CARRIED = 5_000
"""A digest carries the oldest so many; the rest waits for the next day's. It names far fewer one by one."""

PEOPLE = 20
"""So many people's summaries stand or fall together: a run that is cut off loses no more, and the next goes on."""

Morning = tuple[ZoneInfo, date, datetime]
"""A zone, a day there, and the instant before which that day's digest looks."""


def gather_summaries(*, now: datetime) -> int:
    """Create the summaries whose morning has come; how many. Safe to run at once and again: one a day by constraint."""
    recipients = [
        (morning, person) for morning, people in _mornings(now).items() for person in _recipients(people, morning)
    ]
    return in_batches(
        "escalate_notifications: summaries",
        recipients,
        lambda batch: _by_morning(batch, now),
        key=lambda each: each[1].pk,
        size=PEOPLE,
        now=now,
    )


def _by_morning(batch: Sequence[tuple[Morning, Any]], now: datetime) -> int:
    together = groupby(batch, key=lambda each: each[0])
    return sum(_gather([person for _, person in recipients], morning, now) for morning, recipients in together)


def _mornings(now: datetime) -> dict[Morning, list[Person]]:
    habits = habits_in_force(now)
    mornings: dict[Morning, list[Person]] = defaultdict(list)
    reachable = Person.objects.filter(HAS_ADDRESS, left_on__isnull=True).select_related("home_site")
    for person in reachable.order_by("pk"):
        hours, zone = habits.of(person)
        day = summary_day(now, hours, zone)
        if day is not None:
            mornings[zone, day, morning_of(day, hours, zone)].append(person)
    return mornings


def _recipients(people: Iterable[Person], morning: Morning) -> Sequence[Any]:
    """Those of whom something waits and who have no digest of that day yet; `posted`: has an open webhook."""
    _, day, _ = morning
    recipients = Person.objects.filter(pk__in=[person.pk for person in people]).filter(
        Exists(_waiting(morning).filter(person_id=OuterRef("pk"))),
        ~Exists(Delivery.objects.filter(person_id=OuterRef("pk"), summary_on=day)),
    )
    return list(recipients.annotate(posted=open_webhook("pk")).order_by("pk"))


@transaction.atomic
def _gather(recipients: Sequence[Any], morning: Morning, now: datetime) -> int:
    _, day, _ = morning
    waiting = _waiting(morning)
    pending = [
        Delivery(
            person=person,
            channel=channel,
            summary_on=day,
            created_at=now,
            next_try_at=now,
            cause=present_cause(),
            message_id=message_id(f"digest.{person.pk}.{day}", channel),
        )
        for person in recipients
        for channel in channels_of(person, posted=person.posted)
    ]
    Delivery.objects.bulk_create(pending, ignore_conflicts=True)
    won = Delivery.objects.filter(pk__in=[delivery.pk for delivery in pending]).order_by("person_id", "pk")
    first: dict[UUID, UUID] = {}
    for delivery, person in won.values_list("pk", "person_id"):
        # What one channel's digest carries waits no more: the other channel's carries the same.
        same = Notification.objects.filter(deliveries=first[person]) if person in first else None
        _carry(delivery, waiting.filter(person_id=person) if same is None else same)
        first.setdefault(person, delivery)
    return len(won)


def _waiting(morning: Morning) -> QuerySet[Notification]:
    """What nobody acknowledged and no digest carries since it was created, or since it was snoozed until."""
    zone, _, before = morning
    awake_on = Coalesce(TruncDate("snoozed_until", tzinfo=zone), Value(date.min), output_field=DateField())
    carried = Delivery.notifications.through.objects.filter(
        notification_id=OuterRef("pk"), delivery__summary_on__gte=OuterRef("awake_on")
    )
    return still_active(
        Notification.objects.filter(urgent=False, acknowledged_at__isnull=True, created_at__lt=before)
        .filter(Q(snoozed_until__isnull=True) | Q(snoozed_until__lte=before))
        .annotate(awake_on=awake_on)
        .filter(~Exists(carried))
    )


def _carry(delivery: UUID, notifications: QuerySet[Notification]) -> None:
    carries = Delivery.notifications.through
    keys = notifications.order_by("created_at", "pk").values_list("pk", flat=True)[:CARRIED].iterator(BATCH)
    while batch := [carries(delivery_id=delivery, notification_id=key) for key in islice(keys, BATCH)]:
        carries.objects.bulk_create(batch)


@dataclass(frozen=True)
class Escalated:
    """How much one job newly created."""

    escalated: int
    documents_escalated: int
    summaries: int


def escalate_notifications(*, now: datetime) -> Escalated:
    """Escalate what nobody answered, then create the summaries whose morning has come; urgent things first."""
    return Escalated(
        escalated=escalate_unanswered(now=now),
        documents_escalated=escalate_late_documents(now=now),
        summaries=gather_summaries(now=now),
    )
