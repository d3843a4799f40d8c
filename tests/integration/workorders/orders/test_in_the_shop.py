"""What dispatch hears of a unit that the shop has begun to work on: barred until done or signed paused, and told of."""

import datetime as dt

from defects.models import Clearance
from defects.services.clearance.changes import notify_of_changes
from defects.services.records.signatures import Signing
from fleet.enums import NotificationKind, SignatureMethod
from fleet.models import Notification, Unit
from tests.factories.fleet import HOUR
from tests.support.dock import Dock, codes, left_open, left_rows, reason, unknowns
from tests.support.yard import TAPE, photo_on
from workorders.models import RepairTask
from workorders.services.orders.assigning import assign_order
from workorders.services.orders.expected_time import set_expected_time
from workorders.services.orders.opening import Job, open_order
from workorders.services.tasks.tasks import Completion, finish_task, pause_task, start_task

SERVICE = "B service: oil, filters, grease"


def ordered(dock: Dock, unit: Unit, complaint: str = SERVICE) -> RepairTask:
    """A job on the unit, given to Sam and not yet begun."""
    hob = dock["hob"]
    order = open_order(unit=unit, defects=(), jobs=[Job(complaint)], actor=hob, now=dock.later())
    assign_order(order=order.pk, version=order.version, assigned_to=dock["sam"].pk, site=None, actor=hob, now=dock.now)
    return RepairTask.objects.get(order=order, complaint=complaint)


def begin(dock: Dock, task: RepairTask) -> None:
    task.refresh_from_db()
    start_task(task=task.pk, version=task.version, actor=dock["sam"], now=dock.later())


def pause(dock: Dock, task: RepairTask, undone: str, *, cold_freight_too: bool = False) -> None:
    task.refresh_from_db()
    signing = Signing(dock["hob"], SignatureMethod.TYPED, dock.now, "The unit is fit to move with this undone.")
    now = dock.later()
    pause_task(
        task=task.pk,
        version=task.version,
        undone=undone,
        cold_freight_too=cold_freight_too,
        signing=signing,
        actor=dock["hob"],
        now=now,
    )


def test_tractor_with_its_oil_drained__barred_until_the_work_is_done(dock: Dock) -> None:
    task = ordered(dock, dock.tractor)
    assert dock.ask().answer == "nothing_known_against"
    begin(dock, task)
    bar = reason(dock.ask(), "work_in_progress")
    assert (bar["kind"], bar["unit"], bar["facts"]) == (
        "bars",
        "NL-13",
        {"order": task.order.number, "work": SERVICE},
    )
    assert (bar["since"], bar["expected_at"], bar["ends_when"]) == (
        f"{dock.now.astimezone(dt.UTC):%Y-%m-%dT%H:%M:%S}Z",
        None,
        "work_done",
    )
    task.refresh_from_db()
    completion = Completion("due", "serviced")
    finish_task(task=task.pk, version=task.version, completion=completion, actor=dock["sam"], now=dock.later())
    assert dock.ask().answer == "nothing_known_against"


def test_expected_time__is_shown_with_the_bar(dock: Dock) -> None:
    task = ordered(dock, dock.tractor)
    begin(dock, task)
    task.order.refresh_from_db()
    by = dock.now + 5 * HOUR
    set_expected_time(
        order=task.order.pk, version=task.order.version, expected_at=by, reason="", actor=dock["hob"], now=dock.now
    )
    assert reason(dock.ask(), "work_in_progress")["expected_at"] == f"{by.astimezone(dt.UTC):%Y-%m-%dT%H:%M:%S}Z"


def test_signed_paused__said_and_no_bar_until_it_goes_on(dock: Dock) -> None:
    task = ordered(dock, dock.trailer)
    begin(dock, task)
    pause(dock, task, "mud flap bracket to be painted")
    asked = dock.ask()
    assert (asked.answer, codes(asked), left_open(asked)) == ("nothing_known_against", [], ["work_paused"])
    assert left_rows(asked)[0]["facts"]["undone"] == "mud flap bracket to be painted"
    begin(dock, task)
    assert codes(dock.ask()) == ["work_in_progress"]


def test_work_on_the_cooling_unit__bars_new_cold_freight_and_never_movement(dock: Dock) -> None:
    dock.load("L-1")
    dock.load("L-2", "dry")
    begin(dock, ordered(dock, dock.cooling_unit))
    assert codes(dock.ask(load="L-1")) == ["cold_work_in_progress"]
    dry, unnamed = dock.ask(load="L-2"), dock.ask()
    assert (dry.answer, left_open(dry)) == ("nothing_known_against", ["cold_work_in_progress"])
    assert (unnamed.answer, unknowns(unnamed)) == ("nothing_known_against", ["cold_work_load_unknown"])


def test_cooling_unit_paused_as_fit_to_move__takes_cold_freight_once_signed_for_it(dock: Dock) -> None:
    dock.load("L-1")
    task = ordered(dock, dock.cooling_unit)
    begin(dock, task)
    pause(dock, task, "evaporator fan to be balanced")
    bar = reason(dock.ask(load="L-1"), "cold_work_in_progress")
    assert (bar["ends_when"], bar["facts"]["undone"]) == ("cold_work_done", "evaporator fan to be balanced")
    begin(dock, task)
    pause(dock, task, "evaporator fan to be balanced", cold_freight_too=True)
    asked = dock.ask(load="L-1")
    assert (asked.answer, left_open(asked)) == ("nothing_known_against", ["work_paused"])


def test_deferred_fault_begun_and_paused__deferred_again_and_no_bar(dock: Dock) -> None:
    defect = dock.finding(TAPE, finding="damaged")
    dock.dismiss(defect, photo=photo_on(defect))
    dock.review()
    open_before = left_open(dock.ask())
    assert "defect_deferred" in open_before
    task = RepairTask.objects.get(defect=defect)
    assign_order(
        order=task.order_id,
        version=task.order.version,
        assigned_to=dock["sam"].pk,
        site=None,
        actor=dock["hob"],
        now=dock.later(),
    )
    begin(dock, task)
    assert dock.ask().answer == "barred"
    pause(dock, task, "lens to be glued")
    defect.refresh_from_db()
    asked = dock.ask()
    assert (defect.state, codes(asked)) == ("deferred", [])
    assert left_open(asked) == ["defect_deferred", "work_paused"]


def test_unit_goes_into_the_shop__clearance_of_a_planned_trip_barred_and_notified(dock: Dock) -> None:
    dock.ask(by="cal", driver="sol", departure=dock.now + 6 * HOUR)
    task = ordered(dock, dock.tractor)
    assert notify_of_changes(now=dock.later()) == 0
    begin(dock, task)
    assert notify_of_changes(now=dock.later()) == 1
    told = Notification.objects.filter(kind=NotificationKind.CLEARANCE_BARRED)
    assert {notification.person.username for notification in told} == {"cal", "sol"}
    assert all(
        f"NL-13 is in the shop, order {task.order.number}: {SERVICE}" in notification.facts["why"]
        for notification in told
    )
    assert notify_of_changes(now=dock.later()) == 0
    assert Clearance.objects.get().answer == "nothing_known_against"
