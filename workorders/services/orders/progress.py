"""An order on its way through the shop: started, waiting, resumed, its work done."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from common.errors import Conflict
from fleet.models import Person
from workorders.enums import ACTIVE_TASK_STATES, OrderState, WaitingFor
from workorders.models import RepairOrder
from workorders.rules.orders import all_settled
from workorders.services.orders.locked_order import LockedOrder, lock_order
from workorders.services.orders.settling import facts_of
from workorders.services.orders.shop_people import refuse_unqualified
from workorders.transitions import FOREMAN, ORDER_TABLE


@transaction.atomic
def start_order(*, order: UUID, version: int | None, actor: Person, now: datetime) -> RepairOrder:
    """Begin the work. NotAllowed `not_qualified` for a mechanic who may lead none of its tasks."""
    locked = lock_order(order, version=version, actor=actor, now=now)
    _move(locked, "start")
    if not FOREMAN & locked.roles:
        active = [task for task in locked.tasks if task.state in ACTIVE_TASK_STATES]
        refuse_unqualified(actor, *active, now=now)
    locked.note("repair_order_started", locked.order, state=locked.order.state)
    return locked.save("state")


@transaction.atomic
def wait_order(
    *, order: UUID, version: int | None, waiting_for: str, reason: str, actor: Person, now: datetime
) -> RepairOrder:
    """Put the work off until parts come, an outside shop is done or a road test is driven; running labor pauses."""
    locked = lock_order(order, version=version, actor=actor, now=now)
    _move(locked, "wait", waiting_for=waiting_for)
    locked.order.waiting_for = WaitingFor(waiting_for)
    locked.end_labor(locked.tasks, cause=waiting_for)
    locked.note("repair_order_waiting", locked.order, state=locked.order.state, because=waiting_for, reason=reason)
    return locked.save("state", "waiting_for")


@transaction.atomic
def resume_order(*, order: UUID, version: int | None, actor: Person, now: datetime) -> RepairOrder:
    """Go on with the work."""
    locked = lock_order(order, version=version, actor=actor, now=now)
    _move(locked, "resume")
    locked.order.waiting_for = ""
    locked.note("repair_order_resumed", locked.order, state=locked.order.state)
    return locked.save("state", "waiting_for")


@transaction.atomic
def mark_work_done(*, order: UUID, version: int | None, actor: Person, now: datetime) -> RepairOrder:
    """Say that the work is done. Conflict `work_not_done` (fact `tasks`) while a task of it is not."""
    locked = lock_order(order, version=version, actor=actor, now=now)
    _move(locked, "work_done")
    if not all_settled(facts_of(locked.tasks)):
        raise Conflict("work_not_done", tasks=[task.pk for task in locked.tasks if task.state in ACTIVE_TASK_STATES])
    locked.order.work_done_at = now
    locked.note("repair_order_work_done", locked.order, state=locked.order.state, because="said")
    return locked.save("state", "work_done_at")


def move_into_work(locked: LockedOrder) -> None:
    """Bring the order to where its tasks are worked on; Conflict `action_not_allowed` while it is nobody's."""
    if locked.order.state == OrderState.IN_PROGRESS:
        return
    _move(locked, "resume" if locked.order.state == OrderState.WAITING else "start")
    locked.order.waiting_for = ""
    locked.note("repair_order_started", locked.order, state=locked.order.state)


def _move(locked: LockedOrder, action: str, **fields: object) -> None:
    roles = locked.roles
    locked.order.state = ORDER_TABLE.resolve(action, locked.order.state, roles, fields).target
