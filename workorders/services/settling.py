"""Moving an order along when its tasks or their certificates say so: work done, closed, cancelled, road test."""

from collections.abc import Collection, Container, Iterable
from datetime import datetime
from uuid import UUID

from common.transitions import SYSTEM
from defects.enums import DefectState
from fleet.models import Person
from fleet.services.history import Ledger
from workorders.enums import OrderState, WaitingFor
from workorders.models import RepairOrder, RepairTask
from workorders.rules.orders import TaskFact, all_settled, may_close, nothing_left, only_road_tests_left
from workorders.transitions import ORDER_TABLE

SETTLED_FIELDS = ("state", "waiting_for", "work_done_at", "closed_at", "cancel_reason", "version")
"""What moving an order may change."""

EVENTS = {
    "all_settled": "repair_order_work_done",
    "all_certified": "repair_order_closed",
    "nothing_left": "repair_order_cancelled",
    "wait_for_road_test": "repair_order_waiting",
}


def facts_of(tasks: Iterable[RepairTask], certified: Container[UUID | None] = ()) -> list[TaskFact]:
    """The tasks as the rules take them; `certified` are defects whose certificate is signed in this transaction."""
    return [
        TaskFact(
            task.state,
            None
            if task.defect is None
            else DefectState.CERTIFIED.value
            if task.defect_id in certified
            else task.defect.state,
        )
        for task in tasks
    ]


def settle_order(
    order: RepairOrder,
    tasks: Iterable[RepairTask],
    *,
    ledger: Ledger,
    actor: Person,
    now: datetime,
    certified: Container[UUID | None] = (),
    moves: Collection[str] = tuple(EVENTS),
) -> bool:
    """Set the order where its tasks (all of them, with their defects) put it; whether it moved. Saves nothing.

    `moves` are the ones that may be made here: a mechanic says for oneself that the work is done, a certificate does
    not wait for that.
    """
    facts = facts_of(tasks, certified)
    moved = False
    while (action := _next(order.state, facts, moves)) is not None:
        _move(order, action, now)
        ledger.record(
            order.unit_id,
            EVENTS[action],
            subject=order.pk,
            performed_at=now,
            actor=actor.pk,
            body={"order": order.number, "state": order.state, "because": action},
        )
        moved = True
    return moved


def _next(state: str, facts: Collection[TaskFact], moves: Collection[str]) -> str | None:
    """The move of its own that an order in this state makes next."""
    holds = {
        "all_settled": all_settled(facts),
        "all_certified": may_close(facts) and any(fact.defect is not None for fact in facts),
        "nothing_left": nothing_left(facts),
        "wait_for_road_test": only_road_tests_left(facts),
    }
    allowed = ORDER_TABLE.allowed_actions(state, {SYSTEM})
    return next((action for action in allowed if action in moves and holds.get(action)), None)


def _move(order: RepairOrder, action: str, now: datetime) -> None:
    order.state = ORDER_TABLE.resolve(action, order.state, {SYSTEM}).target
    order.waiting_for = WaitingFor.ROAD_TEST if order.state == OrderState.WAITING else ""
    if order.state == OrderState.WORK_DONE:
        order.work_done_at = now
    elif order.state == OrderState.CLOSED:
        order.closed_at = now
    elif order.state == OrderState.CANCELLED:
        order.cancel_reason = action
