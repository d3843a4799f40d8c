"""Reported defects and the order of their unit."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from defects.enums import DefectState, Severity
from defects.models import Defect
from defects.signals import defects_reported
from fleet.enums import UnitKind
from fleet.models import Unit
from fleet.services.records.unit_of_work import unit_of_work
from tests.factories.fleet import NOON, history_of, make_bare_unit, make_recipient, make_site
from tests.factories.workorders import HUB_SEAL, make_defect, make_mechanic, make_order, make_stroke_defect, task_of
from workorders.enums import OrderState, TaskState
from workorders.models import RepairOrder, RepairTask
from workorders.services.orders.joining import order_defects

pytestmark = pytest.mark.django_db


def test_defects_reported__one_order_for_the_unit_with_a_task_each() -> None:
    driver = make_recipient("Iris Quade")
    site = make_site("North Yard")
    unit = make_bare_unit(home_site=site)
    stroke = make_stroke_defect(unit, driver)
    lamp = make_defect(unit, driver, place="left", text="no light at all")

    with unit_of_work([unit.pk], actor=driver, now=NOON) as work:
        defects_reported.send(Unit, defects=[stroke, lamp], work=work)

    order = RepairOrder.objects.get()
    assert (order.unit_id, order.state, order.site_id, order.opened_by_id, order.opened_at, order.version) == (
        unit.pk,
        OrderState.OPEN,
        site.pk,
        driver.pk,
        NOON,
        1,
    )
    assert [(defect.order_id, defect.order_number) for defect in (stroke, lamp)] == [(order.pk, order.number)] * 2
    stored = Defect.objects.filter(order_id=order.pk, order_number=order.number)
    assert set(stored) == {stroke, lamp}
    assert task_of(stroke).complaint == ("Pushrod stroke, axle 2 right: 2.31 in, limit 2 in")
    assert task_of(lamp).complaint == "Trailer turn signal, left: finding not named: no light at all"
    assert (task_of(stroke).scope, task_of(lamp).scope) == ("brakes_repair", "")
    assert {task.state for task in RepairTask.objects.all()} == {TaskState.OPEN}
    assert history_of(unit) == ["repair_order_opened", "repair_task_opened", "repair_task_opened"]


def test_order_stands__later_defect_joins_it_and_its_version_grows() -> None:
    driver = make_recipient("Iris Quade")
    unit = make_bare_unit()
    order = make_order(make_defect(unit, driver), state=OrderState.ASSIGNED, assigned_to=make_mechanic())
    later = make_defect(unit, driver)

    make_order(later)

    assert RepairOrder.objects.count() == 1
    joined = RepairOrder.objects.get()
    assert (joined.state, joined.assigned_to_id, joined.version) == (OrderState.ASSIGNED, order.assigned_to_id, 2)
    assert (later.order_id, later.order_number) == (order.pk, order.number)
    assert history_of(unit) == ["repair_order_opened", "repair_task_opened", "repair_task_opened"]


def test_work_done_order__later_defect_opens_it_again_for_the_foreman() -> None:
    driver = make_recipient("Iris Quade")
    unit = make_bare_unit()
    make_order(make_defect(unit, driver), state=OrderState.WORK_DONE, assigned_to=make_mechanic(), work_done_at=NOON)

    make_order(make_defect(unit, driver))

    order = RepairOrder.objects.get()
    assert (order.state, order.assigned_to, order.work_done_at) == (OrderState.OPEN, None, None)


@pytest.mark.parametrize("state", [OrderState.CLOSED, OrderState.CANCELLED])
def test_order_ended__later_defect_opens_another(state: OrderState) -> None:
    driver = make_recipient("Iris Quade")
    unit = make_bare_unit()
    ended = make_order(make_defect(unit, driver), state=state, cancel_reason="sold")

    order = make_order(make_defect(unit, driver))

    assert order.pk != ended.pk
    assert order.number > ended.number


def test_raised_defect_with_active_task__joins_nothing_twice() -> None:
    driver = make_recipient("Iris Quade")
    unit = make_bare_unit()
    defect = make_defect(unit, driver, severity=Severity.NEXT_SHOP_VISIT)
    order = make_order(defect)
    raised = Defect.objects.get(pk=defect.pk)
    raised.severity = Severity.DO_NOT_MOVE

    with unit_of_work([unit.pk], actor=driver, now=NOON) as work:
        assert order_defects([raised, raised], work=work) == []

    assert RepairTask.objects.count() == 1
    assert RepairOrder.objects.get().version == order.version
    assert (raised.order_id, raised.order_number) == (order.pk, order.number)


def test_raised_defect_whose_task_is_done__gets_another_task() -> None:
    driver = make_recipient("Iris Quade")
    unit = make_bare_unit()
    defect = make_defect(unit, driver, state=DefectState.IN_REPAIR)
    make_order(defect)
    RepairTask.objects.update(state=TaskState.DONE, correction="bulb changed")

    make_order(defect)

    assert sorted(RepairTask.objects.values_list("state", flat=True)) == [TaskState.DONE, TaskState.OPEN]


def test_fault_in_free_text__is_the_complaint_and_needs_nobody_in_particular() -> None:
    driver = make_recipient("Iris Quade")
    unit = make_bare_unit()
    defect = make_defect(unit, driver, point="", place="", text="knocks when turning", graded=False)

    make_order(defect)

    assert (task_of(defect).complaint, task_of(defect).scope) == ("knocks when turning", "")


def test_oil_on_the_lining__asks_for_brake_people() -> None:
    driver = make_recipient("Tomo Vell")
    defect = make_defect(make_bare_unit("LR-43"), driver, point=HUB_SEAL, place="axle-1-left")

    make_order(defect)

    assert task_of(defect).scope == "brakes_repair"


@pytest.mark.parametrize("standing", [False, True])
def test_number_of_defects_and_units__does_not_change_the_number_of_statements(standing: bool) -> None:
    driver = make_recipient("Iris Quade")

    def statements(units: int, each: int) -> int:
        made = [make_bare_unit(f"N-{standing}-{units}-{n}", kind=UnitKind.TRAILER) for n in range(units)]
        if standing:
            for unit in made:
                make_order(make_defect(unit, driver))
        defects = [make_defect(unit, driver) for unit in made for _ in range(each)]
        with (
            unit_of_work([unit.pk for unit in made], actor=driver, now=NOON) as work,
            CaptureQueriesContext(connection) as queries,
        ):
            order_defects(defects, work=work)
        assert all(defect.order_number for defect in defects)
        return len(queries)

    assert statements(1, 1) == statements(3, 20) == 4


def test_some_units_with_an_order_and_some_without__five_statements() -> None:
    driver = make_recipient("Iris Quade")
    with_order, without = make_bare_unit("LR-41"), make_bare_unit("LR-42")
    make_order(make_defect(with_order, driver))
    defects = [make_defect(with_order, driver), make_defect(without, driver)]

    with (
        unit_of_work([with_order.pk, without.pk], actor=driver, now=NOON) as work,
        CaptureQueriesContext(connection) as queries,
    ):
        order_defects(defects, work=work)

    assert len(queries) == 5
    assert RepairOrder.objects.count() == 2
