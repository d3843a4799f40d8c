"""Orders opened at the desk: for defects that were put back or only watched, or for work that no defect asks for."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from common.errors import Conflict, FieldProblem, Invalid, NotAllowed
from defects.enums import OPEN_DEFECT_STATES
from defects.models import Defect
from fleet.models import Person, Unit
from fleet.selectors.units.lookup import refuse_retired
from fleet.services.records.unit_of_work import unit_of_work
from workorders.enums import ACTIVE_ORDER_STATES
from workorders.models import RepairOrder
from workorders.selectors.orders.complaints import catalogue_naming, complaint_of, scope_of_defect
from workorders.services.orders.joining import Work, put_on_orders
from workorders.transitions import FOREMAN


@dataclass(frozen=True)
class Job:
    """One piece of work without a defect."""

    complaint: str
    scope: str = ""


def open_order(
    *, unit: Unit, defects: Sequence[UUID], jobs: Sequence[Job], actor: Person, now: datetime
) -> RepairOrder:
    """Put defects and jobs on the unit's active order, opened where there is none.

    Invalid `order_empty`, `defect_not_on_unit` for one that is not open on this unit; Conflict `unit_retired`,
    `defects_on_order` when all that was asked for has its active task already; NotAllowed `role_not_allowed` for a
    foreman of another shop than the one where the order stands or would be opened.
    """
    with unit_of_work([unit.pk], actor=actor, now=now) as work:
        unit.refresh_from_db()
        active = RepairOrder.objects.filter(unit=unit, state__in=ACTIVE_ORDER_STATES).first()
        if FOREMAN.isdisjoint(actor.roles_at(unit.home_site_id if active is None else active.site_id)):
            raise NotAllowed("role_not_allowed", action="open_order", roles=sorted(FOREMAN))
        refuse_retired(unit)
        if not defects and not jobs:
            raise Invalid("order_empty", pointer="/defects")
        found = Defect.objects.filter(pk__in=defects, unit=unit, state__in=OPEN_DEFECT_STATES).in_bulk()
        strangers = [position for position, key in enumerate(defects) if key not in found]
        if strangers:
            problems = [FieldProblem(f"/defects/{position}", "defect_not_on_unit") for position in strangers]
            raise Invalid("defect_not_on_unit", problems=problems)
        catalogue = catalogue_naming(found.values(), now=now)
        works = [
            Work(unit.pk, complaint_of(defect, catalogue), scope_of_defect(defect, catalogue), defect)
            for defect in found.values()
        ]
        works += [Work(unit.pk, job.complaint, job.scope) for job in jobs]
        tasks = put_on_orders(works, work=work)
        if not tasks:
            raise Conflict("defects_on_order", defects=[defect.number for defect in found.values()])
        return tasks[0].order
