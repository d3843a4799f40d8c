"""Sending again what was parked, once whatever kept it has been mended. Parking itself is in `leases`."""

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
