"""Rows with all that an answer shows of them, in a number of statements that does not grow with the page."""

from typing import Any
from uuid import UUID

from django.db.models import Case, OuterRef, Prefetch, Q, QuerySet, Subquery, Value, When

from common.errors import Conflict, or_not_found
from common.ids import lookup_of
from defects.enums import OPEN_DEFECT_STATES, SEVERITY_RANK
from fleet.models import Unit
from workorders.enums import TaskState
from workorders.models import LaborEntry, OutsideRepair, RepairOrder, RepairTask

_RANKS = [When(defect__severity=severity, then=Value(rank)) for severity, rank in SEVERITY_RANK.items()]


def refuse_in_shop(unit: Unit, **_: Any) -> None:
    """Conflict `unit_has_open_order` for a unit that has one."""
    if RepairOrder.objects.active().filter(unit=unit).exists():
        raise Conflict("unit_has_open_order")


def with_order_parts(orders: QuerySet[RepairOrder]) -> QuerySet[RepairOrder]:
    """Orders with unit, site, people, tasks, and `worst_severity` of what is still open on them."""
    return (
        orders.annotate(worst_severity=_worst())
        .select_related("unit", "site", "assigned_to", "opened_by")
        .prefetch_related(Prefetch("tasks", with_task_parts(RepairTask.objects.order_by("opened_at", "pk"))))
    )


def with_task_parts(tasks: QuerySet[RepairTask]) -> QuerySet[RepairTask]:
    """Tasks with order, unit, defect, people and measurements."""
    return tasks.select_related(
        "order__unit", "defect__current_certificate", "lead", "before", "after"
    ).prefetch_related("helpers")


def with_labor_parts(labor: QuerySet[LaborEntry]) -> QuerySet[LaborEntry]:
    """Labor with its person, task, order and unit."""
    return labor.select_related("person", "task__order__unit")


def with_outside_parts(repairs: QuerySet[OutsideRepair]) -> QuerySet[OutsideRepair]:
    """Outside repairs with their order, unit, people and tasks."""
    return repairs.select_related("order__unit", "worker", "recorded_by").prefetch_related("tasks")


def order_key(ref: str) -> UUID:
    """The key of the order that a number or a key names; NotFound `order_unknown`."""
    return or_not_found(
        RepairOrder.objects.filter(order_named(ref)).values_list("pk", flat=True).first(), "order_unknown"
    )


def order_named(ref: str) -> Q:
    """The condition that an order is the one of a number or key; nothing fits anything else."""
    lookup = lookup_of(ref)
    return Q(pk__in=()) if lookup is None else Q(**lookup)


def _worst() -> Subquery:
    active = RepairTask.objects.exclude(state=TaskState.CANCELLED).filter(
        order=OuterRef("pk"), defect__state__in=OPEN_DEFECT_STATES
    )
    return Subquery(active.annotate(rank=Case(*_RANKS)).order_by("-rank", "pk").values("defect__severity")[:1])
