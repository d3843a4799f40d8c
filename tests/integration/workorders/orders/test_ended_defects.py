"""Certificates settle tasks, and the orders that have nothing left."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from defects.enums import CertificateKind, DefectState
from defects.models import Certificate, Defect
from defects.signals import defects_certified, defects_withdrawn
from fleet.models import Person, Unit
from fleet.services.records.unit_of_work import unit_of_work
from tests.factories.fleet import NOON, history_of, make_bare_unit, make_recipient
from tests.factories.workorders import (
    LaborEntryFactory,
    make_certificate,
    make_defect,
    make_foreman,
    make_mechanic,
    make_order,
    task_of,
)
from workorders.enums import LaborRole, OrderState, TaskState
from workorders.models import RepairOrder, RepairTask

pytestmark = pytest.mark.django_db


def announce(unit: Unit, actor: Person, *certificates: Certificate) -> None:
    with unit_of_work([unit.pk], actor=actor, now=NOON) as work:
        defects_certified.send(Unit, certificates=certificates, work=work)


def test_only_defect_certified_repaired__task_done_and_order_closed() -> None:
    driver, foreman, unit = make_recipient("Ada Brisk"), make_foreman(), make_bare_unit()
    defect = make_defect(unit, driver)
    order = make_order(defect)

    announce(unit, foreman, make_certificate(defect, foreman, statement="Lamp changed on the spot"))

    task = task_of(defect)
    assert (task.state, task.correction, task.done_at, task.version) == (
        TaskState.DONE,
        "Lamp changed on the spot",
        NOON,
        2,
    )
    order.refresh_from_db()
    assert (order.state, order.work_done_at, order.closed_at, order.version) == (OrderState.CLOSED, NOON, NOON, 2)
    assert history_of(unit)[-3:] == ["repair_task_done", "repair_order_work_done", "repair_order_closed"]


def test_one_of_two_certified__order_goes_on() -> None:
    driver, foreman, unit = make_recipient("Ada Brisk"), make_foreman(), make_bare_unit()
    first, second = make_defect(unit, driver), make_defect(unit, driver)
    order = make_order(first, second, state=OrderState.WAITING, waiting_for="parts")

    announce(unit, foreman, make_certificate(first, foreman))

    order.refresh_from_db()
    assert (order.state, order.waiting_for, order.version) == (OrderState.WAITING, "parts", 2)
    assert [task_of(defect).state for defect in (first, second)] == [TaskState.DONE, TaskState.OPEN]


def test_other_task_done_but_its_defect_not_certified__order_stays_at_work_done() -> None:
    driver, foreman, unit = make_recipient("Ada Brisk"), make_foreman(), make_bare_unit()
    first, second = make_defect(unit, driver), make_defect(unit, driver, state=DefectState.IN_REPAIR)
    order = make_order(first, second)
    RepairTask.objects.filter(defect=second).update(state=TaskState.DONE, correction="hose changed")

    announce(unit, foreman, make_certificate(first, foreman))

    order.refresh_from_db()
    assert order.state == OrderState.WORK_DONE

    announce(unit, foreman, make_certificate(second, foreman))

    order.refresh_from_db()
    assert order.state == OrderState.CLOSED


def test_repair_unnecessary__task_and_order_stay_open() -> None:
    driver, foreman, unit = make_recipient("Ada Brisk"), make_foreman(), make_bare_unit("CU-42")
    defect = make_defect(unit, driver)
    order = make_order(defect)

    announce(unit, foreman, make_certificate(defect, foreman, kind=CertificateKind.REPAIR_UNNECESSARY))

    order.refresh_from_db()
    assert (order.state, order.version, task_of(defect).state) == (OrderState.OPEN, 1, TaskState.OPEN)


def test_deferred_defect_beside_a_repaired_one__order_is_not_closed() -> None:
    driver, foreman, unit = make_recipient("Ada Brisk"), make_foreman(), make_bare_unit()
    deferred, repaired = make_defect(unit, driver), make_defect(unit, driver)
    order = make_order(deferred, repaired)
    RepairTask.objects.filter(defect=deferred).update(state=TaskState.DONE, correction="looked at")
    make_certificate(deferred, foreman, kind=CertificateKind.REPAIR_UNNECESSARY)

    announce(unit, foreman, make_certificate(repaired, foreman))

    order.refresh_from_db()
    assert order.state == OrderState.WORK_DONE


def test_defect_without_an_order__nothing_to_settle() -> None:
    foreman, unit = make_foreman(), make_bare_unit()
    defect = make_defect(unit, foreman)

    announce(unit, foreman, make_certificate(defect, foreman))

    assert history_of(unit) == []


def test_work_still_running__ends_with_the_certificate() -> None:
    driver, mechanic, unit = make_recipient("Ada Brisk"), make_mechanic(), make_bare_unit()
    defect = make_defect(unit, driver)
    make_order(defect, state=OrderState.IN_PROGRESS)
    RepairTask.objects.update(state=TaskState.STARTED, started_at=NOON)
    entry = LaborEntryFactory.create(task=task_of(defect), person=mechanic, role=LaborRole.LEAD)

    announce(unit, mechanic, make_certificate(defect, mechanic))

    entry.refresh_from_db()
    assert entry.ended_at == NOON


def test_number_of_certificates__does_not_change_the_number_of_statements() -> None:
    driver, foreman = make_recipient("Ada Brisk"), make_foreman()

    def statements(count: int) -> int:
        unit = make_bare_unit(f"LR-{count}")
        defects = [make_defect(unit, driver) for _ in range(count)]
        make_order(*defects)
        stored = [Defect.objects.get(pk=defect.pk) for defect in defects]
        certificates = [make_certificate(defect, foreman) for defect in stored]
        with unit_of_work([unit.pk], actor=foreman, now=NOON) as work, CaptureQueriesContext(connection) as queries:
            defects_certified.send(Unit, certificates=certificates, work=work)
        assert RepairOrder.objects.get(unit=unit).state == OrderState.CLOSED
        return len(queries)

    assert statements(2) == statements(20) == 5


def test_entered_in_error__task_and_order_without_other_work_are_cancelled() -> None:
    driver, foreman, unit = make_recipient("Ada Brisk"), make_foreman(), make_bare_unit()
    defect = make_defect(unit, driver)
    order = make_order(defect)
    Defect.objects.filter(pk=defect.pk).update(state=DefectState.ENTERED_IN_ERROR)

    with unit_of_work([unit.pk], actor=foreman, now=NOON) as work:
        defects_withdrawn.send(Unit, defects=[defect], work=work)

    task = task_of(defect)
    assert (task.state, task.cancel_reason) == (TaskState.CANCELLED, "The defect was entered in error.")
    order.refresh_from_db()
    assert (order.state, order.cancel_reason) == (OrderState.CANCELLED, "Nothing was left undone.")
    assert history_of(unit)[-2:] == ["repair_task_cancelled", "repair_order_cancelled"]


def test_entered_in_error_beside_a_repaired_one__order_is_closed() -> None:
    driver, foreman, unit = make_recipient("Ada Brisk"), make_foreman(), make_bare_unit()
    error, repaired = make_defect(unit, driver), make_defect(unit, driver)
    order = make_order(error, repaired)
    announce(unit, foreman, make_certificate(repaired, foreman))
    Defect.objects.filter(pk=error.pk).update(state=DefectState.ENTERED_IN_ERROR)

    with unit_of_work([unit.pk], actor=foreman, now=NOON) as work:
        defects_withdrawn.send(Unit, defects=[error], work=work)

    order.refresh_from_db()
    assert order.state == OrderState.CLOSED
