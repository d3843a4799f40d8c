"""An order on its way through the shop: started, waiting, resumed, its work done."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from common.errors import Conflict
from fleet.models import Person
from workorders.enums import STANDING_TASK_STATES, OrderState, WaitingFor
from workorders.models import RepairOrder
from workorders.rules.orders import all_settled
from workorders.services.bench import Bench, lock_order
from workorders.services.people import refuse_unqualified
from workorders.services.settling import facts_of
from workorders.transitions import FOREMAN, ORDER_TABLE


@transaction.atomic
def start_order(*, order: UUID, version: int | None, actor: Person, now: datetime) -> RepairOrder:
    """Begin the work. NotAllowed `not_qualified` for a mechanic who may lead none of its tasks."""
    bench = lock_order(order, version=version, actor=actor, now=now)
    _move(bench, "start")
    if not FOREMAN & bench.roles:
        standing = [task for task in bench.tasks if task.state in STANDING_TASK_STATES]
        refuse_unqualified(actor, *standing, now=now)
    bench.note("repair_order_started", bench.order, state=bench.order.state)
    return bench.put_away("state")


@transaction.atomic
def wait_order(
    *, order: UUID, version: int | None, waiting_for: str, reason: str, actor: Person, now: datetime
) -> RepairOrder:
    """Put the work off until parts come, an outside shop is done or a road test is driven; running labor pauses."""
    bench = lock_order(order, version=version, actor=actor, now=now)
    _move(bench, "wait", waiting_for=waiting_for)
    bench.order.waiting_for = WaitingFor(waiting_for)
    bench.end_labor(bench.tasks, cause=waiting_for)
    bench.note("repair_order_waiting", bench.order, state=bench.order.state, because=waiting_for, reason=reason)
    return bench.put_away("state", "waiting_for")


@transaction.atomic
def resume_order(*, order: UUID, version: int | None, actor: Person, now: datetime) -> RepairOrder:
    """Go on with the work."""
    bench = lock_order(order, version=version, actor=actor, now=now)
    _move(bench, "resume")
    bench.order.waiting_for = ""
    bench.note("repair_order_resumed", bench.order, state=bench.order.state)
    return bench.put_away("state", "waiting_for")


@transaction.atomic
def mark_work_done(*, order: UUID, version: int | None, actor: Person, now: datetime) -> RepairOrder:
    """Say that the work is done. Conflict `work_not_done` (fact `tasks`) while a task of it is not."""
    bench = lock_order(order, version=version, actor=actor, now=now)
    _move(bench, "work_done")
    if not all_settled(facts_of(bench.tasks)):
        raise Conflict("work_not_done", tasks=[task.pk for task in bench.tasks if task.state in STANDING_TASK_STATES])
    bench.order.work_done_at = now
    bench.note("repair_order_work_done", bench.order, state=bench.order.state, because="said")
    return bench.put_away("state", "work_done_at")


def move_into_work(bench: Bench) -> None:
    """Bring the order to where its tasks are worked on; Conflict `action_not_allowed` while it is nobody's."""
    if bench.order.state == OrderState.IN_PROGRESS:
        return
    _move(bench, "resume" if bench.order.state == OrderState.WAITING else "start")
    bench.order.waiting_for = ""
    bench.note("repair_order_started", bench.order, state=bench.order.state)


def _move(bench: Bench, action: str, **fields: object) -> None:
    roles = bench.roles
    bench.order.state = ORDER_TABLE.resolve(action, bench.order.state, roles, fields).target
