"""One repair order locked with its unit, all its tasks and their defects, ready to be written."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import QuerySet

from common.errors import NotFound
from common.versions import require_version
from defects.models import Defect
from fleet.models import Person
from fleet.services.records.unit_of_work import UnitOfWork, begin_work
from workorders.enums import ACTIVE_ORDER_STATES, TaskState
from workorders.models import LaborEntry, OutsideRepair, RepairOrder, RepairTask
from workorders.services.orders.under_way import notify_of_work


@dataclass
class LockedOrder:
    """A locked order, who works on it and when. What is done to it is noted here and written by `save`."""

    order: RepairOrder
    tasks: list[RepairTask]
    work: UnitOfWork

    def task(self, key: UUID) -> RepairTask:
        """One task of the order; KeyError for another's."""
        return next(task for task in self.tasks if task.pk == key)

    @property
    def roles(self) -> frozenset[str]:
        """The roles that the actor holds where the order is."""
        return self.work.actor.roles_at(self.order.site_id)

    @property
    def defects(self) -> list[Defect]:
        """The defects behind the tasks that were not cancelled, each once."""
        return list(
            {
                task.defect.pk: task.defect for task in self.tasks if task.defect and task.state != TaskState.CANCELLED
            }.values()
        )

    @property
    def is_active(self) -> bool:
        """Whether the order is neither closed nor cancelled."""
        return self.order.state in ACTIVE_ORDER_STATES

    def note(self, kind: str, subject: RepairOrder | RepairTask | LaborEntry | OutsideRepair, **body: object) -> None:
        """Note one thing for the unit's history; the order's number is always said."""
        self.work.record(
            self.order.unit_id,
            kind,
            subject=subject.pk,
            body={"order": self.order.number, **body},
        )

    def save_task(self, task: RepairTask, *fields: str) -> None:
        """Save what was set on a task, as its next version; where its state was set, tell defects of the work."""
        self.work.save(task, *fields)
        if "state" in fields:
            notify_of_work([task], now=self.work.now)

    def save(self, *fields: str) -> RepairOrder:
        """Save what was set on the order, as its next version, and write the history."""
        self.work.save(self.order, *fields)
        self.work.write()
        return self.order

    def end_labor(self, tasks: Iterable[RepairTask], *, cause: str = "") -> None:
        """End the work that still runs on these tasks."""
        running = LaborEntry.objects.filter(task__in=list(tasks), ended_at__isnull=True)
        running.update(ended_at=self.work.now, pause_cause=cause)


def lock_order(order: UUID, *, version: int | None, actor: Person, now: datetime) -> LockedOrder:
    """Lock an order that the caller saw in this version. NotFound `order_unknown`, `version_changed`."""
    locked = _lock(RepairOrder.objects.filter(pk=order), "order_unknown", actor, now)
    require_version(locked.order, version)
    return locked


def lock_task(task: UUID, *, version: int | None, actor: Person, now: datetime) -> tuple[LockedOrder, RepairTask]:
    """Lock a task, seen in this version, with its whole order. NotFound `task_unknown`, `version_changed`."""
    locked, row = lock_task_as_it_is(task, actor=actor, now=now)
    require_version(row, version)
    return locked, row


def lock_task_as_it_is(task: UUID, *, actor: Person, now: datetime) -> tuple[LockedOrder, RepairTask]:
    """Lock a task whatever its version, for a fact that is told of it. NotFound `task_unknown`."""
    locked = _lock(RepairOrder.objects.filter(tasks=task), "task_unknown", actor, now)
    return locked, locked.task(task)


def lock_order_as_it_is(order: UUID, *, actor: Person, now: datetime) -> LockedOrder:
    """Lock an order whatever its version, for a fact that is told of it. NotFound `order_unknown`."""
    return _lock(RepairOrder.objects.filter(pk=order), "order_unknown", actor, now)


def _lock(orders: QuerySet[RepairOrder], unknown: str, actor: Person, now: datetime) -> LockedOrder:
    """An order never changes its unit, nor a task its order, so both may be looked up before the lock."""
    unit = orders.values_list("unit_id", flat=True).first()
    if unit is None:
        raise NotFound(unknown)
    work = begin_work([unit], actor=actor, now=now)
    order = orders.select_related("unit").get()
    tasks = list(
        RepairTask.objects.filter(order=order)
        .select_related("defect__current_certificate", "lead")
        .order_by("opened_at", "pk")
    )
    for task in tasks:
        task.order = order
    return LockedOrder(order, tasks, work)
