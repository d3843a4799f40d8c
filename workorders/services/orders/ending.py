"""How an order ends: closed once every defect of it is repaired, or cancelled, which puts its defects back."""

from datetime import datetime
from uuid import UUID

from common.errors import Conflict
from defects.models import Defect
from defects.selectors.defects.naming import faults_named, numbers
from defects.services.defects.repair import put_back
from fleet.models import Person
from workorders.enums import ACTIVE_TASK_STATES, TaskState
from workorders.models import RepairOrder, RepairTask
from workorders.rules.orders import REPAIRED_DEFECTS, is_deferred, may_close
from workorders.services.orders.order_work import OrderWork, lock_order
from workorders.services.orders.settling import facts_of
from workorders.transitions import ORDER_TABLE, TASK_TABLE


def close_order(*, order: UUID, version: int | None, actor: Person, now: datetime) -> RepairOrder:
    """End an order whose work is done. Conflict `defects_unrepaired` (fact `defects`) while one is not certified."""
    with lock_order(order, version=version, actor=actor, now=now) as work:
        work.move(ORDER_TABLE, work.order, "close")
        if not may_close(facts_of(work.tasks)):
            unrepaired = [defect for defect in work.defects if defect.state not in REPAIRED_DEFECTS]
            raise Conflict("defects_unrepaired", defects=numbers(unrepaired), faults=faults_named(unrepaired))
        work.order.closed_at = now
        work.note("repair_order_closed", work.order, state=work.order.state, because="said")
        work.save(work.order, "state", "closed_at")
        return work.order


def cancel_order(*, order: UUID, version: int | None, reason: str, actor: Person, now: datetime) -> RepairOrder:
    """Call an order off: its active tasks with it, and its open defects are reported again, without an order.

    Conflict `order_has_deferred` (fact `defects`): what was put off by a certificate stays on the shop's list;
    `work_under_way`: somebody finishes what was begun, or signs the unit paused as fit to move.
    """
    with lock_order(order, version=version, actor=actor, now=now) as work:
        work.move(ORDER_TABLE, work.order, "cancel", {"reason": reason})
        if any(task.state == TaskState.STARTED for task in work.tasks):
            raise Conflict("work_under_way")
        deferred = [defect for defect in work.defects if _deferred(defect)]
        if deferred:
            raise Conflict("order_has_deferred", defects=numbers(deferred), faults=faults_named(deferred))
        back = put_back(work.defects)
        active = [task for task in work.tasks if task.state in ACTIVE_TASK_STATES]
        work.end_labor(active)
        for task in active:
            _cancel(work, task, reason)
        work.order.waiting_for, work.order.cancel_reason = "", reason
        work.order.expected_at = None
        work.note("repair_order_cancelled", work.order, state=work.order.state, because=reason, put_back=numbers(back))
        work.save(work.order, "state", "waiting_for", "cancel_reason", "expected_at")
        return work.order


def _cancel(work: OrderWork, task: RepairTask, reason: str) -> None:
    TASK_TABLE.follow(task, "cancel_with_order", {"reason": reason})
    task.cancel_reason = reason
    work.save(task, "state", "cancel_reason")


def _deferred(defect: Defect) -> bool:
    kind = None if defect.current_certificate is None else defect.current_certificate.kind
    return is_deferred(defect.state, kind)
