"""A defect seen again by a driver is never left without a piece of work, and never gets two."""

from defects.enums import DefectState
from defects.models import Defect, Sighting
from tests.support.yard import HORN, MINUTE, Yard
from workorders.enums import OrderState, TaskState
from workorders.models import RepairOrder, RepairTask
from workorders.services.orders.assigning import assign_order
from workorders.services.orders.ending import cancel_order
from workorders.services.orders.progress import mark_work_done
from workorders.services.tasks.tasks import Completion, finish_task, start_task


def horn(yard: Yard, by: str = "iris") -> Defect:
    """A horn that does not sound, found on the tractor."""
    return yard.finding(HORN, by=by, unit=yard.tractor)


def tasks(defect: Defect) -> list[tuple[str, str]]:
    """The state of each task of a defect and of its order, oldest first."""
    rows = RepairTask.objects.filter(defect=defect).order_by("opened_at", "pk")
    return [(task.state, task.order.state) for task in rows]


def as_seen(row: RepairOrder | RepairTask) -> int:
    """The version that whoever acts on the row has seen."""
    row.refresh_from_db()
    return row.version


def work_on(yard: Yard, defect: Defect) -> RepairTask:
    """Assign, start and finish the defect's task, which certifies nothing."""
    task = RepairTask.objects.select_related("order").get(defect=defect)
    order, sam = task.order, yard["sam"]
    assign_order(
        order=order.pk, version=as_seen(order), assigned_to=sam.pk, site=None, actor=yard["hob"], now=yard.later()
    )
    start_task(task=task.pk, version=as_seen(task), actor=sam, now=yard.later())
    completion = Completion("fuse", "fuse changed")
    finish_task(task=task.pk, version=as_seen(task), completion=completion, actor=sam, now=yard.later())
    mark_work_done(order=order.pk, version=as_seen(order), actor=sam, now=yard.later())
    return task


def test_cancelled_order__puts_its_defects_back_and_a_sighting_opens_another(yard: Yard) -> None:
    defect = horn(yard)
    first = RepairOrder.objects.get()
    cancel_order(order=first.pk, version=1, reason="sold to others", actor=yard["hob"], now=yard.later())
    put_back = Defect.objects.get(pk=defect.pk)
    assert (put_back.state, put_back.order_id, put_back.order_number) == (DefectState.REPORTED, None, None)

    seen = horn(yard, by="sol")

    assert seen.pk == defect.pk
    assert tasks(defect) == [(TaskState.CANCELLED, OrderState.CANCELLED), (TaskState.OPEN, OrderState.OPEN)]
    second = RepairOrder.objects.get(state=OrderState.OPEN)
    assert (seen.order_id, seen.order_number) == (second.pk, second.number)


def test_done_and_never_certified__seen_again_gets_another_task_on_the_same_order(yard: Yard) -> None:
    defect = horn(yard)
    done = work_on(yard, defect)
    assert tasks(defect) == [(TaskState.DONE, OrderState.WORK_DONE)]

    seen = horn(yard, by="sol")

    assert tasks(defect) == [(TaskState.DONE, OrderState.OPEN), (TaskState.OPEN, OrderState.OPEN)]
    assert RepairOrder.objects.get().pk == done.order_id
    assert seen.order_id == done.order_id


def test_task_stands__seen_again_gets_no_other(yard: Yard) -> None:
    defect = horn(yard)
    before = RepairOrder.objects.get()

    seen = horn(yard, by="sol")

    assert Sighting.objects.filter(defect=defect).count() == 2
    assert tasks(defect) == [(TaskState.OPEN, OrderState.OPEN)]
    assert (seen.order_id, RepairOrder.objects.get().version) == (before.pk, before.version)


def test_late_sighting_from_before_the_certificate__no_task(yard: Yard) -> None:
    seen_at = yard.later()
    defect = horn(yard)
    work_on(yard, defect)
    yard.certify(defect)
    yard.later()

    yard.finding(HORN, by="sol", unit=yard.tractor, at=seen_at + MINUTE / 2)

    assert sorted(Sighting.objects.filter(defect=defect).values_list("how", flat=True)) == ["late", "new"]
    assert tasks(defect) == [(TaskState.DONE, OrderState.CLOSED)]


def test_late_report_from_before_the_work_was_done__asks_for_nothing_more(yard: Yard) -> None:
    defect = horn(yard)
    seen_at = yard.later()
    work_on(yard, defect)

    yard.finding(HORN, by="sol", unit=yard.tractor, at=seen_at)

    assert sorted(Sighting.objects.filter(defect=defect).values_list("how", flat=True)) == ["new", "seen_again"]
    assert tasks(defect) == [(TaskState.DONE, OrderState.WORK_DONE)]
