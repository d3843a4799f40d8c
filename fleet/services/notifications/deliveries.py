"""Delivers pending notifications: lease, send outside any transaction, mark; and sends parked ones again when asked.

A mail may be sent twice only when a worker dies between sending and marking; both carry the same Message-ID.
"""

import logging
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction

from common.causes import caused_by, present_cause
from fleet.enums import DeliveryState
from fleet.models import Delivery, Person
from fleet.services.notifications.channels import Senders
from fleet.services.notifications.composing import write_mail
from fleet.services.notifications.hours import Habits, habits_in_force
from fleet.services.notifications.leases import Lease, lease_next, mark_failed, mark_sent
from fleet.services.records.edits import lock_row
from fleet.transitions import DELIVERY

logger = logging.getLogger(__name__)

Clock = Callable[[], datetime]

RUN_FOR = timedelta(seconds=30)
"""A run stops leasing after this and leaves the rest to the next one: tasks are ended after a minute."""

ERROR_LENGTH = 500


@dataclass
class Delivered:
    """How many letters left, failed and will be tried again, or failed for the last time."""

    sent: int = 0
    failed: int = 0
    parked: int = 0


def deliver_pending(
    *, clock: Clock, senders: Senders | None = None, stop: Callable[[], bool] = lambda: False
) -> Delivered:
    """Send what is due, one after another, until nothing is, `stop` says so or half a minute has passed.

    A clock instead of one instant: a lease that ends must end by the time at which its letter is sent.
    """
    begun = clock()
    habits = habits_in_force(begun)
    done = Delivered()
    with senders or Senders() as open_senders:
        while not stop() and (now := clock()) - begun < RUN_FOR:
            lease = lease_next(habits, now=now)
            if lease is None:
                break
            _deliver(lease, open_senders, habits, clock, done)
    return done


def _deliver(lease: Lease, senders: Senders, habits: Habits, clock: Clock, done: Delivered) -> None:
    with caused_by(lease.delivery.cause or present_cause()):
        why = _send(lease, senders)
        _mark(lease, why, habits, clock, done)


def _mark(lease: Lease, why: str | None, habits: Habits, clock: Clock, done: Delivered) -> None:
    if why is None:
        mark_sent(lease, now=clock())
        done.sent += 1
        logger.info("delivery %s has left by %s", lease.delivery.pk, lease.delivery.channel)
    elif mark_failed(lease, why, habits, now=clock()):
        done.parked += 1
        logger.error("delivery %s is parked: %s", lease.delivery.pk, why)
    else:
        done.failed += 1


def _send(lease: Lease, senders: Senders) -> str | None:
    """Why it did not leave, None when it did. Whatever is wrong with one letter must not hold up the others."""
    delivery = lease.delivery
    try:
        mail = write_mail(delivery, lease.notifications, more=lease.more, reader=lease.reader)
        senders.send(delivery.channel, mail)
    except Exception as error:
        logger.warning("delivery %s failed, attempt %d", delivery.pk, delivery.attempts, exc_info=True)
        return f"{type(error).__name__}: {error}"[:ERROR_LENGTH]
    return None


@transaction.atomic
def retry_delivery(*, delivery: UUID, actor: Person, now: datetime) -> Delivery:
    """Make a parked message pending again, due at once, with all its attempts before it and the same Message-ID.

    NotFound `delivery_unknown`, Conflict `action_not_allowed`.
    """
    row = lock_row(Delivery.objects.all(), delivery, "delivery_unknown")
    _make_due([row], actor, now)
    return row


@transaction.atomic
def retry_deliveries(*, channel: str | None, person: UUID | None, actor: Person, now: datetime) -> int:
    """Make every parked message pending again, or those on a channel or to a person, as above; how many."""
    requested = {"channel": channel, "person_id": person}
    parked = Delivery.objects.filter(state=DeliveryState.PARKED).filter(
        **{name: value for name, value in requested.items() if value is not None}
    )
    # In key order, as whoever else locks several of them.
    rows = list(parked.select_for_update(no_key=True).order_by("pk"))
    _make_due(rows, actor, now)
    return len(rows)


def _make_due(rows: Sequence[Delivery], actor: Person, now: datetime) -> None:
    for row in rows:
        DELIVERY.move(row, "retry", actor.current_roles)
        row.attempts, row.next_try_at = 0, now
    Delivery.objects.bulk_update(rows, ["state", "attempts", "next_try_at"])
