"""Finishing a task: what must be measured, and what happens when the fault does not show itself."""

import datetime as dt
from decimal import Decimal

import pytest

from common.errors import Invalid
from defects.enums import DefectState
from defects.models import Defect, Measurement
from defects.services.records.measurements import Measured
from fleet.models import Person
from tests.factories.defects import MeasurementFactory
from tests.factories.fleet import NOON, make_bare_unit
from tests.factories.workorders import (
    make_axle,
    make_defect,
    make_mechanic,
    make_order,
    make_stroke_defect,
    set_task,
    task_of,
)
from tests.support.refusals import refused
from workorders.enums import OrderState, TaskState
from workorders.models import RepairTask
from workorders.services.tasks.tasks import Completion, finish_task, mark_not_reproduced, start_task

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("carrier")]

HOUR = dt.timedelta(hours=1)


class TestMeasured:
    """A fault that was measured is shown to be repaired by a measurement."""

    @pytest.fixture
    def stroke(self, driver: Person, brake_mechanic: Person) -> Defect:
        unit = make_bare_unit()
        make_axle(unit)
        defect = make_stroke_defect(unit, driver)
        make_order(defect, state=OrderState.IN_PROGRESS)
        set_task(defect, TaskState.STARTED, lead=brake_mechanic)
        return defect

    def finish(self, defect: Defect, actor: Person, after: Measured | None, before: Measured | None = None) -> None:
        completion = Completion("worn", "replaced", before, after)
        finish_task(task=task_of(defect).pk, version=1, completion=completion, actor=actor, now=NOON)

    @pytest.mark.parametrize(
        ("value", "unit_of_measure", "code"),
        [
            ("2.0000", "in", None),
            ("2.0001", "in", "measurement_past_limit"),
            ("1.62", "psi", "measurement_unusable"),
            ("40", "in", "measurement_unusable"),
        ],
    )
    def test_value_after__must_lie_within_the_limit(
        self, value: str, unit_of_measure: str, code: str | None, stroke: Defect, brake_mechanic: Person
    ) -> None:
        after = Measured(Decimal(value), unit_of_measure, NOON)
        if code is None:
            self.finish(stroke, brake_mechanic, after)
            task = task_of(stroke)
            assert task.after is not None
            assert (task.state, task.after.value, task.after.task_id) == (TaskState.DONE, Decimal(value), task.pk)
            return
        with refused(Invalid, code, ("/after", code)):
            self.finish(stroke, brake_mechanic, after)
        assert (task_of(stroke).state, Measurement.objects.count()) == (TaskState.STARTED, 0)

    def test_none_after__refused(self, stroke: Defect, brake_mechanic: Person) -> None:
        with refused(Invalid, "measurement_missing"):
            self.finish(stroke, brake_mechanic, None)

    def test_measured_before_it_was_found_or_the_work_begun__refused(
        self, stroke: Defect, brake_mechanic: Person
    ) -> None:
        for at, started_at, code in (
            (stroke.found_at, None, "measured_before_found"),
            (NOON - HOUR / 2, NOON - HOUR / 4, "measured_before_start"),
        ):
            RepairTask.objects.filter(defect=stroke).update(started_at=started_at)
            with refused(Invalid, code, ("/after/measured_at", code)):
                self.finish(stroke, brake_mechanic, Measured(Decimal("1.6"), "in", at))
        assert Measurement.objects.count() == 0

    def test_measured_tomorrow__refused(self, stroke: Defect, brake_mechanic: Person) -> None:
        with pytest.raises(Invalid) as refused:
            self.finish(stroke, brake_mechanic, Measured(Decimal("1.6"), "in", NOON + 24 * HOUR))
        assert refused.value.problems[0].pointer == "/after/measured_at"

    def test_value_it_was_found_by__is_the_one_before(self, stroke: Defect, brake_mechanic: Person) -> None:
        found = MeasurementFactory.create(
            unit=stroke.unit,
            point=stroke.point,
            place=stroke.place,
            value=Decimal("2.31"),
            measured_at=NOON - HOUR,
            person=brake_mechanic,
        )
        self.finish(stroke, brake_mechanic, Measured(Decimal("1.62"), "in", NOON))
        assert task_of(stroke).before == found

    def test_value_measured_in_the_shop_before__takes_its_place(self, stroke: Defect, brake_mechanic: Person) -> None:
        before = Measured(Decimal("2.4"), "in", NOON - HOUR)
        self.finish(stroke, brake_mechanic, Measured(Decimal("1.62"), "in", NOON), before)
        task = task_of(stroke)
        assert task.before is not None
        assert (task.before.value, task.before.task_id) == (Decimal("2.4"), task.pk)

    def test_axle_not_recorded__still_judged_by_the_limit_it_failed(
        self, driver: Person, brake_mechanic: Person
    ) -> None:
        defect = make_stroke_defect(make_bare_unit("LR-47"), driver)
        make_order(defect, state=OrderState.IN_PROGRESS)
        set_task(defect, TaskState.STARTED, lead=brake_mechanic)
        with refused(Invalid, "measurement_past_limit"):
            self.finish(defect, brake_mechanic, Measured(Decimal("2.0001"), "in", NOON))
        self.finish(defect, brake_mechanic, Measured(Decimal(2), "in", NOON))

    def test_no_limit_known_at_all__refused(self, driver: Person, brake_mechanic: Person) -> None:
        defect = make_stroke_defect(
            make_bare_unit("LR-47"), driver, value=None, unit_of_measure="", limit="", limit_value=None
        )
        make_order(defect, state=OrderState.IN_PROGRESS)
        set_task(defect, TaskState.STARTED, lead=brake_mechanic)
        with refused(Invalid, "measurement_limit_unknown"):
            self.finish(defect, brake_mechanic, Measured(Decimal("1.2"), "in", NOON))

    def test_value_where_nothing_is_measured__refused(self, driver: Person) -> None:
        sam = make_mechanic()
        lamp = make_defect(make_bare_unit("LR-42"), driver)
        make_order(lamp, state=OrderState.IN_PROGRESS)
        set_task(lamp, TaskState.STARTED, lead=sam)
        with refused(Invalid, "measurement_not_asked"):
            self.finish(lamp, sam, Measured(Decimal(1), "in", NOON))


class TestNotReproduced:
    """The defect stays open, and the order waits only when nothing else is to be done."""

    def test_only_task__order_waits_for_a_road_test(self, driver: Person) -> None:
        sam, defect = make_mechanic(), make_defect(make_bare_unit(), driver, state=DefectState.IN_REPAIR)
        order = make_order(defect, state=OrderState.IN_PROGRESS)
        set_task(defect, TaskState.STARTED, lead=sam)

        mark_not_reproduced(
            task=task_of(defect).pk, version=1, conditions="rain", road_test_at=NOON + HOUR, actor=sam, now=NOON
        )

        order.refresh_from_db()
        assert (order.state, order.waiting_for) == (OrderState.WAITING, "road_test")
        defect.refresh_from_db()
        assert defect.state == DefectState.IN_REPAIR

        start_task(task=task_of(defect).pk, version=2, actor=sam, now=NOON + 2 * HOUR)

        order.refresh_from_db()
        task = task_of(defect)
        assert (order.state, order.waiting_for) == (OrderState.IN_PROGRESS, "")
        assert (task.state, task.conditions, task.road_test_at) == (TaskState.STARTED, "rain", None)

    def test_road_test_in_the_past__refused(self, driver: Person) -> None:
        sam, defect = make_mechanic(), make_defect(make_bare_unit(), driver)
        make_order(defect, state=OrderState.IN_PROGRESS)
        set_task(defect, TaskState.STARTED, lead=sam)
        with refused(Invalid, "road_test_in_past"):
            mark_not_reproduced(
                task=task_of(defect).pk, version=1, conditions="rain", road_test_at=NOON, actor=sam, now=NOON
            )
