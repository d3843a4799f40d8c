"""Repairs by outside firms."""

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest

from common.errors import Conflict, Invalid
from defects.enums import DefectState
from defects.services.records.measurements import Measured
from fleet.models import Person
from tests.factories.fleet import NOON, make_bare_unit
from tests.factories.workorders import make_axle, make_defect, make_order, make_stroke_defect, set_task, task_of
from tests.support.refusals import refused
from workorders.enums import OrderState, TaskState
from workorders.models import OutsideRepair
from workorders.services.outside_work import OutsideWork, TaskDone, record_outside_repair

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("carrier")]

HOUR = dt.timedelta(hours=1)


class TestOutside:
    """Repairs by outside firms."""

    def work(self, *tasks: TaskDone, **fields: Any) -> OutsideWork:
        return OutsideWork(
            **{
                "firm": "Crookspoke Road Tire",
                "worker": "Rita Sand",
                "place": "mile 212",
                "work": "tire changed",
                "done_at": NOON,
                "tasks": tasks,
                **fields,
            }
        )

    def test_all_tasks_done__work_done_but_not_closed_and_the_hand_is_kept_once(self, driver: Person) -> None:
        unit = make_bare_unit()
        first, second = make_defect(unit, driver), make_defect(unit, driver)
        order = make_order(first, second)
        for defect in (first, second):
            done = TaskDone(task_of(defect).pk, "changed")
            record_outside_repair(order=order.pk, repair=self.work(done), actor=driver, now=NOON)

        order.refresh_from_db()
        assert (order.state, order.version) == (OrderState.WORK_DONE, 3)
        worker = Person.objects.get(name="Rita Sand")
        assert (worker.username, worker.firm) == (None, "Crookspoke Road Tire")
        for defect in (first, second):
            defect.refresh_from_db()
            assert (defect.state, set(defect.worked_by.all())) == (DefectState.IN_REPAIR, {worker, driver})

    def test_measured_fault__needs_its_measurement_from_them_too(self, driver: Person) -> None:
        unit = make_bare_unit()
        make_axle(unit)
        stroke = make_stroke_defect(unit, driver)
        order = make_order(stroke)
        done = TaskDone(task_of(stroke).pk, "adjusted")
        with refused(Invalid, "measurement_missing", ("/tasks/0/after", "measurement_missing")):
            record_outside_repair(order=order.pk, repair=self.work(done), actor=driver, now=NOON)
        assert (OutsideRepair.objects.count(), Person.objects.filter(name="Rita Sand").count()) == (0, 0)

    @pytest.mark.parametrize(
        ("fields", "code"),
        [
            ({"done_at": NOON + HOUR}, "instant_in_future"),
            ({"cost": Decimal("1.00")}, "cost_without_currency"),
            ({"currency": "USD"}, "cost_without_currency"),
        ],
    )
    def test_what_cannot_be_right__refused(self, fields: dict[str, Any], code: str, driver: Person) -> None:
        defect = make_defect(make_bare_unit(), driver)
        order = make_order(defect)
        done = TaskDone(task_of(defect).pk, "changed")
        with refused(Invalid, code):
            record_outside_repair(order=order.pk, repair=self.work(done, **fields), actor=driver, now=NOON)
        assert task_of(defect).state == TaskState.OPEN

    def test_late_invoice__is_booked_on_a_closed_order_and_opens_nothing_again(self, driver: Person) -> None:
        defect = make_defect(make_bare_unit(), driver)
        order = make_order(defect, state=OrderState.CLOSED)
        task = set_task(defect, TaskState.DONE)
        seen = (task.version, task.correction)

        repair = record_outside_repair(
            order=order.pk,
            repair=self.work(TaskDone(task.pk, "as certified"), invoice="CRT-4471"),
            actor=driver,
            now=NOON + HOUR,
        )

        order.refresh_from_db()
        task.refresh_from_db()
        assert (order.state, task.state, (task.version, task.correction)) == ("closed", "done", seen)
        assert (repair.invoice, list(repair.tasks.all())) == ("CRT-4471", [task])
        kinds = list(order.unit.history.order_by("sequence").values_list("kind", flat=True))
        assert kinds[-1] == "outside_repair_recorded"
        assert not {"repair_order_reopened", "repair_task_done"} & set(kinds)
        assert not defect.worked_by.exists()

    def test_late_value__is_refused_because_the_repair_was_shown_already(self, driver: Person) -> None:
        defect = make_defect(make_bare_unit(), driver)
        order = make_order(defect, state=OrderState.CLOSED)
        late = TaskDone(set_task(defect, TaskState.DONE).pk, "x", Measured(Decimal("1.6"), "in", NOON))
        with refused(Invalid, "measurement_not_asked"):
            record_outside_repair(order=order.pk, repair=self.work(late), actor=driver, now=NOON)

    def test_task_of_another_order_or_cancelled__refused(self, driver: Person) -> None:
        defect, other = make_defect(make_bare_unit(), driver), make_defect(make_bare_unit("LR-45"), driver)
        order = make_order(defect)
        make_order(other)
        for task, code in ((task_of(other), "task_unknown"), (set_task(defect, TaskState.CANCELLED), "task_settled")):
            with refused(Invalid, code):
                record_outside_repair(
                    order=order.pk, repair=self.work(TaskDone(task.pk, "changed")), actor=driver, now=NOON
                )

    def test_cancelled_order__refused(self, driver: Person) -> None:
        defect = make_defect(make_bare_unit(), driver)
        order = make_order(defect, state=OrderState.CANCELLED, cancel_reason="sold")
        with refused(Conflict, "order_ended"):
            record_outside_repair(
                order=order.pk, repair=self.work(TaskDone(task_of(defect).pk, "changed")), actor=driver, now=NOON
            )
