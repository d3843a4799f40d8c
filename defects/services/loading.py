"""A load on its way: the box checked, put into a trailer, moved into another, its seal compared, delivered."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from common.errors import Conflict, Invalid
from common.versions import require_version
from defects.models import Load
from defects.selectors.loads import ON_BOARD, seal_waits
from defects.services.barred_loading import refuse_barred_loading
from defects.services.loads import LoadCase, open_for_faults_since_loading, open_load
from defects.services.telling_of_loads import tell_of_seal
from fleet.enums import UnitKind
from fleet.models import Person, Unit
from fleet.services.records.instants import refuse_end_before, refuse_future
from fleet.services.units.units import refuse_retired

SEAL_READ = (
    "seal_read",
    "seal_read_at",
    "seal_read_by",
    "seal_decision",
    "seal_decided_at",
    "seal_decided_by",
)


@transaction.atomic
def check_before_loading(*, load_id: UUID, trailer: Unit, checked_at: datetime, actor: Person, now: datetime) -> Load:
    """Say that the box was checked before loading (21 CFR 1.908(c)); a seal may later rest on it for that trailer.

    Invalid `not_a_trailer`, `instant_in_future`; Conflict `unit_retired`, and those of the table.
    """
    case = _begin("check_before_loading", load_id, trailer, actor, now)
    refuse_future(checked_at, now, "/checked_at")
    case.load.trailer, case.load.pre_load_checked_at = trailer, checked_at
    case.save("trailer", "pre_load_checked_at")
    case.record(trailer.pk, "box_checked_before_loading", checked_at, {})
    case.ledger.write(now=now)
    return case.load


@transaction.atomic
def put_into_trailer(*, load_id: UUID, trailer: Unit, loaded_at: datetime, actor: Person, now: datetime) -> Load:
    """Say that the load is in a trailer. It is refused where a fault bars it, or food at risk bars new cold freight.

    A fault found only after the loading opens a load at risk instead. Invalid `not_a_trailer`, `instant_in_future`;
    Conflict `unit_retired`, `trailer_loaded`, those of the table and of `refuse_barred_loading`.
    """
    case = _begin("put_into_trailer", load_id, trailer, actor, now)
    _load(case, trailer, loaded_at, "/loaded_at")
    case.ledger.write(now=now)
    return case.load


@transaction.atomic
def transload(*, load_id: UUID, trailer: Unit, transloaded_at: datetime, actor: Person, now: datetime) -> Load:
    """Say that the load was moved from its trailer into another one; refused as putting it into a trailer is.

    Invalid `same_trailer`, `end_before_beginning`.
    """
    case = _begin("transload", load_id, trailer, actor, now)
    before, loaded_at = case.load.trailer_id, case.load.loaded_at
    if before is None or loaded_at is None or before == trailer.pk:
        raise Invalid("same_trailer", pointer="/trailer")
    refuse_end_before(transloaded_at, loaded_at, "/transloaded_at")
    case.load.loaded_at = None
    _load(case, trailer, transloaded_at, "/transloaded_at")
    case.record(before, "unloaded", transloaded_at, {"into": str(trailer)})
    case.ledger.write(now=now)
    return case.load


@transaction.atomic
def compare_seal(*, load_id: UUID, seal: str, compared_at: datetime, actor: Person, now: datetime) -> Load:
    """Say what the seal on the doors reads; one that is not on the papers is kept, and dispatch is told and decides.

    One that dispatch has decided over is compared like that on the papers, or its bar would never end.
    Conflict `load_not_sealed`; Invalid `instant_in_future`, `end_before_beginning`.
    """
    case = open_load(load_id=load_id, trailer=None, actor=actor, now=now)
    case.move("compare_seal", {"seal": seal})
    refuse_future(compared_at, now, "/compared_at")
    load = case.load
    if load.trailer_id is None or load.loaded_at is None or not load.seal:
        raise Conflict("load_not_sealed")
    if compared_at < load.loaded_at:
        raise Invalid("end_before_beginning", pointer="/compared_at", beginning=load.loaded_at)
    if _plainly(seal) in {_plainly(load.seal), _decided(load)}:
        load.seal_checked_at, load.seal_checked_by = compared_at, actor
        case.save("seal_checked_at", "seal_checked_by")
        case.record(load.trailer_id, "seal_compared", compared_at, {"seal": seal.strip()})
    else:
        load.seal_read, load.seal_read_at, load.seal_read_by = seal, compared_at, actor
        load.seal_decision, load.seal_decided_at, load.seal_decided_by = "", None, None
        load.seal_checked_at = load.seal_checked_by = None
        case.save(*SEAL_READ, "seal_checked_at", "seal_checked_by")
        case.record(load.trailer_id, "seal_differs", compared_at, {"seal": load.seal, "read": seal})
        tell_of_seal(load, now=now)
    case.ledger.write(now=now)
    return load


@transaction.atomic
def decide_seal(*, load_id: UUID, version: int | None, decision: str, actor: Person, now: datetime) -> Load:
    """Dispatch's word on a seal that is not the one on the papers; the reading stays on record.

    Conflict `seal_agrees` where none waits for it; PreconditionFailed `version_changed`, and those of the table.
    """
    case = open_load(load_id=load_id, trailer=None, actor=actor, now=now)
    require_version(case.load, version)
    case.move("decide_seal", {"decision": decision.strip()})
    load = case.load
    if load.trailer_id is None or not seal_waits(load):
        raise Conflict("seal_agrees")
    load.seal_decision, load.seal_decided_at, load.seal_decided_by = decision, now, actor
    case.save("seal_decision", "seal_decided_at", "seal_decided_by")
    case.record(load.trailer_id, "seal_decided", now, {"read": load.seal_read, "decision": decision})
    case.ledger.write(now=now)
    return load


@transaction.atomic
def deliver_load(*, load_id: UUID, delivered_at: datetime, actor: Person, now: datetime) -> Load:
    """Say that the load is out of its trailer. Invalid `instant_in_future`, `end_before_beginning`."""
    case = open_load(load_id=load_id, trailer=None, actor=actor, now=now)
    case.move("deliver")
    refuse_future(delivered_at, now, "/delivered_at")
    load = case.load
    if load.trailer_id is None or load.loaded_at is None:
        raise TypeError("the database keeps a loaded load in a trailer")
    refuse_end_before(delivered_at, load.loaded_at, "/delivered_at")
    load.delivered_at = delivered_at
    case.save("delivered_at")
    case.record(load.trailer_id, "unloaded", delivered_at, {"into": ""})
    case.ledger.write(now=now)
    return load


def _begin(action: str, load_id: UUID, trailer: Unit, actor: Person, now: datetime) -> LoadCase:
    if trailer.kind != UnitKind.TRAILER:
        raise Invalid("not_a_trailer", pointer="/trailer", unit=str(trailer))
    refuse_retired(trailer)
    case = open_load(load_id=load_id, trailer=trailer, actor=actor, now=now)
    case.move(action, {"trailer": trailer})
    return case


def _load(case: LoadCase, trailer: Unit, loaded_at: datetime, pointer: str) -> None:
    refuse_future(loaded_at, case.now, pointer)
    load = case.load
    if Load.objects.filter(ON_BOARD, trailer=trailer).exclude(pk=load.pk).exists():
        raise Conflict("trailer_loaded", trailer=str(trailer))
    refuse_barred_loading(load, trailer.pk, case.companions, loaded_at=loaded_at, now=case.now)
    if load.trailer_id != trailer.pk:
        load.pre_load_checked_at = None
    load.trailer, load.loaded_at = trailer, loaded_at
    load.seal_checked_at = load.seal_checked_by = None
    case.save("trailer", "loaded_at", "pre_load_checked_at", "seal_checked_at", "seal_checked_by")
    body = {"temperature_class": load.temperature_class, "setpoint_f": load.setpoint_f, "seal": load.seal}
    case.record(trailer.pk, "loaded", loaded_at, body)
    open_for_faults_since_loading(case)


def _decided(load: Load) -> str:
    """The other seal that dispatch decided over; empty where none was, and no seal reads so."""
    return _plainly(load.seal_read) if load.seal_decided_at is not None else ""


def _plainly(seal: str) -> str:
    return "".join(seal.split()).upper()
