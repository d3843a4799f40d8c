"""Leasing deliveries: one worker at a time has one, for a while, and every attempt is counted before it is made."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.db.models import Case, F, Q, QuerySet, When

from fleet.enums import Channel, DeliveryState
from fleet.models import Delivery, Notification, Person, WebhookEndpoint
from fleet.rules.notifications.timing import PARK_AFTER, PARKED_AGAIN, PARKED_FOR, after_quiet, retry_at
from fleet.services.notifications.composing import Reader, in_order, ordered_by_group
from fleet.services.notifications.endings import still_active
from fleet.services.notifications.hours import Habits
from fleet.services.notifications.refresh import as_of_now
from fleet.transitions import DELIVERY

LEASE = timedelta(minutes=2)
"""Longer than a task may run (`task_time_limit`), so that a lease ends only when its worker is gone."""

SHOWN = 50
"""How many notifications a message spells out; the others are counted and stand on the person's list."""


@dataclass(frozen=True)
class Lease:
    """A delivery that is ours to send, as often as it was tried, with all that is needed to word it."""

    delivery: Delivery
    notifications: Sequence[Notification]
    more: int
    reader: Reader


def lease_next(habits: Habits, *, now: datetime) -> Lease | None:
    """Lease the next delivery that is due, what is urgent first and what is parked last; None when nothing is.

    Committed before it returns (RuntimeError inside a transaction of the caller's): a worker that dies afterwards
    leaves a counted attempt and a lease that ends by itself. What cannot leave now or ever is put off or parked, and
    what tells only of what has ended meanwhile, or goes to somebody who left, is dropped.
    """
    while True:
        with transaction.atomic(durable=True):
            delivery = _next(now)
            if delivery is None:
                return None
            carried = still_active(delivery.notifications.all())
            notifications = as_of_now(ordered_by_group(carried)[:SHOWN], now=now)
            address = _address(delivery)
            if not notifications:
                _drop(delivery)
            elif not delivery.person.is_active:
                _drop(delivery, "the person has left")
            elif _may_leave(delivery, address, habits, now):
                _claim(delivery, now)
                more = max(0, carried.count() - SHOWN)
                return Lease(delivery, in_order(notifications), more, _reader(delivery.person, address, habits))


@transaction.atomic
def mark_sent(lease: Lease, *, now: datetime) -> None:
    """Note that it left, whoever holds the lease by now: sending it again would only double it.

    When it had failed before, whatever kept it is gone: what is parked on the same way is due at once.
    """
    delivery = lease.delivery
    row = _locked(delivery).exclude(state=DeliveryState.SENT).first()
    if row is not None:
        DELIVERY.follow(row, "send")
        row.sent_at, row.claimed_until, row.last_error = now, None, ""
        row.save(update_fields=["state", "sent_at", "claimed_until", "last_error"])
    if delivery.state == DeliveryState.PARKED or delivery.attempts > 1:
        same_way = Q() if delivery.channel == Channel.MAIL else Q(person_id=delivery.person_id)
        Delivery.objects.filter(
            same_way, channel=delivery.channel, state=DeliveryState.PARKED, next_try_at__gt=now, claimed_until=None
        ).update(next_try_at=now)


@transaction.atomic
def mark_failed(lease: Lease, why: str, habits: Habits, *, now: datetime) -> bool:
    """Note why it did not leave; whether it is parked by that. Nothing happens when another has leased it since."""
    before, tried = lease.delivery.state, lease.delivery.attempts
    again = None if before == DeliveryState.PARKED else retry_at(tried, now)
    action = "park" if again is None else "put_off"
    again = again or now + PARKED_AGAIN
    if lease.delivery.summary_on is not None:
        again = after_quiet(again, *habits.of(lease.delivery.person))
    row = _locked(lease.delivery).filter(state=before, attempts=tried).first()
    if row is None:
        return False
    DELIVERY.follow(row, action)
    row.next_try_at, row.claimed_until, row.last_error = again, None, why
    row.save(update_fields=["state", "next_try_at", "claimed_until", "last_error"])
    return row.state != before


def _locked(delivery: Delivery) -> QuerySet[Delivery]:
    return Delivery.objects.select_for_update(no_key=True).filter(pk=delivery.pk)


def _next(now: datetime) -> Delivery | None:
    parked_last = Case(When(state=DeliveryState.PARKED, then=1), default=0)
    return (
        Delivery.objects.select_for_update(skip_locked=True, of=("self",))
        .filter(Q(state=DeliveryState.PENDING) | Q(state=DeliveryState.PARKED, created_at__gt=now - PARKED_FOR))
        .filter(Q(claimed_until__isnull=True) | Q(claimed_until__lte=now), next_try_at__lte=now)
        .select_related("person__home_site")
        .order_by(parked_last, F("summary_on").asc(nulls_first=True), "next_try_at", "pk")
        .first()
    )


def _may_leave(delivery: Delivery, address: str, habits: Habits, now: datetime) -> bool:
    person = delivery.person
    if not address:
        _park(delivery, "the person has no address", now)
        return False
    if delivery.channel == Channel.MAIL and not settings.MAIL_SERVER_SET:
        _park(delivery, "not sent: no mail server is set (EMAIL_HOST)", now)
        return False
    if delivery.state == DeliveryState.PENDING and delivery.attempts >= PARK_AFTER:
        _park(delivery, f"the worker was lost while sending, {delivery.last_error or 'with no word of why'}", now)
        return False
    if delivery.summary_on is not None:
        delivery.next_try_at = after_quiet(now, *habits.of(person))
        delivery.save(update_fields=["next_try_at"])
    return delivery.next_try_at <= now


def _address(delivery: Delivery) -> str:
    """Where it goes: the mail address, or the key of the person's open webhook; empty where there is none."""
    if delivery.channel == Channel.WEBHOOK:
        open_one = WebhookEndpoint.objects.filter(person=delivery.person, closed_at__isnull=True)
        return str(open_one.values_list("pk", flat=True).first() or "")
    return delivery.person.email


def _drop(delivery: Delivery, why: str = "") -> None:
    DELIVERY.follow(delivery, "drop")
    delivery.claimed_until, delivery.last_error = None, why or delivery.last_error
    delivery.save(update_fields=["state", "claimed_until", "last_error"])


def _park(delivery: Delivery, why: str, now: datetime) -> None:
    DELIVERY.follow(delivery, "park")
    delivery.claimed_until, delivery.last_error = None, why
    delivery.next_try_at = now + PARKED_AGAIN
    delivery.save(update_fields=["state", "claimed_until", "last_error", "next_try_at"])


def _claim(delivery: Delivery, now: datetime) -> None:
    delivery.claimed_until, delivery.attempts = now + LEASE, delivery.attempts + 1
    if delivery.state == DeliveryState.PARKED:  # a worker lost over it leaves it for its next turn
        delivery.next_try_at = now + PARKED_AGAIN
    delivery.save(update_fields=["claimed_until", "attempts", "next_try_at"])


def _reader(person: Person, address: str, habits: Habits) -> Reader:
    _, zone = habits.of(person)
    return Reader(name=person.name, address=address, language=person.language, zone=zone)
