"""The gaps that the shop's work on units shows, for an audit rehearsal: brakes by people without evidence (396.25)."""

from collections.abc import Iterator

from common.clock import day_in_zone
from fleet.enums import Scope
from fleet.models import Qualification
from fleet.rules.records.rehearsal import Gap
from fleet.selectors.records.audit_gaps import Audited
from workorders.enums import TaskState
from workorders.models import RepairTask
from workorders.rules.tasks import NEEDED, lacking

BRAKES = (Scope.BRAKES_REPAIR, Scope.BRAKES_ADJUST)


def find(audited: Audited) -> Iterator[Gap]:
    """Brake work that was done under a lead without evidence on that day, in two statements.

    Nobody leads work that an outside firm did or a driver put right on the spot: those are no employees of the shop.
    """
    keys = [unit.pk for unit in audited.units]
    tasks = list(
        RepairTask.objects.filter(order__unit__in=keys, scope__in=BRAKES, state=TaskState.DONE, lead__isnull=False)
        .filter(outside_repairs__isnull=True, done_at__isnull=False)
        .select_related("order", "lead")
        .order_by("done_at", "pk")
    )
    scopes = sorted(NEEDED[Scope.BRAKES_REPAIR])
    evidence = list(Qualification.objects.filter(person__in={task.lead_id for task in tasks}, scope__in=scopes))
    for task in tasks:
        if task.lead is None or task.done_at is None:
            continue
        day = day_in_zone(task.done_at, audited.zone)
        held = {
            row.scope
            for row in evidence
            if row.person_id == task.lead_id and row.starts_on <= day and (row.ends_on is None or day <= row.ends_on)
        }
        if lacking(task.scope, held):
            facts = {"name": task.lead.name, "order": task.order.number, "day": day}
            link = f"/api/v1/repair-tasks/{task.pk}"
            yield Gap(task.order.unit_id, "gap_brake_evidence_missing", "49 CFR 396.25(e)", link, facts)
