"""Every state, action and role through the services: what the tables say happens, and on refusal nothing does."""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from itertools import product

import pytest
from django.db import transaction

from common.errors import Conflict, DomainError, NotAllowed
from defects.services.records.signatures import Signing, signature_of
from fleet.enums import Role, SignatureMethod, SignaturePurpose
from fleet.models import HistoryEntry, Person, Signature, Unit
from tests.factories.fleet import NOON, make_bare_unit, make_carrier, make_recipient
from tests.factories.workorders import OrderFactory, TaskFactory, make_mechanic
from workorders.models import RepairOrder, RepairTask
from workorders.services.orders.assigning import assign_order, assign_task
from workorders.services.orders.ending import cancel_order, close_order
from workorders.services.orders.expected_time import set_expected_time
from workorders.services.orders.progress import mark_work_done, resume_order, start_order, wait_order
from workorders.services.tasks.tasks import (
    Completion,
    cancel_task,
    finish_task,
    mark_not_reproduced,
    pause_task,
    start_task,
)
from workorders.transitions import ORDER_TABLE, TASK_TABLE

pytestmark = pytest.mark.django_db

LATER = NOON + dt.timedelta(hours=4)


@dataclass
class Stage:
    """A unit with one order of one task, and a mechanic to give it to."""

    order: RepairOrder
    task: RepairTask
    mechanic: Person


def stage(order: str, task: str) -> Stage:
    make_carrier()
    unit: Unit = make_bare_unit()
    mechanic = make_mechanic("Sam Ruy")
    waiting = "parts" if order == "waiting" else ""
    row = OrderFactory.create(
        unit=unit,
        state=order,
        waiting_for=waiting,
        cancel_reason="sold" if order == "cancelled" else "",
        opened_by=mechanic,
    )
    job = TaskFactory.create(
        order=row,
        state=task,
        complaint="service due",
        correction="serviced" if task == "done" else "",
        cancel_reason="twice" if task == "cancelled" else "",
        conditions="rain" if task == "not_reproduced" else "",
        road_test_at=LATER if task == "not_reproduced" else None,
        undone="guard" if task == "paused" else "",
        pause_signature=_paused_by(mechanic) if task == "paused" else None,
    )
    return Stage(row, job, mechanic)


def _paused_by(person: Person) -> Signature:
    signing = Signing(person, SignatureMethod.TYPED, NOON, "Fit to move.")
    purpose = SignaturePurpose.WORK_PAUSED
    signature = signature_of(signing, purpose=purpose, content={}, actor=person, now=NOON)
    signature.save(force_insert=True)
    return signature


Move = Callable[[Stage, Person], object]


def _order(service: Callable[..., object], **fields: object) -> Move:
    return lambda on, actor: service(order=on.order.pk, version=1, actor=actor, now=NOON, **fields)


def _task(service: Callable[..., object], **fields: object) -> Move:
    return lambda on, actor: service(task=on.task.pk, version=1, actor=actor, now=NOON, **fields)


def _pause(undone: str) -> Move:
    def move(on: Stage, actor: Person) -> object:
        RepairOrder.objects.filter(pk=on.order.pk).update(assigned_to=actor)
        signing = Signing(actor, SignatureMethod.TYPED, NOON, "Fit to move.")
        return _task(pause_task, undone=undone, signing=signing)(on, actor)

    return move


ORDER_MOVES: dict[str, Move] = {
    "assign": lambda on, actor: _order(assign_order, assigned_to=on.mechanic.pk, site=None)(on, actor),
    "start": _order(start_order),
    "wait": _order(wait_order, waiting_for="parts", reason=""),
    "resume": _order(resume_order),
    "work_done": _order(mark_work_done),
    "close": _order(close_order),
    "cancel": _order(cancel_order, reason="sold"),
    "set_expected_time": _order(set_expected_time, expected_at=LATER, reason=""),
}
TASK_MOVES: dict[str, Move] = {
    "assign": lambda on, actor: _task(assign_task, lead=on.mechanic.pk, helpers=())(on, actor),
    "start": _task(start_task),
    "pause": _pause("guard"),
    "finish": _task(finish_task, completion=Completion("wear", "serviced")),
    "not_reproduced": _task(mark_not_reproduced, conditions="rain", road_test_at=LATER),
    "cancel": _task(cancel_task, reason="twice"),
}
ORDER_FOLLOWS = {"take_more_work", "all_settled", "all_certified", "nothing_left", "wait_for_road_test"}
TASK_FOLLOWS = {"done_outside", "certified", "withdrawn", "cancel_with_order"}
"""What the service does by itself: the tests of what it follows from show it."""
CALLERS = [*Role, None]
FOREMAN, FOREMAN_OR_MECHANIC = {Role.FOREMAN}, {Role.FOREMAN, Role.MECHANIC}


def try_as(role: Role | None, move: Move, on: Stage) -> DomainError | None:
    """Make the move as one role, look at what it left behind, and take it back; the refusal, if it was one."""
    roles = frozenset() if role is None else frozenset({role})
    actor = make_recipient(f"As {role}", roles=() if role is None else (role,))
    actor.current_roles = roles
    try:
        move(on, actor)
    except DomainError as refused:
        return refused
    return None


def expect(refused: DomainError | None, kind: type[DomainError], code: str) -> None:
    assert type(refused) is kind
    assert refused.code == code


def test_moves__are_all_that_the_tables_have() -> None:
    assert set(ORDER_TABLE.actions) == ORDER_MOVES.keys() | ORDER_FOLLOWS
    assert set(TASK_TABLE.actions) == TASK_MOVES.keys() | TASK_FOLLOWS
    assert ORDER_TABLE.roles_for(*ORDER_FOLLOWS) == TASK_TABLE.roles_for(*TASK_FOLLOWS) == frozenset()


@pytest.mark.parametrize(("state", "action"), list(product(ORDER_TABLE.states, ORDER_MOVES)))
def test_order__moves_as_its_table_says_for_every_role(state: str, action: str) -> None:
    on = stage(state, "done")
    for role in CALLERS:
        allowed = role is not None and action in ORDER_TABLE.allowed_actions(state, {role})
        may_ever = role in (
            {Role.FOREMAN, Role.MECHANIC} if action in {"start", "wait", "resume", "work_done"} else {Role.FOREMAN}
        )
        with transaction.atomic():
            before = HistoryEntry.objects.count()
            refused = try_as(role, ORDER_MOVES[action], on)
            now = RepairOrder.objects.get(pk=on.order.pk)
            if allowed:
                target = next(t.target for t in ORDER_TABLE.transitions if t.action == action and state in t.sources)
                assert (refused, now.state, now.version) == (None, target, 2)
                assert HistoryEntry.objects.count() == before + 1
            else:
                expect(refused, *((Conflict, "action_not_allowed") if may_ever else (NotAllowed, "role_not_allowed")))
                assert (now.state, now.version, HistoryEntry.objects.count()) == (state, 1, before)
            transaction.set_rollback(True)


@pytest.mark.parametrize(("state", "action"), list(product(TASK_TABLE.states, TASK_MOVES)))
def test_task__moves_as_its_table_says_for_every_role(state: str, action: str) -> None:
    on = stage("in_progress", state)
    for role in CALLERS:
        allowed = role is not None and action in TASK_TABLE.allowed_actions(state, {role})
        may_ever = role in (FOREMAN if action in {"assign", "cancel"} else FOREMAN_OR_MECHANIC)
        with transaction.atomic():
            before = HistoryEntry.objects.count()
            refused = try_as(role, TASK_MOVES[action], on)
            now = RepairTask.objects.get(pk=on.task.pk)
            if allowed:
                target = next(t.target for t in TASK_TABLE.transitions if t.action == action and state in t.sources)
                assert (refused, now.state, now.version) == (None, target, 2)
                assert RepairOrder.objects.get(pk=on.order.pk).version == 2
                assert HistoryEntry.objects.count() > before
            else:
                expect(refused, *((Conflict, "action_not_allowed") if may_ever else (NotAllowed, "role_not_allowed")))
                assert (now.state, now.version, HistoryEntry.objects.count()) == (state, 1, before)
                assert RepairOrder.objects.get(pk=on.order.pk).version == 1
            transaction.set_rollback(True)


@pytest.mark.parametrize(
    ("state", "move", "missing"),
    [
        ("assigned", _order(assign_order, assigned_to=None, site=None), "/assigned_to"),
        ("in_progress", _order(wait_order, waiting_for="", reason=""), "/waiting_for"),
        ("in_progress", _order(cancel_order, reason=""), "/reason"),
        ("in_progress", _order(set_expected_time, expected_at=None, reason=""), "/expected_at"),
        ("in_progress", _task(assign_task, lead=None, helpers=()), "/lead"),
        ("in_progress", _task(finish_task, completion=Completion("", "serviced")), "/cause"),
        ("in_progress", _task(finish_task, completion=Completion("wear", "")), "/correction"),
        ("in_progress", _task(mark_not_reproduced, conditions="", road_test_at=LATER), "/conditions"),
        ("in_progress", _task(mark_not_reproduced, conditions="rain", road_test_at=None), "/road_test_at"),
        ("in_progress", _task(cancel_task, reason=""), "/reason"),
        ("in_progress", _pause(""), "/undone"),
    ],
    ids=[f"order-{n}" for n in range(4)] + [f"task-{n}" for n in range(7)],
)
def test_field_that_the_table_asks_for_is_missing__refused_and_nothing_changed(
    state: str, move: Move, missing: str
) -> None:
    on = stage(state, "paused" if missing == "/reason" else "started")  # what was begun is not called off
    refused = try_as(Role.FOREMAN, move, on)
    assert refused is not None
    assert (refused.code, [problem.pointer for problem in refused.problems]) == ("required_fields_missing", [missing])
    assert RepairOrder.objects.get(pk=on.order.pk).version == 1
    assert HistoryEntry.objects.count() == 0
