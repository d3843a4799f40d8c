"""How an order ends: closed once every defect of it is repaired, or cancelled, which puts its defects back."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from common.errors import Conflict
from common.transitions import SYSTEM
from defects.models import Defect
from defects.selectors.defects.naming import faults_named, numbers
from defects.services.defects.repair import put_back
from fleet.models import Person
from workorders.enums import ACTIVE_TASK_STATES, TaskState
from workorders.models import RepairOrder, RepairTask
from workorders.rules.orders import REPAIRED_DEFECTS, is_deferred, may_close
from workorders.services.orders.locked_order import LockedOrder, lock_order
from workorders.services.orders.settling import facts_of
from workorders.transitions import ORDER_TABLE, TASK_TABLE


@transaction.atomic
def close_order(*, order: UUID, version: int | None, actor: Person, now: datetime) -> RepairOrder:
    """End an order whose work is done. Conflict `defects_unrepaired` (fact `defects`) while one is not certified."""
    locked = lock_order(order, version=version, actor=actor, now=now)
    move = ORDER_TABLE.resolve("close", locked.order.state, locked.roles)
    if not may_close(facts_of(locked.tasks)):
        unrepaired = [defect for defect in locked.defects if defect.state not in REPAIRED_DEFECTS]
        raise Conflict("defects_unrepaired", defects=numbers(unrepaired), faults=faults_named(unrepaired))
    locked.order.state, locked.order.closed_at = move.target, now
    locked.note("repair_order_closed", locked.order, state=move.target, because="said")
    return locked.save("state", "closed_at")


@transaction.atomic
def cancel_order(*, order: UUID, version: int | None, reason: str, actor: Person, now: datetime) -> RepairOrder:
    """Call an order off: its standing tasks with it, and its open defects are reported again, without an order.

    Conflict `order_has_deferred` (fact `defects`): what was put off by a certificate stays on the shop's list;
    `work_under_way`: somebody finishes what was begun, or signs the unit paused as fit to move.
    """
    locked = lock_order(order, version=version, actor=actor, now=now)
    fields = {"reason": reason}
    move = ORDER_TABLE.resolve("cancel", locked.order.state, locked.roles, fields)
    if any(task.state == TaskState.STARTED for task in locked.tasks):
        raise Conflict("work_under_way")
    deferred = [defect for defect in locked.defects if _deferred(defect)]
    if deferred:
        raise Conflict("order_has_deferred", defects=numbers(deferred), faults=faults_named(deferred))
    back = put_back(locked.defects)
    active = [task for task in locked.tasks if task.state in ACTIVE_TASK_STATES]
    locked.end_labor(active)
    for task in active:
        _cancel(locked, task, reason)
    locked.order.state, locked.order.waiting_for, locked.order.cancel_reason = move.target, "", reason
    locked.order.expected_at = None
    locked.note("repair_order_cancelled", locked.order, state=move.target, because=reason, put_back=numbers(back))
    return locked.save("state", "waiting_for", "cancel_reason", "expected_at")


def _cancel(locked: LockedOrder, task: RepairTask, reason: str) -> None:
    task.state = TASK_TABLE.resolve("cancel_with_order", task.state, {SYSTEM}, {"reason": reason}).target
    task.cancel_reason = reason
    locked.save_task(task, "state", "cancel_reason")


def _deferred(defect: Defect) -> bool:
    kind = None if defect.current_certificate is None else defect.current_certificate.kind
    return is_deferred(defect.state, kind)
