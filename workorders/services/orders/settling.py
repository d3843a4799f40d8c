"""Moving an order along when its tasks or their certificates say so: work done, closed, cancelled, road test."""

from collections.abc import Collection, Iterable
from datetime import datetime

from django.utils.translation import gettext as _

from fleet.services.records.unit_of_work import UnitOfWork
from workorders.enums import OrderState, WaitingFor
from workorders.models import RepairOrder, RepairTask
from workorders.rules.orders import TaskFact, next_move
from workorders.transitions import ORDER_TABLE

SETTLED_FIELDS = ("state", "waiting_for", "work_done_at", "closed_at", "cancel_reason", "version")
"""What moving an order may change."""

EVENTS = {
    "all_settled": "repair_order_work_done",
    "all_certified": "repair_order_closed",
    "nothing_left": "repair_order_cancelled",
    "wait_for_road_test": "repair_order_waiting",
}


def facts_of(tasks: Iterable[RepairTask]) -> list[TaskFact]:
    """The tasks as the rules take them; they are given with their defects as saved."""
    return [TaskFact(task.state, None if task.defect is None else task.defect.state) for task in tasks]


def settle_order(
    order: RepairOrder, tasks: Iterable[RepairTask], *, work: UnitOfWork, moves: Collection[str] = tuple(EVENTS)
) -> bool:
    """Set the order where its tasks (all of them, with their defects) put it; whether it moved. Saves nothing.

    `moves` are the ones that may be made here: a mechanic says for oneself that the work is done, a certificate does
    not wait for that.
    """
    facts = facts_of(tasks)
    moved = False
    while (action := next_move(order.state, facts, moves)) is not None:
        _move(order, action, work.now)
        work.record(
            order.unit_id,
            EVENTS[action],
            subject=order.pk,
            body={"order": order.number, "state": order.state, "because": action},
        )
        moved = True
    return moved


def _move(order: RepairOrder, action: str, now: datetime) -> None:
    ORDER_TABLE.follow(order, action)
    order.waiting_for = WaitingFor.ROAD_TEST if order.state == OrderState.WAITING else ""
    if order.state == OrderState.WORK_DONE:
        order.work_done_at = now
    elif order.state == OrderState.CLOSED:
        order.closed_at = now
    elif order.state == OrderState.CANCELLED:
        order.cancel_reason = _("Nothing was left undone.")
