"""A load on its way: the box checked, put into a trailer, moved into another, its seal compared, delivered."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from uuid import UUID

from common.clock import refuse_early, refuse_end_before, refuse_future
from common.errors import Conflict, Invalid
from common.versions import require_version
from defects.models import Load
from defects.selectors.loads.loads import ON_BOARD, seal_waits
from defects.services.loads.at_risk import notify_of_seal
from defects.services.loads.barred_loading import refuse_barred_loading
from defects.services.loads.loads import (
    locked_load,
    open_for_faults_since_loading,
    record_of_load,
    refuse_bad,
    refuse_load_action,
)
from defects.services.loads.outside_range import put_at_risk_by_product
from fleet.enums import UnitKind
from fleet.models import Person, Unit
from fleet.selectors.units.combinations import Combination
from fleet.selectors.units.lookup import refuse_retired
from fleet.services.records.unit_of_work import UnitOfWork

SEAL_READ = ("seal_read", "seal_read_at", "seal_read_by", "seal_decision", "seal_decided_at", "seal_decided_by")


def check_before_loading(*, load_id: UUID, trailer: Unit, checked_at: datetime, actor: Person, now: datetime) -> Load:
    """Say that the box was checked before loading (21 CFR 1.908(c)); a seal may later rest on it for that trailer.

    Invalid `not_a_trailer`, `instant_in_future`; Conflict `unit_retired`, and those of the table.
    """
    with _loading("check_before_loading", load_id, trailer, actor, now) as (work, load, _):
        refuse_future(checked_at, now, "/checked_at")
        refuse_early(checked_at, trailer.known_from, "/checked_at")
        load.trailer, load.pre_load_checked_at = trailer, checked_at
        work.save(load, "trailer", "pre_load_checked_at")
        record_of_load(work, load, trailer.pk, "box_checked_before_loading", {}, at=checked_at)
        return load


def put_into_trailer(
    *,
    load_id: UUID,
    trailer: Unit,
    loaded_at: datetime,
    measured: Mapping[str, object] = {},
    actor: Person,
    now: datetime,
) -> Load:
    """Say that the load is in a trailer. It is refused where a fault bars it, or food at risk bars new cold freight.

    `measured` are columns of the load that the dock tells: product temperature, times of the doors. A fault found only
    after the loading opens a load at risk instead. Invalid `not_a_trailer`, `instant_in_future`, `load_refused`;
    Conflict `unit_retired`, `trailer_loaded`, those of the table and of `refuse_barred_loading`.
    """
    with _loading("put_into_trailer", load_id, trailer, actor, now) as (work, load, combination):
        for name, value in measured.items():
            setattr(load, name, value)
        refuse_bad(load, now)
        _load(work, load, combination, trailer, loaded_at=loaded_at, pointer="/loaded_at", measured=measured)
        return load


def transload(*, load_id: UUID, trailer: Unit, transloaded_at: datetime, actor: Person, now: datetime) -> Load:
    """Say that the load was moved from its trailer into another one; refused as putting it into a trailer is.

    Invalid `same_trailer`, `end_before_beginning`.
    """
    with _loading("transload", load_id, trailer, actor, now) as (work, load, combination):
        before, loaded_at = load.trailer_id, load.loaded_at
        if before is None or loaded_at is None or before == trailer.pk:
            raise Invalid("same_trailer", pointer="/trailer")
        refuse_end_before(transloaded_at, loaded_at, "/transloaded_at")
        load.loaded_at = None
        _load(work, load, combination, trailer, loaded_at=transloaded_at, pointer="/transloaded_at")
        record_of_load(work, load, before, "unloaded", {"into": str(trailer)}, at=transloaded_at)
        return load


def compare_seal(*, load_id: UUID, seal: str, compared_at: datetime, actor: Person, now: datetime) -> Load:
    """Say what the seal on the doors reads; one that is not on the papers is kept, and dispatch is told and decides.

    One that dispatch has decided over is compared like that on the documents, or its bar would never end.
    Conflict `load_not_sealed`; Invalid `instant_in_future`, `end_before_beginning`.
    """
    with locked_load(load_id=load_id, actor=actor, now=now) as (work, load, _):
        refuse_load_action(work, load, "compare_seal", {"seal": seal})
        refuse_future(compared_at, now, "/compared_at")
        if load.trailer_id is None or load.loaded_at is None or not load.seal:
            raise Conflict("load_not_sealed")
        if compared_at < load.loaded_at:
            raise Invalid("end_before_beginning", pointer="/compared_at", beginning=load.loaded_at)
        if _plainly(seal) in {_plainly(load.seal), _decided(load)}:
            load.seal_checked_at, load.seal_checked_by = compared_at, actor
            work.save(load, "seal_checked_at", "seal_checked_by")
            record_of_load(work, load, load.trailer_id, "seal_compared", {"seal": seal.strip()}, at=compared_at)
        else:
            load.seal_read, load.seal_read_at, load.seal_read_by = seal, compared_at, actor
            load.seal_decision, load.seal_decided_at, load.seal_decided_by = "", None, None
            load.seal_checked_at = load.seal_checked_by = None
            work.save(load, *SEAL_READ, "seal_checked_at", "seal_checked_by")
            record_of_load(
                work, load, load.trailer_id, "seal_differs", {"seal": load.seal, "read": seal}, at=compared_at
            )
            notify_of_seal(load, now=now)
        return load


def decide_seal(*, load_id: UUID, version: int | None, decision: str, actor: Person, now: datetime) -> Load:
    """Dispatch's word on a seal that is not the one on the papers; the reading stays on record.

    Conflict `seal_agrees` where none waits for it; PreconditionFailed `version_changed`, and those of the table.
    """
    with locked_load(load_id=load_id, actor=actor, now=now) as (work, load, _):
        require_version(load, version)
        refuse_load_action(work, load, "decide_seal", {"decision": decision.strip()})
        if load.trailer_id is None or not seal_waits(load):
            raise Conflict("seal_agrees")
        load.seal_decision, load.seal_decided_at, load.seal_decided_by = decision, now, actor
        work.save(load, "seal_decision", "seal_decided_at", "seal_decided_by")
        record_of_load(
            work, load, load.trailer_id, "seal_decided", {"read": load.seal_read, "decision": decision}, at=now
        )
        return load


def deliver_load(*, load_id: UUID, delivered_at: datetime, actor: Person, now: datetime) -> Load:
    """Say that the load is out of its trailer. Invalid `instant_in_future`, `end_before_beginning`."""
    with locked_load(load_id=load_id, actor=actor, now=now) as (work, load, _):
        refuse_load_action(work, load, "deliver")
        refuse_future(delivered_at, now, "/delivered_at")
        if load.trailer_id is None or load.loaded_at is None:
            raise TypeError("the database keeps a loaded load in a trailer")
        refuse_end_before(delivered_at, load.loaded_at, "/delivered_at")
        load.delivered_at = delivered_at
        work.save(load, "delivered_at")
        record_of_load(work, load, load.trailer_id, "unloaded", {"into": ""}, at=delivered_at)
        return load


@contextmanager
def _loading(
    action: str, load_id: UUID, trailer: Unit, actor: Person, now: datetime
) -> Iterator[tuple[UnitOfWork, Load, Combination]]:
    if trailer.kind != UnitKind.TRAILER:
        raise Invalid("not_a_trailer", pointer="/trailer", unit=str(trailer))
    refuse_retired(trailer)
    with locked_load(load_id=load_id, trailer=trailer, actor=actor, now=now) as (work, load, combination):
        refuse_load_action(work, load, action, {"trailer": trailer})
        yield work, load, combination


def _load(
    work: UnitOfWork,
    load: Load,
    combination: Combination,
    trailer: Unit,
    *,
    loaded_at: datetime,
    pointer: str,
    measured: Mapping[str, object] = {},
) -> None:
    refuse_future(loaded_at, work.now, pointer)
    refuse_early(loaded_at, trailer.known_from, pointer)
    if Load.objects.filter(ON_BOARD, trailer=trailer).exclude(pk=load.pk).exists():
        raise Conflict("trailer_loaded", trailer=str(trailer))
    refuse_barred_loading(load, trailer.pk, combination, loaded_at=loaded_at)
    if load.trailer_id != trailer.pk:
        load.pre_load_checked_at = None
    load.trailer, load.loaded_at = trailer, loaded_at
    load.seal_checked_at = load.seal_checked_by = None
    work.save(load, "trailer", "loaded_at", "pre_load_checked_at", "seal_checked_at", "seal_checked_by", *measured)
    body = {
        "temperature_class": load.temperature_class,
        "setpoint_f": load.setpoint_f,
        "seal": load.seal,
        **measured,
    }
    record_of_load(work, load, trailer.pk, "loaded", body, at=loaded_at)
    open_for_faults_since_loading(work, load, combination)
    if measured:
        put_at_risk_by_product(load, None, work)


def _decided(load: Load) -> str:
    """The other seal that dispatch decided over; empty where none was, and no seal reads so."""
    return _plainly(load.seal_read) if load.seal_decided_at is not None else ""


def _plainly(seal: str) -> str:
    return "".join(seal.split()).upper()
