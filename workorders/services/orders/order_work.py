"""The unit of work over one repair order, locked with its unit, all its tasks and their defects."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.db.models import QuerySet

from common.errors import NotFound
from common.versions import require_version
from defects.models import Defect
from fleet.models import Person
from fleet.services.records.unit_of_work import UnitOfWork, Versioned
from workorders.enums import ACTIVE_ORDER_STATES, TaskState
from workorders.models import LaborEntry, OutsideRepair, RepairOrder, RepairTask
from workorders.services.orders.under_way import notify_of_work


class OrderWork(UnitOfWork):
    """A unit of work whose unit is in the shop: the order, and its tasks."""

    order: RepairOrder
    tasks: list[RepairTask]

    @property
    def roles(self) -> frozenset[str]:
        """The roles that the actor holds where the order is."""
        return self.actor.roles_at(self.order.site_id)

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
        """Record one thing of the order; its number is always said."""
        self.record(self.order.unit_id, kind, subject=subject.pk, body={"order": self.order.number, **body})

    def save(self, row: Versioned, *fields: str) -> None:
        """Save these fields as the row's next version; where a task's state was set, tell defects of the work."""
        super().save(row, *fields)
        if isinstance(row, RepairTask) and "state" in fields:
            notify_of_work([row], now=self.now)

    def end_labor(self, tasks: Iterable[RepairTask], *, cause: str = "") -> None:
        """End the work that still runs on these tasks."""
        running = LaborEntry.objects.filter(task__in=list(tasks), ended_at__isnull=True)
        running.update(ended_at=self.now, pause_cause=cause)


@contextmanager
def lock_order(order: UUID, *, version: int | None, actor: Person, now: datetime) -> Iterator[OrderWork]:
    """Lock an order that the caller saw in this version. NotFound `order_unknown`, `version_changed`."""
    with lock_order_as_it_is(order, actor=actor, now=now) as work:
        require_version(work.order, version)
        yield work


@contextmanager
def lock_task(
    task: UUID, *, version: int | None, actor: Person, now: datetime
) -> Iterator[tuple[OrderWork, RepairTask]]:
    """Lock a task, seen in this version, with its whole order. NotFound `task_unknown`, `version_changed`."""
    with lock_task_as_it_is(task, actor=actor, now=now) as (work, row):
        require_version(row, version)
        yield work, row


@contextmanager
def lock_task_as_it_is(task: UUID, *, actor: Person, now: datetime) -> Iterator[tuple[OrderWork, RepairTask]]:
    """Lock a task whatever its version, for a fact that is told of it. NotFound `task_unknown`."""
    with _order_work(RepairOrder.objects.filter(tasks=task), "task_unknown", actor, now) as work:
        yield work, next(row for row in work.tasks if row.pk == task)


@contextmanager
def lock_order_as_it_is(order: UUID, *, actor: Person, now: datetime) -> Iterator[OrderWork]:
    """Lock an order whatever its version, for a fact that is told of it. NotFound `order_unknown`."""
    with _order_work(RepairOrder.objects.filter(pk=order), "order_unknown", actor, now) as work:
        yield work


@contextmanager
def _order_work(orders: QuerySet[RepairOrder], unknown: str, actor: Person, now: datetime) -> Iterator[OrderWork]:
    """An order never changes its unit, nor a task its order, so both may be looked up before the lock."""
    with transaction.atomic():
        unit = orders.values_list("unit_id", flat=True).first()
        if unit is None:
            raise NotFound(unknown)
        work = OrderWork.begin([unit], actor=actor, now=now)
        work.order = orders.select_related("unit").get()
        work.tasks = list(
            RepairTask.objects.filter(order=work.order)
            .select_related("defect__current_certificate", "lead")
            .order_by("opened_at", "pk")
        )
        for task in work.tasks:
            task.order = work.order
        yield work
        work.write()
