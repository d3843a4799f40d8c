"""Defects that ended settle their tasks; an order with nothing left to do or to certify ends with them."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils.translation import gettext

from defects.enums import CertificateKind
from defects.models import Certificate, Defect
from fleet.services.records.unit_of_work import UnitOfWork
from workorders.enums import ACTIVE_ORDER_STATES, ACTIVE_TASK_STATES, TaskState
from workorders.models import LaborEntry, RepairOrder, RepairTask
from workorders.services.orders.settling import SETTLED_FIELDS, settle_order
from workorders.services.orders.under_way import notify_of_work
from workorders.transitions import TASK_TABLE


@dataclass(frozen=True)
class _Way:
    """How a defect's end settles its task: the move, the event, and the column that says why."""

    move: str
    event: str
    column: str


_CERTIFIED = _Way("certified", "repair_task_done", "correction")
_WITHDRAWN = _Way("withdrawn", "repair_task_cancelled", "cancel_reason")


def settle_certified(certificates: Iterable[Certificate], *, work: UnitOfWork, **_: Any) -> list[RepairOrder]:
    """Settle the active tasks of every defect certified repaired, with the certificate's statement as correction.

    The orders that moved. Five statements however many there are, one when nothing stands. The defects' rows must be
    saved already. A certificate that repair is unnecessary leaves task and order as they are: the work is still to
    be done.
    """
    said = {item.defect_id: item.statement for item in certificates if item.kind == CertificateKind.REPAIRED}
    return _settle(_CERTIFIED, said, work) if said else []


def settle_withdrawn(defects: Iterable[Defect], *, work: UnitOfWork, **_: Any) -> list[RepairOrder]:
    """Cancel the active tasks of defects that were entered in error; an order without other work goes with them."""
    said = {defect.pk: gettext("The defect was entered in error.") for defect in defects}
    return _settle(_WITHDRAWN, said, work) if said else []


def _settle(way: _Way, said: Mapping[UUID, str], work: UnitOfWork) -> list[RepairOrder]:
    by_order = _tasks_of_orders(said)
    settled = [
        _settled(task, way, said[task.defect_id], work.now)
        for tasks in by_order.values()
        for task in tasks
        if task.state in ACTIVE_TASK_STATES and task.defect_id is not None and task.defect_id in said
    ]
    if settled:
        LaborEntry.objects.filter(task__in=settled, ended_at__isnull=True).update(ended_at=work.now)
        RepairTask.objects.bulk_update(settled, ["state", way.column, "done_at", "version"])
        notify_of_work(settled, now=work.now)
    for task in settled:
        _record(task, way, work)
    moved = []
    for tasks in by_order.values():
        order = tasks[0].order
        if settle_order(order, tasks, work=work) or any(task in settled for task in tasks):
            order.version += 1
            moved.append(order)
    if moved:
        RepairOrder.objects.bulk_update(moved, SETTLED_FIELDS)
    return moved


def _tasks_of_orders(said: Mapping[UUID, str]) -> dict[UUID, list[RepairTask]]:
    """Every task of the active orders that the defects are on, with its order and defect, in one statement."""
    concerned = RepairTask.objects.filter(defect__in=list(said)).values("order_id")
    tasks = (
        RepairTask.objects.filter(order_id__in=concerned, order__state__in=ACTIVE_ORDER_STATES)
        .select_related("order", "defect")
        .order_by("order_id", "opened_at", "pk")
    )
    by_order: dict[UUID, list[RepairTask]] = defaultdict(list)
    for task in tasks:
        known = by_order[task.order_id]
        if known:
            task.order = known[0].order
        known.append(task)
    return by_order


def _settled(task: RepairTask, way: _Way, why: str, now: datetime) -> RepairTask:
    TASK_TABLE.follow(task, way.move, {"correction": why, "reason": why})
    setattr(task, way.column, why)
    task.done_at = now if task.state == TaskState.DONE else None
    task.version += 1
    return task


def _record(task: RepairTask, way: _Way, work: UnitOfWork) -> None:
    work.record(
        task.order.unit_id,
        way.event,
        subject=task.pk,
        body={
            "order": task.order.number,
            "state": task.state,
            "defect": None if task.defect is None else task.defect.number,
            "correction": task.correction,
            "because": task.cancel_reason,
        },
    )
