"""The answers that dispatch still plans by: which they are, and the rest of the trip that each of them is about."""

from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.db.models import Prefetch

from defects.models import Clearance
from defects.selectors.clearance.snapshot import TripRequest
from defects.selectors.clearance.trips import Trip
from fleet.models import Unit

Combination = tuple[frozenset[UUID], UUID | None]
"""The units and the load that a clearance request was about."""


def planned_clearances(*, now: datetime) -> list[Clearance]:
    """The newest answer for each combination whose trip is ahead or under way, barred or not; two statements.

    Left out is what nobody plans any more: the load was delivered, called off, or is in a trailer not asked for.
    """
    requested = (
        Clearance.objects.filter(arrival__gt=now)
        .select_related("load")
        .prefetch_related(Prefetch("units", Unit.objects.order_by("kind", "number", "pk")))
        .order_by("-requested_at", "-pk")
    )
    newest: dict[Combination, Clearance] = {}
    for clearance in requested:
        newest.setdefault((frozenset(unit.pk for unit in clearance.units.all()), clearance.load_id), clearance)
    return [clearance for clearance in newest.values() if _is_planned(clearance)]


def rest_of_trip(clearance: Clearance, *, now: datetime) -> Trip:
    """The trip as it was asked for, or what is left of one under way: leaving now, its miles in proportion."""
    leaves, miles = max(clearance.departure, now), clearance.miles
    if miles is not None and leaves > clearance.departure:
        left = (clearance.arrival - leaves) / (clearance.arrival - clearance.departure)
        miles = (miles * Decimal(left)).quantize(Decimal("0.1"))
    return Trip(
        units=list(clearance.units.all()),
        departure=leaves,
        arrival=clearance.arrival,
        miles=miles,
        us_states=clearance.us_states,
        requested=TripRequest(driver=clearance.driver_id, load="" if clearance.load is None else clearance.load.number),
    )


def askers_for(unit: UUID, *, now: datetime) -> Iterator[UUID]:
    """Everybody who asked whether a unit may roll on a trip that is not over, once, in one statement."""
    requested = (
        Clearance.objects.filter(units=unit, arrival__gt=now).order_by("requested_by_id").values_list("requested_by_id")
    )
    return (key for (key,) in requested.distinct())


def _is_planned(clearance: Clearance) -> bool:
    load = clearance.load
    if load is None or load.loaded_at is None:
        return load is None or load.cancelled_at is None
    return load.delivered_at is None and load.trailer_id in {unit.pk for unit in clearance.units.all()}
