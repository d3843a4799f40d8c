"""Loads as the shipper ordered them: recorded, edited until delivered, put into a trailer and taken out."""

from collections.abc import Mapping
from datetime import datetime
from uuid import UUID

from django.db import IntegrityError, transaction

from common.errors import Conflict, Invalid, NotFound
from common.versions import require_version
from defects.enums import OPEN_DEFECT_STATES, Bars, TemperatureClass
from defects.models import Defect, Load
from defects.selectors.companions import queries_beside
from fleet.enums import UnitKind
from fleet.models import Person, Unit
from fleet.services.history import lock_units


@transaction.atomic
def record_load(*, facts: Mapping[str, object], actor: Person, now: datetime) -> Load:
    """Record a load; Conflict `load_number_taken`, Invalid `setpoint_missing`, `temperatures_out_of_order`."""
    load = Load(**facts, recorded_at=now, recorded_by=actor)
    _refuse_bad(load)
    try:
        with transaction.atomic():
            load.save(force_insert=True)
    except IntegrityError as error:
        raise Conflict("load_number_taken", number=load.number) from error
    return load


@transaction.atomic
def edit_load(*, load_id: UUID, version: int | None, changes: Mapping[str, object], actor: Person) -> Load:
    """Change what was ordered, while it is not delivered; Conflict `load_delivered`, PreconditionFailed."""
    load = _locked(load_id, version)
    for name, value in changes.items():
        setattr(load, name, value)
    _refuse_bad(load)
    load.save(update_fields=[*changes, "version"])
    return load


@transaction.atomic
def put_into_trailer(
    *, load_id: UUID, version: int | None, trailer: Unit, loaded_at: datetime, actor: Person, now: datetime
) -> Load:
    """Say that the load is in a trailer. A cold load is refused while a fault bars new cold loading there.

    Invalid `not_a_trailer`, `future_instant`; Conflict `trailer_loaded`, `cold_loading_barred` with the defects.
    """
    if trailer.kind != UnitKind.TRAILER:
        raise Invalid("not_a_trailer", pointer="/trailer")
    if loaded_at > now:
        raise Invalid("future_instant", pointer="/loaded_at")
    ledger = lock_units([trailer.pk], beside=queries_beside([trailer.pk], now)[:2])
    load = _locked(load_id, version)
    if Load.objects.filter(trailer=trailer, loaded_at__isnull=False, delivered_at__isnull=True).exclude(pk=load.pk).exists():
        raise Conflict("trailer_loaded", trailer=str(trailer))
    if load.temperature_class != TemperatureClass.DRY:
        _refuse_cold(ledger.units)
    load.trailer, load.loaded_at = trailer, loaded_at
    load.save(update_fields=["trailer", "loaded_at", "version"])
    ledger.record(
        trailer.pk,
        "loaded",
        subject=load.pk,
        performed_at=loaded_at,
        actor=actor.pk,
        body={"load": load.number, "temperature_class": load.temperature_class, "setpoint_f": load.setpoint_f},
    )
    ledger.write(now=now)
    return load


@transaction.atomic
def deliver_load(*, load_id: UUID, version: int | None, delivered_at: datetime, actor: Person, now: datetime) -> Load:
    """Say that the load is out of its trailer; Conflict `load_not_loaded`, Invalid `future_instant`."""
    if delivered_at > now:
        raise Invalid("future_instant", pointer="/delivered_at")
    known = Load.objects.filter(pk=load_id).first()
    if known is None:
        raise NotFound("load_unknown")
    if known.trailer_id is None:
        raise Conflict("load_not_loaded")
    ledger = lock_units([known.trailer_id])
    load = _locked(load_id, version)
    load.delivered_at = delivered_at
    load.save(update_fields=["delivered_at", "version"])
    ledger.record(
        known.trailer_id,
        "unloaded",
        subject=load.pk,
        performed_at=delivered_at,
        actor=actor.pk,
        body={"load": load.number},
    )
    ledger.write(now=now)
    return load


def _locked(load_id: UUID, version: int | None) -> Load:
    load = Load.objects.select_for_update(no_key=True).filter(pk=load_id).first()
    if load is None:
        raise NotFound("load_unknown")
    require_version(load, version)
    if load.delivered_at is not None:
        raise Conflict("load_delivered")
    load.version += 1
    return load


def _refuse_bad(load: Load) -> None:
    if load.temperature_class != TemperatureClass.DRY and load.setpoint_f is None:
        raise Invalid("setpoint_missing", pointer="/setpoint_f")
    if load.lowest_f is not None and load.highest_f is not None and load.highest_f < load.lowest_f:
        raise Invalid("temperatures_out_of_order", pointer="/highest_f")


def _refuse_cold(units: frozenset[UUID]) -> None:
    """A trailer and its cooling unit with an open fault that bars cold freight take no new cold load."""
    barring = Defect.objects.filter(unit_id__in=units, state__in=OPEN_DEFECT_STATES, bars=Bars.COLD_FREIGHT)
    numbers = list(barring.order_by("number").values_list("number", flat=True))
    if numbers:
        raise Conflict("cold_loading_barred", defects=numbers)
