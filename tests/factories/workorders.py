"""Rows that tests of the shop need: people of the shop, defects, orders with tasks. Valid and plain by default."""

import datetime as dt
from typing import Any

import factory

from defects.enums import CertificateKind, DefectState
from defects.models import Certificate, Defect
from fleet.enums import Role, Scope, SignatureMethod, SignaturePurpose
from fleet.models import Axle, Person, Signature, Unit
from fleet.services.people.signatures import sign
from fleet.services.records.unit_of_work import unit_of_work
from tests.factories.defects import CertificateFactory, DefectFactory
from tests.factories.fleet import AxleFactory, PersonFactory, make_bare_unit, make_recipient
from tests.factories.tables import NOON, factory_of
from workorders import models
from workorders.enums import TaskState
from workorders.models import RepairOrder, RepairTask
from workorders.services.orders.joining import order_defects

STROKE = "brakes.service.pushrod-stroke"
TURN_LAMPS = "lamps.trailer.turn"
HUB_SEAL = "brakes.hub-seal"


OrderFactory = factory_of(models.RepairOrder)
TaskFactory = factory_of(models.RepairTask, order=factory.SubFactory(OrderFactory))
LaborEntryFactory = factory_of(models.LaborEntry)
OutsideRepairFactory = factory_of(models.OutsideRepair, firm="Crookspoke Road Tire", place="mile 212")


def make_mechanic(name: str = "Sam Ruy", *scopes: Scope, roles: tuple[Role, ...] = (Role.MECHANIC,)) -> Person:
    return PersonFactory.create(name=name, roles=roles, scopes=scopes, reachable=True)


def make_foreman(name: str = "Hob Anselm") -> Person:
    return make_mechanic(name, roles=(Role.FOREMAN,))


def make_axle(unit: Unit, number: int = 2) -> Axle:
    return AxleFactory.create(unit=unit, number=number)


def make_defect(unit: Unit, found_by: Person, **fields: Any) -> Defect:
    """A turn lamp out, at a position of its own unless one is given."""
    return DefectFactory.create(unit=unit, found_by=found_by, **fields)


def make_stroke_defect(unit: Unit, found_by: Person, **fields: Any) -> Defect:
    return DefectFactory.create(unit=unit, found_by=found_by, stroke=True, **fields)


def make_order(*defects: Defect, actor: Person | None = None, **fields: Any) -> RepairOrder:
    """The order that reporting these defects of one unit opens, then set as asked."""
    with unit_of_work([defects[0].unit_id], actor=actor or defects[0].found_by, now=NOON) as work:
        order_defects(defects, work=work)
    order = RepairOrder.objects.active().get(unit=defects[0].unit)
    if fields:
        RepairOrder.objects.filter(pk=order.pk).update(**fields)
        order.refresh_from_db()
    return order


def task_of(defect: Defect) -> RepairTask:
    return RepairTask.objects.select_related("order").get(defect=defect)


def set_task(defect: Defect, state: TaskState, **fields: Any) -> RepairTask:
    given: dict[str, dict[str, Any]] = {
        TaskState.DONE: {"correction": "done"},
        TaskState.CANCELLED: {"cancel_reason": "twice"},
        TaskState.NOT_REPRODUCED: {"conditions": "rain", "road_test_at": NOON},
    }
    if state == TaskState.PAUSED:
        signature = _signed(defect.found_by, SignaturePurpose.WORK_PAUSED, "Fit to move.", {"defect": defect.pk})
        given[state] = {"undone": "guard to be painted", "pause_signature": signature}
    RepairTask.objects.filter(defect=defect).update(state=state, **given.get(state, {}), **fields)
    return task_of(defect)


def make_certificate(
    defect: Defect,
    signer: Person,
    *,
    kind: CertificateKind = CertificateKind.REPAIRED,
    statement: str = "Slack adjuster replaced, stroke 1.62 in",
    **fields: Any,
) -> Certificate:
    """A signed certificate, with the defect's row moved as the signing would move it."""
    content = {"defect": defect.pk, "statement": statement}
    signature = _signed(signer, SignaturePurpose.CERTIFICATE, statement, content)
    if kind == CertificateKind.REPAIR_UNNECESSARY:
        fields.setdefault("limit_on", dt.date(2026, 3, 14))
    certificate = CertificateFactory.create(
        defect=defect, kind=kind, statement=statement, signature=signature, **fields
    )
    defect.state = DefectState.CERTIFIED if kind == CertificateKind.REPAIRED else DefectState.DEFERRED
    defect.current_certificate = certificate
    defect.save(update_fields=["state", "current_certificate"])
    return certificate


def _signed(signer: Person, purpose: SignaturePurpose, shown: str, content: object) -> Signature:
    signature = sign(
        purpose=purpose,
        signer=signer,
        token_owner=signer,
        shown=shown,
        content=content,
        method=SignatureMethod.TYPED,
        device="",
        signed_at=NOON,
        offset_minutes=-360,
        now=NOON,
    )
    signature.save(force_insert=True)
    return signature


make_person, make_unit = make_recipient, make_bare_unit
