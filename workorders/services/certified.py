"""Certified repaired defects settle their tasks; an order with nothing left to do or to certify ends with them."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import datetime
from uuid import UUID

from common.transitions import SYSTEM
from defects.enums import CertificateKind
from defects.models import Certificate
from fleet.models import Person
from fleet.services.history import Ledger
from workorders.enums import STANDING_ORDER_STATES, TaskState
from workorders.models import LaborEntry, RepairOrder, RepairTask
from workorders.rules.orders import STANDING_TASKS
from workorders.services.settling import SETTLED_FIELDS, settle_order
from workorders.transitions import TASK_TABLE


def settle_certified(
    certificates: Iterable[Certificate], *, ledger: Ledger, actor: Person, now: datetime
) -> list[RepairOrder]:
    """Settle the standing tasks of every defect certified repaired, with the certificate's statement as correction.

    The orders that moved. Four statements however many there are, one when nothing stands. A certificate that repair
    is unnecessary leaves its task and order as they are: the work is still to be done.
    """
    repaired: dict[UUID | None, Certificate] = {
        item.defect_id: item for item in certificates if item.kind == CertificateKind.REPAIRED
    }
    if not repaired:
        return []
    by_order = _tasks_of_orders(repaired)
    done = [
        _done(task, repaired[task.defect_id], now)
        for tasks in by_order.values()
        for task in tasks
        if task.state in STANDING_TASKS and task.defect_id in repaired
    ]
    if done:
        LaborEntry.objects.filter(task__in=done, ended_at__isnull=True).update(ended_at=now)
        RepairTask.objects.bulk_update(done, ["state", "correction", "done_at", "version"])
    _record(done, repaired, ledger, actor, now)
    moved = []
    for tasks in by_order.values():
        order = tasks[0].order
        settled = settle_order(order, tasks, ledger=ledger, actor=actor, now=now, certified=repaired)
        if settled or any(task in done for task in tasks):
            order.version += 1
            moved.append(order)
    if moved:
        RepairOrder.objects.bulk_update(moved, SETTLED_FIELDS)
    return moved


def _tasks_of_orders(repaired: Mapping[UUID | None, Certificate]) -> dict[UUID, list[RepairTask]]:
    """Every task of the standing orders that the defects are on, with its order and defect, in one statement."""
    concerned = RepairTask.objects.filter(defect__in=[item.defect for item in repaired.values()]).values("order_id")
    tasks = (
        RepairTask.objects.filter(order_id__in=concerned, order__state__in=STANDING_ORDER_STATES)
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


def _done(task: RepairTask, certificate: Certificate, now: datetime) -> RepairTask:
    given = {"correction": certificate.statement}
    task.state = TASK_TABLE.resolve("certified", task.state, {SYSTEM}, given).target
    task.correction, task.done_at = certificate.statement, now
    task.version += 1
    return task


def _record(
    done: Iterable[RepairTask],
    repaired: Mapping[UUID | None, Certificate],
    ledger: Ledger,
    actor: Person,
    now: datetime,
) -> None:
    for task in done:
        ledger.record(
            task.order.unit_id,
            "repair_task_done",
            subject=task.pk,
            performed_at=now,
            actor=actor.pk,
            body={
                "order": task.order.number,
                "state": TaskState.DONE,
                "certificate": repaired[task.defect_id].pk,
                "correction": task.correction,
            },
        )
