"""Working on one task: started, paused, finished with what was measured, not reproduced, or cancelled."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

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
from workorders.services.orders.locked_order import LockedOrder, lock_task
from workorders.services.orders.progress import move_into_work
from workorders.services.orders.settling import SETTLED_FIELDS, settle_order
from workorders.services.orders.shop_people import refuse_unqualified
from workorders.services.tasks.measurements import measure_repair
from workorders.transitions import FOREMAN, TASK_TABLE

PAUSE_FIELDS = ("undone", "cold_freight_too", "pause_signature")


@dataclass(frozen=True)
class Finding:
    """What a mechanic says of a finished task; `before` and `after` where it was measured."""

    cause: str
    correction: str
    before: Measured | None = None
    after: Measured | None = None


@transaction.atomic
def start_task(*, task: UUID, version: int | None, actor: Person, now: datetime) -> RepairTask:
    """Begin a task, its order and its defect with it; who begins what nobody leads becomes its lead.

    NotAllowed `not_qualified`, `not_the_lead`; Conflict `action_not_allowed` while the order is given to nobody.
    """
    locked, row = lock_task(task, version=version, actor=actor, now=now)
    move = TASK_TABLE.resolve("start", row.state, locked.roles)
    lead = row.lead or actor
    refuse_unqualified(lead if FOREMAN & locked.roles else actor, row, now=now)
    _refuse_other(locked, row)
    move_into_work(locked)
    row.state, row.lead, row.road_test_at = move.target, lead, None
    row.started_at = row.started_at or now
    row.undone, row.cold_freight_too, row.pause_signature = "", False, None
    locked.save_task(row, "state", "lead", "road_test_at", "started_at", *PAUSE_FIELDS)
    if row.defect is not None:
        put_in_repair(row.defect)
    locked.note("repair_task_started", row, lead=lead.pk, name=lead.name)
    locked.save("state", "waiting_for")
    return row


@transaction.atomic
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
    locked, row = lock_task(task, version=version, actor=actor, now=now)
    move = TASK_TABLE.resolve("pause", row.state, locked.roles, {"undone": undone, "signature": signing})
    if locked.order.assigned_to_id != actor.pk and not FOREMAN & locked.roles:
        raise NotAllowed("not_the_orders_lead", order=locked.order.number)
    refuse_another(signing, actor)
    instant_of(signing, now)
    content = {
        "task": row.pk,
        "order": locked.order.number,
        "unit": locked.order.unit_id,
        "undone": undone,
        "cold_freight_too": cold_freight_too,
    }
    signature = signature_of(signing, purpose=SignaturePurpose.WORK_PAUSED, content=content, actor=actor, now=now)
    signature.save(force_insert=True)
    row.state, row.undone, row.pause_signature = move.target, undone, signature
    row.cold_freight_too = cold_freight_too
    locked.save_task(row, "state", *PAUSE_FIELDS)
    if row.defect is not None:
        put_off_again(row.defect)
    locked.end_labor([row], cause=TaskState.PAUSED)
    said = {"undone": undone, "cold_freight_too": cold_freight_too}
    locked.note("repair_task_paused", row, **said, name=actor.name, signature=signature.pk)
    locked.save()
    return row


@transaction.atomic
def finish_task(*, task: UUID, version: int | None, finding: Finding, actor: Person, now: datetime) -> RepairTask:
    """Finish a task with its cause and correction. The certificate is another act.

    A measured fault needs a value measured after the repair, within limits: Invalid `measurement_missing` and those of
    `refuse_past_limit`. NotAllowed `not_the_lead`, `not_qualified`.
    """
    locked, row = lock_task(task, version=version, actor=actor, now=now)
    said = {"cause": finding.cause, "correction": finding.correction}
    move = TASK_TABLE.resolve("finish", row.state, locked.roles, said)
    _refuse_other(locked, row)
    refuse_unqualified(row.lead or actor, row, now=now)
    measured = measure_repair(row, before=finding.before, after=finding.after, person=row.lead or actor, now=now)
    row.state, row.done_at = move.target, now
    row.cause, row.correction = finding.cause, finding.correction
    locked.save_task(row, "state", "done_at", "cause", "correction", "before", "after")
    if row.defect is not None:
        note_work(row.defect, _workers(row))
    locked.end_labor([row])
    locked.note("repair_task_done", row, state=move.target, **said, **measured)
    settle_order(locked.order, locked.tasks, work=locked.work, moves=("wait_for_road_test",))
    locked.save(*SETTLED_FIELDS)
    return row


@transaction.atomic
def mark_not_reproduced(
    *, task: UUID, version: int | None, conditions: str, road_test_at: datetime | None, actor: Person, now: datetime
) -> RepairTask:
    """Say that the fault did not show itself: the defect stays open, and a road test under its conditions is planned.

    Invalid `road_test_in_past`; NotAllowed `not_the_lead`.
    """
    locked, row = lock_task(task, version=version, actor=actor, now=now)
    said = {"conditions": conditions, "road_test_at": road_test_at}
    move = TASK_TABLE.resolve("not_reproduced", row.state, locked.roles, said)
    _refuse_other(locked, row)
    if road_test_at is not None and road_test_at <= now:
        raise Invalid("road_test_in_past", pointer="/road_test_at")
    row.state, row.conditions, row.road_test_at = move.target, conditions, road_test_at
    locked.save_task(row, "state", "conditions", "road_test_at")
    locked.end_labor([row])
    locked.note("repair_task_not_reproduced", row, **said)
    settle_order(locked.order, locked.tasks, work=locked.work, moves=("wait_for_road_test",))
    locked.save(*SETTLED_FIELDS)
    return row


@transaction.atomic
def cancel_task(*, task: UUID, version: int | None, reason: str, actor: Person, now: datetime) -> RepairTask:
    """Drop a task that nothing needs. Conflict `defect_unrepaired` while its defect is open: cancel the whole order."""
    locked, row = lock_task(task, version=version, actor=actor, now=now)
    move = TASK_TABLE.resolve("cancel", row.state, locked.roles, {"reason": reason})
    if row.defect is not None and row.defect.state not in REPAIRED_DEFECTS:
        raise Conflict(
            "defect_unrepaired", defect=row.defect.number, faults=faults_named([row.defect]), state=row.defect.state
        )
    row.state, row.cancel_reason = move.target, reason
    locked.save_task(row, "state", "cancel_reason")
    locked.end_labor([row])
    locked.note("repair_task_cancelled", row, because=reason)
    settle_order(locked.order, locked.tasks, work=locked.work)
    locked.save(*SETTLED_FIELDS)
    return row


def _refuse_other(locked: LockedOrder, task: RepairTask) -> None:
    """A mechanic speaks for the tasks one leads; a foreman may speak for anybody's."""
    if task.lead_id not in {None, locked.work.actor.pk} and not FOREMAN & locked.roles:
        raise NotAllowed("not_the_lead", task=task.pk)


def _workers(task: RepairTask) -> set[UUID]:
    """The lead, the helpers, and whoever's time ran on the task."""
    people = set(task.helpers.values_list("pk", flat=True))
    people |= set(LaborEntry.objects.filter(task=task).values_list("person_id", flat=True))
    return people if task.lead_id is None else people | {task.lead_id}
