"""Loads for reading, and what keeps one out of a trailer."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.contrib.postgres.expressions import ArraySubquery
from django.contrib.postgres.fields import ArrayField
from django.db.models import Case, CharField, OuterRef, Prefetch, Q, QuerySet, Value, When

from common.errors import or_not_found
from defects.enums import OPEN_DEFECT_STATES, Bars, LoadState, RiskState, TemperatureClass
from defects.models import Clearance, Defect, Load, LoadAtRisk, ScaleTicket

ON_BOARD = Q(loaded_at__isnull=False, delivered_at__isnull=True)
KEPT_FROM_FAULTS = ~Q(temperature_class=TemperatureClass.DRY) | Q(food=True)
"""Loads that some fault of a box keeps out of it: cold ones, and food."""


@dataclass(frozen=True)
class FreightBars:
    """What bars a load: open defects, and keys of loads at risk whose food is not disposed of."""

    defects: list[Defect]
    loads_at_risk: list[UUID]


def load_rows() -> QuerySet[Load]:
    """Loads with their trailer and people, and their scale tickets, newest first, in two statements.

    `also_in_trailer` are the numbers of other loads that lie in the trailer of one that is not ended.
    """
    tickets = ScaleTicket.objects.select_related("tractor", "trailer", "recorded_by")
    newest = Prefetch("scale_tickets", tickets.order_by("-weighed_at", "-recorded_at", "-pk"))
    people = ("recorded_by", "seal_checked_by", "seal_read_by", "seal_decided_by")
    others = Load.objects.filter(ON_BOARD, trailer=OuterRef("trailer")).exclude(pk=OuterRef("pk")).order_by("number")
    beside = Case(
        When(delivered_at__isnull=True, cancelled_at__isnull=True, then=ArraySubquery(others.values("number"))),
        default=Value([], ArrayField(CharField())),
    )
    rows = Load.objects.select_related("trailer", "temperature", *people).prefetch_related(newest)
    return rows.annotate(also_in_trailer=beside)


def load_key(ref: str) -> UUID:
    """The key of the load that a number or a key names; NotFound `load_unknown`."""
    try:
        named = Q(pk=UUID(ref))
    except ValueError:
        named = Q(number=ref.upper())
    return or_not_found(Load.objects.filter(named).values_list("pk", flat=True).first(), "load_unknown")


def load_number(ref: str) -> str:
    """What a number or a key calls a load; NotFound `load_unknown` for a key that none has."""
    try:
        key = UUID(ref)
    except ValueError:
        return ref
    return or_not_found(Load.objects.filter(pk=key).values_list("number", flat=True).first(), "load_unknown")


def load_state(load: Load) -> str:
    """Planned, loaded, delivered or cancelled."""
    if load.cancelled_at is not None:
        return LoadState.CANCELLED
    if load.loaded_at is None:
        return LoadState.PLANNED
    return LoadState.LOADED if load.delivered_at is None else LoadState.DELIVERED


def in_state(rows: QuerySet[Load], state: str) -> QuerySet[Load]:
    conditions: dict[str, Q] = {
        LoadState.PLANNED: Q(loaded_at__isnull=True, cancelled_at__isnull=True),
        LoadState.LOADED: ON_BOARD,
        LoadState.DELIVERED: Q(delivered_at__isnull=False),
        LoadState.CANCELLED: Q(cancelled_at__isnull=False),
    }
    return rows.filter(conditions[state])


def freight_bars(load: Load, trailer: UUID, cooling_units: Iterable[UUID], *, loaded_at: datetime) -> FreightBars:
    """What barred putting a load into a trailer at an instant, deferred or not, in two statements at most.

    A fault found only afterwards barred nothing then.
    """
    barring = Defect.objects.filter(
        unit_id__in=[trailer, *cooling_units],
        state__in=OPEN_DEFECT_STATES,
        bars__in=bars_of(load),
        found_at__lte=loaded_at,
    )
    risks = LoadAtRisk.objects.filter(trailer_id=trailer, state=RiskState.OPEN)
    return FreightBars(
        defects=list(barring.order_by("number")),
        loads_at_risk=list(risks.order_by("pk").values_list("pk", flat=True)) if is_cold(load) else [],
    )


def seal_waits(load: Load) -> bool:
    """Whether another seal than that on the papers was read and dispatch has not decided."""
    return load.seal_read_at is not None and load.seal_decided_at is None


def is_cold(load: Load) -> bool:
    """Whether the load needs a temperature."""
    return load.temperature_class != TemperatureClass.DRY


def bars_of(load: Load) -> frozenset[Bars]:
    """Which faults of a box keep this load out of it, and put it at risk when they are found over it."""
    return frozenset(({Bars.COLD_FREIGHT} if is_cold(load) else set()) | ({Bars.FOOD} if load.food else set()))


def units_with_a_trip(units: Collection[UUID], *, now: datetime) -> set[UUID]:
    """Those of the units that somebody asked about for a trip that is not over, or that hold or await a load."""
    if not units:
        return set()
    requested = Clearance.units.through.objects.filter(unit_id__in=units, clearance__arrival__gt=now)
    loads = Load.objects.filter(trailer_id__in=units, delivered_at__isnull=True, cancelled_at__isnull=True)
    return {unit for (unit,) in requested.values_list("unit_id").union(loads.values_list("trailer_id"))}
