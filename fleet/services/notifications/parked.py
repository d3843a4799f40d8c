"""Sending again what was parked, before its next turn comes by itself. Parking itself is in `leases`."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from common.errors import Conflict, NotFound
from fleet.enums import DeliveryState
from fleet.models import Delivery


@transaction.atomic
def retry_delivery(*, delivery: UUID, now: datetime) -> Delivery:
    """Owe a parked message again, due at once, with all its attempts before it and the same Message-ID.

    NotFound `delivery_unknown`, Conflict `delivery_not_parked`.
    """
    row = Delivery.objects.select_for_update(no_key=True).filter(pk=delivery).first()
    if row is None:
        raise NotFound("delivery_unknown")
    if row.state != DeliveryState.PARKED:
        raise Conflict("delivery_not_parked", state=row.state)
    row.state, row.attempts, row.next_try_at = DeliveryState.OWED, 0, now
    row.save(update_fields=["state", "attempts", "next_try_at"])
    return row


@transaction.atomic
def retry_deliveries(*, channel: str | None, person: UUID | None, now: datetime) -> int:
    """Owe every parked message again, or those on a channel or to a person, as above; how many."""
    asked = {"channel": channel, "person_id": person}
    parked = Delivery.objects.filter(state=DeliveryState.PARKED).filter(
        **{name: value for name, value in asked.items() if value is not None}
    )
    # In key order, as whoever else locks several of them.
    keys = list(parked.select_for_update(no_key=True).order_by("pk").values_list("pk", flat=True))
    return Delivery.objects.filter(pk__in=keys).update(state=DeliveryState.OWED, attempts=0, next_try_at=now)
