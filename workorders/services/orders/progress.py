"""An order on its way through the shop: started, waiting, resumed, its work done."""

from datetime import datetime
from uuid import UUID

from common.errors import Conflict
from fleet.models import Person
from workorders.enums import ACTIVE_TASK_STATES, OrderState, WaitingFor
from workorders.models import RepairOrder
from workorders.rules.orders import all_settled
from workorders.services.orders.order_work import OrderWork, lock_order
from workorders.services.orders.settling import facts_of
from workorders.services.orders.shop_people import refuse_unqualified
from workorders.transitions import FOREMAN, ORDER_TABLE


def start_order(*, order: UUID, version: int | None, actor: Person, now: datetime) -> RepairOrder:
    """Begin the work. NotAllowed `not_qualified` for a mechanic who may lead none of its tasks."""
    with lock_order(order, version=version, actor=actor, now=now) as work:
        work.move(ORDER_TABLE, work.order, "start")
        if not FOREMAN & work.roles:
            active = [task for task in work.tasks if task.state in ACTIVE_TASK_STATES]
            refuse_unqualified(actor, *active, now=now)
        work.note("repair_order_started", work.order, state=work.order.state)
        work.save(work.order, "state")
        return work.order


def wait_order(
    *, order: UUID, version: int | None, waiting_for: str, reason: str, actor: Person, now: datetime
) -> RepairOrder:
    """Put the work off until parts come, an outside shop is done or a road test is driven; running labor pauses."""
    with lock_order(order, version=version, actor=actor, now=now) as work:
        work.move(ORDER_TABLE, work.order, "wait", {"waiting_for": waiting_for})
        work.order.waiting_for = WaitingFor(waiting_for)
        work.end_labor(work.tasks, cause=waiting_for)
        work.note("repair_order_waiting", work.order, state=work.order.state, because=waiting_for, reason=reason)
        work.save(work.order, "state", "waiting_for")
        return work.order


def resume_order(*, order: UUID, version: int | None, actor: Person, now: datetime) -> RepairOrder:
    """Go on with the work."""
    with lock_order(order, version=version, actor=actor, now=now) as work:
        work.move(ORDER_TABLE, work.order, "resume")
        work.order.waiting_for = ""
        work.note("repair_order_resumed", work.order, state=work.order.state)
        work.save(work.order, "state", "waiting_for")
        return work.order


def mark_work_done(*, order: UUID, version: int | None, actor: Person, now: datetime) -> RepairOrder:
    """Say that the work is done. Conflict `work_not_done` (fact `tasks`) while a task of it is not."""
    with lock_order(order, version=version, actor=actor, now=now) as work:
        work.move(ORDER_TABLE, work.order, "work_done")
        if not all_settled(facts_of(work.tasks)):
            raise Conflict("work_not_done", tasks=[task.pk for task in work.tasks if task.state in ACTIVE_TASK_STATES])
        work.order.work_done_at = now
        work.note("repair_order_work_done", work.order, state=work.order.state, because="said")
        work.save(work.order, "state", "work_done_at")
        return work.order


def move_into_work(work: OrderWork) -> None:
    """Bring the order to where its tasks are worked on; Conflict `action_not_allowed` while it is nobody's."""
    if work.order.state == OrderState.IN_PROGRESS:
        return
    work.move(ORDER_TABLE, work.order, "resume" if work.order.state == OrderState.WAITING else "start")
    work.order.waiting_for = ""
    work.note("repair_order_started", work.order, state=work.order.state)
