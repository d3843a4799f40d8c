"""Whose time runs on which task."""

import datetime as dt
from decimal import Decimal

import pytest

from common.errors import Conflict, NotAllowed
from fleet.enums import Scope
from fleet.models import Person
from tests.factories.fleet import NOON, PolicyFactory, make_bare_unit, qualify
from tests.factories.workorders import make_defect, make_mechanic, make_order, make_stroke_defect, set_task
from tests.support.refusals import refused
from workorders.enums import LaborRole, OrderState, TaskState
from workorders.models import LaborEntry, RepairTask
from workorders.services.labor import start_labor, stop_labor
from workorders.services.orders.progress import wait_order
from workorders.services.tasks.tasks import Completion, finish_task

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("carrier")]

HOUR = dt.timedelta(hours=1)


class TestLabor:
    """Whose time runs where."""

    @pytest.fixture
    def task(self, driver: Person) -> RepairTask:
        defect = make_defect(make_bare_unit(), driver)
        make_order(defect, state=OrderState.IN_PROGRESS)
        return set_task(defect, TaskState.STARTED)

    def test_second_running_entry_of_a_person__refused(self, task: RepairTask) -> None:
        sam = make_mechanic()
        first = start_labor(task=task.pk, role=LaborRole.LEAD, person=None, actor=sam, now=NOON)
        with refused(Conflict, "labor_running", entry=first.pk):
            start_labor(task=task.pk, role=LaborRole.LEAD, person=None, actor=sam, now=NOON)

        paused = stop_labor(entry=first.pk, cause="waiting for a lift", actor=sam, now=NOON + HOUR)
        assert (paused.ended_at, paused.pause_cause) == (NOON + HOUR, "waiting for a lift")
        start_labor(task=task.pk, role=LaborRole.LEAD, person=None, actor=sam, now=NOON + HOUR)
        assert LaborEntry.objects.count() == 2

    def test_ended_entry__cannot_be_ended_again(self, task: RepairTask) -> None:
        sam = make_mechanic()
        entry = start_labor(task=task.pk, role=LaborRole.LEAD, person=None, actor=sam, now=NOON)
        stop_labor(entry=entry.pk, cause="", actor=sam, now=NOON)
        with refused(Conflict, "labor_has_ended"):
            stop_labor(entry=entry.pk, cause="", actor=sam, now=NOON)

    def test_time_of_another__only_by_a_foreman(self, task: RepairTask, foreman: Person) -> None:
        sam, nell = make_mechanic(), make_mechanic("Nell Park")
        with refused(NotAllowed, "labor_of_another"):
            start_labor(task=task.pk, role=LaborRole.LEAD, person=nell.pk, actor=sam, now=NOON)
        entry = start_labor(task=task.pk, role=LaborRole.LEAD, person=nell.pk, actor=foreman, now=NOON)
        assert entry.person == nell
        with pytest.raises(NotAllowed):
            stop_labor(entry=entry.pk, cause="", actor=sam, now=NOON)

    @pytest.mark.parametrize("state", [state for state in TaskState if state != TaskState.STARTED])
    def test_task_that_is_not_started__refused(self, state: TaskState, task: RepairTask) -> None:
        assert task.defect is not None
        set_task(task.defect, state)
        with refused(Conflict, "task_not_started"):
            start_labor(task=task.pk, role=LaborRole.LEAD, person=None, actor=make_mechanic(), now=NOON)

    def test_helper__needs_another_person_as_lead(self, task: RepairTask) -> None:
        nell = make_mechanic("Nell Park")
        for lead in (None, nell):
            RepairTask.objects.update(lead=lead)
            with refused(Conflict, "helper_without_lead"):
                start_labor(task=task.pk, role=LaborRole.HELPER, person=None, actor=nell, now=NOON)

    def test_helper_on_brakes__needs_a_lead_qualified_still(self, driver: Person) -> None:
        nell, greta = make_mechanic("Nell Park"), make_mechanic("Greta Lind")
        stroke = make_stroke_defect(make_bare_unit("LR-45"), driver)
        make_order(stroke, state=OrderState.IN_PROGRESS)
        task = set_task(stroke, TaskState.STARTED, lead=greta)
        with refused(NotAllowed, "not_qualified", person="Greta Lind"):
            start_labor(task=task.pk, role=LaborRole.HELPER, person=None, actor=nell, now=NOON)
        qualify(greta, Scope.BRAKES_REPAIR)
        assert start_labor(task=task.pk, role=LaborRole.HELPER, person=None, actor=nell, now=NOON).person == nell

    def test_waiting_order__pauses_what_runs_with_its_cause(self, task: RepairTask, foreman: Person) -> None:
        entry = start_labor(task=task.pk, role=LaborRole.LEAD, person=None, actor=make_mechanic(), now=NOON)
        wait_order(order=task.order_id, version=1, waiting_for="parts", reason="", actor=foreman, now=NOON + HOUR)
        entry.refresh_from_db()
        assert (entry.ended_at, entry.pause_cause) == (NOON + HOUR, "parts")

    def test_everybody_whose_time_ran__worked_on_the_defect(self, task: RepairTask) -> None:
        greta, nell, rex = make_mechanic("Greta Lind"), make_mechanic("Nell Park"), make_mechanic("Rex Olland")
        RepairTask.objects.update(lead=greta)
        task.helpers.add(rex)
        start_labor(task=task.pk, role=LaborRole.HELPER, person=None, actor=nell, now=NOON)
        finish_task(task=task.pk, version=1, completion=Completion("wear", "changed"), actor=greta, now=NOON)
        assert task.defect is not None
        assert set(task.defect.worked_by.all()) == {greta, nell, rex}


RATES = {"currency": "USD", "lead": "95.00", "helper": "60.00"}


def begun(task: RepairTask, person: Person, role: LaborRole = LaborRole.LEAD, at: dt.datetime = NOON) -> LaborEntry:
    return start_labor(task=task.pk, role=role, person=person.pk, actor=person, now=at)


def test_rate__of_the_part_and_the_day_is_copied_and_stays(driver: Person, foreman: Person) -> None:
    defect = make_defect(make_bare_unit(), driver)
    make_order(defect, state=OrderState.IN_PROGRESS)
    lead, helper = make_mechanic("Sam Ruy"), make_mechanic("Nell Park")
    task = set_task(defect, TaskState.STARTED, lead=lead)
    before = begun(task, foreman)

    for at, value in ((NOON + HOUR, RATES), (NOON + 3 * HOUR, {**RATES, "lead": "99.50"})):
        PolicyFactory.create(key="labor_rates", value=value, valid_from=at)
    first = begun(task, lead, at=NOON + 2 * HOUR)
    begun(task, helper, LaborRole.HELPER, at=NOON + 2 * HOUR)
    stop_labor(entry=first.pk, cause="", actor=lead, now=NOON + 4 * HOUR)
    begun(task, lead, at=NOON + 4 * HOUR)

    rows = LaborEntry.objects.order_by("started_at", "role", "pk").values_list("person__name", "rate", "currency")
    assert list(rows) == [
        (before.person.name, None, ""),
        ("Nell Park", Decimal("60.00"), "USD"),
        ("Sam Ruy", Decimal("95.00"), "USD"),
        ("Sam Ruy", Decimal("99.50"), "USD"),
    ]
