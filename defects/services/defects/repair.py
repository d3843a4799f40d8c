"""What the shop writes down to defects: their order, by when, who worked, which work is under way.

Called by workorders alone, inside its transaction, with the units locked. Writes no history: the shop's own says it.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import F

from defects.enums import OPEN_DEFECT_STATES, DefectState
from defects.models import Defect, WorkInProgress
from defects.transitions import DEFECTS


@dataclass(frozen=True)
class Work:
    """A task on which work is under way: its unit, itself, its order (key and number), what is done, and by when."""

    unit: UUID
    task: UUID
    order: UUID
    order_number: int
    what: str
    expected_at: datetime | None = None


def note_order(orders: Sequence[tuple[Defect, UUID, int]]) -> None:
    """Write the order (key and number) on each defect, row and instance, in one statement.

    What was promised for the order before says nothing about another one.
    """
    for defect, order, order_number in orders:
        if defect.order_id != order:
            defect.expected_at = None
        defect.order_id, defect.order_number = order, order_number
    if orders:
        Defect.objects.bulk_update([defect for defect, _, _ in orders], ["order_id", "order_number", "expected_at"])


def note_expected(*, order: UUID, expected_at: datetime | None) -> None:
    """Write on every open defect of an order when its repair is expected to be done; None for not known."""
    Defect.objects.filter(order_id=order, state__in=OPEN_DEFECT_STATES).update(
        expected_at=expected_at, version=F("version") + 1
    )
    WorkInProgress.objects.filter(order_id=order).update(expected_at=expected_at)


def note_work_begun(work: Work, *, now: datetime) -> None:
    """Work on a task was begun, or goes on after a pause."""
    WorkInProgress.objects.update_or_create(
        task_id=work.task,
        defaults={
            "unit_id": work.unit,
            "order_id": work.order,
            "order_number": work.order_number,
            "what": work.what,
            "since": now,
            "undone": "",
            "cold_freight_too": False,
            "expected_at": work.expected_at,
        },
    )


def note_work_renamed(names: Mapping[UUID, str]) -> None:
    """Work under way on these tasks is called otherwise; nothing for one that was not begun."""
    works = list(WorkInProgress.objects.filter(task_id__in=names))
    for work in works:
        work.what = names[work.task_id]
    if works:
        WorkInProgress.objects.bulk_update(works, ["what"])


def note_work_paused(task: UUID, *, undone: str, cold_freight_too: bool) -> None:
    """Work on a task was signed paused, its unit fit to move, or to carry cold freight too, with this undone."""
    WorkInProgress.objects.filter(task_id=task).update(undone=undone, cold_freight_too=cold_freight_too)


def note_work_ended(tasks: Collection[UUID]) -> None:
    """No work on these tasks is under way any more, if it ever was."""
    WorkInProgress.objects.filter(task_id__in=tasks).delete()


def note_work(defect: Defect, people: Iterable[UUID]) -> None:
    """Add people to those who worked on a defect, whose own holds they may not lift."""
    through = Defect.worked_by.through
    through.objects.bulk_create(
        [through(defect_id=defect.pk, person_id=person) for person in sorted(set(people))], ignore_conflicts=True
    )


def put_in_repair(defect: Defect) -> None:
    """A task of the defect was begun. Conflict `action_not_allowed` for one that is certified, closed or an error."""
    if defect.state == DefectState.IN_REPAIR:
        return
    DEFECTS.follow(defect, "start_repair")
    defect.version += 1
    defect.save(update_fields=["state", "version"])


def put_off_again(defect: Defect) -> None:
    """Work on a defect that a certificate puts off is paused: it is deferred as before. Nothing for any other."""
    if defect.state == DefectState.IN_REPAIR and defect.current_certificate_id is not None:
        DEFECTS.follow(defect, "put_back_deferred")
        defect.version += 1
        defect.save(update_fields=["state", "version"])


def put_back(defects: Iterable[Defect]) -> list[Defect]:
    """Take open defects off their cancelled order: what was in repair is reported again, nobody promises a time."""
    back = [defect for defect in defects if defect.state in OPEN_DEFECT_STATES]
    for defect in back:
        if defect.state == DefectState.IN_REPAIR:
            DEFECTS.follow(defect, "put_back" if defect.current_certificate_id is None else "put_back_deferred")
        defect.order_id = defect.order_number = defect.expected_at = None
        defect.version += 1
    if back:
        Defect.objects.bulk_update(back, ["state", "order_id", "order_number", "expected_at", "version"])
    return back
