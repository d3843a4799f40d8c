"""Repairs by outside firms, as they are told to us: who worked, where, on what, with which proof (396.3(b)(3))."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from common.clock import refuse_early, refuse_future
from common.errors import Conflict, FieldProblem, Invalid
from defects.services.defects.repair import note_work, put_in_repair
from defects.services.records.measurements import Measured
from fleet.models import Person
from fleet.services.people.people import outside_person
from workorders.enums import ACTIVE_TASK_STATES, OrderState, TaskState
from workorders.models import OutsideRepair, RepairTask
from workorders.services.orders.order_work import OrderWork, lock_order_as_it_is
from workorders.services.orders.settling import SETTLED_FIELDS, settle_order
from workorders.services.tasks.measurements import measure_repair
from workorders.transitions import TASK_TABLE


@dataclass(frozen=True)
class TaskDone:
    """One task that the firm did, with what was measured afterwards where the fault was measured."""

    task: UUID
    correction: str
    after: Measured | None = None


@dataclass(frozen=True)
class OutsideWork:
    """What a firm's hand did: the invoice's number, its cost with currency, the SHA-256 of a photo."""

    firm: str
    worker: str
    place: str
    work: str
    done_at: datetime
    tasks: Sequence[TaskDone]
    invoice: str = ""
    cost: Decimal | None = None
    currency: str = ""
    photo_sha256: str = ""


def record_outside_repair(*, order: UUID, repair: OutsideWork, actor: Person, now: datetime) -> OutsideRepair:
    """Take in a repair made by an outside firm; its active tasks are done, the certificate is another act.

    Tasks that are done already stay as they are, so that an invoice is booked when it comes, on a closed order too.
    A fact from the road, so no version is asked. The firm's hand becomes a person without sign-in, once for each name
    and firm. Whoever enters it counts as having worked, so that one person invents no repair and lifts the hold.
    Conflict `order_ended` once it was cancelled; Invalid `task_unknown`, `task_settled`, `instant_in_future`,
    `cost_without_currency`, and those of `measure_repair`.
    """
    with lock_order_as_it_is(order, actor=actor, now=now) as work:
        if work.order.state == OrderState.CANCELLED:
            raise Conflict("order_ended", state=work.order.state)
        refuse_future(repair.done_at, now, "/done_at")
        refuse_early(repair.done_at, work.order.unit.known_from, "/done_at")
        if (repair.cost is None) != (repair.currency == ""):
            raise Invalid("cost_without_currency", pointer="/currency")
        worker = outside_person(name=repair.worker, firm=repair.firm, actor=actor)
        done = [_do(work, position, item, worker) for position, item in enumerate(repair.tasks)]
        row = OutsideRepair.objects.create(
            order=work.order,
            firm=repair.firm,
            worker=worker,
            place=repair.place,
            work=repair.work,
            invoice=repair.invoice,
            cost=repair.cost,
            currency=repair.currency,
            photo_sha256=repair.photo_sha256,
            done_at=repair.done_at,
            recorded_at=now,
            recorded_by=actor,
        )
        row.tasks.set(done)
        work.note(
            "outside_repair_recorded",
            row,
            firm=row.firm,
            worker=worker.name,
            place=row.place,
            work=row.work,
            invoice=row.invoice,
            photo=row.photo_sha256,
            done_at=row.done_at,
            tasks=[task.pk for task in done],
        )
        settle_order(work.order, work.tasks, work=work)
        work.save(work.order, *SETTLED_FIELDS)
        return row


def _do(work: OrderWork, position: int, item: TaskDone, worker: Person) -> RepairTask:
    pointer = f"/tasks/{position}"
    task = next((task for task in work.tasks if task.pk == item.task), None)
    if task is None:
        raise Invalid("task_unknown", problems=[FieldProblem(f"{pointer}/task", "task_unknown")])
    if task.state == TaskState.DONE:
        if item.after is not None:
            raise Invalid("measurement_not_asked", pointer=f"{pointer}/after")
        return task
    if task.state not in ACTIVE_TASK_STATES:
        raise Invalid("task_settled", pointer=f"{pointer}/task", state=task.state)
    said = {"correction": item.correction}
    measured = measure_repair(task, before=None, after=item.after, person=worker, now=work.now, pointer=pointer)
    TASK_TABLE.follow(task, "done_outside", said)
    task.correction, task.done_at = item.correction, work.now
    work.save(task, "state", "correction", "done_at", "before", "after")
    if task.defect is not None:
        put_in_repair(task.defect)
        note_work(task.defect, [worker.pk, work.actor.pk])
    work.end_labor([task])
    work.note("repair_task_done", task, state=task.state, **said, **measured)
    return task
