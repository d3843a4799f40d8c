"""Whose time runs on which task, from when to when. A person works on one task at a time."""

from datetime import datetime
from uuid import UUID

from common.errors import Conflict, NotAllowed, or_not_found
from fleet.models import Person
from fleet.rules.carrier.labor_rates import rates_from
from fleet.selectors.carrier.carrier import effective_policies
from workorders.enums import LaborRole, TaskState
from workorders.models import LaborEntry, RepairTask
from workorders.services.orders.order_work import OrderWork, lock_task_as_it_is
from workorders.services.orders.shop_people import person_of_shop, refuse_unqualified
from workorders.transitions import FOREMAN

LABOR_RATES = "labor_rates"
"""The policy that says what an hour of work is reckoned at, in the form of `fleet.rules.carrier.labor_rates`."""


def start_labor(*, task: UUID, role: LaborRole, person: UUID | None, actor: Person, now: datetime) -> LaborEntry:
    """Let one's own time run on a started task, or, as a foreman, that of `person`.

    A lead must be qualified where a rule asks for it. A helper works under the task's lead, who must be another
    person and qualified still. The carrier's rate in force is copied onto the entry. Conflict `task_not_started`,
    `labor_running` (fact `task`: where it runs already), `helper_without_lead`; NotAllowed `not_qualified`,
    `labor_of_another`; Invalid `not_of_the_shop`.
    """
    with lock_task_as_it_is(task, actor=actor, now=now) as (work, row):
        if person not in {None, actor.pk} and not FOREMAN & work.roles:
            raise NotAllowed("labor_of_another")
        key = actor.pk if person is None else person
        worker = person_of_shop(key, site=work.order.site_id, now=now, pointer="/person")
        if row.state != TaskState.STARTED:
            raise Conflict("task_not_started", state=row.state)
        _refuse_unfit(row, role, worker, now)
        running = LaborEntry.objects.filter(person=worker, ended_at__isnull=True).first()
        if running is not None:
            raise Conflict("labor_running", entry=running.pk, task=running.task_id)
        rates = rates_from(effective_policies(now=now).policies.get(LABOR_RATES, {}))
        rate = rates.of(role)
        entry = LaborEntry.objects.create(
            task=row,
            person=worker,
            role=role,
            started_at=now,
            rate=rate,
            currency="" if rate is None else rates.currency,
        )
        _note(work, "labor_started", entry)
        return entry


def stop_labor(*, entry: UUID, cause: str, actor: Person, now: datetime) -> LaborEntry:
    """End a running entry; with a cause it is a pause, and going on is another entry.

    NotFound `labor_unknown`, Conflict `labor_has_ended`, NotAllowed `labor_of_another`.
    """
    task = or_not_found(LaborEntry.objects.filter(pk=entry).values_list("task_id", flat=True).first(), "labor_unknown")
    with lock_task_as_it_is(task, actor=actor, now=now) as (work, _):
        row = LaborEntry.objects.select_related("person").get(pk=entry)
        if row.person != actor and not FOREMAN & work.roles:
            raise NotAllowed("labor_of_another")
        if row.ended_at is not None:
            raise Conflict("labor_has_ended", ended_at=row.ended_at)
        row.ended_at, row.pause_cause = now, cause
        row.save(update_fields=["ended_at", "pause_cause"])
        _note(work, "labor_paused" if cause else "labor_ended", row)
        return row


def _refuse_unfit(task: RepairTask, role: LaborRole, worker: Person, now: datetime) -> None:
    if role == LaborRole.LEAD:
        refuse_unqualified(worker, task, now=now)
        return
    if task.lead is None or task.lead == worker:
        raise Conflict("helper_without_lead")
    refuse_unqualified(task.lead, task, now=now)


def _note(work: OrderWork, kind: str, entry: LaborEntry) -> None:
    """Labor changes nothing that people edit on the order, so its version stays."""
    work.note(
        kind,
        entry,
        task=entry.task_id,
        person=entry.person_id,
        name=entry.person.name,
        role=entry.role,
        cause=entry.pause_cause,
    )
