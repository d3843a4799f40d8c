"""Reported defects open their unit's repair order or join the one that stands: one task for each."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import F, FilteredRelation, OuterRef, Q

from defects.models import Defect
from defects.services.defects.repair import note_order, note_work_renamed
from fleet.models import Unit
from fleet.services.records.unit_of_work import UnitOfWork
from workorders.enums import ACTIVE_ORDER_STATES, ACTIVE_TASK_STATES, OrderState, TaskState
from workorders.models import RepairOrder, RepairTask
from workorders.selectors.orders.complaints import catalogue_naming, complaint_of, is_for_the_shop, scope_of_defect
from workorders.transitions import ORDER_TABLE


@dataclass(frozen=True)
class Work:
    """One piece of work to be put on a unit's order: for a defect, or for none."""

    unit: UUID
    complaint: str
    scope: str
    defect: Defect | None = None


@dataclass(frozen=True)
class _Context:
    """A locked unit's home site, its active order if any, and the defects with an active task."""

    site: UUID | None
    order: RepairOrder | None
    tasked: frozenset[UUID]


def order_defects(
    defects: Iterable[Defect], *, work: UnitOfWork, seen_at: datetime | None = None, **_: Any
) -> list[RepairTask]:
    """Give every defect without an active task one on its unit's order, and the defect its order's number.

    An accepted report never loses its order: both are written, or neither is.
    A fault that is the driver's to end asks for nothing of the shop, unless it came to bar movement.
    What was seen at an instant asks for nothing where the work on it was called done since, on an order that stands:
    a phone's late report does not undo what the shop has done after it. An active task is called as its defect is now.

    The new tasks, in four statements, five where some orders are opened and others joined, however many defects
    and units there are. The units must be locked by `work`, which is what keeps two reports from opening two orders.
    """
    found = list(defects)
    catalogue = catalogue_naming(found, now=work.now)
    wanted = [defect for defect in found if is_for_the_shop(defect, catalogue)]
    works = [
        Work(defect.unit_id, complaint_of(defect, catalogue), scope_of_defect(defect, catalogue), defect)
        for defect in wanted
    ]
    return put_on_orders(works, work=work, seen_at=seen_at)


def put_on_orders(works: Iterable[Work], *, work: UnitOfWork, seen_at: datetime | None = None) -> list[RepairTask]:
    """Put pieces of work on their units' active orders, opened where there is none; see `order_defects`."""
    named = {position if piece.defect is None else piece.defect.pk: piece for position, piece in enumerate(works)}
    wanted = list(named.values())
    contexts = _contexts({piece.unit for piece in wanted}, seen_at)
    fresh = [piece for piece in wanted if piece.defect is None or piece.defect.pk not in contexts[piece.unit].tasked]
    if len(fresh) < len(wanted):
        _rename({piece.defect.pk: piece.complaint for piece in wanted if piece.defect is not None}, work)
    if not fresh:
        return []
    units = list(dict.fromkeys(piece.unit for piece in fresh))
    orders = {unit: _joined(order) for unit in units if (order := contexts[unit].order) is not None}
    if orders:
        RepairOrder.objects.bulk_update(orders.values(), ["state", "assigned_to", "work_done_at", "version"])
    opened = [_opened(unit, contexts[unit].site, work) for unit in units if unit not in orders]
    if opened:
        RepairOrder.objects.bulk_create(opened)
        orders.update({order.unit_id: order for order in opened})
    tasks = [_task(piece, orders[piece.unit], work.now) for piece in fresh]
    RepairTask.objects.bulk_create(tasks)
    note_order(
        [
            (piece.defect, orders[piece.unit].pk, orders[piece.unit].number)
            for piece in fresh
            if piece.defect is not None
        ]
    )
    _record(opened, tasks, work)
    return tasks


def _contexts(units: set[UUID], seen_at: datetime | None) -> dict[UUID, _Context]:
    """What stands on each unit, in one statement; work done after `seen_at` counts as an active task."""
    active = FilteredRelation("repair_orders", condition=Q(repair_orders__state__in=ACTIVE_ORDER_STATES))
    counts = Q(state__in=ACTIVE_TASK_STATES)
    if seen_at is not None:
        counts |= Q(state=TaskState.DONE, done_at__gte=seen_at, order__state__in=ACTIVE_ORDER_STATES)
    tasked = RepairTask.objects.filter(counts, order__unit=OuterRef("pk"), defect__isnull=False)
    rows = (
        Unit.objects.filter(pk__in=units)
        .annotate(active=active)
        .annotate(
            order_key=F("active__pk"),
            order_number=F("active__number"),
            order_state=F("active__state"),
            order_version=F("active__version"),
            order_assigned_to=F("active__assigned_to"),
            tasked=ArraySubquery(tasked.values("defect_id")),
        )
        .order_by("pk")
        .values_list(
            "pk",
            "home_site_id",
            "order_key",
            "order_number",
            "order_state",
            "order_version",
            "order_assigned_to",
            "tasked",
        )
    )
    return {
        unit: _Context(
            site,
            None
            if key is None
            else RepairOrder(
                pk=key, unit_id=unit, number=number, state=state, version=version, assigned_to_id=assigned_to
            ),
            frozenset(tasked),
        )
        for unit, site, key, number, state, version, assigned_to, tasked in rows
    }


def _rename(complaints: Mapping[UUID, str], work: UnitOfWork) -> None:
    """Have the active tasks of defects say what these are called now: what was measured further off since, say."""
    tasks = RepairTask.objects.active().filter(defect__in=complaints).select_related("order", "defect").order_by("pk")
    renamed = []
    for task in tasks:
        if task.defect is None or task.complaint == complaints[task.defect.pk]:
            continue
        task.complaint = complaints[task.defect.pk]
        task.version += 1
        renamed.append(task)
        _record_task("repair_task_renamed", task, work)
    if renamed:
        note_work_renamed({task.pk: task.complaint for task in renamed})
        RepairTask.objects.bulk_update(renamed, ["complaint", "version"])


def _joined(order: RepairOrder) -> RepairOrder:
    """An order whose work was done is open again: a foreman must look at what came."""
    before = order.state
    ORDER_TABLE.follow(order, "take_more_work")
    if order.state != before:
        order.assigned_to_id = None
    order.work_done_at = None
    order.version += 1
    return order


def _opened(unit: UUID, site: UUID | None, work: UnitOfWork) -> RepairOrder:
    return RepairOrder(unit_id=unit, site_id=site, state=OrderState.OPEN, opened_at=work.now, opened_by=work.actor)


def _task(piece: Work, order: RepairOrder, now: datetime) -> RepairTask:
    return RepairTask(order=order, defect=piece.defect, complaint=piece.complaint, scope=piece.scope, opened_at=now)


def _record(opened: Iterable[RepairOrder], tasks: Iterable[RepairTask], work: UnitOfWork) -> None:
    for order in opened:
        work.record(order.unit_id, "repair_order_opened", subject=order.pk, body={"order": order.number})
    for task in tasks:
        _record_task("repair_task_opened", task, work)


def _record_task(kind: str, task: RepairTask, work: UnitOfWork) -> None:
    work.record(
        task.order.unit_id,
        kind,
        subject=task.pk,
        body={
            "order": task.order.number,
            "defect": None if task.defect is None else task.defect.number,
            "complaint": task.complaint,
            "scope": task.scope,
        },
    )
