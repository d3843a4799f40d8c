"""Orders that a foreman opens at the desk."""

import datetime as dt

import pytest

from common.errors import Conflict, Invalid
from common.ids import uuid7
from defects.enums import DefectState
from fleet.models import Person, Unit
from tests.factories.fleet import NOON, make_bare_unit
from tests.factories.workorders import make_defect, make_order
from tests.support.refusals import refused
from workorders.services.orders.ending import cancel_order
from workorders.services.orders.opening import Job, open_order

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("carrier")]


class TestDesk:
    """Orders that a foreman opens."""

    def test_put_back_defect_and_a_job__one_order(self, driver: Person, foreman: Person) -> None:
        unit = make_bare_unit()
        defect = make_defect(unit, driver)
        order = make_order(defect)
        cancel_order(order=order.pk, version=1, reason="later", actor=foreman, now=NOON)

        again = open_order(
            unit=unit, defects=[defect.pk], jobs=[Job("wheel re-check", "tires")], actor=foreman, now=NOON
        )

        assert again.pk != order.pk
        assert sorted(again.tasks.values_list("scope", "defect")) == [("", defect.pk), ("tires", None)]
        defect.refresh_from_db()
        assert (defect.order_id, defect.order_number) == (again.pk, again.number)

    def test_same_job_asked_for_twice__two_tasks(self, foreman: Person) -> None:
        jobs = [Job("grease"), Job("grease")]
        order = open_order(unit=make_bare_unit(), defects=(), jobs=jobs, actor=foreman, now=NOON)
        assert order.tasks.count() == 2

    def test_nothing_asked_for__refused(self, foreman: Person) -> None:
        with refused(Invalid, "order_empty"):
            open_order(unit=make_bare_unit(), defects=(), jobs=(), actor=foreman, now=NOON)

    @pytest.mark.parametrize("state", [DefectState.CERTIFIED, DefectState.CLOSED, DefectState.ENTERED_IN_ERROR])
    def test_defect_that_is_not_open__refused(self, state: DefectState, driver: Person, foreman: Person) -> None:
        unit = make_bare_unit()
        defect = make_defect(unit, driver, state=state)
        with pytest.raises(Invalid) as refused:
            open_order(unit=unit, defects=[defect.pk, uuid7()], jobs=(), actor=foreman, now=NOON)
        assert [problem.pointer for problem in refused.value.problems] == ["/defects/0", "/defects/1"]

    def test_defect_on_the_order_already__refused(self, driver: Person, foreman: Person) -> None:
        unit = make_bare_unit()
        defect = make_defect(unit, driver)
        make_order(defect)
        with refused(Conflict, "defects_on_order"):
            open_order(unit=unit, defects=[defect.pk], jobs=(), actor=foreman, now=NOON)

    def test_retired_unit__refused(self, foreman: Person) -> None:
        unit = make_bare_unit()
        Unit.objects.update(retired_on=dt.date(2026, 3, 1))
        with refused(Conflict, "unit_retired"):
            open_order(unit=unit, defects=(), jobs=[Job("grease")], actor=foreman, now=NOON)
