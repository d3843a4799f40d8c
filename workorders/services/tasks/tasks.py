"""Working on one task: started, paused, finished with what was measured, not reproduced, or cancelled."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from common.errors import Conflict, Invalid, NotAllowed
from defects.selectors.defects.naming import faults_named
from defects.services.defects.repair import note_work, put_in_repair, put_off_again
from defects.services.records.measurements import Measured
from defects.services.records.signatures import Signing, instant_of, refuse_another, signature_of
from fleet.enums import SignaturePurpose
from fleet.models import Person
from workorders.enums import TaskState
from workorders.models import LaborEntry, RepairTask
from workorders.rules.orders import REPAIRED_DEFECTS
from workorders.services.orders.order_work import OrderWork, lock_task
from workorders.services.orders.progress import move_into_work
from workorders.services.orders.settling import SETTLED_FIELDS, settle_order
from workorders.services.orders.shop_people import refuse_unqualified
from workorders.services.tasks.measurements import measure_repair
from workorders.transitions import FOREMAN, TASK_TABLE

PAUSE_FIELDS = ("undone", "cold_freight_too", "pause_signature")


@dataclass(frozen=True)
class Completion:
    """What a mechanic says of a finished task; `before` and `after` where it was measured."""

    cause: str
    correction: str
    before: Measured | None = None
    after: Measured | None = None


def start_task(*, task: UUID, version: int | None, actor: Person, now: datetime) -> RepairTask:
    """Begin a task, its order and its defect with it; who begins what nobody leads becomes its lead.

    NotAllowed `not_qualified`, `not_the_lead`; Conflict `action_not_allowed` while the order is given to nobody.
    """
    with lock_task(task, version=version, actor=actor, now=now) as (work, row):
        work.move(TASK_TABLE, row, "start")
        lead = row.lead or actor
        refuse_unqualified(lead if FOREMAN & work.roles else actor, row, now=now)
        _refuse_other(work, row)
        move_into_work(work)
        row.lead, row.road_test_at = lead, None
        row.started_at = row.started_at or now
        row.undone, row.cold_freight_too, row.pause_signature = "", False, None
        work.save(row, "state", "lead", "road_test_at", "started_at", *PAUSE_FIELDS)
        if row.defect is not None:
            put_in_repair(row.defect)
        work.note("repair_task_started", row, lead=lead.pk, name=lead.name)
        work.save(work.order, "state", "waiting_for")
        return row


def pause_task(
    *,
    task: UUID,
    version: int | None,
    undone: str,
    signing: Signing,
    actor: Person,
    now: datetime,
    cold_freight_too: bool = False,
) -> RepairTask:
    """Sign a started task paused: the unit is fit to move though this is undone. Starting it again ends the pause.

    Only `cold_freight_too` says that it may carry cold freight as well. A defect that was put off is put off again.
    NotAllowed `not_the_orders_lead`, `sign_yourself`; Invalid `signed_in_future`.
    """
    with lock_task(task, version=version, actor=actor, now=now) as (work, row):
        work.move(TASK_TABLE, row, "pause", {"undone": undone, "signature": signing})
        if work.order.assigned_to_id != actor.pk and not FOREMAN & work.roles:
            raise NotAllowed("not_the_orders_lead", order=work.order.number)
        refuse_another(signing, actor)
        instant_of(signing, now, since=work.order.opened_at)
        content = {
            "task": row.pk,
            "order": work.order.number,
            "unit": work.order.unit_id,
            "undone": undone,
            "cold_freight_too": cold_freight_too,
        }
        signature = signature_of(signing, purpose=SignaturePurpose.WORK_PAUSED, content=content, actor=actor, now=now)
        signature.save(force_insert=True)
        row.undone, row.pause_signature = undone, signature
        row.cold_freight_too = cold_freight_too
        work.save(row, "state", *PAUSE_FIELDS)
        if row.defect is not None:
            put_off_again(row.defect)
        work.end_labor([row], cause=TaskState.PAUSED)
        said = {"undone": undone, "cold_freight_too": cold_freight_too}
        work.note("repair_task_paused", row, **said, name=actor.name, signature=signature.pk)
        work.save(work.order)
        return row


def finish_task(*, task: UUID, version: int | None, completion: Completion, actor: Person, now: datetime) -> RepairTask:
    """Finish a task with its cause and correction. The certificate is another act.

    A measured fault needs a value measured after the repair, within limits: Invalid `measurement_missing` and those of
    `refuse_past_limit`. NotAllowed `not_the_lead`, `not_qualified`.
    """
    with lock_task(task, version=version, actor=actor, now=now) as (work, row):
        said = {"cause": completion.cause, "correction": completion.correction}
        work.move(TASK_TABLE, row, "finish", said)
        _refuse_other(work, row)
        refuse_unqualified(row.lead or actor, row, now=now)
        measured = measure_repair(
            row, before=completion.before, after=completion.after, person=row.lead or actor, now=now
        )
        row.done_at, row.cause, row.correction = now, completion.cause, completion.correction
        work.save(row, "state", "done_at", "cause", "correction", "before", "after")
        if row.defect is not None:
            note_work(row.defect, _workers(row))
        work.end_labor([row])
        work.note("repair_task_done", row, state=row.state, **said, **measured)
        settle_order(work.order, work.tasks, work=work, moves=("wait_for_road_test",))
        work.save(work.order, *SETTLED_FIELDS)
        return row


def mark_not_reproduced(
    *, task: UUID, version: int | None, conditions: str, road_test_at: datetime | None, actor: Person, now: datetime
) -> RepairTask:
    """Say that the fault did not show itself: the defect stays open, and a road test under its conditions is planned.

    Invalid `road_test_in_past`; NotAllowed `not_the_lead`.
    """
    with lock_task(task, version=version, actor=actor, now=now) as (work, row):
        said = {"conditions": conditions, "road_test_at": road_test_at}
        work.move(TASK_TABLE, row, "not_reproduced", said)
        _refuse_other(work, row)
        if road_test_at is not None and road_test_at <= now:
            raise Invalid("road_test_in_past", pointer="/road_test_at")
        row.conditions, row.road_test_at = conditions, road_test_at
        work.save(row, "state", "conditions", "road_test_at")
        work.end_labor([row])
        work.note("repair_task_not_reproduced", row, **said)
        settle_order(work.order, work.tasks, work=work, moves=("wait_for_road_test",))
        work.save(work.order, *SETTLED_FIELDS)
        return row


def cancel_task(*, task: UUID, version: int | None, reason: str, actor: Person, now: datetime) -> RepairTask:
    """Drop a task that nothing needs. Conflict `defect_unrepaired` while its defect is open: cancel the whole order."""
    with lock_task(task, version=version, actor=actor, now=now) as (work, row):
        work.move(TASK_TABLE, row, "cancel", {"reason": reason})
        if row.defect is not None and row.defect.state not in REPAIRED_DEFECTS:
            raise Conflict(
                "defect_unrepaired", defect=row.defect.number, faults=faults_named([row.defect]), state=row.defect.state
            )
        row.cancel_reason = reason
        work.save(row, "state", "cancel_reason")
        work.end_labor([row])
        work.note("repair_task_cancelled", row, because=reason)
        settle_order(work.order, work.tasks, work=work)
        work.save(work.order, *SETTLED_FIELDS)
        return row


def _refuse_other(work: OrderWork, task: RepairTask) -> None:
    """A mechanic speaks for the tasks one leads; a foreman may speak for anybody's."""
    if task.lead_id not in {None, work.actor.pk} and not FOREMAN & work.roles:
        raise NotAllowed("not_the_lead", task=task.pk)


def _workers(task: RepairTask) -> set[UUID]:
    """The lead, the helpers, and whoever's time ran on the task."""
    people = set(task.helpers.values_list("pk", flat=True))
    people |= set(LaborEntry.objects.filter(task=task).values_list("person_id", flat=True))
    return people if task.lead_id is None else people | {task.lead_id}
