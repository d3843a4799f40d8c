"""Creates notifications: who is told, in which facts, each person once, and over which channels they are created."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, tzinfo
from itertools import groupby
from typing import Any
from uuid import UUID

from django.conf import settings
from django.contrib.postgres.expressions import ArraySubquery
from django.db import connection
from django.db.models import OuterRef, QuerySet, Subquery
from django.db.transaction import TransactionManagementError

from common.canonical import Plain, plain
from common.causes import present_cause
from common.clock import day_in_zone
from common.messages import Message
from fleet.enums import Channel, NotificationKind
from fleet.models import Carrier, Delivery, Notification, OnCallShift, Person, PersonRole
from fleet.selectors.notifications.addresses import channels_of, open_webhook


@dataclass(frozen=True)
class RecipientGroup:
    """Whoever holds `role` at `site` or everywhere; without a site, whoever holds it at all.

    `on_call` for what goes at once: whoever of them is on call for the site, where anybody is.
    """

    role: str
    site: UUID | None = None
    on_call: bool = False


def find_recipients(recipient_groups: Iterable[RecipientGroup], *, now: datetime) -> dict[RecipientGroup, list[Person]]:
    """The people of every recipients, by name, in one statement however many groups of recipients there are.

    Where nobody holds the role at the site or everywhere, all who hold it anywhere are told: a hold that nobody
    hears of is worse than one that too many hear of. A gap in the roster likewise brings it to all of them. Roles
    count by the carrier's day, last day included; a turn counts only while its person holds the role.
    """
    wanted = list(dict.fromkeys(recipient_groups))
    held: QuerySet[Any, Any] = (
        PersonRole.objects.filter(role__in={recipient_group.role for recipient_group in wanted})
        .select_related("person")
        .annotate(zone=Subquery(Carrier.objects.values("time_zone")[:1]), turns=ArraySubquery(_turns(now)))
        .order_by("person__name", "person_id", "pk")
    )
    roles = [role for role in held if _in_force(role, day_in_zone(now, role.zone or settings.TIME_ZONE))]
    return {
        recipient_group: _chosen(recipient_group, [role for role in roles if role.role == recipient_group.role])
        for recipient_group in wanted
    }


def _in_force(role: PersonRole, day: date) -> bool:
    return role.in_force(day) and role.person.is_active


def _turns(now: datetime) -> QuerySet[OnCallShift, Any]:
    """The sites that a role's holder is on call for now; None among them stands for all."""
    return OnCallShift.objects.filter(
        person_id=OuterRef("person_id"),
        role=OuterRef("role"),
        starts_at__lte=now,
        ends_at__gt=now,
        withdrawn_at__isnull=True,
    ).values("site_id")


def _chosen(recipient_group: RecipientGroup, roles: list[Any]) -> list[Person]:
    if recipient_group.on_call:
        on_call = [role for role in roles if _on_call_for(recipient_group.site, role.turns)]
        if on_call:
            return list({role.person_id: role.person for role in on_call}.values())
    near = [role for role in roles if recipient_group.site is None or role.site_id in {None, recipient_group.site}]
    return list({role.person_id: role.person for role in near or roles}.values())


def _on_call_for(site: UUID | None, turns: Iterable[UUID | None]) -> bool:
    return any(site is None or turn is None or turn == site for turn in turns)


def by_language(people: Iterable[Person]) -> dict[str, list[UUID]]:
    """The keys of people by the language they read, each once, for facts that are worded before they are created."""
    groups: dict[str, dict[UUID, None]] = defaultdict(dict)
    for person in people:
        groups[person.language][person.pk] = None
    return {language: list(keys) for language, keys in groups.items()}


def first_with_somebody_new(
    recipient_groups: Iterable[RecipientGroup],
    people: Mapping[RecipientGroup, list[Person]],
    notified: Collection[UUID],
) -> list[UUID]:
    """Whom the first of these groups of recipients has that was not told; nobody where all were."""
    for recipient_group in recipient_groups:
        new = [person.pk for person in people[recipient_group] if person.pk not in notified]
        if new:
            return new
    return []


def stored_facts(facts: Mapping[str, object]) -> dict[str, Plain]:
    """Facts as JSON: a Message becomes its code and facts, everything else what `common.canonical.plain` makes it.

    ValueError for an instant whose name does not say so: it could not be told from a text afterwards.
    """
    return {name: _stored(name, value) for name, value in facts.items()}


def facts_in_zone(facts: Mapping[str, object], zone: tzinfo) -> dict[str, object]:
    """Stored facts as a sentence takes them: instants in the reader's zone, messages to be worded in theirs."""
    return {name: _notified(name, value, zone) for name, value in facts.items()}


def _stored(name: str, value: object) -> Plain:
    if isinstance(value, Message):
        return {"code": value.code, "facts": dict(stored_facts(value.facts))}
    if isinstance(value, list | tuple):
        return [_stored(name, item) for item in value]
    if isinstance(value, datetime) and not _names_instant(name):
        msg = f"an instant among the facts is called `at` or ends in `_at`, not {name!r}"
        raise ValueError(msg)
    return plain(value)


def _notified(name: str, value: object, zone: tzinfo) -> object:
    if isinstance(value, Mapping):
        return Message(str(value["code"]), facts_in_zone(value["facts"], zone))
    if isinstance(value, list):
        return [_notified(name, item, zone) for item in value]
    if isinstance(value, str) and _names_instant(name):
        return datetime.fromisoformat(value).astimezone(zone)
    return value


def _names_instant(name: str) -> bool:
    return name == "at" or name.endswith("_at")


@dataclass(frozen=True, kw_only=True)
class NotificationDraft:
    """One thing that happened, and the people who are to be told of it.

    `subject` is the key of what it is about (a hold, a document); kind, subject, `step` (the reminder step,
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
    """The notifications newly created, written in the caller's transaction in four statements at most.

    `caused_by` is the key of the signed body that brought them about, where there is one.

    What was created already is left alone. The urgent ones of one call reach a person as one message on each channel;
    a person without an address has the notification on the list and no delivery. TransactionManagementError outside a
    transaction: a notification stands or falls with its event.
    """
    if not connection.in_atomic_block:
        raise TransactionManagementError("notifications are created inside the transaction of their event")
    # In key order, so that two transactions that notify of the same never wait for each other in a circle.
    rows = sorted((row for draft in drafts for row in _rows(draft, now, caused_by)), key=lambda row: row.dedupe_key)
    if not rows:
        return []
    Notification.objects.bulk_create(rows, ignore_conflicts=True)
    created: list[Notification] = list(
        Notification.objects.filter(pk__in=[row.pk for row in rows])
        .select_related("person")
        .annotate(posted=open_webhook("person_id"))
        .order_by("person_id", "pk")
    )
    _create_deliveries([notification for notification in created if notification.urgent], now)
    return created


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
            created_at=now,
            caused_by=caused_by,
        )


def _create_deliveries(notifications: Iterable[Notification], now: datetime) -> None:
    carries = Delivery.notifications.through
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
        created_at=now,
        next_try_at=now,
        cause=present_cause(),
        message_id=message_id(f"notification.{together[0].pk}", channel),
    )
